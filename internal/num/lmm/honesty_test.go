package lmm

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/dist"
)

// trial is a design for the simulations: a treatment on whole plots, another within them, and the spreads they lie in.
type trial struct {
	name   string
	blocks int
	lost   float64   // share of rows lost
	sd     []float64 // of blocks, whole plots, seasons
	season int       // 0: no seasons
}

// design codes 3 whole-plot treatments by 4 subplot treatments; with seasons, whole plots are grown again each season.
func (tr trial) design(r *rand.Rand) Data {
	var d Data
	var rows []float64
	add := func(name string, levels int) { d.Groupings = append(d.Groupings, Grouping{Name: name, Levels: levels}) }
	add("block", tr.blocks)
	add("block:plot", 3*tr.blocks)
	seasons := 1
	if tr.season > 0 {
		seasons = tr.season
		add("season", seasons)
	}
	for b := range tr.blocks {
		for w := range 3 {
			for s := range 4 {
				for y := range seasons {
					if r.Float64() < tr.lost {
						continue
					}
					row := make([]float64, 6)
					row[0] = 1
					if w > 0 {
						row[w] = 1
					}
					if s > 0 {
						row[2+s] = 1
					}
					rows = append(rows, row...)
					for k, c := range []int{b, 3*b + w, y}[:len(d.Groupings)] {
						d.Groupings[k].Class = append(d.Groupings[k].Class, int32(c))
					}
				}
			}
		}
	}
	d.X = dense.Matrix{Rows: len(rows) / 6, Cols: 6, Data: rows}
	d.Y = make([]float64, d.X.Rows)
	return d
}

// draw fills a response without any treatment effect.
func (tr trial) draw(r *rand.Rand, d Data, y []float64) {
	for i := range y {
		y[i] = r.NormFloat64()
	}
	for k, g := range d.Groupings {
		effect := make([]float64, g.Levels)
		for j := range effect {
			effect[j] = tr.sd[k] * r.NormFloat64()
		}
		for i, c := range g.Class {
			y[i] += effect[c]
		}
	}
}

// TestCoverage: 95 % intervals of Kenward & Roger's method for a difference between whole plots and one within them hold
// the truth in 95 % of simulated trials or more, within simulation error (four standard errors); more is reported.
func TestCoverage(t *testing.T) {
	fits := 300
	if *long {
		fits = 20_000
	}
	for n, tr := range []trial{
		{"two blocks", 2, 0, []float64{1, 0.7}, 0},
		{"three blocks", 3, 0, []float64{0.5, 1}, 0},
		{"eight blocks", 8, 0, []float64{1, 0.7}, 0},
		{"four blocks, a fifth lost", 4, 0.2, []float64{1, 0.7}, 0},
		{"six blocks, nothing between plots", 6, 0.1, []float64{0.5, 0}, 0},
		{"four blocks, no spread but rows", 4, 0.1, []float64{0, 0}, 0},
		{"three blocks, three seasons", 3, 0.1, []float64{0.6, 0.6, 0.8}, 3},
	} {
		r := rand.New(rand.NewPCG(41, uint64(n)))
		d := tr.design(r)
		tr.draw(r, d, d.Y)
		m, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		rows := [][]float64{{0, 1, 0, 0, 0, 0}, {0, 0, 0, 1, -1, 0}}
		hits, y := make([]int, len(rows)), make([]float64, len(d.Y))
		for range fits {
			tr.draw(r, d, y)
			if err := m.SetY(y); err != nil {
				t.Fatal(err)
			}
			f, err := m.Fit()
			if err != nil {
				t.Fatal(err)
			}
			inf, err := f.By(KenwardRoger)
			if err != nil {
				t.Fatal(err)
			}
			for i, l := range rows {
				se := math.Sqrt(form(inf.Cov(), l))
				if math.Abs(dense.Dot(l, f.Coef)) <= dist.TUpperQuantile(0.025, inf.DF(l))*se {
					hits[i]++
				}
			}
		}
		for i, what := range []string{"whole plots", "within plots"} {
			share := float64(hits[i]) / float64(fits)
			t.Logf("%s, %s: %.4f of %d intervals", tr.name, what, share, fits)
			if least := 0.95 - 4*math.Sqrt(0.95*0.05/float64(fits)); share < least {
				t.Errorf("%s, %s: %.4f of the intervals hold the truth, fewer than %.4f", tr.name, what, share, least)
			}
		}
	}
}

