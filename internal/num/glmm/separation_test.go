package glmm_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
	. "fairplot/internal/num/glmm"
)

func TestSpreadWithoutEnd(t *testing.T) {
	d := Data{Success: []float64{10, 10, 10, 0, 0, 0}, Trials: []float64{10, 10, 10, 10, 10, 10},
		X:      dense.Matrix{Rows: 6, Cols: 1, Data: []float64{1, 1, 1, 1, 1, 1}},
		Groups: []Grouping{{Name: "bed", Of: []int32{0, 1, 2, 3, 4, 5}, Levels: 6}}}
	for _, nodes := range []int{1, 15} {
		m, err := Fit(d, Options{Nodes: nodes})
		if err != nil {
			t.Fatal(err)
		}
		if !m.Spread[0].Unbounded {
			t.Errorf("%d nodes: beds that are each all or none gave %+v", nodes, m.Spread[0])
		}
	}
}

func TestNoSpreadIsExactlyZero(t *testing.T) {
	var d Data
	d.X = dense.New(12, 2)
	d.Groups = []Grouping{{Name: "bed", Levels: 6}}
	for i := range 12 { // each bed the same share: less spread than chance alone gives
		d.Success = append(d.Success, []float64{4, 7}[i%2])
		d.Trials = append(d.Trials, 10)
		d.X.Set(i, 0, 1)
		d.X.Set(i, 1, float64(i%2))
		d.Groups[0].Of = append(d.Groups[0].Of, int32(i/2))
	}
	for _, nodes := range []int{1, 9} {
		m := fit(t, d, nodes)
		if c := m.Spread[0]; c.SD != 0 || !c.OnBoundary || !math.IsNaN(c.Error) {
			t.Errorf("%d nodes: component %+v, want exactly 0", nodes, c)
		}
		near(t, "log odds ratio", m.Beta[1], math.Log(7./3)-math.Log(4./6), 1e-9) // as without beds
		near(t, "error", math.Sqrt(m.Cov.At(1, 1)), math.Sqrt((1./42+1./18)+(1./24+1./36)), 1e-7)
	}
}

func TestSeparation(t *testing.T) {
	x := dense.Matrix{Rows: 6, Cols: 2, Data: []float64{1, 0, 1, 0, 1, 0, 1, 1, 1, 1, 1, 1}}
	beds := []Grouping{{Name: "bed", Of: []int32{0, 1, 2, 3, 4, 5}, Levels: 6}}
	for name, groups := range map[string][]Grouping{"alone": nil, "with beds": beds} {
		d := Data{Success: []float64{4, 6, 3, 0, 0, 0}, Trials: []float64{10, 10, 10, 10, 10, 10}, X: x, Groups: groups}
		m, err := Fit(d, Options{})
		if err != nil {
			t.Fatal(name, err)
		}
		if len(m.Separated) != 1 || m.Separated[0] != 1 {
			t.Fatalf("%s: separated columns %v, want 1", name, m.Separated)
		}
		w, _ := m.Wald([]float64{0, 1}, 0.95)
		if !math.IsInf(w.Value, -1) || !math.IsNaN(w.Error) {
			t.Errorf("%s: none in thirty gave %+v, want minus infinity without an error", name, w)
		}
		p, err := m.Profile([]float64{0, 1}, 0.95)
		if err != nil {
			t.Fatal(name, err)
		}
		if !math.IsInf(p.Low, -1) || math.IsInf(p.High, 0) || !(p.High < 0) {
			t.Errorf("%s: limits %g to %g, want one end only and below 0", name, p.Low, p.High)
		}
		if groups == nil {
			// held at δ, both rows share one free log odds α: the fall is that of two binomials, checked by golden section
			near(t, "fall at the limit", 2*(binomialTop()-held(p.High)), 3.841458820694124, 1e-5)
		}
		plain, err := m.Wald([]float64{1, 0}, 0.95)
		if err != nil || math.IsInf(plain.Value, 0) {
			t.Errorf("%s: the mixed level has %+v, want a number", name, plain)
		}
	}
	mixed := Data{Success: []float64{4, 6, 3, 0, 1, 0}, Trials: []float64{10, 10, 10, 10, 10, 10}, X: x, Groups: beds}
	if m := fit(t, mixed, 1); len(m.Separated) != 0 {
		t.Errorf("one in thirty was called separated: %v", m.Separated)
	}
}

