package glmm_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
	. "fairplot/internal/num/glmm"
)

// plantings lays counts as a book of several gardens holds them: beds in gardens over four seasons, one or two crops to a bed and season, two ways of
// working the ground, thirty pieces looked at. Garden, season and crop are fixed; the rest is random, every planting too.
func plantings(gardens, beds, crops, rows int) Data {
	r := rand.New(rand.NewPCG(214, uint64(rows)))
	type place struct{ garden, bed, season, crop, level int }
	var all []place
	for season := range 4 {
		for bed := range gardens * beds {
			level := 0
			if r.Float64() < 0.4 {
				level = 1
			}
			for range 2 {
				all = append(all, place{bed % gardens, bed, season, r.IntN(crops), level})
			}
		}
	}
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	all = all[:rows]
	var m layout
	m.d.X = dense.New(rows, gardens+3+crops)
	for i, at := range all {
		row := m.d.X.Row(i)
		row[0], row[1] = 1, float64(at.level)
		for _, c := range []struct{ from, of int }{{2, at.garden}, {1 + gardens, at.season}, {4 + gardens, at.crop}} {
			if c.of > 0 {
				row[c.from+c.of-1] = 1
			}
		}
	}
	eta := make([]float64, rows)
	for i, at := range all {
		eta[i] = -0.5 + 0.3*float64(at.level) + 0.2*float64(at.crop%3) - 0.2*float64(at.garden%2)
	}
	m.group(r, eta, "garden:season", 0.2, func(i int) int { return 4*all[i].garden + all[i].season })
	m.group(r, eta, "bed", 0.4, func(i int) int { return all[i].bed })
	m.group(r, eta, "bed:season", 0.2, func(i int) int { return 4*all[i].bed + all[i].season })
	m.group(r, eta, "season:level", 0.1, func(i int) int { return 2*all[i].season + all[i].level })
	m.group(r, eta, "crop:level", 0.1, func(i int) int { return 2*all[i].crop + all[i].level })
	m.group(r, eta, "planting", 0.4, func(i int) int { return i })
	for _, x := range eta {
		y := 0.0
		for range 30 {
			if r.Float64() < 1/(1+math.Exp(-x)) {
				y++
			}
		}
		m.d.Success, m.d.Trials = append(m.d.Success, y), append(m.d.Trials, 30)
	}
	return m.d
}

type layout struct{ d Data }

// group adds a grouping of the classes that occur, with normal effects.
func (m *layout) group(r *rand.Rand, eta []float64, name string, sd float64, of func(int) int) {
	number, effect := map[int]int32{}, []float64{}
	g := Grouping{Name: name}
	for i := range eta {
		c, seen := number[of(i)]
		if !seen {
			c = int32(len(effect))
			number[of(i)] = c
			effect = append(effect, sd*r.NormFloat64())
		}
		g.Of = append(g.Of, c)
		eta[i] += effect[c]
	}
	g.Levels = len(effect)
	m.d.Groups = append(m.d.Groups, g)
}

// BenchmarkPlantings fits the whole model and profiles one contrast.
func BenchmarkPlantings(b *testing.B) {
	for _, c := range []struct{ gardens, beds, crops, rows int }{{5, 10, 13, 60}, {5, 10, 13, 214}, {5, 30, 20, 1000}, {10, 50, 30, 3000}} {
		d := plantings(c.gardens, c.beds, c.crops, c.rows)
		ratio := make([]float64, d.X.Cols)
		ratio[1] = 1
		b.Run(fmt.Sprintf("fit/rows=%d", c.rows), func(b *testing.B) {
			evaluations := 0
			for b.Loop() {
				evaluations = fit(b, d, 1).Evaluations
			}
			b.ReportMetric(float64(evaluations), "evaluations")
		})
		b.Run(fmt.Sprintf("profile/rows=%d", c.rows), func(b *testing.B) {
			m := fit(b, d, 1)
			for b.Loop() {
				if _, err := m.Profile(ratio, 0.95); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkHerds(b *testing.B) {
	d := cbpp(b)
	for name, nodes := range map[string]int{"laplace": 1, "nodes=9": 9} {
		b.Run(name, func(b *testing.B) {
			for range b.N {
				fit(b, d, nodes)
			}
		})
	}
}

func BenchmarkNested(b *testing.B) {
	for name, beds := range map[string]int{"rows=96": 8, "rows=480": 40, "rows=2400": 200} {
		d := simulated(rand.New(rand.NewPCG(1, 1)), 4, beds, 3, 10, 0.8, 0.5, 0.7)
		b.Run(name, func(b *testing.B) {
			for range b.N {
				fit(b, d, 1)
			}
		})
	}
}

func BenchmarkCrossed(b *testing.B) {
	d := salamanders(b)
	for range b.N {
		fit(b, d, 1)
	}
}
