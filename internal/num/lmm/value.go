package lmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// Value is the criterion: minus twice the restricted log-likelihood, all constants included, at the best σ²,
//
//	d(θ) = log|V| + log|X′V⁻¹X| + (n−p)(1 + log(2π y′Py/(n−p)))   (1)
func (w *work) Value(theta []float64) float64 {
	for k, t := range theta {
		w.theta[k], w.g[k] = t, t*t
	}
	copy(w.s.Data, w.d.base.Data)
	copy(w.s.Row(w.d.t), w.yRow)
	logs := w.up()
	w.scale()
	if dense.Cholesky(w.l) >= 0 {
		return math.Inf(1)
	}
	t1 := w.d.t + 1
	logs += 2 * logSum(w.d.t, func(i int) float64 { return w.l.Data[i*t1+i] })
	pivot := w.l.At(w.d.t, w.d.t)
	w.yPy = pivot * pivot
	return logs + float64(w.d.nf)*math.Log(w.yPy) + w.constant()
}

// up eliminates the chain from the finest level, and returns log|V_c|. A node j of a higher level is the sum of its
// children, so its column needs only theirs: a_j = Σ h_i, v_j = Σ c_i v_i. (5)
func (w *work) up() float64 {
	logs := 0.0
	for x := range w.levels {
		lv := &w.levels[x]
		if x > 0 {
			w.gather(&w.levels[x-1], lv)
		}
		g := w.g[lv.k]
		for i, a := range lv.a {
			d := 1 + g*a
			lv.c[i], lv.h[i], lv.w[i] = 1/d, a/d, g/d
		}
		if g > 0 {
			logs -= logSum(lv.q, func(i int) float64 { return lv.c[i] })
			lv.v.rank(w.s, -1, lv.w, w.wide)
		}
	}
	return logs
}

// gather forms the columns of a level from those of the one below.
func (w *work) gather(below, lv *level) {
	clear(lv.a)
	for i, j := range below.parent {
		lv.a[j] += below.h[i]
	}
	for r := range lv.v.Rows {
		from, to := below.v.Row(r), lv.v.Row(r)
		clear(to)
		for i, j := range below.parent {
			to[j] += below.c[i] * from[i]
		}
	}
}

// scale writes ΘSΘ + I (S for X and y) to l.
func (w *work) scale() {
	t1, m := w.d.t+1, w.d.m
	for i := range w.x {
		w.x[i] = 1
	}
	for _, b := range w.blocks {
		for i := range b.q {
			w.x[b.at+i] = w.theta[b.k]
		}
	}
	for i := range t1 {
		from, to, f := w.s.Data[i*t1:i*t1+i+1], w.l.Data[i*t1:i*t1+i+1], w.x[i]
		for j, x := range w.x[:i+1] {
			to[j] = from[j] * (f * x)
		}
		if i < m {
			to[i]++
		}
	}
}

// logSum is the sum of n logarithms, taken of products as far as their range allows.
func logSum(n int, at func(int) float64) float64 {
	sum, product := 0.0, 1.0
	for i := range n {
		product *= at(i)
		if product < 1e-100 || product > 1e100 {
			sum += math.Log(product)
			product = 1
		}
	}
	return sum + math.Log(product)
}
