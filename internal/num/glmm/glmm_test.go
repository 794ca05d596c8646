package glmm_test

import (
	"encoding/csv"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/num/dense"
	. "fairplot/internal/num/glmm"
)

var long = flag.Bool("long", false, "run the long simulations")

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*max(1, math.Abs(want))) {
		t.Errorf("%s: %.13g, want %.13g within %g", what, got, want, tol)
	}
}

func fit(t testing.TB, d Data, nodes int) *Model {
	t.Helper()
	m, err := Fit(d, Options{Nodes: nodes})
	if err != nil {
		t.Fatal(err)
	}
	if !m.Converged {
		t.Errorf("the search stopped at a gradient of %g after %d evaluations", m.Gradient, m.Evaluations)
	}
	return m
}

// table reads whole numbers by column.
func table(t testing.TB, name string) map[string][]int {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]int{}
	for j, h := range rows[0] {
		for _, r := range rows[1:] {
			v, err := strconv.Atoi(strings.TrimSpace(r[j]))
			if err != nil {
				t.Fatal(err)
			}
			out[h] = append(out[h], v)
		}
	}
	return out
}

// TestTwoByTwo: the closed forms of a 2 x 2 table; limits by profile against the likelihood itself.
func TestTwoByTwo(t *testing.T) {
	a, n1, b, n2 := 7.0, 20.0, 15.0, 25.0
	d := Data{Success: []float64{a, b}, Trials: []float64{n1, n2}, X: dense.Matrix{Rows: 2, Cols: 2, Data: []float64{1, 0, 1, 1}}}
	m := fit(t, d, 1)
	w, _ := m.Wald([]float64{0, 1}, 0.95)
	near(t, "log odds ratio", w.Value, math.Log(b/(n2-b))-math.Log(a/(n1-a)), 1e-10)
	near(t, "error", w.Error, math.Sqrt(1/a+1/(n1-a)+1/b+1/(n2-b)), 1e-8)
	near(t, "upper", w.High, w.Value+1.959963984540054*w.Error, 1e-10)

	p, err := m.Profile([]float64{1, 1}, 0.95) // log odds of the second row alone: its own binomial likelihood
	if err != nil {
		t.Fatal(err)
	}
	like := func(eta float64) float64 { return b*eta - n2*math.Log1p(math.Exp(eta)) }
	for _, v := range []float64{p.Low, p.High} {
		near(t, "fall at the limit", 2*(like(p.Value)-like(v)), 3.841458820694124, 1e-7) // chi-squared 0.95 on 1 df
	}
	if !(p.Low < p.Value && p.Value < p.High) {
		t.Errorf("limits %g and %g around %g", p.Low, p.High, p.Value)
	}
}

func TestOrderScaleAndCodingChangeNothing(t *testing.T) {
	d := cbpp(t)
	a := fit(t, d, 1)
	perm := rand.New(rand.NewPCG(1, 1)).Perm(len(d.Success))
	e := Data{X: dense.New(len(perm), 4), Groups: []Grouping{{Name: "herd", Levels: 15}}}
	scale := []float64{1, 1e9, 1e-9, 1}
	for to, i := range perm {
		e.Success, e.Trials = append(e.Success, d.Trials[i]-d.Success[i]), append(e.Trials, d.Trials[i]) // failures now
		e.Groups[0].Of = append(e.Groups[0].Of, 14-d.Groups[0].Of[i])
		for j := range 4 {
			e.X.Set(to, j, scale[j]*d.X.At(i, j))
		}
	}
	b := fit(t, e, 1)
	near(t, "log-likelihood", b.LogLik, a.LogLik, 1e-10)
	near(t, "sd", b.Spread[0].SD, a.Spread[0].SD, 1e-7)
	for j := range a.Beta {
		near(t, "effect", -b.Beta[j]*scale[j], a.Beta[j], 1e-7)
	}
	for l := range 15 {
		near(t, "mode", -b.Modes[0][14-l], a.Modes[0][l], 1e-6)
	}
}

// TestYearsAsTheyAre: a covariate of 2,019 to 2,024, or of a billion and some, gives the slope of one that starts at 0.
func TestYearsAsTheyAre(t *testing.T) {
	d := cbpp(t)
	d.X = first(d.X, 2)
	for i := range d.X.Rows {
		d.X.Set(i, 1, float64(i%6))
	}
	want := fit(t, d, 1)
	for _, from := range []float64{2019, 1e9} {
		e := d
		e.X = first(d.X, 2)
		for i := range e.X.Rows {
			e.X.Set(i, 1, from+d.X.At(i, 1))
		}
		got := fit(t, e, 1)
		tol := 1e-9 + 1e-15*from // digits lost in writing the difference of two neighbours of 1e9
		near(t, "slope", got.Beta[1], want.Beta[1], tol)
		near(t, "error", math.Sqrt(got.Cov.At(1, 1)), math.Sqrt(want.Cov.At(1, 1)), 10*tol)
		near(t, "log-likelihood", got.LogLik, want.LogLik, tol)
	}
}

func TestWhatCannotBeFitted(t *testing.T) {
	good := func() Data {
		return Data{Success: []float64{1, 2, 3, 1}, Trials: []float64{4, 4, 4, 4},
			X:      dense.Matrix{Rows: 4, Cols: 2, Data: []float64{1, 0, 1, 1, 1, 0, 1, 1}},
			Groups: []Grouping{{Name: "bed", Of: []int32{0, 0, 1, 1}, Levels: 2}}}
	}
	for name, spoil := range map[string]func(*Data) Options{
		"more than all":     func(d *Data) Options { d.Success[1] = 5; return Options{} },
		"less than none":    func(d *Data) Options { d.Success[1] = -1; return Options{} },
		"not a number":      func(d *Data) Options { d.Success[1] = math.NaN(); return Options{} },
		"infinite":          func(d *Data) Options { d.X.Set(1, 1, math.Inf(1)); return Options{} },
		"nothing looked at": func(d *Data) Options { clear(d.Success); clear(d.Trials); return Options{} },
		"the same column":   func(d *Data) Options { d.X.Set(0, 1, 1); d.X.Set(2, 1, 1); return Options{} },
		"an empty column":   func(d *Data) Options { d.X.Set(1, 1, 0); d.X.Set(3, 1, 0); return Options{} },
		"a class too many":  func(d *Data) Options { d.Groups[0].Of[3] = 2; return Options{} },
		"short grouping":    func(d *Data) Options { d.Groups[0].Of = d.Groups[0].Of[:2]; return Options{} },
		"short covariate":   func(d *Data) Options { d.Groups[0].By = []float64{1}; return Options{} },
		"endless covariate": func(d *Data) Options { d.Groups[0].By = []float64{1, 1, math.Inf(1), 1}; return Options{} },
		"slopes by quadrature": func(d *Data) Options {
			d.Groups[0].By = []float64{1, 1, 1, 1}
			return Options{Nodes: 5}
		},
		"no rows": func(d *Data) Options { *d = Data{}; return Options{} },
		"two groupings by quadrature": func(d *Data) Options {
			d.Groups = append(d.Groups, d.Groups[0])
			return Options{Nodes: 5}
		},
	} {
		d := good()
		o := spoil(&d)
		if _, err := Fit(d, o); err == nil {
			t.Errorf("%s: accepted", name)
		} else if !strings.Contains(err.Error(), " ") {
			t.Errorf("%s: %q is no sentence", name, err)
		}
	}
	if _, err := Fit(good(), Options{}); err != nil {
		t.Errorf("the unspoilt data: %v", err)
	}
}
