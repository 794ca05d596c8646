package model

import "fairplot/internal/num/dense"

// Hypothesis returns the type II hypothesis of a term, one row a degree of freedom over the kept columns: the rows of the
// triangle of X when the terms that do not contain this one come first, then it, then those that contain it. Least
// squares tests just these contrasts; a term without degrees of freedom has no rows.
func (d *Design) Hypothesis(t Term) dense.Matrix {
	var order []int
	from := 0
	for c, j := range d.kept {
		if u := d.columns[j].term; u != t && !u.Contains(t) {
			order = append(order, c)
		}
	}
	from = len(order)
	for c, j := range d.kept {
		if d.columns[j].term == t {
			order = append(order, c)
		}
	}
	to := len(order)
	for c, j := range d.kept {
		if d.columns[j].term.Contains(t) {
			order = append(order, c)
		}
	}
	rows := d.reordered(order, to)
	out := dense.New(to-from, len(order))
	for i := from; i < to; i++ {
		for c, j := range order {
			out.Set(i-from, j, rows[c][i])
		}
	}
	return out
}

// reordered triangulates the columns of R in another order, the first to of them, and returns the columns. Those that
// keep their place at the front are triangular already.
func (d *Design) reordered(order []int, to int) [][]float64 {
	p := len(order)
	columns := make([][]float64, p)
	flat := make([]float64, p*p)
	for c, j := range order {
		columns[c] = flat[c*p : (c+1)*p]
		for i := 0; i <= j; i++ {
			columns[c][i] = d.r.At(i, j)
		}
	}
	same := 0
	for same < p && order[same] == same {
		same++
	}
	for k := same; k < to; k++ {
		reflect(columns[k][k:], dense.Norm(columns[k][k:]), columns[k+1:], k)
	}
	return columns
}
