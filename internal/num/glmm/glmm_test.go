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

// cbpp is the incidence of contagious bovine pleuropneumonia in 15 herds over four periods: Lesnoff, Laval, Bonnet et
// al. (2004), Preventive Veterinary Medicine 64:27-40, as in R package lme4.
func cbpp(t testing.TB) Data {
	c := table(t, "cbpp.csv")
	n := len(c["herd"])
	d := Data{X: dense.New(n, 4), Groups: []Grouping{{Name: "herd", Levels: 15}}}
	for i := range n {
		d.Success = append(d.Success, float64(c["incidence"][i]))
		d.Trials = append(d.Trials, float64(c["size"][i]))
		d.Groups[0].Of = append(d.Groups[0].Of, int32(c["herd"][i]-1))
		d.X.Set(i, 0, 1)
		if p := c["period"][i]; p > 1 {
			d.X.Set(i, p-1, 1)
		}
	}
	return d
}

// TestHerds: values of R 4.2.2 with lme4 1.1-31 glmer; the Laplace fit agrees with the rounded figures of its
// documentation (logLik -92.027, sd 0.642). Nodes 80 were computed apart from glmer by quadrature in R. Estimates there
// are converged to a gradient of 1e-10; errors come from numerical Hessians, hence 1e-6.
func TestHerds(t *testing.T) {
	d := cbpp(t)
	for _, c := range []struct {
		name      string
		nodes     int
		sd        float64
		beta, err []float64
		logLik    float64
		tol       float64
	}{
		// glmer's inner iterations stop at 1e-7, which moves its Laplace optimum by 2e-8; with more nodes it does not.
		{"Laplace", 1, 0.642261434934688,
			[]float64{-1.3985321315018, -0.992332716885825, -1.12867206401427, -1.58031385970829},
			[]float64{0.232471903996581, 0.306642292897124, 0.326637624358266, 0.427436266696334}, -92.0262818714972, 3e-8},
		{"5 nodes", 5, 0.647364611265128,
			[]float64{-1.39919381260423, -0.991438157031898, -1.12785324037911, -1.57950890740716},
			[]float64{0.233477532323302, 0.306764243018078, 0.326764829507513, 0.427590558147122}, math.NaN(), 1e-9},
		{"9 nodes", 9, 0.647517712003608,
			[]float64{-1.39923019257727, -0.991403876504034, -1.12781967730485, -1.57947101615786},
			[]float64{0.233511396186613, 0.30676796966163, 0.326768355700665, 0.42759448167481}, math.NaN(), 1e-9},
		{"25 nodes", 25, 0.64751847799748,
			[]float64{-1.39923044429413, -0.991403672438483, -1.12781946688993, -1.57947075035713},
			[]float64{0.233511591470547, 0.306767987463925, 0.326768372087012, 0.427594500605769}, -91.9833690373105, 1e-9},
		{"80 nodes", 80, 0.647518478027101,
			[]float64{-1.39923044420257, -0.991403672646172, -1.1278194668575, -1.57947075040045},
			[]float64{0.233511591476019, 0.306767987491501, 0.326768372063878, 0.427594500604896}, -91.9833690373103, 1e-9},
	} {
		m := fit(t, d, c.nodes)
		near(t, c.name+" sd", m.Spread[0].SD, c.sd, c.tol)
		for j := range c.beta {
			near(t, c.name+" effect", m.Beta[j], c.beta[j], c.tol)
			near(t, c.name+" error", math.Sqrt(m.Cov.At(j, j)), c.err[j], 1e-6)
		}
		if !math.IsNaN(c.logLik) {
			near(t, c.name+" log-likelihood", m.LogLik, c.logLik, 1e-9)
		}
		if c.nodes == 80 {
			near(t, "error of the sd", m.Spread[0].Error, 0.180524831306528, 1e-6)
		}
	}
}

// TestLikelihoodRatioOfPeriods: R, lme4: chi-squared 25.6100634447196 on 3 df.
func TestLikelihoodRatioOfPeriods(t *testing.T) {
	d := cbpp(t)
	whole := fit(t, d, 1)
	d.X = first(d.X, 1)
	near(t, "chi-squared", 2*(whole.LogLik-fit(t, d, 1).LogLik), 25.6100634447196, 1e-8)
}

