package lmm

import (
	"slices"

	"fairplot/internal/num/dense"
)

// pieces are the p × p matrices that Kenward & Roger's and Satterthwaite's methods are made of, in coordinates of Q and
// relative to σ²; index r (the number of groupings) is the residual.
type pieces struct {
	phi dense.Matrix     // Φ = (Q′V⁻¹Q)⁻¹
	d   []dense.Matrix   // −ΦP_iΦ, P_i = −Q′V⁻¹G_iV⁻¹Q
	f   [][]dense.Matrix // Φ(Q_ij − P_iΦP_j)Φ, Q_ij = Q′V⁻¹G_iV⁻¹G_jV⁻¹Q
	n   dense.Matrix     // tr PG_iPG_j
	rt  []dense.Matrix   // R_k′ = ΦQ′V⁻¹Z_k of the groupings in the tail
}

// norms fills |K_kl|², and the pieces when they are wanted. Nothing of the size of the rows, nor of the chain's nodes
// squared, is formed: with E_k = CB_k and M_kl = U_k(Z_k′V_c⁻¹Z_l)U_l′,
//
//	chain, chain: |K_kl|² = |Z_k′V_c⁻¹Z_l|² − 2 tr CM_kl + tr E_kE_l
//	chain, tail:  |K_kl|² = Σ_j N_j′B_kN_j
//	tail, tail:   K_kl itself   (11)-(13)
func (w *work) norms(want *pieces) {
	t1 := w.d.t + 1
	for x := range w.levels {
		lv := &w.levels[x]
		if lv.e.Data == nil {
			lv.e = dense.New(t1, t1)
		}
		clear(lv.e.Data)
		dense.AddMulT(lv.e, w.c, lv.b, 1, false)
	}
	if want != nil {
		w.shadows(want)
	}
	for x := range w.levels {
		for y := range x + 1 {
			w.chainChain(y, x, want)
		}
		for y := range w.blocks {
			w.chainTail(x, y, want)
		}
	}
	for x := range w.blocks {
		for y := range x + 1 {
			w.tailTail(x, y, want)
		}
	}
}

func (w *work) setKK(k, l int, v float64) {
	w.kk.Set(k, l, v)
	w.kk.Set(l, k, v)
}

// cx holds the X rows of C: Φ is its last block.
func (w *work) xRows(m dense.Matrix) dense.Matrix {
	t1 := w.d.t + 1
	return dense.Matrix{Rows: w.d.p, Cols: t1, Data: m.Data[w.d.m*t1 : w.d.t*t1]}
}

// chainChain does levels a ≤ b.
func (w *work) chainChain(a, b int, want *pieces) {
	la, lb := &w.levels[a], &w.levels[b]
	m := w.spare
	clear(m.Data)
	if len(w.levels) == 1 {
		w.uRank(la, m, la.h)
		dense.Mirror(m)
	} else {
		carried := dense.Matrix{Rows: m.Rows, Cols: la.q, Data: w.wide[:m.Rows*la.q]}
		for r := range carried.Rows {
			w.carry(b, a, lb.u.Row(r), carried.Row(r))
		}
		dense.AddMulT(m, la.u.Matrix, carried, 1, false)
	}
	w.setKK(la.k, lb.k, w.chainNorm(a, b)-2*dense.Dot(w.c.Data, m.Data)+crossTrace(la.e, lb.e))
	if want == nil {
		return
	}
	cx, p := w.xRows(w.c), w.d.p
	f, half := dense.New(p, p), dense.New(p, m.Rows)
	dense.AddMulT(half, cx, m, 1, false) // C_X M′
	dense.AddMulT(f, cx, half, 1, false)
	clear(half.Data)
	dense.AddMulT(half, w.xRows(lb.e), w.c, 1, false)
	dense.AddMulT(f, w.xRows(la.e), half, -1, false)
	want.setF(la.k, lb.k, f)
}

// crossTrace is tr AB.
func crossTrace(a, b dense.Matrix) float64 {
	const step = 32 // block by block, since B is read against the grain
	n, sum := a.Rows, 0.0
	for i0 := 0; i0 < n; i0 += step {
		for j0 := 0; j0 < n; j0 += step {
			for i := i0; i < min(i0+step, n); i++ {
				for j := j0; j < min(j0+step, n); j++ {
					sum += a.Data[i*n+j] * b.Data[j*n+i]
				}
			}
		}
	}
	return sum
}

