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
// A contrast stays finite where the rows that stand still fix it.
func separation(o *objective) *recession {
	p := o.x.Cols
	phi, step, last := make([]float64, p), make([]float64, p), make([]float64, p)
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
		change := 0.0
		for j := range last {
			change = max(change, math.Abs(step[j]-last[j]))
		}
		copy(last, step)
		if change < 1e-6*largest(step) && o.recedes(step) {
			return o.recession(phi, step)
		}
	}
	if o.recedes(step) {
		return o.recession(phi, step)
	}
	return nil
}

// recession is a direction without end, and an orthonormal basis, in the objective's coordinates, of the rows that
// stand still along it.
type recession struct {
	direction []float64 // of β
	scaled    []float64 // the same, of φ
	reached   []float64 // φ so far along it that the likelihood has no more to gain
	still     [][]float64
}

func (o *objective) recession(reached, direction []float64) *recession {
	out := &recession{direction: o.beta(direction), scaled: append([]float64(nil), direction...), reached: reached}
	along := make([]float64, len(o.y))
	for i := range along {
		along[i] = dot(o.x.Row(i), direction)
	}
	small := 1e-4 * largest(along)
	for i, a := range along {
		if o.n[i] == 0 || math.Abs(a) > small {
			continue
		}
		row := append([]float64(nil), o.x.Row(i)...)
		if rest := out.leftover(row); rest > 1e-8 {
			for j := range row {
				row[j] /= rest
			}
			out.still = append(out.still, row)
		}
	}
	return out
}

// leftover takes from v in place what the rows that stand still span, and returns the length of the rest over that of v.
func (r *recession) leftover(v []float64) float64 {
	before := math.Sqrt(dot(v, v))
	for range 2 { // twice, as in scale
		for _, b := range r.still {
			c := dot(b, v)
			for j := range v {
				v[j] -= c * b[j]
			}
		}
	}
	rest := math.Sqrt(dot(v, v))
	if before == 0 || rest <= 1e-8*before {
		return 0
	}
	return rest
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
