package lmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// Method is a way to allow for the variances being estimated.
type Method int

// The methods.
const (
	KenwardRoger  Method = iota // adjusted covariance, scaled F, matched degrees of freedom; zeros stay in
	Satterthwaite               // plain covariance, degrees of freedom of a matched chi-squared; zeros dropped
)

// Test is a test of several hypotheses at once.
type Test struct {
	F, NumDF, DenDF float64
	Scale           float64 // λ, by which the Wald statistic over its rows was multiplied; 1 in Satterthwaite's method
	Unscaled        bool    // Kenward & Roger's λ came out at 0 or below, so F is not scaled
}

// Inference is a fit seen by one method: coefficients, covariance and degrees of freedom.
type Inference struct {
	method Method
	f      *Fit
	cov    dense.Matrix

	phi   dense.Matrix   // relative, coordinates of Q
	whole dense.Matrix   // Φ_A, likewise
	d     []dense.Matrix // −ΦP_iΦ of the variances that count
	w     dense.Matrix   // half the covariance of the variances, relative
}

// By prepares a method. Kenward & Roger's needs the full matrices of the tail and is refused, with an *Error of kind
// TooLarge, where they are beyond the budget; Satterthwaite's is always to be had, beyond the budget with the average
// information in place of the observed one.
func (f *Fit) By(method Method) (*Inference, error) {
	if method == KenwardRoger {
		return f.kenwardRoger()
	}
	return f.satterthwaite()
}

// KenwardRoger tests Lβ = 0, one hypothesis a row.
func (f *Fit) KenwardRoger(l dense.Matrix) (Test, error) {
	inf, err := f.By(KenwardRoger)
	if err != nil {
		return Test{}, err
	}
	return inf.TestRows(l)
}

// Satterthwaite tests Lβ = 0, one hypothesis a row.
func (f *Fit) Satterthwaite(l dense.Matrix) (Test, error) {
	inf, err := f.By(Satterthwaite)
	if err != nil {
		return Test{}, err
	}
	return inf.TestRows(l)
}

// Method returns the method.
func (inf *Inference) Method() Method { return inf.method }

// Coef returns β.
func (inf *Inference) Coef() []float64 { return inf.f.Coef }

// Cov returns the covariance of β that standard errors come from: adjusted in Kenward & Roger's method.
func (inf *Inference) Cov() dense.Matrix { return inf.cov }

// DF returns the degrees of freedom of the t statistic of l·β: 2/Σ W_ij x_i x_j with x_i = l′(−ΦP_iΦ)l/l′Φl, which is
// Kenward & Roger's m for one row, where λ is 1, and Satterthwaite's formula.
func (inf *Inference) DF(l []float64) float64 {
	q := append([]float64(nil), l...)
	dense.SolveUpperT(inf.f.m.d.r, q)
	whole := form(inf.phi, q)
	x := make([]float64, len(inf.d))
	for i, d := range inf.d {
		x[i] = form(d, q) / whole
	}
	return 1 / form(inf.w, x)
}

// form is x′Ax.
func form(a dense.Matrix, x []float64) float64 {
	s := 0.0
	for i, y := range x {
		if y != 0 {
			s += y * dense.Dot(a.Row(i), x)
		}
	}
	return s
}

// Test is TestRows for callers that know no scale.
func (inf *Inference) Test(l dense.Matrix) (f, numDF, denDF float64, err error) {
	t, err := inf.TestRows(l)
	return t.F, t.NumDF, t.DenDF, err
}

// TestRows tests Lβ = 0. The rows of L must be linearly independent; if they are not, or no degrees of freedom can be
// found, the error says so.
func (inf *Inference) TestRows(l dense.Matrix) (Test, error) {
	q := dense.Matrix{Rows: l.Rows, Cols: l.Cols, Data: append([]float64(nil), l.Data...)}
	for i := range q.Rows {
		dense.SolveUpperT(inf.f.m.d.r, q.Row(i))
	}
	beta := make([]float64, l.Rows)
	for i := range beta {
		beta[i] = dense.Dot(l.Row(i), inf.f.Coef)
	}
	if inf.method == KenwardRoger {
		return inf.scaledF(q, beta)
	}
	return inf.matchedF(q, beta)
}

// between is LML′.
func between(l, m dense.Matrix) dense.Matrix {
	half, out := dense.New(l.Rows, m.Rows), dense.New(l.Rows, l.Rows)
	dense.AddMulT(half, l, m, 1, false)
	dense.AddMulT(out, half, l, 1, false)
	return out
}

// factor replaces a covariance by its triangle; false where its rows depend on each other.
func factor(m dense.Matrix) bool {
	whole := make([]float64, m.Rows)
	for i := range whole {
		whole[i] = m.At(i, i)
	}
	if dense.Cholesky(m) >= 0 {
		return false
	}
	for i, x := range whole {
		if p := m.At(i, i); !(p*p > 1e-12*x) {
			return false
		}
	}
	return true
}

func dependent() error {
	return failed(BadData, "", "the hypotheses of this test depend on each other")
}

// whiten replaces a symmetric M by G⁻¹MG⁻ᵀ.
func whiten(g, m dense.Matrix) {
	for range 2 {
		for i := range m.Rows { // rows: M·G⁻ᵀ
			dense.SolveLower(g, m.Row(i))
		}
		copy(m.Data, transposed(m).Data)
	}
}

func traceOf(m dense.Matrix) float64 {
	s := 0.0
	for i := range m.Rows {
		s += m.At(i, i)
	}
	return s
}

func near(a, b, tolerance float64) bool { return math.Abs(a-b) < tolerance }
