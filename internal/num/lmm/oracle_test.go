package lmm

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
)

var long = flag.Bool("long", false, "run the long simulations and stress tests")

// oracle works with n × n matrices, straight from the definitions: nothing in it is shared with the engine but the
// matrix type.
type oracle struct {
	n, p, nf int
	y        []float64
	x        dense.Matrix
	g        []dense.Matrix // G_0 = diag 1/w, G_k = Z_kZ_k′
}

func newOracle(d Data) oracle {
	o := oracle{n: len(d.Y), p: d.X.Cols, nf: len(d.Y) - d.X.Cols, y: d.Y, x: d.X}
	g0 := dense.New(o.n, o.n)
	for i := range o.n {
		g0.Set(i, i, 1)
		if d.Weights != nil {
			g0.Set(i, i, 1/d.Weights[i])
		}
	}
	o.g = append(o.g, g0)
	for _, z := range d.Groupings {
		m := dense.New(o.n, o.n)
		for i, a := range z.Class {
			for j, b := range z.Class {
				if a == b {
					m.Set(i, j, 1)
				}
			}
		}
		o.g = append(o.g, m)
	}
	return o
}

func mul(a, b dense.Matrix) dense.Matrix {
	out := dense.New(a.Rows, b.Cols)
	for i := range a.Rows {
		for k, x := range a.Row(i) {
			for j := range b.Cols {
				out.Data[i*b.Cols+j] += x * b.At(k, j)
			}
		}
	}
	return out
}

func plus(a, b dense.Matrix, f float64) dense.Matrix {
	out := dense.New(a.Rows, a.Cols)
	for i := range a.Data {
		out.Data[i] = a.Data[i] + f*b.Data[i]
	}
	return out
}

// gauss returns inverse and log determinant by elimination with row exchanges.
func gauss(a dense.Matrix) (dense.Matrix, float64) {
	n := a.Rows
	m, inv, logDet := plus(a, a, 0), dense.New(n, n), 0.0
	for i := range n {
		inv.Set(i, i, 1)
	}
	for k := range n {
		best := k
		for i := k; i < n; i++ {
			if math.Abs(m.At(i, k)) > math.Abs(m.At(best, k)) {
				best = i
			}
		}
		for j := range n {
			m.Data[k*n+j], m.Data[best*n+j] = m.Data[best*n+j], m.Data[k*n+j]
			inv.Data[k*n+j], inv.Data[best*n+j] = inv.Data[best*n+j], inv.Data[k*n+j]
		}
		d := m.At(k, k)
		logDet += math.Log(math.Abs(d))
		for j := range n {
			m.Data[k*n+j] /= d
			inv.Data[k*n+j] /= d
		}
		for i := range n {
			if f := m.At(i, k); i != k && f != 0 {
				for j := range n {
					m.Data[i*n+j] -= f * m.Data[k*n+j]
					inv.Data[i*n+j] -= f * inv.Data[k*n+j]
				}
			}
		}
	}
	return inv, logDet
}

// criterion is minus twice the restricted log-likelihood at variances sigma (residual first).
func (o oracle) criterion(sigma []float64) float64 {
	v := dense.New(o.n, o.n)
	for k, s := range sigma {
		v = plus(v, o.g[k], s)
	}
	vi, logV := gauss(v)
	xt := transposed(o.x)
	phi, logX := gauss(mul(mul(xt, vi), o.x))
	y := dense.Matrix{Rows: o.n, Cols: 1, Data: o.y}
	b := mul(phi, mul(mul(xt, vi), y))
	res := plus(y, mul(o.x, b), -1)
	return logV + logX + float64(o.nf)*math.Log(2*math.Pi) + mul(mul(transposed(res), vi), res).Data[0]
}

// kr holds the paper's quantities at variances sigma.
type kr struct {
	beta, phi, adjusted, w dense.Matrix
	p                      []dense.Matrix
}

