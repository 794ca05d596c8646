package lmm

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fairplot/internal/num/dense"
)

// grouping40 is a grouping of 40 rows.
func grouping40(name string, levels int, of func(i int) int32) Grouping {
	g := Grouping{Name: name, Class: make([]int32, 40), Levels: levels}
	for i := range g.Class {
		g.Class[i] = of(i)
	}
	return g
}

// refusals are ways to spoil a table of 40 rows, 4 effects and the crossed groupings a, c and b, with what must be said.
var refusals = map[string]struct {
	spoil func(d *Data)
	want  error
	at    string
}{
	"nothing":         {func(d *Data) { *d = Data{} }, ErrBadData, ""},
	"no grouping":     {func(d *Data) { d.Groupings = nil }, ErrBadData, ""},
	"NaN response":    {func(d *Data) { d.Y[3] = math.NaN() }, ErrBadData, ""},
	"infinite effect": {func(d *Data) { d.X.Data[9] = math.Inf(-1) }, ErrBadData, ""},
	"weight 0":        {func(d *Data) { d.Weights = make([]float64, 40) }, ErrBadData, ""},
	"few weights":     {func(d *Data) { d.Weights = []float64{1} }, ErrBadData, ""},
	"class outside":   {func(d *Data) { d.Groupings[1].Class[7] = 99 }, ErrBadData, "c"},
	"few classes":     {func(d *Data) { d.Groupings[1].Class = d.Groupings[1].Class[:9] }, ErrBadData, "c"},
	"twice a column": {func(d *Data) {
		for i := range 40 {
			d.X.Set(i, 2, 3*d.X.At(i, 0)-d.X.At(i, 1))
		}
	}, ErrDeficient, ""},
	"triangle of too few effects": {func(d *Data) { d.R = triangle(*d, 3) }, ErrBadData, ""},
	"triangle of other effects": {func(d *Data) {
		d.R = triangle(*d, 4)
		d.X.Data[9]++
	}, ErrBadData, ""},
	"constant response": {func(d *Data) {
		for i := range d.Y {
			d.Y[i] = 3.7
		}
	}, ErrPerfectFit, ""},
	"response made of effects": {func(d *Data) {
		for i := range d.Y {
			d.Y[i] = 1e6 + 0.3*d.X.At(i, 3) - 2*d.X.At(i, 1)
		}
	}, ErrPerfectFit, ""},
	"constant within groups": {func(d *Data) {
		for i := range d.Y {
			d.Y[i] = math.Sqrt(float64(3 + d.Groupings[1].Class[i]))
		}
	}, ErrPerfectFit, ""},
	"made of two groupings": {func(d *Data) {
		for i := range d.Y {
			d.Y[i] = math.Sqrt(float64(3+d.Groupings[1].Class[i])) + 0.7*float64(d.Groupings[0].Class[i]*d.Groupings[0].Class[i]) + d.X.At(i, 3)
		}
	}, ErrPerfectFit, ""},
	"grouping of one": {func(d *Data) { d.Groupings[2] = grouping40("one", 1, func(int) int32 { return 0 }) }, ErrSpanned, "one"},
	"grouping as treatment": {func(d *Data) {
		d.Groupings[2] = grouping40("treat", 3, func(i int) int32 { return int32(d.X.At(i, 1) + 2*d.X.At(i, 2)) })
	}, ErrSpanned, "treat"},
	"grouping twice": {func(d *Data) {
		d.Groupings[2] = grouping40("again", 4, func(i int) int32 { return 3 - d.Groupings[0].Class[i] })
	}, ErrConfounded, "again"},
	"single rows": {func(d *Data) { d.Groupings[2] = grouping40("row", 40, func(i int) int32 { return int32(i) }) }, ErrConfounded, "row"},
	"as many effects as rows": {func(d *Data) {
		d.X = dense.New(40, 40)
		for i := range 40 {
			d.X.Set(i, i, 1)
		}
	}, ErrNoResidual, ""},
	"all rows used up": {func(d *Data) {
		d.Groupings = []Grouping{grouping40("pairs", 20, func(i int) int32 { return int32(i / 2) }), grouping40("others", 20, func(i int) int32 { return int32((i + 1) / 2 % 20) })}
	}, ErrNoResidual, ""},
}

