package lmm

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/model"
)

var _ model.Estimator = (*Inference)(nil)

func mustFit(t testing.TB, d Data) *Fit {
	t.Helper()
	m, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	f, err := m.Fit()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

var pair = dense.Matrix{Rows: 2, Cols: 4, Data: []float64{0, 1, 0, 0, 0, 0, 1, 0}}

func mustTest(t testing.TB, f *Fit, l dense.Matrix) Test {
	t.Helper()
	got, err := f.KenwardRoger(l)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// alike compares two fits whose variances should differ by the factor variance and whose criteria by shift.
func alike(t *testing.T, what string, a, b *Fit, variance, shift, tolerance float64) {
	t.Helper()
	if math.Abs(a.Criterion+shift-b.Criterion) > tolerance*(1+math.Abs(b.Criterion)) {
		t.Errorf("%s: criterion %v and %v", what, a.Criterion+shift, b.Criterion)
	}
	whole := b.Components[len(b.Components)-1].Variance
	for k, c := range a.Components {
		if math.Abs(c.Variance*variance-b.Components[k].Variance) > 1e3*tolerance*(whole+b.Components[k].Variance) || c.OnBoundary != b.Components[k].OnBoundary {
			t.Errorf("%s: component %s %v and %v", what, c.Name, c.Variance*variance, b.Components[k].Variance)
		}
	}
	x, y := mustTest(t, a, pair), mustTest(t, b, pair)
	if !close(x.F, y.F, 1e3*tolerance) || !close(x.DenDF, y.DenDF, 1e4*tolerance) {
		t.Errorf("%s: %+v and %+v", what, x, y)
	}
}

// shuffled has the rows in another order and the classes under other numbers.
func shuffled(r *rand.Rand, d Data) Data {
	n, p := len(d.Y), d.X.Cols
	order := r.Perm(n)
	mixed := Data{Y: make([]float64, n), X: dense.New(n, p)}
	for i, o := range order {
		mixed.Y[i] = d.Y[o]
		copy(mixed.X.Row(i), d.X.Row(o))
	}
	for _, g := range d.Groupings {
		c, renamed := make([]int32, n), r.Perm(g.Levels)
		for i, o := range order {
			c[i] = int32(renamed[g.Class[o]])
		}
		mixed.Groupings = append(mixed.Groupings, Grouping{g.Name, c, g.Levels})
	}
	return mixed
}

// TestProperties: what must not change an answer does not, and what must scale it does so.
func TestProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 1))
	for trial := range 15 {
		d := table(r, 50+r.IntN(30), kinds[trial%len(kinds)], []float64{1, 0.7})
		n, p := len(d.Y), d.X.Cols
		plain := mustFit(t, d)
		nf := float64(n - p)

		alike(t, "rows in another order", plain, mustFit(t, shuffled(r, d)), 1, 0, 1e-11)

		for _, scale := range []float64{1e-9, 1e-3, 1e9} {
			s := d
			s.Y = slices.Clone(d.Y)
			for i := range s.Y {
				s.Y[i] *= scale
			}
			alike(t, fmt.Sprint("response × ", scale), plain, mustFit(t, s), scale*scale, 2*nf*math.Log(scale), 1e-11)

			x := d
			x.X = dense.Matrix{Rows: n, Cols: p, Data: slices.Clone(d.X.Data)}
			for i := range n {
				x.X.Data[i*p+3] *= scale
			}
			alike(t, fmt.Sprint("covariate × ", scale), plain, mustFit(t, x), 1, 2*math.Log(scale), 1e-11)
		}

		shifted := d
		shifted.X = dense.Matrix{Rows: n, Cols: p, Data: slices.Clone(d.X.Data)}
		shifted.Y = slices.Clone(d.Y)
		for i := range n {
			shifted.X.Data[i*p+3] += 1e4
			shifted.Y[i] += 1e6
		}
		alike(t, "covariate and response shifted", plain, mustFit(t, shifted), 1, 0, 1e-8)

		empty := d
		empty.Groupings = slices.Clone(d.Groupings)
		for k := range empty.Groupings {
			empty.Groupings[k].Levels += 3
		}
		alike(t, "classes without rows", plain, mustFit(t, empty), 1, 0, 1e-12)

		heavy := d
		heavy.Weights = make([]float64, n)
		for i := range heavy.Weights {
			heavy.Weights[i] = 1
		}
		alike(t, "weights of 1", plain, mustFit(t, heavy), 1, 0, 1e-12)
		for i := range heavy.Weights {
			heavy.Weights[i] = 4
		}
		four := mustFit(t, heavy)
		last := len(four.Components) - 1
		four.Components[last].Variance /= 4 // of a row of weight 4
		alike(t, "weights of 4", plain, four, 1, 0, 1e-11)
	}
}

