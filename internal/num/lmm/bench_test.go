package lmm_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"fairplot/internal/num/dense"
	. "fairplot/internal/num/lmm"
)

// maker draws the large tables of the benchmarks: the same shapes as the tables they stand for, with simulated responses.
type maker struct {
	r *rand.Rand
	d Data
}

func newMaker(n int) *maker {
	return &maker{r: rand.New(rand.NewPCG(2026, uint64(n))), d: Data{Y: make([]float64, n)}}
}

// group adds a grouping with normal effects of the given spread.
func (m *maker) group(name string, q int, sd float64, of func(i int) int) {
	g := Grouping{Name: name, Class: make([]int32, len(m.d.Y)), Levels: q}
	effect := make([]float64, q)
	for j := range effect {
		effect[j] = sd * m.r.NormFloat64()
	}
	for i := range m.d.Y {
		g.Class[i] = int32(of(i))
		m.d.Y[i] += effect[g.Class[i]]
	}
	m.d.Groupings = append(m.d.Groupings, g)
}

// factor is a fixed factor, coded 0/1 against its first level.
type factor struct {
	levels int
	of     func(i int) int
}

// fixed codes the mean, factors and a covariate, and adds the residual.
func (m *maker) fixed(covariate bool, factors ...factor) {
	p := 1
	for _, f := range factors {
		p += f.levels - 1
	}
	if covariate {
		p++
	}
	m.d.X = dense.New(len(m.d.Y), p)
	for i := range m.d.Y {
		row, at := m.d.X.Row(i), 1
		row[0] = 1
		for _, f := range factors {
			if l := f.of(i); l > 0 {
				row[at+l-1] = 1
				m.d.Y[i] += 0.1 * float64(l)
			}
			at += f.levels - 1
		}
		if covariate {
			row[at] = m.r.NormFloat64()
		}
		m.d.Y[i] += m.r.NormFloat64()
	}
}

func draw(r *rand.Rand, n, q int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = r.IntN(q)
	}
	return out
}

func at(v []int) func(int) int { return func(i int) int { return v[i] } }

// farm: 2,000 rows in 6 gardens with 96 beds, 10 seasons and 20 crops, crossed, gardens by seasons too.
func farm() Data {
	m := newMaker(2000)
	bed, season, crop, method := draw(m.r, 2000, 96), draw(m.r, 2000, 10), draw(m.r, 2000, 20), draw(m.r, 2000, 3)
	m.group("garden", 6, 0.7, func(i int) int { return bed[i] / 16 })
	m.group("garden:bed", 96, 0.4, at(bed))
	m.group("season", 10, 0.5, at(season))
	m.group("garden:season", 60, 0.3, func(i int) int { return bed[i]/16*10 + season[i] })
	m.group("crop", 20, 0.8, at(crop))
	m.fixed(true, factor{3, at(method)})
	return m.d
}

// network: 60,000 rows in 800 gardens with 9,000 beds and 12 seasons; 20 crops and 3 methods fixed.
func network() Data {
	const n = 60_000
	m := newMaker(n)
	bed, season, crop, method := draw(m.r, n, 9000), draw(m.r, n, 12), draw(m.r, n, 20), draw(m.r, n, 3)
	m.group("garden", 800, 0.7, func(i int) int { return bed[i] * 800 / 9000 })
	m.group("garden:bed", 9000, 0.4, at(bed))
	m.group("season", 12, 0.5, at(season))
	m.fixed(true, factor{20, at(crop)}, factor{3, at(method)})
	return m.d
}

// evaluations: 73,421 rows crossed in 2,972 raters, 1,128 rated and 14 departments, of the size of the teaching
// evaluations of ETH Zürich that mixed model software is often timed on.
func evaluations() Data {
	const n = 73_421
	m := newMaker(n)
	rater, rated := draw(m.r, n, 2972), make([]int, n)
	for i := range rated { // raters meet those of a few departments, as students do
		rated[i] = (rater[i]*1128/2972 + int(40*m.r.NormFloat64()) + 5*1128) % 1128
	}
	m.group("rater", 2972, 0.33, at(rater))
	m.group("rated", 1128, 0.52, at(rated))
	m.group("department", 14, 0.1, func(i int) int { return rated[i] % 14 })
	age, stage, service := draw(m.r, n, 6), draw(m.r, n, 4), draw(m.r, n, 2)
	m.fixed(false, factor{2, at(service)}, factor{4, at(stage)}, factor{6, at(age)}, factor{7, at(draw(m.r, n, 7))})
	return m.d
}

// cells: 45,861 rows, 3 × 2 × 4 treatments in full, 500 groups.
func cells() Data {
	const n = 45_861
	m := newMaker(n)
	cell := draw(m.r, n, 24)
	m.group("field", 500, 0.6, at(draw(m.r, n, 500)))
	m.fixed(false, factor{24, at(cell)})
	return m.d
}

