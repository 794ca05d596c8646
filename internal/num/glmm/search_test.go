package glmm

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
)

// TestNoSpreadIsATop: 0 is stationary in every spread, and a search may come to rest there by chance; it must not while the likelihood rises with the spread.
func TestNoSpreadIsATop(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 4))
	none := 0
	for run := range 400 {
		n := 8 + r.IntN(40)
		d := Data{X: dense.New(n, 1), Groups: []Grouping{{Name: "bed", Levels: 2 + r.IntN(n/3)}}}
		effect := make([]float64, d.Groups[0].Levels)
		for l := range effect {
			effect[l] = 0.3 * r.NormFloat64()
		}
		for i := range n {
			bed, y, trials := r.IntN(len(effect)), 0.0, 1+r.IntN(6)
			for range trials {
				if r.Float64() < expit(effect[bed]) {
					y++
				}
			}
			d.X.Set(i, 0, 1)
			d.Success, d.Trials, d.Groups[0].Of = append(d.Success, y), append(d.Trials, float64(trials)), append(d.Groups[0].Of, int32(bed))
		}
		m, err := Fit(d, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !m.Spread[0].OnBoundary {
			continue
		}
		none++
		for _, sd := range []float64{0.01, 0.05, 0.1} {
			if more := -m.objective.value([]float64{m.at[0], sd}, make([]float64, 2)); more > m.LogLik+1e-7 {
				t.Errorf("table %d: log-likelihood %.10g at no spread, %.10g at %g", run, m.LogLik, more, sd)
			}
		}
	}
	if none < 20 {
		t.Errorf("%d tables without spread: too few to test on", none)
	}
}

// TestMetricHeld: holding a coordinate gives the inverse of the rest of the Hessian, and turning one changes its sign.
func TestMetricHeld(t *testing.T) {
	h := dense.Matrix{Rows: 3, Cols: 3, Data: []float64{4, 1, -2, 1, 3, 0.5, -2, 0.5, 5}}
	m := newMetric(3)
	if !m.take(dense.Matrix{Rows: 3, Cols: 3, Data: append([]float64(nil), h.Data...)}) {
		t.Fatal("a positive definite matrix was refused")
	}
	whole := m.clone()
	m.hold(1)
	det := 4*5 - 2*2.0 // of rows 0 and 2
	for j, want := range []float64{5 / det, 0, 2 / det, 0, 1, 0, 2 / det, 0, 4 / det} {
		if math.Abs(m.Data[j]-want) > 1e-14 {
			t.Errorf("held: entry %d is %.15g, want %.15g", j, m.Data[j], want)
		}
	}
	turned := whole.clone()
	turned.turn(2)
	for j, v := range whole.Data {
		if i, k := j/3, j%3; (i == 2) != (k == 2) {
			v = -v
		}
		if turned.Data[j] != v {
			t.Errorf("turned: entry %d is %g, want %g", j, turned.Data[j], v)
		}
	}
	if m.take(dense.Matrix{Rows: 3, Cols: 3, Data: []float64{1, 2, 0, 2, 1, 0, 0, 0, 1}}) {
		t.Error("a matrix that is not positive definite was taken")
	}
}
