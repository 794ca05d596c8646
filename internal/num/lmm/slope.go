package lmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// quiet is a gradient by θ that ends a search, or is a step from its end.
const quiet = 1e-8

// Slopes writes the derivatives of the criterion by g at the θ of the last Value: with s_k = Z_k′Py, K_kl = Z_k′PZ_l,
// a_kl = s_k′K_kl s_l,
//
//	d′_k  = tr K_kk − (n−p)|s_k|²/y′Py   (2)
//	d″_kl = −|K_kl|² + 2(n−p) a_kl/y′Py − (n−p)|s_k|²|s_l|²/(y′Py)²   (3)
//
// or, in place of d″ in large problems, the average information (n−p)(a_kl/y′Py − |s_k|²|s_l|²/(y′Py)²) (4) of Gilmour,
// Thompson & Cullis (1995), which needs no traces; so also where the gradient leaves nothing to be gained by more.
func (w *work) Slopes(gradient []float64, curvature dense.Matrix) {
	w.solve()
	w.down()
	w.groups()
	w.products()
	nf := float64(w.d.nf)
	steep := 0.0
	for k := range gradient {
		gradient[k] = w.trace[k] - nf*w.ss[k]/w.yPy
		if w.g[k] > 0 {
			steep = max(steep, math.Abs(2*w.theta[k]*gradient[k]))
		} else {
			steep = max(steep, -gradient[k])
		}
	}
	hessian := w.exact && steep > quiet
	if hessian {
		w.norms(nil)
	}
	for k := range gradient {
		for l := range gradient {
			h := nf * (w.a.At(k, l)/w.yPy - w.ss[k]*w.ss[l]/(w.yPy*w.yPy))
			if hessian {
				h += nf*w.a.At(k, l)/w.yPy - w.kk.At(k, l)
			}
			curvature.Set(k, l, h)
		}
	}
}

// solve inverts the tail: T, C = ΘTΘ and α = C S_y, the solutions for the groups of the tail and for X. Traces of T, by
// grouping, go to trace. With V_c the covariance of the chain alone, P = V_c⁻¹ − V_c⁻¹W C W′V_c⁻¹ (6).
func (w *work) solve() {
	t, t1 := w.d.t, w.d.t+1
	dense.CholeskyInverse(w.l, t, w.c, w.spare)
	dense.Mirror(w.s)
	for i := range w.x {
		w.x[i] = 1
	}
	for _, b := range w.blocks {
		sum := 0.0
		for i := b.at; i < b.at+b.q; i++ {
			sum += w.c.Data[i*t1+i]
			w.x[i] = w.theta[b.k]
		}
		w.trace[b.k] = sum
	}
	w.x[t] = 0
	for i := range t1 {
		row, f := w.c.Data[i*t1:i*t1+i+1], w.x[i]
		if i == t {
			clear(row)
			break
		}
		for j, x := range w.x[:i+1] {
			row[j] *= f * x
		}
	}
	dense.Mirror(w.c)
	sy := w.s.Row(t)
	for i := range t1 {
		w.alpha[i] = dense.Dot(w.c.Row(i), sy)
	}
}

// down finishes the chain from the coarsest level: u_i = W′V_c⁻¹z_i, then s, B_k = U_kU_k′ and tr K_kk.
func (w *work) down() {
	for x := len(w.levels) - 1; x >= 0; x-- {
		lv := &w.levels[x]
		for i, c := range lv.c {
			lv.tau[i] = lv.w[i]
			if lv.parent != nil {
				lv.tau[i] += c * c * w.levels[x+1].tau[lv.parent[i]]
			}
		}
	}
	if len(w.levels) > 1 {
		for r := range w.d.t + 1 {
			w.downRow(r)
		}
	}
	for i, a := range w.alpha {
		w.x[i] = -a
	}
	w.x[w.d.t] = 1
	for x := range w.levels {
		w.level(x)
	}
}

// downRow carries one row of the tail down the chain: u_i = c_i v_i − h_i t_parent with t_j = w_j v_j + c_j t_parent. (7)
func (w *work) downRow(r int) {
	for x := len(w.levels) - 1; x >= 0; x-- {
		lv := &w.levels[x]
		v, u := lv.v.Row(r), lv.u.Row(r)
		if lv.parent == nil {
			for i, y := range v {
				u[i] = lv.c[i] * y
				lv.t[i] = lv.w[i] * y
			}
			continue
		}
		above := w.levels[x+1].t
		for i, y := range v {
			t := above[lv.parent[i]]
			u[i] = lv.c[i]*y - lv.h[i]*t
			lv.t[i] = lv.w[i]*y + lv.c[i]*t
		}
	}
}

// level finishes one level of the chain; x holds (−α, 1).
func (w *work) level(x int) {
	lv := &w.levels[x]
	s := w.sk[lv.k]
	w.uDots(lv, w.x, s)
	w.ss[lv.k] = dense.Dot(s, s)
	w.uSum(lv, s, w.z[lv.k])
	clear(lv.b.Data)
	w.uRank(lv, lv.b, lv.ones)
	dense.Mirror(lv.b)
	trace := 0.0
	for i := range lv.q {
		trace += w.own(x, i)
	}
	w.trace[lv.k] = trace - dense.Dot(w.c.Data, lv.b.Data)
}