// chainNorm is |Z_a′V_c⁻¹Z_b|² for levels a ≤ b. With λ_i(j) = z_i′V⁻¹z_j before the level of j, for i under j, the
// entry is λ_i(j)c_j(1 − h_jτ_parent) where j lies above i (or is i), and −λ_i(J)λ_j(J)τ_J where they meet first in J.
// The squares are summed node by node, from Σ_i λ_i(J)² over the nodes of a level under J.
func (w *work) chainNorm(a, b int) float64 {
	sum := 0.0
	w.loads(a, b)
	for j := range w.levels[b].q {
		own := w.levels[b].c[j]
		if parent := w.levels[b].parent; parent != nil {
			own *= 1 - w.levels[b].h[j]*w.levels[b+1].tau[parent[j]]
		}
		sum += w.levels[b].f[j] * own * own
	}
	for m := b + 1; m < len(w.levels); m++ {
		sum += w.meetings(m, a, b)
	}
	return sum
}

// loads leaves Σ λ² over the nodes of level a under each node of level m in f.
func (w *work) loads(a, m int) {
	for i, x := range w.levels[a].a {
		w.levels[a].f[i] = x * x
	}
	for x := a + 1; x <= m; x++ {
		below, lv := &w.levels[x-1], &w.levels[x]
		clear(lv.f)
		for i, j := range below.parent {
			lv.f[j] += below.c[i] * below.c[i] * below.f[i]
		}
	}
}

// meetings sums the squares over the pairs that meet first at level m.
func (w *work) meetings(m, a, b int) float64 {
	below, lv := &w.levels[m-1], &w.levels[m]
	w.loads(a, m)
	copy(lv.x, lv.f)
	copy(below.x, below.f)
	w.loads(b, m)
	for j, y := range lv.f {
		lv.x[j] *= y
	}
	for i, j := range below.parent {
		c2 := below.c[i] * below.c[i]
		lv.x[j] -= c2 * c2 * below.x[i] * below.f[i]
	}
	sum := 0.0
	for j, y := range lv.x {
		sum += lv.tau[j] * lv.tau[j] * y
	}
	return sum
}

// scaledN returns the rows of N′ up to a factor: N = C_k/g_k where g > 0.
func (w *work) scaledN(b *tailBlock) (dense.Matrix, float64) {
	if b.zero {
		return b.n, 1
	}
	t1 := w.d.t + 1
	return dense.Matrix{Rows: b.q, Cols: t1, Data: w.c.Data[b.at*t1 : (b.at+b.q)*t1]}, 1 / w.g[b.k]
}

func (w *work) chainTail(x, y int, want *pieces) {
	lv, b := &w.levels[x], &w.blocks[y]
	n, scale := w.scaledN(b)
	sum := 0.0
	if b.zero {
		bn := b.scratch(w.d.t + 1)
		clear(bn.Data)
		dense.AddMulT(bn, n, lv.b, 1, false)
		sum = dense.Dot(bn.Data, n.Data)
	} else {
		for i := range b.q {
			sum += dense.Dot(lv.e.Row(b.at+i), n.Row(i))
		}
		sum *= scale * scale
	}
	w.setKK(lv.k, b.k, sum)
	if want == nil {
		return
	}
	f, half := dense.New(w.d.p, w.d.p), dense.New(w.d.p, b.q)
	dense.AddMulT(half, w.xRows(lv.e), n, scale, false)
	dense.AddMulT(f, half, want.rt[b.k], 1, false)
	want.setF(lv.k, b.k, f)
}

func (b *tailBlock) scratch(cols int) dense.Matrix {
	if len(b.k1.Data) < b.q*cols {
		b.k1 = dense.New(b.q, cols)
	}
	return dense.Matrix{Rows: b.q, Cols: cols, Data: b.k1.Data[:b.q*cols]}
}

// tailTail forms K_kl: (δ − T_kl)/(θ_kθ_l) where both are above 0, S_k·N_l else.
func (w *work) tailTail(x, y int, want *pieces) {
	a, b := &w.blocks[x], &w.blocks[y]
	k := a.scratch(b.q)
	if a.zero || b.zero {
		t1 := w.d.t + 1
		n, scale := w.scaledN(b)
		clear(k.Data)
		dense.AddMulT(k, dense.Matrix{Rows: a.q, Cols: t1, Data: w.s.Data[a.at*t1 : (a.at+a.q)*t1]}, n, scale, false)
	} else {
		ga, gb := w.g[a.k], w.g[b.k]
		for i := range a.q {
			row := w.c.Row(a.at + i)[b.at : b.at+b.q]
			for j, c := range row {
				k.Data[i*b.q+j] = -c / (ga * gb)
			}
			if x == y {
				k.Data[i*b.q+i] += 1 / ga
			}
		}
	}
	w.setKK(a.k, b.k, dense.Dot(k.Data, k.Data))
	if want == nil {
		return
	}
	f, half := dense.New(w.d.p, w.d.p), dense.New(w.d.p, a.q)
	dense.AddMulT(half, want.rt[b.k], k, 1, false)
	dense.AddMulT(f, want.rt[a.k], half, 1, false)
	want.setF(a.k, b.k, f)
}

