package dist

import (
	"errors"
	"fmt"
	"math"

	"fairplot/internal/num/dense"
)

// Dunnett is the law of the largest |T_i| of a multivariate t: several differences from one control. It holds tables made when first
// needed; keep one for a family. It may be shared by goroutines.
type Dunnett struct {
	// Error tells how far Upper may be off, at its largest over all t: the standard error where it was sampled, the change
	// from a coarser rule where nested intervals did not settle, else 0.
	Error float64

	count  int
	method string
	tails  *table
}

// dunnettEnd is where the tables stop: the tail there is below 1e-290.
const dunnettEnd = 36.5

// NewDunnett prepares the law with the given correlations of the differences, a symmetric matrix with unit diagonal. The seed only
// matters where Method says that points are sampled. A matrix that is no correlation matrix is an error.
func NewDunnett(corr dense.Matrix, seed uint64) (*Dunnett, error) {
	if err := checkCorrelation(corr); err != nil {
		return nil, err
	}
	corr = distinct(corr)
	d := &Dunnett{count: corr.Rows}
	if d.count == 1 {
		d.method = "Student's t"
		return d, nil
	}
	return d, d.choose(corr, seed)
}

// negligible is what no p-value shows: the tables on wide panels are as far off.
const negligible = 1e-9

// choose takes the first of the ways that is exact for these correlations, and sampling where none is. Two factors with narrow spreads
// ask for short steps; nested intervals are quicker there while there are few.
func (d *Dunnett) choose(corr dense.Matrix, seed uint64) error {
	if r, ok := newOneFactor(corr); ok {
		d.method, d.tails = "quadrature over one factor", newTable(r.upper, narrow, 0.5, dunnettEnd)
		return nil
	}
	two, misfit := newTwoFactor(corr)
	exact := misfit < fits
	if exact && (two.step > 0.2 || d.count > 5) {
		d.overTwoFactors(two)
		return nil
	}
	if d.count <= 5 {
		r, off, ok := newNested(corr)
		switch {
		case ok && off < negligible:
			d.method, d.tails = "nested quadrature", newTable(r.upper, wide, 4, dunnettEnd)
			return nil
		case exact:
			d.overTwoFactors(two)
			return nil
		case ok && off < 1e-4:
			d.Error, d.method, d.tails = off, "nested quadrature", newTable(r.upper, wide, 4, dunnettEnd)
			return nil
		}
	}
	r, err := newLattice(corr, two, seed)
	if err != nil {
		return err
	}
	d.Error, d.method, d.tails = r.standardError, "sampled lattice points", newTable(r.upper, wide, 4, dunnettEnd)
	return nil
}

func (d *Dunnett) overTwoFactors(r twoFactor) {
	d.method, d.tails = "quadrature over two factors", newTable(r.upper, wide, 4, dunnettEnd)
}

// Method says in a few words how the tail is worked out.
func (d *Dunnett) Method() string { return d.method }

// Upper is P(max |T_i| > t): the adjusted p-value of a difference of t standard errors on df degrees of freedom.
func (d *Dunnett) Upper(t, df float64) float64 {
	switch {
	case !valid(df) || math.IsNaN(t):
		return math.NaN()
	case t <= 0:
		return 1
	case math.IsInf(t, 1):
		return 0
	case d.count == 1:
		return min(1, 2*TUpper(t, df))
	}
	return studentised(t, df, d.tails.at)
}

// Quantile is the t with P(max |T_i| <= t) = p.
func (d *Dunnett) Quantile(p, df float64) float64 { return d.UpperQuantile(1-p, df) }

// UpperQuantile is the t with P(max |T_i| > t) = p: the width of an adjusted interval in standard errors.
func (d *Dunnett) UpperQuantile(p, df float64) float64 {
	v, done := edge(p, math.Inf(1), 0)
	switch {
	case !valid(df):
		return math.NaN()
	case done:
		return v
	}
	one := TUpperQuantile(p/2, df)
	if d.count == 1 {
		return one
	}
	all := TUpperQuantile(p/2/float64(d.count), df)
	return crossing(p, one, all, func(t float64) float64 { return d.Upper(t, df) })
}

// same is how near 1 a correlation must be for two differences to be one.
const same = 1e-13

func checkCorrelation(corr dense.Matrix) error {
	if corr.Rows != corr.Cols || corr.Rows == 0 {
		return fmt.Errorf("dist: correlations of %d by %d: they need as many rows as columns", corr.Rows, corr.Cols)
	}
	for i := range corr.Rows {
		for j := range corr.Rows {
			switch v := corr.At(i, j); {
			case math.IsNaN(v) || math.Abs(v) > 1+1e-9:
				return fmt.Errorf("dist: correlation %d, %d is %v, not between -1 and 1", i+1, j+1, v)
			case i == j && math.Abs(v-1) > 1e-9:
				return fmt.Errorf("dist: correlation %d with itself is %v, not 1", i+1, v)
			case math.Abs(v-corr.At(j, i)) > 1e-9:
				return fmt.Errorf("dist: correlations %d, %d and %d, %d differ", i+1, j+1, j+1, i+1)
			}
		}
	}
	return nil
}

// distinct leaves out differences that are another one or its negative: they change no maximum.
func distinct(corr dense.Matrix) dense.Matrix {
	var kept []int
	for i := range corr.Rows {
		twin := false
		for _, j := range kept {
			twin = twin || math.Abs(corr.At(i, j)) > 1-same
		}
		if !twin {
			kept = append(kept, i)
		}
	}
	out := dense.New(len(kept), len(kept))
	for i, a := range kept {
		for j, b := range kept {
			out.Set(i, j, (corr.At(a, b)+corr.At(b, a))/2)
		}
		out.Set(i, i, 1)
	}
	return out
}

var errNotPositive = errors.New("dist: the correlations contradict each other (their matrix has a negative eigenvalue)")