// own is z_i′V_c⁻¹z_i = h_i(1 − h_i τ_parent).
func (w *work) own(x, i int) float64 {
	lv := &w.levels[x]
	if lv.parent == nil {
		return lv.h[i]
	}
	return lv.h[i] * (1 - lv.h[i]*w.levels[x+1].tau[lv.parent[i]])
}

// uDots, uSum and uRank work on the u of a level; in a chain of one level u = c v is never formed.
func (w *work) uDots(lv *level, x, out []float64) {
	if len(w.levels) > 1 {
		lv.u.dots(x, out)
		return
	}
	lv.v.dots(x, out)
	for i, c := range lv.c {
		out[i] *= c
	}
}

func (w *work) uSum(lv *level, weight, out []float64) {
	if len(w.levels) > 1 {
		lv.u.sum(weight, out)
		return
	}
	for i, c := range lv.c {
		lv.f[i] = c * weight[i]
	}
	lv.v.sum(lv.f, out)
}

func (w *work) uRank(lv *level, into dense.Matrix, weight []float64) {
	if len(w.levels) > 1 {
		lv.u.rank(into, 1, weight, w.wide)
		return
	}
	for i, c := range lv.c {
		lv.f[i] = c * c * weight[i]
	}
	lv.v.rank(into, 1, lv.f, w.wide)
}

// groups does the same for the groupings of the tail: where g > 0, tr K_kk = (q_k − tr T_kk)/g_k and s_k = α_k/g_k; where
// g is 0, or so small that this would lose its digits, N = e − CS_k, K_kk = S_k·N, s_k = S_ky − S_k·α. (8)
func (w *work) groups() {
	t := w.d.t
	for x := range w.blocks {
		b := &w.blocks[x]
		s, g := w.sk[b.k], w.g[b.k]
		b.zero = g*b.size < 1e-6
		if b.zero {
			w.fillN(b)
			w.trace[b.k] = 0
		} else {
			w.trace[b.k] = (float64(b.q) - w.trace[b.k]) / g
		}
		for i := range b.q {
			if !b.zero {
				s[i] = w.alpha[b.at+i] / g
				continue
			}
			row := w.s.Row(b.at + i)
			s[i] = row[t] - dense.Dot(row, w.alpha)
			w.trace[b.k] += dense.Dot(row, b.n.Row(i))
		}
		w.ss[b.k] = dense.Dot(s, s)
		z := w.z[b.k]
		clear(z)
		for i, f := range s {
			dense.Axpy(f, w.s.Row(b.at+i), z)
		}
	}
}

// fillN writes N′ for a grouping at zero; its column of y is left out.
func (w *work) fillN(b *tailBlock) {
	t1 := w.d.t + 1
	if b.n.Data == nil {
		b.n = dense.New(b.q, t1)
	}
	clear(b.n.Data)
	rows := dense.Matrix{Rows: b.q, Cols: t1, Data: w.s.Data[b.at*t1 : (b.at+b.q)*t1]}
	dense.AddMulT(b.n, rows, w.c, -1, false)
	for i := range b.q {
		b.n.Data[i*t1+b.at+i]++
	}
}

// products forms a_kl = s_k′(Z_k′V_c⁻¹Z_l)s_l − z_k′C z_l.
func (w *work) products() {
	for x := range w.levels {
		for y := range x + 1 {
			a, b := &w.levels[y], &w.levels[x]
			w.carry(x, y, w.sk[b.k], a.f)
			w.setA(a.k, b.k, dense.Dot(w.sk[a.k], a.f))
		}
	}
	for x := range w.blocks {
		b := &w.blocks[x]
		for k := range w.sk {
			if p := w.d.place(k); p < 0 || p <= b.at {
				w.setA(k, b.k, dense.Dot(w.sk[b.k], w.z[k][b.at:b.at+b.q]))
			}
		}
	}
	for k := range w.z {
		for i := range w.cz {
			w.cz[i] = dense.Dot(w.c.Row(i), w.z[k])
		}
		for l := range k + 1 {
			w.setA(k, l, w.a.At(k, l)-dense.Dot(w.cz, w.z[l]))
		}
	}
}

func (w *work) setA(k, l int, v float64) {
	w.a.Set(k, l, v)
	w.a.Set(l, k, v)
}

// carry writes Z_a′V_c⁻¹Z_b x for levels a and b of the chain, a not above b.
func (w *work) carry(b, a int, x, out []float64) {
	top := len(w.levels) - 1
	copy(w.levels[b].x, x)
	for m := b; m >= a; m-- {
		lv := &w.levels[m]
		if m < b {
			for i, j := range lv.parent {
				lv.x[i] = w.levels[m+1].x[j]
			}
		}
		for i, y := range lv.x {
			lv.f[i] = lv.a[i] * y
		}
	}
	for m := b + 1; m <= top; m++ {
		below, lv := &w.levels[m-1], &w.levels[m]
		clear(lv.f)
		for i, j := range below.parent {
			lv.f[j] += below.c[i] * below.f[i]
		}
	}
	for m := top; m >= a; m-- {
		w.carryDown(m, m == a, out)
	}
}

// carryDown is the step of downRow for a column that is not of the tail.
func (w *work) carryDown(m int, last bool, out []float64) {
	lv := &w.levels[m]
	for i, f := range lv.f {
		t := 0.0
		if lv.parent != nil {
			t = w.levels[m+1].t[lv.parent[i]]
		}
		if last {
			out[i] = lv.c[i]*f - lv.h[i]*t
		} else {
			lv.t[i] = lv.w[i]*f + lv.c[i]*t
		}
	}
}