func first(x dense.Matrix, cols int) dense.Matrix {
	out := dense.New(x.Rows, cols)
	for i := range x.Rows {
		copy(out.Row(i), x.Row(i))
	}
	return out
}

// TestWithoutHerds: R 4.2.2, glm(cbind(incidence, size - incidence) ~ period, binomial).
func TestWithoutHerds(t *testing.T) {
	d := cbpp(t)
	d.Groups = nil
	m := fit(t, d, 1)
	beta := []float64{-1.26902348936715, -1.17076272514038, -1.30140533385901, -1.78227863534165}
	errs := []float64{0.144919762468155, 0.291467789118791, 0.312881430987113, 0.413056457603226}
	z := []float64{-8.75673177870415, -4.01678253600512, -4.15942016678074, -4.3148547917236}
	pValue := []float64{2.00993182976289e-18, 5.89981200560986e-05, 3.19056510938337e-05, 1.59707846460495e-05}
	for j := range beta {
		c := make([]float64, 4)
		c[j] = 1
		w, err := m.Wald(c, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "effect", w.Value, beta[j], 1e-9)
		near(t, "error", w.Error, errs[j], 1e-8) // glm stops at 1e-8 of the deviance, its errors a step earlier
		near(t, "z", w.Z, z[j], 1e-6)
		near(t, "p over R's", w.P/pValue[j], 1, 1e-5)
	}
	near(t, "log-likelihood", m.LogLik, -99.0291994893634, 1e-12)
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

// TestProfileOfHerds looks at what any profile limits must do; TestProfileHoldsWhatItSays checks the values.
func TestProfileOfHerds(t *testing.T) {
	d := cbpp(t)
	m := fit(t, d, 1)
	p, err := m.Profile([]float64{0, 1, 0, 0}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	w, _ := m.Wald([]float64{0, 1, 0, 0}, 0.95)
	// both limits come from the same curvature at the optimum and part only with its skewness
	near(t, "lower limit", p.Low, w.Low, 0.05)
	near(t, "upper limit", p.High, w.High, 0.05)
	if p.Low == w.Low || p.High == w.High {
		t.Error("profile limits are the Wald limits")
	}
	wide, _ := m.Profile([]float64{0, 1, 0, 0}, 0.99)
	if !(wide.Low < p.Low && wide.High > p.High) {
		t.Error("99 % limits are not wider than 95 %")
	}
	turned, _ := m.Profile([]float64{0, -1, 0, 0}, 0.95)
	near(t, "turned low", turned.Low, -p.High, 1e-6)
	near(t, "turned high", turned.High, -p.Low, 1e-6)
}

func TestSingleRowsGiveTheSameAsCounts(t *testing.T) {
	d := cbpp(t)
	var s Data
	s.Groups = []Grouping{{Name: "herd", Levels: 15}}
	for i := range d.Success {
		for k := range int(d.Trials[i]) {
			y := 0.0
			if k < int(d.Success[i]) {
				y = 1
			}
			s.Success, s.Trials = append(s.Success, y), append(s.Trials, 1)
			s.X.Data = append(s.X.Data, d.X.Row(i)...)
			s.Groups[0].Of = append(s.Groups[0].Of, d.Groups[0].Of[i])
		}
	}
	s.X.Rows, s.X.Cols = len(s.Success), 4
	for _, nodes := range []int{1, 7} {
		a, b := fit(t, d, nodes), fit(t, s, nodes)
		near(t, "sd", b.Spread[0].SD, a.Spread[0].SD, 1e-7)
		for j := range a.Beta {
			near(t, "effect", b.Beta[j], a.Beta[j], 1e-7)
			near(t, "error", math.Sqrt(b.Cov.At(j, j)), math.Sqrt(a.Cov.At(j, j)), 1e-7)
		}
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
		"no rows":           func(d *Data) Options { *d = Data{}; return Options{} },
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

// salamanders are 360 crosses of two populations with crossed random females and males, McCullagh & Nelder (1989),
// Generalized Linear Models, sec. 14.5, the three experiments with animals of their own each.
func salamanders(t testing.TB) Data {
	c := table(t, "salamander.csv")
	n := len(c["mated"])
	d := Data{X: dense.New(n, 4), Groups: []Grouping{{Name: "female", Levels: 60}, {Name: "male", Levels: 60}}}
	for i := range n {
		d.Success, d.Trials = append(d.Success, float64(c["mated"][i])), append(d.Trials, 1)
		f, m := c["female"][i]-1, c["male"][i]-1
		cross := 0 // rough butt with rough butt; then female rough butt, male whiteside; the reverse; both whiteside
		if f >= 10 {
			cross += 2
		}
		if m >= 10 {
			cross++
		}
		d.X.Set(i, cross, 1)
		shift := 20 * (c["experiment"][i] - 1)
		d.Groups[0].Of = append(d.Groups[0].Of, int32(f+shift))
		d.Groups[1].Of = append(d.Groups[1].Of, int32(m+shift))
	}
	return d
}

// TestCrossedGroupings: lme4's glmer by Laplace, mated ~ 0 + cross + (1|female) + (1|male): effects 1.0082, 0.3062, -1.8960,
// 0.9904, variances 1.174 and 1.041 (from memory, as widely printed).
func TestCrossedGroupings(t *testing.T) {
	m := fit(t, salamanders(t), 1)
	for j, want := range []float64{1.0082, 0.3062, -1.8960, 0.9904} {
		near(t, "effect", m.Beta[j], want, 6e-5)
	}
	near(t, "females", m.Spread[0].SD*m.Spread[0].SD, 1.174, 6e-4)
	near(t, "males", m.Spread[1].SD*m.Spread[1].SD, 1.041, 6e-4)
}

// simulated lays beds in gardens over seasons, each planting with its trials, and a treatment by bed.
func simulated(r *rand.Rand, gardens, beds, seasons, trials int, effect, sdGarden, sdBed float64) Data {
	n := gardens * beds * seasons
	d := Data{X: dense.New(n, 2), Groups: []Grouping{{Name: "garden", Levels: gardens}, {Name: "garden:bed", Levels: gardens * beds}}}
	i := 0
	for g := range gardens {
		ug := sdGarden * r.NormFloat64()
		for b := range beds {
			ub := sdBed * r.NormFloat64()
			for range seasons {
				eta := -0.5 + effect*float64(b%2) + ug + ub
				y := 0.0
				for range trials {
					if r.Float64() < 1/(1+math.Exp(-eta)) {
						y++
					}
				}
				d.Success, d.Trials = append(d.Success, y), append(d.Trials, float64(trials))
				d.X.Set(i, 0, 1)
				d.X.Set(i, 1, float64(b%2))
				d.Groups[0].Of, d.Groups[1].Of = append(d.Groups[0].Of, int32(g)), append(d.Groups[1].Of, int32(g*beds+b))
				i++
			}
		}
	}
	return d
}

// TestCoverage: 95 % profile limits of a log odds ratio laid on beds. Maximum likelihood makes the spread between beds too small
// with few of them, so coverage falls short of nominal: the floor of 0.90 at 16 beds was fixed before running.
func TestCoverage(t *testing.T) {
	runs := 60
	if *long {
		runs = 1000
	}
	r := rand.New(rand.NewPCG(5, 5))
	const effect = 0.8
	hits := 0
	for range runs {
		m, err := Fit(simulated(r, 4, 4, 3, 12, effect, 0.5, 0.7), Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := m.Profile([]float64{0, 1}, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if p.Low <= effect && effect <= p.High {
			hits++
		}
	}
	share := float64(hits) / float64(runs)
	t.Logf("coverage %.3f of nominal 0.95 in %d runs", share, runs)
	if share < 0.90-3*math.Sqrt(0.9*0.1/float64(runs)) {
		t.Errorf("coverage %.3f", share)
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
