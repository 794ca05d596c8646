package glmm_test

import (
	"math"
	"testing"

	"fairplot/internal/num/dense"
	. "fairplot/internal/num/glmm"
)

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
