package lmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// saturated refuses designs in which fixed effects and groups together use up all the rows: the likelihood then has no
// maximum, whatever the response. That can only be when there are as many of them as rows.
func (d *design) saturated() error {
	columns := d.p
	for _, g := range d.groups {
		columns += g.q
	}
	if columns < d.n {
		return nil
	}
	if rank, _ := d.within(d.copyBase(), d.first); rank >= d.n {
		return failed(NoResidual, "", "fixed effects and groups together use up all %d rows, so nothing is left over to judge by", d.n)
	}
	return nil
}

// degenerate tells, where the search ended on a residual that is next to nothing, whether it is nothing.
func (d *design) degenerate(w *work, theta []float64) error {
	large := 0.0
	for _, t := range theta {
		large = max(large, t)
	}
	if w.yPy > 1e-8 && large < 1e4 {
		return nil
	}
	base := d.copyBase()
	copy(base.Row(d.t), w.yRow)
	if _, left := d.within(base, w.levels[0].v); left < 1e-13 {
		return failed(PerfectFit, "", "fixed effects and groups fit these rows perfectly, so nothing is left over to judge by")
	}
	return nil
}

func (d *design) copyBase() dense.Matrix {
	return dense.Matrix{Rows: d.t + 1, Cols: d.t + 1, Data: append([]float64(nil), d.base.Data...)}
}

// within returns the rank of [X, Z] and the residual sum of squares of y on it, from the cross-products of the tail
// within the classes of the chain's first level. It overwrites base.
func (d *design) within(base dense.Matrix, first rows) (rank int, left float64) {
	size := d.groups[d.chain[0].k].size
	w := make([]float64, len(size))
	for i, s := range size {
		if s > 0 {
			w[i] = 1 / s
			rank++
		}
	}
	whole := make([]float64, d.t)
	for i := range whole {
		whole[i] = base.At(i, i)
	}
	var scratch []float64
	if !first.sparse() {
		scratch = make([]float64, first.Rows*first.Cols)
	}
	first.rank(base, -1, w, scratch)
	return rank + pivot(base, whole), base.At(d.t, d.t)
}

// pivot takes the columns out of a matrix one by one, always the one with the largest share of itself left, until none
// has more than rounding. It returns their number.
func pivot(s dense.Matrix, whole []float64) int {
	n := len(whole)
	dense.Mirror(s)
	done := make([]bool, n)
	for rank := 0; ; rank++ {
		best, share := -1, 1e-9
		for i := range n {
			if x := s.At(i, i) / whole[i]; !done[i] && whole[i] > 0 && x > share {
				best, share = i, x
			}
		}
		if best < 0 {
			return rank
		}
		done[best] = true
		root := math.Sqrt(s.At(best, best))
		row := append([]float64(nil), s.Row(best)...)
		for j := range row {
			row[j] /= root
		}
		for i := range s.Rows {
			if row[i] != 0 {
				dense.Axpy(-row[i], row, s.Row(i))
			}
		}
	}
}

// independent tells whether the covariances of some groupings can be told apart: the chosen rows and columns of the left
// side of the start, on unit diagonal, have full rank.
func independent(a dense.Matrix, order []int) bool {
	l := dense.New(len(order), len(order))
	for x, i := range order {
		for y, j := range order[:x+1] {
			l.Set(x, y, a.At(i, j)/math.Sqrt(a.At(i, i)*a.At(j, j)))
		}
	}
	if dense.Cholesky(l) >= 0 {
		return false
	}
	for i := range order {
		if l.At(i, i)*l.At(i, i) < 1e-10 {
			return false
		}
	}
	return true
}
