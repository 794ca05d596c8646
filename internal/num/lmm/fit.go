package lmm

import (
	"math"
	"slices"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/minimize"
)

// Component is one variance of a fit.
type Component struct {
	Name       string
	Variance   float64 // in squared units of the response
	OnBoundary bool    // exactly 0
}

// Fit is a fitted model. It reaches back into its Model for the small-sample matrices, so it serves one goroutine at a
// time, together with that Model.
type Fit struct {
	Coef       []float64    // β, in the order of the columns of X
	Phi        dense.Matrix // σ²(X′V⁻¹X)⁻¹, without adjustment
	Components []Component  // in the order of the groupings, the residual last
	Criterion  float64      // minus twice the restricted log-likelihood, all constants included
	Search     minimize.Result

	m      *Model
	stamp  int // of the working space when it held this fit
	theta  []float64
	sigma2 float64 // relative to the residual's squared length
	scale  float64 // σ²
	a      dense.Matrix
	known  *pieces
}

// tolerances of the search on what is left to gain, in units of the criterion; with the Hessian the last step squares the
// error, with the average information it takes a digit or two off it.
const (
	withHessian = 1e-18
	withAverage = 1e-13
	elsewhere   = 1e-9 // how much lower another minimum must be to count as another
	tiny        = 40   // rows up to which several starts are tried
)

// search starts at the MINQUE(0) estimates. Where a component ends at 0 there may be another minimum inside, so small
// tables are searched again from elsewhere; not where the start was the minimum already and held a component above 0,
// since then the strata are orthogonal and there is one minimum only.
func (m *Model) search() minimize.Result {
	m.w.start.from(m.w.zy, m.theta)
	res := m.run()
	zeros := count(m.theta, 0)
	if !m.w.exact || zeros == 0 || res.Evaluations == 1 && res.Converged && zeros < len(m.theta) {
		return res
	}
	found := append(m.w.start.sigma[:0], m.theta...)
	for k, t := range m.theta {
		if t == 0 {
			m.theta[k] = 0.3
		}
	}
	m.again(&res, found)
	if m.d.n <= tiny {
		for _, start := range []float64{1, 5} {
			for k := range m.theta {
				m.theta[k] = start
			}
			m.again(&res, found)
		}
	}
	copy(m.theta, found)
	if !slices.Equal(m.w.theta, found) {
		m.evaluate(found)
		res.Evaluations++
	}
	return res
}

func (m *Model) run() minimize.Result {
	if m.w.exact {
		return m.s.Run(m.w, m.theta, withHessian)
	}
	return m.s.Run(m.w, m.theta, withAverage)
}

// again searches from θ and keeps what is lower.
func (m *Model) again(res *minimize.Result, found []float64) {
	other := m.run()
	other.Evaluations += res.Evaluations
	if other.Converged && other.Value < res.Value-elsewhere || !res.Converged && other.Value < res.Value {
		*res = other
		copy(found, m.theta)
	}
	res.Evaluations = other.Evaluations
}

func count(v []float64, x float64) int {
	n := 0
	for _, y := range v {
		if y == x {
			n++
		}
	}
	return n
}

// evaluate brings the working space to θ.
func (m *Model) evaluate(theta []float64) {
	m.w.Value(theta)
	r := len(theta)
	m.w.Slopes(make([]float64, r), dense.New(r, r))
}

// assemble reads the fit off the working space.
func (m *Model) assemble(res minimize.Result) *Fit {
	w, d := m.w, m.d
	nf := float64(d.nf)
	f := &Fit{
		Criterion: res.Value, Search: res,
		m: m, stamp: m.stamp, theta: append([]float64(nil), m.theta...),
		sigma2: w.yPy / nf, scale: w.rho * w.rho * w.yPy / nf,
	}
	f.Coef = make([]float64, d.p)
	for j := range f.Coef {
		f.Coef[j] = w.along[j] + w.rho*w.alpha[d.m+j]
	}
	dense.SolveUpper(d.r, f.Coef)
	phi := dense.New(d.p, d.p)
	for i := range d.p {
		copy(phi.Row(i), w.c.Row(d.m + i)[d.m:d.t])
	}
	f.Phi = d.back(phi, f.scale)
	for k, g := range d.groups {
		f.Components = append(f.Components, Component{Name: g.name, Variance: w.g[k] * f.scale, OnBoundary: w.g[k] == 0})
	}
	f.Components = append(f.Components, Component{Name: "residual", Variance: f.scale})
	single := append([]float64(nil), w.ss...)
	f.a = w.withResidual(w.a, single, w.yPy)
	return f
}

// back brings a symmetric matrix from coordinates of Q to those of X: scale·R⁻¹MR⁻ᵀ.
func (d *design) back(m dense.Matrix, scale float64) dense.Matrix {
	half := dense.New(d.p, d.p)
	for i := range d.p {
		copy(half.Row(i), m.Row(i))
		dense.SolveUpper(d.r, half.Row(i))
	}
	out := transposed(half)
	for i := range d.p {
		dense.SolveUpper(d.r, out.Row(i))
	}
	for i := range d.p {
		for j := range i + 1 {
			x := scale * (out.At(i, j) + out.At(j, i)) / 2
			out.Set(i, j, x)
			out.Set(j, i, x)
		}
	}
	return out
}

// pieces returns the small-sample matrices, worked out once.
func (f *Fit) pieces() *pieces {
	if f.known == nil {
		if f.stamp != f.m.stamp {
			f.m.stamp++
			f.m.evaluate(f.theta)
		}
		f.known = f.m.w.pieces()
	}
	return f.known
}

// Sigma returns the residual standard deviation.
func (f *Fit) Sigma() float64 { return math.Sqrt(f.scale) }