// TestSetY: another response in the same model is as good as a new model, in a clone too, and an older fit keeps its
// answers when the model has gone on.
func TestSetY(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 1))
	for trial := range 10 {
		d := table(r, 60, kinds[trial%len(kinds)], []float64{1, 0})
		m, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		before, err := m.Fit()
		if err != nil {
			t.Fatal(err)
		}
		fresh := mustFit(t, d)
		other := d
		other.Y = make([]float64, len(d.Y))
		for i := range other.Y {
			other.Y[i] = 5 + 2*r.NormFloat64()
		}
		clone := m.Clone()
		if err := m.SetY(other.Y); err != nil {
			t.Fatal(err)
		}
		after, err := m.Fit()
		if err != nil {
			t.Fatal(err)
		}
		alike(t, "another response", mustFit(t, other), after, 1, 0, 1e-13)
		alike(t, "the fit before it", fresh, before, 1, 0, 1e-13)
		same, err := clone.Fit()
		if err != nil {
			t.Fatal(err)
		}
		alike(t, "clone", fresh, same, 1, 0, 1e-13)
	}
}

// TestLayouts fits the same table with filled and with scattered rows, small and large enough for blocks and both
// processors.
func TestLayouts(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 1))
	tables := []Data{}
	for trial := range 10 {
		tables = append(tables, table(r, 70, kinds[trial%len(kinds)], []float64{1, 0.5}))
	}
	big := table(r, 900, "one", []float64{1})
	for _, q := range []int{300, 230} {
		g := Grouping{Name: fmt.Sprint(q), Class: make([]int32, 900), Levels: q}
		for i := range g.Class {
			g.Class[i] = int32(r.IntN(q))
		}
		big.Groupings = append(big.Groupings, g)
	}
	for i, d := range append(tables, big) {
		var fits []*Fit
		for _, as := range []layout{filled, scattered} {
			m, err := read(d, as)
			if err != nil {
				t.Fatal(err)
			}
			m.w.exact = i < len(tables)
			f, err := m.Fit()
			if err != nil {
				t.Fatal(err)
			}
			fits = append(fits, f)
		}
		if len(d.Groupings) > 0 && fits[0].m.d.scattered == fits[1].m.d.scattered {
			t.Fatal("both fits used the same layout")
		}
		alike(t, fmt.Sprint("table ", i), fits[0], fits[1], 1, 0, 1e-10)
	}
}

// triangle is R of the first p effects, X′WX = R′R.
func triangle(d Data, p int) dense.Matrix {
	columns := dense.New(p, len(d.Y))
	for i := range d.Y {
		root := 1.0
		if d.Weights != nil {
			root = math.Sqrt(d.Weights[i])
		}
		for j := range p {
			columns.Set(j, i, root*d.X.At(i, j))
		}
	}
	return dense.Factor(columns, 1e-12).R
}

// TestTriangleGiven: a triangle that the caller knows changes nothing, whether it may be divided by or must be worked out anew.
func TestTriangleGiven(t *testing.T) {
	r := rand.New(rand.NewPCG(24, 1))
	for trial, kind := range kinds {
		d := table(r, 70, kind, []float64{1, 0.5})
		if trial%2 == 1 {
			d.Weights = make([]float64, 70)
			for i := range d.Weights {
				d.Weights[i] = 0.5 + r.Float64()
			}
		}
		for _, offset := range []float64{0, 1e5} { // the second all but the column of the mean
			far := d
			far.X = dense.Matrix{Rows: d.X.Rows, Cols: d.X.Cols, Data: slices.Clone(d.X.Data)}
			for i := range far.Y {
				far.X.Set(i, 0, 1)
				far.X.Set(i, 3, far.X.At(i, 3)+offset)
			}
			known := far
			known.R = triangle(far, far.X.Cols)
			if _, ok := steady(known.R); ok != (offset == 0) {
				t.Fatalf("%s, offset %g: to be divided by %v", kind, offset, ok)
			}
			alike(t, fmt.Sprintf("%s, offset %g", kind, offset), mustFit(t, known), mustFit(t, far), 1, 0, 1e-11)
		}
	}
}

// TestBothCurvaturesAgree: the average information leads where the Hessian leads.
func TestBothCurvaturesAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(24, 1))
	for trial := range 20 {
		d := table(r, 70, kinds[trial%len(kinds)], []float64{1, 0.6})
		a, b := mustFit(t, d), (*Fit)(nil)
		m, _ := read(d, filled)
		m.w.exact = false
		b, err := m.Fit()
		if err != nil {
			t.Fatal(err)
		}
		if b.Criterion > a.Criterion+1e-9 { // where they differ the second search has found more
			if !slices.ContainsFunc(b.Components, func(c Component) bool { return c.OnBoundary }) {
				t.Errorf("average information stopped at %v, Hessian at %v", b.Criterion, a.Criterion)
			}
			continue
		}
		alike(t, "curvature", a, b, 1, 0, 1e-9)
	}
}