// TestRefusals names every reason for which there is no fit.
func TestRefusals(t *testing.T) {
	base := table(rand.New(rand.NewPCG(31, 1)), 40, "crossed", []float64{1})
	for name, c := range refusals {
		t.Run(name, func(t *testing.T) {
			d := Data{Y: slices.Clone(base.Y), X: dense.Matrix{Rows: 40, Cols: 4, Data: slices.Clone(base.X.Data)}}
			for _, g := range base.Groupings {
				d.Groupings = append(d.Groupings, Grouping{g.Name, slices.Clone(g.Class), g.Levels})
			}
			c.spoil(&d)
			m, err := New(d)
			if err == nil {
				_, err = m.Fit()
			}
			var e *Error
			if !errors.Is(err, c.want) || !errors.As(err, &e) || e.Grouping != c.at || e.Text == "" {
				t.Errorf("got %v (%+v), want %v at %q", err, e, c.want, c.at)
			}
		})
	}
}

// TestSmallResidualIsNotNothing: a residual a millionth of the rest in spread is small but there.
func TestSmallResidualIsNotNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(32, 1))
	for _, sd := range []float64{1e-3, 1e-4, 1e-5} {
		d := table(r, 60, "one", []float64{0})
		for i := range d.Y {
			d.Y[i] = math.Sqrt(float64(1+d.Groupings[0].Class[i])) + sd*r.NormFloat64()
		}
		f := mustFit(t, d)
		if got := f.Sigma() / sd; got < 0.7 || got > 1.4 {
			t.Errorf("residual %v of %v", f.Sigma(), sd)
		}
	}
}

func TestDependentHypotheses(t *testing.T) {
	f := mustFit(t, table(rand.New(rand.NewPCG(33, 1)), 60, "one", []float64{1}))
	twice := dense.Matrix{Rows: 2, Cols: 4, Data: []float64{0, 1, 0, 0, 0, 2, 0, 0}}
	if _, err := f.KenwardRoger(twice); !errors.Is(err, ErrBadData) {
		t.Errorf("Kenward-Roger: %v", err)
	}
	if _, err := f.Satterthwaite(twice); !errors.Is(err, ErrBadData) {
		t.Errorf("Satterthwaite: %v", err)
	}
}

// TestStress fits small, very unbalanced random designs: each is refused by kind or converges to a point where no zero
// wants to leave, and no other start finds a minimum lower by more than 1e-3.
func TestStress(t *testing.T) {
	designs := 250
	if *long {
		designs = 20_000
	}
	r := rand.New(rand.NewPCG(34, 1))
	refused, zeros, evaluations, lower := 0, 0, 0, 0
	for range designs {
		d := table(r, 12+r.IntN(60), kinds[r.IntN(len(kinds))], []float64{r.Float64() * 2, 0, r.Float64()})
		d.X = thin(d.X, 1+r.IntN(4))
		m, err := New(d)
		var e *Error
		if err != nil {
			if !errors.As(err, &e) {
				t.Fatalf("an error without a kind: %v", err)
			}
			refused++
			continue
		}
		f, err := m.Fit()
		if err != nil {
			t.Fatalf("no fit: %v", err)
		}
		// Where hardly a row is left over the likelihood goes on and on towards a residual of nothing; the search then says
		// that it stopped.
		used := slices.Max(f.theta) > 1e3
		if !used && (!f.Search.Converged || !(f.Search.Gradient < 1e-4)) {
			t.Errorf("%d rows, %d groupings: %+v", len(d.Y), len(d.Groupings), f.Search)
		}
		evaluations += f.Search.Evaluations
		for _, c := range f.Components {
			if c.OnBoundary {
				zeros++
			}
		}
		for _, start := range []float64{0.15, 1, 5} {
			theta := make([]float64, len(m.theta))
			for k := range theta {
				theta[k] = start
			}
			if res := m.s.Run(m.w, theta, withHessian); res.Value < f.Criterion-1e-3 && slices.Max(theta) < 1e3 {
				lower++
			}
		}
	}
	if refused > designs/2 || zeros < designs/10 {
		t.Errorf("%d refused, %d zeros: the designs do not try what they should", refused, zeros)
	}
	if lower > designs/2000 {
		t.Errorf("%d times another start found a lower minimum", lower)
	}
	t.Logf("%d designs, %d refused, %d zeros, %.1f evaluations each, lower elsewhere %d times", designs, refused, zeros, float64(evaluations)/float64(designs-refused), lower)
}

// thin keeps the first columns.
func thin(x dense.Matrix, p int) dense.Matrix {
	out := dense.New(x.Rows, p)
	for i := range x.Rows {
		copy(out.Row(i), x.Row(i)[:p])
	}
	return out
}