// whole is what an analysis needs: reading, fit, Kenward-Roger, an F for each block of columns.
func whole(b *testing.B, d Data, terms ...[2]int) {
	m, err := New(d)
	if err != nil {
		b.Fatal(err)
	}
	fit, err := m.Fit()
	if err != nil || !fit.Search.Converged {
		b.Fatal(err, fit)
	}
	inf, err := fit.By(KenwardRoger)
	if err != nil {
		b.Fatal(err)
	}
	for _, t := range terms {
		if _, err := inf.TestRows(span(d.X.Cols, t[0], t[1])); err != nil {
			b.Fatal(err)
		}
	}
}

// span tests that coefficients from … to-1 are 0.
func span(p, from, to int) dense.Matrix {
	l := dense.New(to-from, p)
	for j := range l.Rows {
		l.Set(j, from+j, 1)
	}
	return l
}

func benchFit(b *testing.B, d Data) {
	for b.Loop() {
		m, err := New(d)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := m.Fit(); err != nil {
			b.Fatal(err)
		}
	}
}

// reportPeak adds the most memory that the process has held, where the system tells.
func reportPeak(b *testing.B) {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return
	}
	for line := range strings.Lines(string(status)) {
		var kB float64
		if _, err := fmt.Sscanf(line, "VmHWM: %f kB", &kB); err == nil {
			b.ReportMetric(kB/1024, "peak-MB")
		}
	}
}

func benchBoth(b *testing.B, d Data, terms ...[2]int) {
	b.Run("fit", func(b *testing.B) {
		benchFit(b, d)
		reportPeak(b)
	})
	b.Run("fitAndKenwardRoger", func(b *testing.B) {
		for b.Loop() {
			whole(b, d, terms...)
		}
		reportPeak(b)
	})
}

func BenchmarkRows72(b *testing.B) {
	for _, p := range readPublished(b) {
		if p.ID == "M01_oats_splitplot" {
			benchBoth(b, p.data(), [2]int{1, 3}, [2]int{3, 6}, [2]int{6, 12})
		}
	}
}

func BenchmarkRows2000(b *testing.B)  { benchBoth(b, farm(), [2]int{1, 3}, [2]int{3, 4}) }
func BenchmarkRows60000(b *testing.B) { benchBoth(b, network(), [2]int{1, 20}, [2]int{20, 22}) }
func BenchmarkRows73421(b *testing.B) { benchBoth(b, evaluations(), [2]int{1, 2}, [2]int{2, 5}) }
func BenchmarkRows45861(b *testing.B) { benchBoth(b, cells(), [2]int{1, 24}) }

// BenchmarkSimulated is a power curve: 10,000 responses for one design of 72 rows (or 63), each fitted and tested, on
// all processors.
func BenchmarkSimulated(b *testing.B) {
	for _, p := range readPublished(b) {
		if p.ID == "M01_oats_splitplot" || p.ID == "M06_oats_unbalanced" {
			b.Run(map[int]string{72: "balanced", 63: "unbalanced"}[len(p.Y)], func(b *testing.B) {
				for b.Loop() {
					simulate(b, p.data(), 10_000)
				}
			})
		}
	}
}

func simulate(b *testing.B, d Data, fits int) {
	base, err := New(d)
	if err != nil {
		b.Fatal(err)
	}
	l := span(d.X.Cols, 1, 3)
	var wait sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		wait.Go(func() {
			m, r, y := base.Clone(), rand.New(rand.NewPCG(7, uint64(w))), slices.Clone(d.Y)
			for range fits / workers {
				for i := range y {
					y[i] = r.NormFloat64()
				}
				if m.SetY(y) != nil {
					b.Error("no response")
					return
				}
				fit, err := m.Fit()
				if err != nil {
					b.Error(err)
					return
				}
				if _, err := fit.KenwardRoger(l); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	wait.Wait()
}

// BenchmarkRowsAndGroups is the cost against rows (200 × 20 crossed groups) and against groups (50,000 rows).
func BenchmarkRowsAndGroups(b *testing.B) {
	for _, s := range []struct {
		name    string
		n, a, c int
	}{
		{"rows2e3", 2000, 200, 20}, {"rows2e4", 20_000, 200, 20}, {"rows2e5", 200_000, 200, 20}, {"rows1e6", 1_000_000, 200, 20},
		{"groups2000x20", 50_000, 2000, 20}, {"groups20000x20", 50_000, 20_000, 20}, {"groups2000x200", 50_000, 2000, 200},
		{"groups2000x500", 50_000, 2000, 500}, {"groups2000x1500", 50_000, 2000, 1500},
	} {
		b.Run(s.name, func(b *testing.B) {
			m := newMaker(s.n)
			m.group("a", s.a, 0.7, at(draw(m.r, s.n, s.a)))
			m.group("c", s.c, 0.7, at(draw(m.r, s.n, s.c)))
			m.fixed(false, factor{4, at(draw(m.r, s.n, 4))})
			b.ResetTimer()
			for b.Loop() {
				whole(b, m.d, [2]int{1, 4})
			}
		})
	}
}
