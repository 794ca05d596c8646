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
// A contrast stays finite where the rows that stand still fix it. It also returns the φ to start a search from: where those steps ended.
func separation(o *objective) ([]float64, *recession) {
	p := o.x.Cols
	phi, step, last := make([]float64, p), make([]float64, p), make([]float64, p)
	for range 30 {
		h := dense.New(p, p)
		clear(step)
		for i, y := range o.y {
			share := expit(dense.Dot(o.x.Row(i), phi))
			for j, x := range o.x.Row(i) {
				step[j] += x * (y - o.n[i]*share)
				dense.Axpy(o.n[i]*share*(1-share)*x, o.x.Row(i)[:j+1], h.Row(j)[:j+1])
			}
		}
		if dense.Cholesky(h) >= 0 {
			break
		}
		dense.SolveLower(h, step)
		dense.SolveLowerT(h, step)
		if largest(step) < 1e-6*(1+largest(phi)) {
			return phi, nil
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
			return phi, o.recession(phi, step)
		}
	}
	if o.recedes(step) {
		return phi, o.recession(phi, step)
	}
	return make([]float64, p), nil
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
		along[i] = dense.Dot(o.x.Row(i), direction)
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
	before := math.Sqrt(dense.Dot(v, v))
	for range 2 { // twice, as in scale
		for _, b := range r.still {
			c := dense.Dot(b, v)
			for j := range v {
				v[j] -= c * b[j]
			}
		}
	}
	rest := math.Sqrt(dense.Dot(v, v))
	if before == 0 || rest <= 1e-8*before {
		return 0
	}
	return rest
}

// recedes checks a direction row by row.
func (o *objective) recedes(direction []float64) bool {
	along := make([]float64, len(o.y))
	for i := range along {
		along[i] = dense.Dot(o.x.Row(i), direction)
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