// ground is a field of blocks × plots with a slope across and neighbours alike (autoregressive in both directions), the
// correlation that no block follows.
func ground(r *rand.Rand, blocks, plots int) []float64 {
	y := make([]float64, blocks*plots)
	slope := r.NormFloat64() / 4
	for b := range blocks {
		for p := range plots {
			v := r.NormFloat64()
			if b > 0 {
				v += 0.5 * y[(b-1)*plots+p]
			}
			if p > 0 {
				v += 0.5 * y[b*plots+p-1]
			}
			y[b*plots+p] = v
		}
	}
	for i := range y {
		y[i] += slope*float64(i%plots) + 0.5*float64(i/plots)
	}
	return y
}

// TestFakeTreatments lays treatments that do nothing at random in the blocks of such ground, single plots and split ones,
// and asks that the F test calls 5 % of them real, within four standard errors.
func TestFakeTreatments(t *testing.T) {
	fits := 500
	if *long {
		fits = 20_000
	}
	r := rand.New(rand.NewPCG(42, 1))
	single, split := 0, 0
	for range fits {
		y := ground(r, 5, 6)
		single += fake(t, y, plain(r, 5, 6), dense.Matrix{Rows: 2, Cols: 3, Data: []float64{0, 1, 0, 0, 0, 1}})
		split += fake(t, y, whole(r, 5, 6), dense.Matrix{Rows: 2, Cols: 4, Data: []float64{0, 1, 0, 0, 0, 0, 1, 0}})
	}
	for what, n := range map[string]int{"plots in blocks": single, "whole plots in blocks": split} {
		share := float64(n) / float64(fits)
		t.Logf("%s: %.4f of %d tests below 0.05", what, share, fits)
		if off := math.Abs(share - 0.05); off > 4*math.Sqrt(0.05*0.95/float64(fits)) {
			t.Errorf("%s: %.4f of the tests of nothing come out below 0.05", what, share)
		}
	}
}

// plain lays 3 treatments, each twice, over the 6 plots of a block.
func plain(r *rand.Rand, blocks, plots int) Data {
	d := Data{X: dense.New(blocks*plots, 3), Groupings: []Grouping{{Name: "block", Levels: blocks}}}
	for b := range blocks {
		for p, o := range r.Perm(plots) {
			i := b*plots + p
			d.X.Set(i, 0, 1)
			if l := o % 3; l > 0 {
				d.X.Set(i, l, 1)
			}
			d.Groupings[0].Class = append(d.Groupings[0].Class, int32(b))
		}
	}
	return d
}

// whole lays 3 treatments over the 3 pairs of plots of a block, and one more within the pairs.
func whole(r *rand.Rand, blocks, plots int) Data {
	d := Data{X: dense.New(blocks*plots, 4), Groupings: []Grouping{{Name: "block", Levels: blocks}, {Name: "block:pair", Levels: blocks * plots / 2}}}
	for b := range blocks {
		order := r.Perm(plots / 2)
		for pair, l := range order {
			first := r.IntN(2)
			for k := range 2 {
				i := b*plots + 2*pair + k
				d.X.Set(i, 0, 1)
				if l > 0 {
					d.X.Set(i, l, 1)
				}
				if k == first {
					d.X.Set(i, 3, 1)
				}
				d.Groupings[0].Class = append(d.Groupings[0].Class, int32(b))
				d.Groupings[1].Class = append(d.Groupings[1].Class, int32(b*plots/2+pair))
			}
		}
	}
	return d
}

func fake(t *testing.T, y []float64, d Data, l dense.Matrix) int {
	t.Helper()
	d.Y = y
	got := mustTest(t, mustFit(t, d), l)
	if dist.FUpper(got.F, got.NumDF, got.DenDF) < 0.05 {
		return 1
	}
	return 0
}