// TestSeparationOfLevels: with one factor the effects are without end exactly when a level is all or none, and
// the difference of two other levels stays what their own shares say.
func TestSeparationOfLevels(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	separated, plain := 0, 0
	for range 200 {
		d := Data{X: dense.New(6, 3)}
		var y, n [3]float64
		for i := range 6 {
			level := i / 2
			d.X.Set(i, 0, 1)
			d.X.Set(i, level, 1)
			trials := float64(1 + r.IntN(3))
			hits := float64(r.IntN(int(trials) + 1))
			d.Success, d.Trials = append(d.Success, hits), append(d.Trials, trials)
			y[level], n[level] = y[level]+hits, n[level]+trials
		}
		m, err := Fit(d, Options{})
		if err != nil {
			t.Fatal(err)
		}
		ends := [3]int{}
		for l := range 3 {
			switch y[l] {
			case 0:
				ends[l] = -1
			case n[l]:
				ends[l] = 1
			}
		}
		if want := ends != [3]int{}; want != (len(m.Separated) > 0) {
			t.Fatalf("%v of %v: separated columns %v", y, n, m.Separated)
		} else if want {
			separated++
		} else {
			plain++
		}
		w, err := m.Wald([]float64{0, 1, -1}, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case ends[1] == 0 && ends[2] == 0:
			near(t, "difference of two mixed levels", w.Value, math.Log(y[1]/(n[1]-y[1]))-math.Log(y[2]/(n[2]-y[2])), 1e-6)
		case ends[1] == ends[2]:
			if !math.IsNaN(w.Value) {
				t.Fatalf("%v of %v: two levels at the same end differ by %g", y, n, w.Value)
			}
		default:
			if !math.IsInf(w.Value, ends[1]-ends[2]) {
				t.Fatalf("%v of %v: difference %g", y, n, w.Value)
			}
		}
	}
	if separated < 20 || plain < 20 {
		t.Errorf("%d separated tables and %d others: too few of one kind to test on", separated, plain)
	}
}

// TestSeparationByNumber: a covariate with a threshold that parts all from none.
func TestSeparationByNumber(t *testing.T) {
	d := Data{Success: []float64{0, 0, 0, 1, 1, 1}, Trials: []float64{1, 1, 1, 1, 1, 1},
		X: dense.Matrix{Rows: 6, Cols: 2, Data: []float64{1, 2019, 1, 2020, 1, 2021, 1, 2022, 1, 2023, 1, 2024}}}
	m, err := Fit(d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Separated) == 0 {
		t.Error("a threshold was not seen")
	}
	if w, _ := m.Wald([]float64{0, 1}, 0.95); !math.IsInf(w.Value, 1) {
		t.Errorf("slope %g, want +Inf", w.Value)
	}
	d.Success[1] = 1
	if m := fit(t, d, 1); len(m.Separated) > 0 {
		t.Error("one year out of order, and still called separated")
	}
}

func logBinomial(y, n, eta float64) float64 { return y*eta - n*math.Log1p(math.Exp(eta)) }

// binomialTop is the likelihood of 13 of 30 and 0 of 30 at their own shares.
func binomialTop() float64 { return logBinomial(13, 30, math.Log(13./17)) }

func held(delta float64) float64 {
	lo, hi := -10.0, 10.0
	f := func(a float64) float64 { return logBinomial(13, 30, a) + logBinomial(0, 30, a+delta) }
	for range 200 {
		l, h := lo+(hi-lo)*0.382, lo+(hi-lo)*0.618
		if f(l) < f(h) {
			lo = l
		} else {
			hi = h
		}
	}
	return f((lo + hi) / 2)
}
