package glmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// separation looks for a direction of the fixed effects along which the likelihood never falls: no row that
// happened always may go down along it, none that never happened up, and mixed rows must stand still (Albert &
// Anderson 1984, Biometrika 71:1-10). Random effects do not change that. It returns the direction in β, or nil.
//
// Newton steps of the model without random effects settle on such a direction where there is one, with weights
// that die out on the rows that agree; the direction is then checked row by row, so nil can only be too cautious.
func separation(o *objective) []float64 {
	p := o.x.Cols
	phi, step := make([]float64, p), make([]float64, p)
	for range 30 {
		h := dense.New(p, p)
		clear(step)
		for i := range o.y {
			mu, w, _ := o.moments(i, dot(o.x.Row(i), phi))
			for j, x := range o.x.Row(i) {
				step[j] += x * (o.y[i] - mu)
				for k := range j + 1 {
					h.Data[j*p+k] += w * x * o.x.At(i, k)
				}
			}
		}
		if cholesky(h, 0) >= 0 {
			break
		}
		lowerSolve(h, step)
		upperSolve(h, step)
		if largest(step) < 1e-6*(1+largest(phi)) {
			return nil
		}
		for j := range phi {
			phi[j] += step[j]
		}
		if gone := o.recedes(step); gone && largest(phi) > 8 {
			return o.beta(step)
		}
	}
	if o.recedes(step) {
		return o.beta(step)
	}
	return nil
}

// recedes checks a direction row by row.
func (o *objective) recedes(direction []float64) bool {
	along := make([]float64, len(o.y))
	for i := range along {
		along[i] = dot(o.x.Row(i), direction)
	}
	small := 1e-4 * largest(along)
	if !(small > 0) || math.IsInf(small, 1) {
		return false
	}
	for i, a := range along {
		if o.n[i] == 0 {
			continue
		}
		if o.y[i] > 0 && a < -small || o.y[i] < o.n[i] && a > small {
			return false
		}
	}
	return true
}