// kenwardRoger follows Kenward & Roger (1997) as it stands: V⁻¹, P_i, Q_ij, the expected information, W, Φ_A.
func (o oracle) kenwardRoger(sigma []float64) kr {
	v := dense.New(o.n, o.n)
	for k, s := range sigma {
		v = plus(v, o.g[k], s)
	}
	vi, _ := gauss(v)
	xt := transposed(o.x)
	xv := mul(xt, vi)
	phi, _ := gauss(mul(xv, o.x))
	r := len(sigma)
	out := kr{phi: phi, beta: mul(phi, mul(xv, dense.Matrix{Rows: o.n, Cols: 1, Data: o.y}))}
	vg := make([]dense.Matrix, r)
	for i := range r {
		vg[i] = mul(vi, o.g[i])
		out.p = append(out.p, mul(mul(mul(xt, vg[i]), plus(vi, vi, -2)), o.x)) // plus(vi, vi, -2) = -V⁻¹
	}
	q := make([][]dense.Matrix, r)
	info := dense.New(r, r)
	for i := range r {
		for j := range r {
			q[i] = append(q[i], mul(mul(mul(xt, mul(vg[i], vg[j])), vi), o.x))
			info.Set(i, j, (traceOf(mul(vg[i], vg[j]))-2*traceOf(mul(phi, q[i][j]))+traceOf(mul(mul(phi, out.p[i]), mul(phi, out.p[j]))))/2)
		}
	}
	out.w, _ = gauss(info)
	inner := dense.New(o.p, o.p)
	for i := range r {
		for j := range r {
			inner = plus(inner, plus(q[i][j], mul(mul(out.p[i], phi), out.p[j]), -1), out.w.At(i, j))
		}
	}
	out.adjusted = plus(phi, mul(mul(phi, inner), phi), 2)
	return out
}

// test is the paper's F, m and λ, without any guard.
func (k kr) test(l dense.Matrix) (f, m, lambda float64) {
	lt := transposed(l)
	mid, _ := gauss(mul(mul(l, k.phi), lt))
	theta := mul(mul(lt, mid), l)
	a1, a2 := 0.0, 0.0
	for i := range k.p {
		for j := range k.p {
			x, y := mul(theta, mul(mul(k.phi, k.p[i]), k.phi)), mul(theta, mul(mul(k.phi, k.p[j]), k.phi))
			a1 += k.w.At(i, j) * traceOf(x) * traceOf(y)
			a2 += k.w.At(i, j) * traceOf(mul(x, y))
		}
	}
	q := float64(l.Rows)
	b := (a1 + 6*a2) / (2 * q)
	g := ((q+1)*a1 - (q+4)*a2) / ((q + 2) * a2)
	c1, c2, c3 := g/(3*q+2*(1-g)), (q-g)/(3*q+2*(1-g)), (q+2-g)/(3*q+2*(1-g))
	e := 1 / (1 - a2/q)
	v := 2 / q * (1 + c1*b) / ((1 - c2*b) * (1 - c2*b) * (1 - c3*b))
	rho := v / (2 * e * e)
	m = 4 + (q+2)/(q*rho-1)
	lambda = m / (e * (m - 2))
	if q == 1 {
		lambda, m = 1, 2/a2
	}
	cov, _ := gauss(mul(mul(l, k.adjusted), lt))
	lb := mul(l, k.beta)
	return lambda / q * mul(mul(transposed(lb), cov), lb).Data[0], m, lambda
}

// table draws a design of the given kind; y has no effect in it beyond its variances.
func table(r *rand.Rand, n int, kind string, sd []float64) Data {
	d := Data{Y: make([]float64, n), X: dense.New(n, 4)}
	groups := func(name string, q int, of func(i int) int) {
		g := Grouping{Name: name, Class: make([]int32, n), Levels: q}
		for i := range n {
			g.Class[i] = int32(of(i))
		}
		d.Groupings = append(d.Groupings, g)
	}
	a, b, c := make([]int, n), make([]int, n), make([]int, n)
	for i := range n {
		a[i], b[i], c[i] = r.IntN(4), r.IntN(3), r.IntN(5)
	}
	switch kind {
	case "one":
		groups("a", 4, func(i int) int { return a[i] })
	case "nested":
		groups("a", 4, func(i int) int { return a[i] })
		groups("a:b", 12, func(i int) int { return 3*a[i] + b[i] })
	case "deep":
		groups("a", 4, func(i int) int { return a[i] })
		groups("a:b", 12, func(i int) int { return 3*a[i] + b[i] })
		groups("a:b:c", 60, func(i int) int { return 5*(3*a[i]+b[i]) + c[i] })
	case "crossed":
		groups("a", 4, func(i int) int { return a[i] })
		groups("c", 5, func(i int) int { return c[i] })
		groups("b", 3, func(i int) int { return b[i] })
	case "mixed":
		groups("a", 4, func(i int) int { return a[i] })
		groups("c", 5, func(i int) int { return c[i] })
		groups("a:b", 12, func(i int) int { return 3*a[i] + b[i] })
		groups("a:c", 20, func(i int) int { return 5*a[i] + c[i] })
	}
	effects := make([][]float64, len(d.Groupings))
	for k, g := range d.Groupings {
		for range g.Levels {
			effects[k] = append(effects[k], sd[k%len(sd)]*r.NormFloat64())
		}
	}
	for i := range n {
		treat := r.IntN(3)
		d.X.Set(i, 0, 1)
		if treat > 0 {
			d.X.Set(i, treat, 1)
		}
		d.X.Set(i, 3, 10+3*r.NormFloat64())
		d.Y[i] = 20 + r.NormFloat64()
		for k, g := range d.Groupings {
			d.Y[i] += effects[k][g.Class[i]]
		}
	}
	return d
}