// TestSlopes compares the analytic gradient and Hessian with differences of the criterion, at zero as well.
func TestSlopes(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 1))
	for _, kind := range kinds {
		m, err := New(table(r, 70, kind, []float64{1, 0.5}))
		if err != nil {
			t.Fatal(err)
		}
		m.w.exact = true
		k := len(m.theta)
		value := func(g []float64) float64 {
			theta := make([]float64, k)
			for i := range g {
				theta[i] = math.Sqrt(g[i])
			}
			return m.w.Value(theta)
		}
		for _, least := range []float64{0.3, 0} {
			g := make([]float64, k)
			for i := range g {
				g[i] = least * (1 + float64(i))
			}
			gradient, curvature := make([]float64, k), dense.New(k, k)
			value(g)
			m.w.Slopes(gradient, curvature)
			for i := range k {
				const h = 1e-4
				moved := func(x float64) float64 { v := slices.Clone(g); v[i] += x; return value(v) }
				slope, bend := (moved(h)-moved(-h))/(2*h), (moved(h)-2*value(g)+moved(-h))/(h*h)
				if least == 0 { // one-sided, of the same order
					slope = (-3*value(g) + 4*moved(h) - moved(2*h)) / (2 * h)
					bend = (2*value(g) - 5*moved(h) + 4*moved(2*h) - moved(3*h)) / (h * h)
				}
				if math.Abs(slope-gradient[i]) > 1e-3*(1+math.Abs(slope)) || math.Abs(bend-curvature.At(i, i)) > 2e-2*(1+math.Abs(bend)) {
					t.Errorf("%s at %v: slope %v, want %v; curvature %v, want %v", kind, g, gradient[i], slope, curvature.At(i, i), bend)
				}
			}
		}
	}
}

// TestSatterthwaiteDropsZeros: with its only component at 0 a model is least squares, with n − p degrees of freedom.
func TestSatterthwaiteDropsZeros(t *testing.T) {
	r := rand.New(rand.NewPCG(26, 1))
	tried := 0
	for range 20 {
		d := table(r, 60, "one", []float64{0})
		f := mustFit(t, d)
		if !f.Components[0].OnBoundary {
			continue
		}
		tried++
		got, err := f.Satterthwaite(pair)
		if err != nil || !close(got.DenDF, 56, 1e-9) {
			t.Errorf("%+v (%v), want 56 df", got, err)
		}
	}
	if tried < 5 {
		t.Fatalf("only %d of 20 tables had a component at zero", tried)
	}
}

// TestBudget: beyond the budget Kenward & Roger's method is refused by kind; Satterthwaite's goes on with the average
// information, which in balanced data is the observed one.
func TestBudget(t *testing.T) {
	d := Data{Y: make([]float64, 48), X: dense.New(48, 4)}
	r := rand.New(rand.NewPCG(27, 1))
	block := Grouping{"block", make([]int32, 48), 4}
	plot := Grouping{"block:plot", make([]int32, 48), 12}
	for i := range d.Y {
		block.Class[i], plot.Class[i] = int32(i/12), int32(i/4)
		d.X.Set(i, 0, 1)
		if l := i % 4; l > 0 {
			d.X.Set(i, l, 1)
		}
	}
	d.Groupings = []Grouping{block, plot}
	big, small := make([]float64, 4), make([]float64, 12)
	for i := range big {
		big[i] = 2 * r.NormFloat64()
	}
	for i := range small {
		small[i] = r.NormFloat64()
	}
	for i := range d.Y {
		d.Y[i] = big[block.Class[i]] + small[plot.Class[i]] + r.NormFloat64()
	}
	f := mustFit(t, d)
	mean := []float64{1, 0.25, 0.25, 0.25}
	full, err := f.By(Satterthwaite)
	if err != nil {
		t.Fatal(err)
	}
	if f.Components[0].OnBoundary || f.Components[1].OnBoundary {
		t.Fatal("the table was meant to have both components above 0")
	}
	f.m.d.budget = 1
	if _, err := f.By(KenwardRoger); !errors.Is(err, ErrTooLarge) {
		t.Errorf("beyond the budget: %v", err)
	}
	cheap, err := f.By(Satterthwaite)
	if err != nil {
		t.Fatal(err)
	}
	if a, b := full.DF(mean), cheap.DF(mean); !close(a, b, 1e-8) || !close(a, 3, 1e-7) { // 3: blocks less one
		t.Errorf("df of the mean %v in full, %v beyond the budget, want 3", a, b)
	}
}
