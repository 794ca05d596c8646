// Package model turns a table of plots and formulae in the notation of Wilkinson & Rogers (1973) into what the fitting
// engines want, and their estimates back into adjusted means and families of differences: coding, aliasing, hypotheses,
// groupings, estimability, adjustment for several comparisons. It fits nothing itself and reads no files.
package model

import "fairplot/internal/num/dense"

// Estimator is a fitted model as the means and differences need it: coefficients of the kept columns of a Design, in
// their order, their covariance (adjusted for small samples where the method does so), and tests.
type Estimator interface {
	Coef() []float64
	Cov() dense.Matrix
	// DF returns the degrees of freedom of the t statistic of l·β.
	DF(l []float64) float64
	// Test tests L·β = 0, one hypothesis a row.
	Test(l dense.Matrix) (f, numDF, denDF float64, err error)
}