var kinds = []string{"one", "nested", "deep", "crossed", "mixed"}

func close(a, b, relative float64) bool { return math.Abs(a-b) <= relative*(math.Abs(a)+math.Abs(b)) }

// TestAgainstOracle fits random designs and compares criterion, coefficients, covariances, Kenward & Roger's F, degrees of
// freedom and λ with the definitions at the same variances, and asks that no variance can be moved for the better.
func TestAgainstOracle(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	zeros := 0
	for trial := range 60 {
		kind := kinds[trial%len(kinds)]
		sd := [][]float64{{1, 0.5, 2}, {0, 0, 0}, {0, 3}, {0.1, 1, 0}}[trial%4]
		d := table(r, 40+r.IntN(40), kind, sd)
		if trial%3 == 0 {
			for range d.Y {
				d.Weights = append(d.Weights, 0.5+2*r.Float64())
			}
		}
		t.Run(fmt.Sprint(kind, trial), func(t *testing.T) {
			zeros += compareWithOracle(t, d)
		})
	}
	if zeros < 10 {
		t.Errorf("only %d components were at zero: the test does not try what it should", zeros)
	}
}

func compareWithOracle(t *testing.T, d Data) (zeros int) {
	m, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	fit, err := m.Fit()
	if err != nil {
		t.Fatal(err)
	}
	if !fit.Search.Converged {
		t.Errorf("not converged: %+v", fit.Search)
	}
	o := newOracle(d)
	sigma := []float64{fit.Components[len(fit.Components)-1].Variance}
	for _, c := range fit.Components[:len(fit.Components)-1] {
		sigma = append(sigma, c.Variance)
		if c.OnBoundary {
			zeros++
		}
	}
	if want := o.criterion(sigma); math.Abs(fit.Criterion-want) > 1e-9 {
		t.Errorf("criterion %v, want %v", fit.Criterion, want)
	}
	for k, s := range sigma {
		for _, f := range []float64{-1e-3, 1e-3} {
			moved := append([]float64(nil), sigma...)
			if moved[k] = s + f*max(s, sigma[0]/10); moved[k] < 0 {
				continue
			}
			if c := o.criterion(moved); c < fit.Criterion-1e-9 {
				t.Errorf("variance %d at %v is no minimum: %v at %v", k, s, c-fit.Criterion, moved[k])
			}
		}
	}
	compareInference(t, o, sigma, fit)
	return zeros
}

func compareInference(t *testing.T, o oracle, sigma []float64, fit *Fit) {
	want := o.kenwardRoger(sigma)
	inf, err := fit.By(KenwardRoger)
	if err != nil {
		t.Fatal(err)
	}
	for i := range o.p {
		if !close(fit.Coef[i], want.beta.Data[i], 1e-10) {
			t.Errorf("coefficient %d is %v, want %v", i, fit.Coef[i], want.beta.Data[i])
		}
		for j := range o.p {
			scale := math.Sqrt(want.phi.At(i, i) * want.phi.At(j, j))
			if math.Abs(fit.Phi.At(i, j)-want.phi.At(i, j)) > 1e-9*scale {
				t.Errorf("Φ(%d, %d) is %v, want %v", i, j, fit.Phi.At(i, j), want.phi.At(i, j))
			}
			if math.Abs(inf.Cov().At(i, j)-want.adjusted.At(i, j)) > 1e-9*scale {
				t.Errorf("Φ_A(%d, %d) is %v, want %v", i, j, inf.Cov().At(i, j), want.adjusted.At(i, j))
			}
		}
	}
	for _, l := range []dense.Matrix{
		{Rows: 1, Cols: 4, Data: []float64{0, 1, -1, 0}}, {Rows: 1, Cols: 4, Data: []float64{0, 0, 0, 1}},
		{Rows: 2, Cols: 4, Data: []float64{0, 1, 0, 0, 0, 0, 1, 0}},
		{Rows: 3, Cols: 4, Data: []float64{0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}},
	} {
		f, df, lambda := want.test(l)
		got, err := inf.TestRows(l)
		if err != nil {
			t.Fatal(err)
		}
		if !close(got.F, f, 1e-8) || !close(got.DenDF, df, 1e-7) || !close(got.Scale, lambda, 1e-8) {
			t.Errorf("%d rows: %+v, want F %v, df %v, λ %v", l.Rows, got, f, df, lambda)
		}
		if l.Rows == 1 && !close(inf.DF(l.Data), df, 1e-8) {
			t.Errorf("df of one row %v, want %v", inf.DF(l.Data), df)
		}
	}
}
