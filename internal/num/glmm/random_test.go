package glmm_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"fairplot/internal/num/dense"
	. "fairplot/internal/num/glmm"
)

// randomTable is a table of any shape: up to three groupings laid at random, up to four fixed effects, one to twelve
// trials a row, and spreads from none to large.
func randomTable(r *rand.Rand) Data {
	n, fixed := 8+r.IntN(60), 1+r.IntN(4)
	d := Data{X: dense.New(n, fixed)}
	eta := make([]float64, n)
	for k := range r.IntN(4) {
		g := Grouping{Name: strconv.Itoa(k), Levels: 2 + r.IntN(n/3)}
		sd, effect := r.ExpFloat64(), make([]float64, g.Levels)
		for l := range effect {
			effect[l] = sd * r.NormFloat64()
		}
		for i := range n {
			g.Of = append(g.Of, int32(r.IntN(g.Levels)))
			eta[i] += effect[g.Of[i]]
		}
		d.Groups = append(d.Groups, g)
	}
	trials := 1 + r.IntN(12)
	for i := range n {
		d.X.Set(i, 0, 1)
		for j := 1; j < fixed; j++ {
			d.X.Set(i, j, r.NormFloat64())
			eta[i] += d.X.At(i, j) / 2
		}
		y := 0.0
		for range trials {
			if r.Float64() < 1/(1+math.Exp(1-eta[i])) {
				y++
			}
		}
		d.Success, d.Trials = append(d.Success, y), append(d.Trials, float64(trials))
	}
	return d
}

// lower is by how much another top may be higher: of 3,000 tables of 8 to 67 rows one has such a pair, 0.02 apart.
const lower = 0.03

// TestTablesOfAnyShape: the search arrives wherever there is a place to and at the highest top, groupings never lower the likelihood, limits hold the estimate, and
// whatever lies on the boundary is exactly 0.
func TestTablesOfAnyShape(t *testing.T) {
	runs := 100
	if *long {
		runs = 3000
	}
	r := rand.New(rand.NewPCG(1, 1))
	boundary := 0
	for run := range runs {
		d := randomTable(r)
		m, err := Fit(d, Options{})
		if err != nil {
			t.Fatal(err)
		}
		plain := d
		plain.Groups = nil
		without, err := Fit(plain, Options{})
		if err != nil {
			t.Fatal(err)
		}
		endless := slices.ContainsFunc(m.Spread, func(c Component) bool { return c.Unbounded })
		for _, f := range []*Model{m, without} {
			if !f.Converged && len(f.Separated) == 0 && !endless {
				t.Errorf("table %d: stopped at a gradient of %g after %d evaluations", run, f.Gradient, f.Evaluations)
			}
		}
		// Laplace's approximation of a spread without end has no bound of its own to keep
		if without.LogLik > m.LogLik+1e-6 && !endless {
			t.Errorf("table %d: log-likelihood %g with groupings, %g without", run, m.LogLik, without.LogLik)
		}
		for _, s := range m.Spread {
			if s.OnBoundary {
				boundary++
			}
			if s.OnBoundary != (s.SD == 0) || s.SD < 0 {
				t.Errorf("table %d: %+v", run, s)
			}
		}
		if len(m.Separated) > 0 || endless || len(m.Spread) == 0 {
			continue
		}
		for _, spread := range []float64{0.1, 1, 4} {
			if top := m.From(spread); top > m.LogLik+lower {
				t.Errorf("table %d: a top of log-likelihood %g was found, and from spreads of %g one of %g", run, m.LogLik, spread, top)
			}
		}
		if run%10 == 0 {
			c := make([]float64, d.X.Cols)
			c[len(c)-1] = 1
			p, err := m.Profile(c, 0.9)
			if err != nil || !(p.Low < p.Value && p.Value < p.High) {
				t.Errorf("table %d: limits %g, %g around %g (%v)", run, p.Low, p.High, p.Value, err)
			}
		}
	}
	if boundary == 0 {
		t.Error("no table had a component on the boundary: the test looks at too little")
	}
}
