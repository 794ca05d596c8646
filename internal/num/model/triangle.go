package model

import (
	"math"

	"fairplot/internal/num/dense"
)

// triangulate turns columns into an upper triangle by reflections (Householder), in their order and in place. A column
// of which no more is left than its floor is determined by the ones kept before it: it is set aside, its entries then
// being its coordinates on theirs. The rounding that a kept column came with, if given, widens the floor of whatever
// leans on it. It returns the kept columns, and of each column what was left and its floor.
func triangulate(columns [][]float64, base, rounding []float64) (kept []int, left, floor []float64) {
	left = make([]float64, len(columns))
	floor = make([]float64, len(columns))
	var rough []float64 // of the kept ones: their rounding as a share of what was left of them
	for j, c := range columns {
		k := len(kept)
		floor[j] = base[j]
		for i, r := range rough {
			floor[j] += math.Abs(c[i]) * r
		}
		if k < len(c) {
			left[j] = dense.Norm(c[k:])
		}
		if k == len(c) || !(left[j] > floor[j]) {
			continue
		}
		reflect(c[k:], left[j], columns[j+1:], k)
		kept = append(kept, j)
		if rounding != nil {
			rough = append(rough, rounding[j]/left[j])
		}
	}
	return kept, left, floor
}

// reflect maps v onto its first axis and takes the rest of the columns, from entry k on, along.
func reflect(v []float64, length float64, rest [][]float64, k int) {
	alpha := -math.Copysign(length, v[0])
	v[0] -= alpha
	scale := 1 / (length * math.Abs(v[0])) // 2/|v|²
	for _, c := range rest {
		c = c[k:]
		if s := dense.Dot(v, c); s != 0 {
			dense.Axpy(-s*scale, v, c)
		}
	}
	clear(v)
	v[0] = alpha
}
