package glmm

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fairplot/internal/num/dense"
)

// crossed is a random table with three groupings, two crossed and one nested, and a row where nothing was counted.
func crossed(groups int) Data {
	r := rand.New(rand.NewPCG(7, uint64(groups)))
	const n = 48
	d := Data{X: dense.New(n, 3)}
	all := []Grouping{{Name: "season", Levels: 3}, {Name: "bed", Levels: 12}, {Name: "garden", Levels: 4}}
	for i := range n {
		bed := i % 12
		all[1].Of = append(all[1].Of, int32(bed))
		all[2].Of = append(all[2].Of, int32(bed/3))
		all[0].Of = append(all[0].Of, int32(r.IntN(3)))
		d.X.Set(i, 0, 1)
		d.X.Set(i, 1, float64(i%2))
		d.X.Set(i, 2, 100*r.NormFloat64())
		trials := math.Floor(12 * r.Float64())
		if i == 5 {
			trials = 0
		}
		y := 0.0
		for range int(trials) {
			if r.Float64() < 1/(1+math.Exp(0.5-0.4*float64(bed%5)+0.8*float64(i%2))) {
				y++
			}
		}
		d.Trials, d.Success = append(d.Trials, trials), append(d.Success, y)
	}
	d.Groups = all[:groups]
	return d
}

// sloped is the same table with slopes in place of the intercepts of its first grouping.
func sloped(groups int) Data {
	d := crossed(groups)
	by := make([]float64, len(d.Success))
	for i := range by {
		by[i] = math.Sin(float64(i))
	}
	d.Groups[0].By = by
	return d
}

// naive is the Laplace log-likelihood written out with whole matrices: another route to the same number.
func naive(d Data, beta, theta []float64) float64 {
	n, q := len(d.Success), 0
	for _, g := range d.Groups {
		q += g.Levels
	}
	a := mat.NewDense(n, max(q, 1), nil)
	from := 0
	for k, g := range d.Groups {
		for i, l := range g.Of {
			by := 1.0
			if g.By != nil {
				by = g.By[i]
			}
			a.Set(i, from+int(l), by*theta[k])
		}
		from += g.Levels
	}
	u := mat.NewVecDense(max(q, 1), nil)
	var chol mat.Cholesky
	h := 0.0
	for range 60 {
		m := mat.NewSymDense(max(q, 1), nil)
		g := mat.NewVecDense(max(q, 1), nil)
		h = -mat.Dot(u, u) / 2
		for j := range max(q, 1) {
			m.SetSym(j, j, 1)
			g.SetVec(j, -u.AtVec(j))
		}
		for i := range n {
			eta := dense.Dot(d.X.Row(i), beta) + mat.Dot(a.RowView(i), u)
			p := 1 / (1 + math.Exp(-eta))
			h += logChoose(d.Trials[i], d.Success[i]) + d.Success[i]*math.Log(p) + (d.Trials[i]-d.Success[i])*math.Log(1-p)
			g.AddScaledVec(g, d.Success[i]-d.Trials[i]*p, a.RowView(i))
			m.SymRankOne(m, d.Trials[i]*p*(1-p), a.RowView(i))
		}
		if !chol.Factorize(m) {
			return math.NaN()
		}
		var step mat.VecDense
		if err := chol.SolveVecTo(&step, g); err != nil {
			return math.NaN()
		}
		if mat.Norm(&step, 2) < 1e-13 {
			break
		}
		u.AddVec(u, &step)
	}
	return h - chol.LogDet()/2
}