// shadows fills Φ, R′ and R′R.
func (w *work) shadows(want *pieces) {
	p, m := w.d.p, w.d.m
	cx := w.xRows(w.c)
	for i := range p {
		copy(want.phi.Row(i), cx.Row(i)[m:m+p])
	}
	for x := range w.levels {
		lv := &w.levels[x]
		d := dense.New(p, p)
		dense.AddMulT(d, w.xRows(lv.e), cx, 1, false)
		want.d[lv.k] = d
	}
	for x := range w.blocks {
		b := &w.blocks[x]
		rt, d := dense.New(p, b.q), dense.New(p, p)
		for i := range p {
			for j := range b.q {
				if b.zero {
					rt.Data[i*b.q+j] = dense.Dot(w.s.Row(b.at+j), cx.Row(i))
				} else {
					rt.Data[i*b.q+j] = -cx.At(i, b.at+j) / w.g[b.k]
				}
			}
		}
		dense.AddMulT(d, rt, rt, 1, false)
		want.rt[b.k], want.d[b.k] = rt, d
	}
}

func (s *pieces) setF(k, l int, f dense.Matrix) {
	s.f[k][l] = f
	if k != l {
		s.f[l][k] = transposed(f)
	}
}

func transposed(m dense.Matrix) dense.Matrix {
	out := dense.New(m.Cols, m.Rows)
	for i := range m.Rows {
		for j := range m.Cols {
			out.Data[j*m.Rows+i] = m.At(i, j)
		}
	}
	return out
}

// pieces works everything out at the present θ and adds the residual's part. From V = I + Σ g_k G_k and PVP = P,
//
//	F_0l = −Σ g_k F_kl,  F_00 = −Σ g_k F_k0,  D_0 = Φ − Σ g_k D_k,
//	tr PG_0 = n−p − Σ g_k tr K_kk,  ⟨0,l⟩ = tr K_ll − Σ g_k ⟨k,l⟩,  ⟨0,0⟩ = tr PG_0 − Σ g_k ⟨0,k⟩   (14)
func (w *work) pieces() *pieces {
	r, p := len(w.g), w.d.p
	s := &pieces{phi: dense.New(p, p), d: make([]dense.Matrix, r+1), f: make([][]dense.Matrix, r+1), rt: make([]dense.Matrix, r)}
	for k := range s.f {
		s.f[k] = make([]dense.Matrix, r+1)
	}
	w.norms(s)
	w.residualSlope(s)
	for l := range r + 1 {
		f := dense.New(p, p)
		for k, g := range w.g {
			dense.Axpy(-g, s.f[k][l].Data, f.Data)
		}
		s.f[r][l] = f
		s.f[l][r] = transposed(f)
	}
	s.n = w.withResidual(w.kk, w.trace, float64(w.d.nf))
	return s
}

// slopesOnly leaves out what costs more than the slopes: f and the traces.
func (w *work) slopesOnly() *pieces {
	p := w.d.p
	s := &pieces{phi: dense.New(p, p), d: make([]dense.Matrix, len(w.g)+1), rt: make([]dense.Matrix, len(w.g))}
	for x := range w.levels {
		lv := &w.levels[x]
		lv.e = dense.New(w.d.t+1, w.d.t+1)
		dense.AddMulT(w.xRows(lv.e), w.xRows(w.c), lv.b, 1, false)
	}
	w.shadows(s)
	w.residualSlope(s)
	return s
}

func (w *work) residualSlope(s *pieces) {
	last := dense.Matrix{Rows: w.d.p, Cols: w.d.p, Data: slices.Clone(s.phi.Data)}
	for k, g := range w.g {
		dense.Axpy(-g, s.d[k].Data, last.Data)
	}
	s.d[len(w.g)] = last
}

// withResidual adds the residual's row to a matrix of forms in PG_k, given the forms with one G alone and with none.
func (w *work) withResidual(m dense.Matrix, single []float64, none float64) dense.Matrix {
	r := len(w.g)
	out := dense.New(r+1, r+1)
	last := none
	for k, g := range w.g {
		last -= g * single[k]
	}
	for l := range r {
		copy(out.Row(l), m.Row(l))
		x := single[l]
		for k, g := range w.g {
			x -= g * m.At(k, l)
		}
		out.Set(l, r, x)
		out.Set(r, l, x)
		last -= w.g[l] * x
	}
	out.Set(r, r, last)
	return out
}
