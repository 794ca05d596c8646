// Package linear fits linear models by least squares on orthogonalised columns, with the rank found first. It makes no
// normal equations, so covariates on scales from 1e-9 to 1e9 may stand side by side.
package linear

import (
	"errors"
	"fmt"
	"math"

	"fairplot/internal/num/dense"
)

// Data is what a model is fitted to. It is not changed and not kept.
type Data struct {
	Y       []float64
	X       dense.Matrix // rows × columns; later columns that earlier ones determine are dropped
	Weights []float64    // nil, or positive: the residual variance of a row is σ²/weight
}

// Reasons why a fit has no variance, and so no tests. The coefficients stand all the same.
var (
	ErrNoResidual = errors.New("the model has as many effects as there are rows, so nothing is left over to judge by")
	ErrPerfectFit = errors.New("the model fits every row exactly, so nothing is left over to judge by")
	ErrDependent  = errors.New("the hypotheses of this test depend on each other")
)

// rounding: what is left of a column below determined times itself is nothing; so is a residual below exact times the
// response it came from.
const (
	determined = 1e-12
	exact      = 2e-14
)

// Fit is a fitted model. Coefficients, covariance and hypotheses are over the kept columns.
type Fit struct {
	Kept     []int
	Dropped  []int
	Residual float64 // residual degrees of freedom
	Variance float64 // σ², 0 where Doubt is set
	Left     float64 // residual sum of squares, weighted
	Doubt    error   // ErrNoResidual, ErrPerfectFit or nil

	coef []float64
	r    dense.Matrix
	cov  dense.Matrix
}

// LeastSquares fits a model. It errs on data that are not finite or do not belong together, and when no column is left.
func LeastSquares(d Data) (*Fit, error) {
	if err := check(d); err != nil {
		return nil, err
	}
	n := d.X.Rows
	columns, y := dense.New(d.X.Cols, n), append([]float64(nil), d.Y...)
	for i := range n {
		root := 1.0
		if d.Weights != nil {
			root = math.Sqrt(d.Weights[i])
		}
		y[i] *= root
		for j, x := range d.X.Row(i) {
			columns.Data[j*n+i] = root * x
		}
	}
	q := dense.Factor(columns, determined)
	if len(q.Kept) == 0 {
		return nil, errors.New("no column of the model is different from 0")
	}
	f := &Fit{Kept: q.Kept, Dropped: q.Dropped, Residual: float64(n - len(q.Kept)), r: q.R}
	whole := dense.Norm(y)
	f.coef = q.Project(y)
	dense.SolveUpper(q.R, f.coef)
	left := dense.Norm(y)
	f.Left = left * left
	switch {
	case f.Residual == 0:
		f.Doubt, f.Left = ErrNoResidual, 0
	case !(left > exact*whole):
		f.Doubt, f.Left = ErrPerfectFit, 0
	default:
		f.Variance = f.Left / f.Residual
		f.cov = f.covariance()
	}
	return f, nil
}

func check(d Data) error {
	if d.X.Rows != len(d.Y) || len(d.Y) == 0 || d.X.Cols == 0 {
		return fmt.Errorf("there are %d responses for %d rows of %d columns", len(d.Y), d.X.Rows, d.X.Cols)
	}
	if d.Weights != nil && len(d.Weights) != len(d.Y) {
		return fmt.Errorf("there are %d weights for %d rows", len(d.Weights), len(d.Y))
	}
	for i, y := range d.Y {
		if math.IsNaN(y) || math.IsInf(y, 0) {
			return fmt.Errorf("row %d: the response is not a finite number", i+1)
		}
		if d.Weights != nil && (!(d.Weights[i] > 0) || math.IsInf(d.Weights[i], 0)) {
			return fmt.Errorf("row %d: the weight is not a positive number", i+1)
		}
	}
	for i, x := range d.X.Data {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("row %d: column %d is not a finite number", i/d.X.Cols+1, i%d.X.Cols+1)
		}
	}
	return nil
}

// covariance is σ²(R′R)⁻¹: row k of R⁻ᵀ solves a unit vector.
func (f *Fit) covariance() dense.Matrix {
	p := f.r.Rows
	rows, out := dense.New(p, p), dense.New(p, p)
	for k := range p {
		rows.Set(k, k, 1)
		dense.SolveUpperT(f.r, rows.Row(k))
	}
	// (R⁻¹)_ik stands at rows(i, k); R⁻¹R⁻ᵀ is row against row.
	dense.AddMulT(out, rows, rows, f.Variance, false)
	return out
}

// Coef returns the coefficients of the kept columns.
func (f *Fit) Coef() []float64 { return f.coef }

// Cov returns their covariance; it has no rows where Doubt is set.
func (f *Fit) Cov() dense.Matrix { return f.cov }

// DF returns the residual degrees of freedom, which serve every contrast.
func (f *Fit) DF([]float64) float64 { return f.Residual }

// Test returns F of L·β = 0, one hypothesis a row, with its degrees of freedom. It errs where there is no variance, and
// when the rows depend on each other.
func (f *Fit) Test(l dense.Matrix) (stat, numDF, denDF float64, err error) {
	if f.Doubt != nil {
		return 0, 0, 0, f.Doubt
	}
	// L·R⁻¹ has orthonormal coordinates, so its own length is the standard error; no covariance is inverted.
	q := dense.Matrix{Rows: l.Rows, Cols: l.Cols, Data: append([]float64(nil), l.Data...)}
	b := make([]float64, l.Rows)
	for i := range b {
		b[i] = dense.Dot(l.Row(i), f.coef)
		dense.SolveUpperT(f.r, q.Row(i))
	}
	o := dense.Factor(q, determined)
	if len(o.Dropped) > 0 {
		return 0, 0, 0, ErrDependent
	}
	dense.SolveUpperT(o.R, b)
	return dense.Dot(b, b) / float64(l.Rows) / f.Variance, float64(l.Rows), f.Residual, nil
}
