// Package glmm fits counts of n (so many of so many forked, lifted, lost) with a logit link, fixed effects and
// independent random intercepts or slopes for any number of nested or crossed groupings. The random effects are integrated
// out by Laplace's approximation, or for one grouping by adaptive Gauss-Hermite quadrature as a check on it. It has
// no formulas and no other links; small samples get normal-theory or profile limits and no degrees of freedom.
//
// Symbols follow Bates, Mächler, Bolker & Walker (2015), Journal of Statistical Software 67(1): η = Xβ + Aθu with
// u ~ N(0, I), and Aθ the indicator columns of the groupings times their standard deviations θ.
package glmm

import (
	"fmt"
	"math"

	"fairplot/internal/num/dense"
)

// Data is a table of counts. Success[i] of Trials[i] happened in row i; rows with no trials are allowed and count
// for nothing.
type Data struct {
	Success, Trials []float64
	X               dense.Matrix // rows × fixed effects, of full column rank, with its own column for the mean
	Groups          []Grouping   // none: ordinary logistic regression
}

// Grouping sorts the rows into classes whose effects are random: each an intercept, or with By a slope on it.
type Grouping struct {
	Name   string
	Of     []int32   // class of each row, from 0
	Levels int       // number of classes
	By     []float64 // a covariate by rows, or nil; not with quadrature
}

// Options steer a fit.
type Options struct {
	Nodes int // quadrature points; 0 or 1: Laplace. More need exactly one grouping
}

// Model is a fitted model. Quantities are on the logit scale. Its methods share work space: one goroutine at a time.
type Model struct {
	Beta   []float64    // fixed effects; where Separated names a column, the place where the search stopped
	Cov    dense.Matrix // their covariance from the Hessian of all parameters; NaN where separated
	Spread []Component
	Modes  [][]float64 // effect of each class of each grouping, at its conditional mode
	LogLik float64     // all constants included

	Separated []int // columns of X whose effects are infinite: the outcome never mixes along them
	ends      *recession

	Evaluations int
	Converged   bool    // often false where an effect is separated or a spread unbounded: there is no place to arrive at
	Gradient    float64 // largest component, on a scale where the Hessian is about 1

	objective *objective
	at        []float64    // optimum in the search's own coordinates
	curvature dense.Matrix // Hessian there
	weighted  *weighted    // once asked for
}

// Component is the spread of one grouping.
type Component struct {
	Name       string
	SD         float64
	Error      float64 // standard error of SD; NaN on the boundary
	OnBoundary bool    // SD is exactly 0
	Unbounded  bool    // the likelihood rises with SD without end: the classes are each all or none
}

// Fit estimates the model by maximum likelihood. It errs on data that are no counts, on columns that depend on
// each other and on quadrature over several groupings; separation and boundaries are results, not errors.
func Fit(d Data, o Options) (*Model, error) {
	if err := d.check(o); err != nil {
		return nil, err
	}
	obj, err := newObjective(d, max(o.Nodes, 1))
	if err != nil {
		return nil, err
	}
	start, ends := separation(obj)
	return assemble(obj, obj.search(start), ends), nil
}

func (d Data) check(o Options) error {
	n := len(d.Success)
	if n == 0 || len(d.Trials) != n || d.X.Rows != n {
		return fmt.Errorf("%d counts, %d numbers looked at and %d rows of fixed effects; there must be as many of each, and some", n, len(d.Trials), d.X.Rows)
	}
	total := 0.0
	for i, y := range d.Success {
		if !(y >= 0 && y <= d.Trials[i]) || math.IsInf(d.Trials[i], 0) {
			return fmt.Errorf("row %d: %g of %g is no count; it must lie between none and all", i+1, y, d.Trials[i])
		}
		total += d.Trials[i]
		for j := range d.X.Cols {
			if v := d.X.At(i, j); math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("row %d: fixed effect %d is %g; leave the row out", i+1, j+1, v)
			}
		}
	}
	if total == 0 {
		return fmt.Errorf("nothing was counted in any of the %d rows", n)
	}
	for _, g := range d.Groups {
		if len(g.Of) != n {
			return fmt.Errorf("grouping %s has %d rows of %d", g.Name, len(g.Of), n)
		}
		if g.By != nil && (len(g.By) != n || o.Nodes > 1) {
			return fmt.Errorf("grouping %s has a covariate in %d rows of %d; it needs one in each, and none with quadrature", g.Name, len(g.By), n)
		}
		for i, by := range g.By {
			if math.IsNaN(by) || math.IsInf(by, 0) {
				return fmt.Errorf("grouping %s: row %d has a covariate of %g; leave the row out", g.Name, i+1, by)
			}
		}
		for i, l := range g.Of {
			if l < 0 || int(l) >= g.Levels {
				return fmt.Errorf("grouping %s: row %d is in class %d of %d", g.Name, i+1, l, g.Levels)
			}
		}
	}
	if o.Nodes > 1 && len(d.Groups) != 1 {
		return fmt.Errorf("quadrature is for one grouping and there are %d; use Laplace", len(d.Groups))
	}
	return nil
}