func objectiveOf(t testing.TB, d Data, nodes int) *objective {
	t.Helper()
	o, err := newObjective(d, nodes)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestLaplaceWrittenOut(t *testing.T) {
	for name, d := range map[string]Data{"none": crossed(0), "one": crossed(1), "two": crossed(2), "three": crossed(3), "slopes": sloped(1), "slopes and two": sloped(3)} {
		o := objectiveOf(t, d, 1)
		psi := []float64{-0.4, 1.1, 0.7, 0.9, 0.4, 1.3}[:3+len(d.Groups)]
		want := -naive(d, o.beta(psi[:3]), psi[3:])
		got := o.value(psi, make([]float64, len(psi)))
		if math.Abs(got-want) > 1e-10*math.Abs(want) {
			t.Errorf("groupings %s: %.14g, want %.14g", name, got, want)
		}
	}
}

// TestGradient compares with central differences of the objective, whose own error is about 1e-8 here: rounding of a value near 100 over a step of 1e-5.
func TestGradient(t *testing.T) {
	for _, c := range []struct {
		groups, nodes int
		of            func(int) Data
	}{{0, 1, crossed}, {1, 1, crossed}, {2, 1, crossed}, {3, 1, crossed}, {1, 1, sloped}, {3, 1, sloped}, {1, 2, crossed}, {1, 3, crossed}, {1, 8, crossed}, {1, 21, crossed}} {
		o := objectiveOf(t, c.of(c.groups), c.nodes)
		psi := []float64{-0.4, 1.1, 0.7, 0.9, 0.4, 1.3}[:3+c.groups]
		g, scratch := make([]float64, len(psi)), make([]float64, len(psi))
		o.value(psi, g)
		for j := range psi {
			const e = 1e-5
			at := append([]float64(nil), psi...)
			at[j] += e
			up := o.value(at, scratch)
			at[j] -= 2 * e
			down := o.value(at, scratch)
			if d := (up - down) / (2 * e); math.Abs(d-g[j]) > 1e-7*max(1, math.Abs(d)) {
				t.Errorf("%d groupings, %d nodes, parameter %d: gradient %.10g, by differences %.10g", c.groups, c.nodes, j, g[j], d)
			}
		}
	}
}

// TestOneNodeIsLaplace: with one node at the mode quadrature is Laplace's approximation.
func TestOneNodeIsLaplace(t *testing.T) {
	d := crossed(1)
	a, b := objectiveOf(t, d, 1), objectiveOf(t, d, 2)
	b.rule = hermite(1)
	psi := []float64{0.3, -1, 0.2, 0.8}
	ga, gb := make([]float64, 4), make([]float64, 4)
	if x, y := a.value(psi, ga), b.value(psi, gb); math.Abs(x-y) > 1e-11*math.Abs(x) {
		t.Errorf("%.14g and %.14g", x, y)
	}
	for j := range ga {
		if math.Abs(ga[j]-gb[j]) > 1e-9 {
			t.Errorf("gradient %d: %.12g and %.12g", j, ga[j], gb[j])
		}
	}
}

// TestRuleIntegrates: n nodes are exact for polynomials to degree 2n−1; the even moments of the normal law are 1, 3, 15, 105.
func TestRuleIntegrates(t *testing.T) {
	for _, n := range []int{1, 5, 25, 80} {
		r := hermite(n)
		moment := 1.0
		for power := 0; power <= min(2*n-1, 8); power += 2 {
			s := 0.0
			for k, x := range r.nodes {
				s += r.weights[k] * math.Pow(x, float64(power))
			}
			if math.Abs(s-moment) > 1e-12*moment {
				t.Errorf("%d nodes: moment %d is %.15g, want %g", n, power, s, moment)
			}
			moment *= float64(power + 1)
		}
	}
}

// TestOptimumIsFoundByAnotherRoute: a derivative-free search of the written-out likelihood must not find a higher place.
func TestOptimumIsFoundByAnotherRoute(t *testing.T) {
	d := crossed(2)
	m, err := Fit(d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := func(x []float64) float64 { return -naive(d, []float64{x[0], x[1], x[2] / 100}, x[3:]) }
	top := climb(t, f, []float64{0, 0, 0, 0.5, 0.5})
	if math.Abs(m.LogLik-top) > 1e-7 {
		t.Errorf("log-likelihood %.10g, by another route %.10g", m.LogLik, top)
	}
}

// TestProfileHoldsWhatItSays: with an effect held at its limit, the likelihood maximised over the rest by another
// route lies 3.841/2 below the top (chi-squared, 0.95, 1 df).
func TestProfileHoldsWhatItSays(t *testing.T) {
	none := 0
	for groups := 1; groups <= 3; groups++ {
		d := crossed(groups)
		m, err := Fit(d, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range m.Spread {
			if s.OnBoundary {
				none++
			}
		}
		p, err := m.Profile([]float64{0, 1, 0}, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		start := []float64{0, 0, 0.5, 0.5, 0.5}[:2+groups]
		for _, v := range []float64{p.Low, p.High} {
			f := func(x []float64) float64 { return -naive(d, []float64{x[0], v, x[1] / 100}, x[2:]) }
			if fall := 2 * (m.LogLik - climb(t, f, start)); math.Abs(fall-3.841458820694124) > 1e-6 {
				t.Errorf("%d groupings: at %g twice the log-likelihood falls by %.9g, want 3.8414588", groups, v, fall)
			}
		}
	}
	if none == 0 {
		t.Error("no spread lies at 0: the profile beside one was not looked at")
	}
}

// climb is the pattern search of Hooke & Jeeves (1961, Journal of the ACM 8:212-229): no gradient, no Hessian.
func climb(t testing.TB, f func([]float64) float64, start []float64) float64 {
	t.Helper()
	base := append([]float64(nil), start...)
	explore := func(x []float64, step float64) ([]float64, float64) {
		at := append([]float64(nil), x...)
		best := f(at)
		for j := range at {
			for _, move := range []float64{step, -2 * step} {
				at[j] += move
				if v := f(at); v < best {
					best = v
					break
				} else if move < 0 {
					at[j] += step
				}
			}
		}
		return at, best
	}
	value := f(base)
	for step := 0.25; step > 1e-5; {
		next, v := explore(base, step)
		if v >= value {
			step /= 2
			continue
		}
		for v < value {
			leap := make([]float64, len(base))
			for j := range leap {
				leap[j] = 2*next[j] - base[j]
			}
			base, value = next, v
			next, v = explore(leap, step)
		}
	}
	return -value
}
