package lmm

import "fairplot/internal/num/dense"

// rows holds one vector v_i of length t+1 for each node of a chain level: dense with the nodes along memory (element
// (r, i) belongs to node i), or sparse node by node.
type rows struct {
	dense.Matrix // (t+1) × q; no data when sparse

	start, at []int32 // node i has entries start[i] … start[i+1]
	value     []float64
}

func (v *rows) sparse() bool { return v.start != nil }

// clone copies what the response changes.
func (v *rows) clone() rows {
	c := *v
	c.Data = append([]float64(nil), v.Data...)
	c.value = append([]float64(nil), v.value...)
	return c
}

// setLast stores the last entry (that of y) of every node.
func (v *rows) setLast(y []float64) {
	if !v.sparse() {
		copy(v.Row(v.Rows-1), y)
		return
	}
	for i, x := range y {
		v.value[v.start[i+1]-1] = x
	}
}

// rank adds sign·Σ w_i v_i v_i′ to the lower triangle of s. Scratch is as large as v when v is dense.
func (v *rows) rank(s dense.Matrix, sign float64, w []float64, scratch []float64) {
	if v.sparse() {
		v.sparseRank(s, sign, w)
		return
	}
	q := v.Cols
	wv := dense.Matrix{Rows: v.Rows, Cols: q, Data: scratch[:v.Rows*q]}
	for r := range v.Rows {
		from, to := v.Row(r), wv.Row(r)
		for i, x := range w {
			to[i] = x * from[i]
		}
	}
	dense.AddMulT(s, wv, v.Matrix, sign, true)
}

func (v *rows) sparseRank(s dense.Matrix, sign float64, w []float64) {
	for i, x := range w {
		if x == 0 {
			continue
		}
		at, value := v.at[v.start[i]:v.start[i+1]], v.value[v.start[i]:v.start[i+1]]
		for a, r := range at {
			row := s.Row(int(r))
			f := sign * x * value[a]
			for b, c := range at[:a+1] {
				row[c] += f * value[b]
			}
		}
	}
}

// dots writes x·v_i for every node.
func (v *rows) dots(x, out []float64) {
	if v.sparse() {
		for i := range out {
			s := 0.0
			for e := v.start[i]; e < v.start[i+1]; e++ {
				s += x[v.at[e]] * v.value[e]
			}
			out[i] = s
		}
		return
	}
	clear(out)
	for r, f := range x {
		if f != 0 {
			dense.Axpy(f, v.Row(r), out)
		}
	}
}

// sum writes Σ w_i v_i.
func (v *rows) sum(w, out []float64) {
	if !v.sparse() {
		for r := range out {
			out[r] = dense.Dot(v.Row(r), w)
		}
		return
	}
	clear(out)
	for i, x := range w {
		for e := v.start[i]; e < v.start[i+1]; e++ {
			out[v.at[e]] += x * v.value[e]
		}
	}
}
