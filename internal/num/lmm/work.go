package lmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// work is the space that one fit needs; nothing is allocated while the search runs, except by the second goroutine of
// large matrices. Square matrices are (t+1) × (t+1), y last; c is 0 in the row and column of y, so that products with it
// leave y out.
type work struct {
	d *design

	rho   float64     // length of the least squares residual, by which y is divided
	along []float64   // Q′y before that
	zy    [][]float64 // Z_k′y
	yRow  []float64   // W′y, the last row of W′W

	levels []level
	blocks []tailBlock
	g      []float64 // θ²
	theta  []float64

	s, c, l, spare dense.Matrix // W′V_c⁻¹W; ΘTΘ; the factor; scratch
	wide           []float64    // scratch as large as the widest rows
	alpha, x, cz   []float64
	z              [][]float64 // W′V_c⁻¹Z_k s_k
	sk             [][]float64 // s_k = Z_k′Py

	yPy   float64
	trace []float64    // tr K_kk
	ss    []float64    // |s_k|²
	a     dense.Matrix // a_kl = s_k′K_kl s_l
	kk    dense.Matrix // |K_kl|², filled by norms
	exact bool         // the search uses the Hessian, not the average information

	rowY, fitted []float64 // of response
	start        start
}

// level is a level of the chain at the present θ.
type level struct {
	link
	a, c, h, w, tau []float64 // a_i = z_i′V⁻¹z_i before this level; c = 1/(1+ga), h = ac, w = gc
	v, u            rows      // W′V⁻¹z_i before this level, and with the whole chain; u unused in a chain of one
	b               dense.Matrix
	e               dense.Matrix // C·B, kept between norms and matrices
	ones, f, x, t   []float64
}

// tailBlock is a grouping of the tail at the present θ.
type tailBlock struct {
	block
	zero bool         // g is 0 or next to it: K by its own formula
	n    dense.Matrix // N′ = (e − C S)′, q × (t+1), where zero
	k1   dense.Matrix // scratch, q × (t+1)
}

func newWork(d *design) *work {
	w := &work{d: d}
	r, t1 := len(d.groups), d.t+1
	w.s, w.c, w.l, w.spare = dense.New(t1, t1), dense.New(t1, t1), dense.New(t1, t1), dense.New(t1, t1)
	widest, nodes := 0, 0
	for i, c := range d.chain {
		lv := newLevel(d, c)
		if i == 0 {
			lv.v = d.first.clone()
			copy(lv.a, d.groups[c.k].size)
		} else {
			lv.v = rows{Matrix: dense.New(t1, c.q)}
		}
		if !d.scattered {
			widest = max(widest, t1*c.q)
		}
		nodes += c.q
		w.levels = append(w.levels, lv)
	}
	w.wide = make([]float64, widest)
	for _, b := range d.rest {
		w.blocks = append(w.blocks, tailBlock{block: b})
	}
	w.g, w.theta, w.trace, w.ss = make([]float64, r), make([]float64, r), make([]float64, r), make([]float64, r)
	w.alpha, w.x, w.cz, w.yRow = make([]float64, t1), make([]float64, t1), make([]float64, t1), make([]float64, t1)
	w.a, w.kk = dense.New(r, r), dense.New(r, r)
	for _, g := range d.groups {
		w.z = append(w.z, make([]float64, t1))
		w.sk = append(w.sk, make([]float64, g.q))
		w.zy = append(w.zy, make([]float64, g.q))
	}
	w.along = make([]float64, d.p)
	w.rowY, w.fitted = make([]float64, d.n), make([]float64, len(d.axes.Data)/d.p)
	t := float64(d.t)
	w.exact = float64(nodes)*t*t+t*t*t < 3e5
	w.start = newStart(d)
	return w
}

func newLevel(d *design, c link) level {
	lv := level{link: c, b: dense.New(d.t+1, d.t+1)}
	for _, v := range []*[]float64{&lv.a, &lv.c, &lv.h, &lv.w, &lv.tau, &lv.ones, &lv.f, &lv.x, &lv.t} {
		*v = make([]float64, c.q)
	}
	for j := range lv.ones {
		lv.ones[j] = 1
	}
	if len(d.chain) > 1 {
		lv.u = rows{Matrix: dense.New(d.t+1, c.q)}
	}
	return lv
}

// take copies the response of another work space of the same design.
func (w *work) take(o *work) {
	w.rho = o.rho
	copy(w.along, o.along)
	for k := range w.zy {
		copy(w.zy[k], o.zy[k])
	}
	w.place()
}

// response reduces y to its least squares residual of length 1 and forms its cross-products. Taking X out first changes
// nothing in Py, and y′Py keeps all its digits.
func (w *work) response(y []float64) error {
	d := w.d
	copy(w.rowY, y)
	for i, s := range d.root {
		w.rowY[i] *= s
	}
	whole := dense.Norm(w.rowY)
	if whole > 0 {
		for i := range w.rowY {
			w.rowY[i] /= whole
		}
	}
	clear(w.along)
	w.takeOut()
	w.takeOut()
	left := dense.Norm(w.rowY)
	w.rho = left * whole
	for j := range w.along {
		w.along[j] *= whole
	}
	if !(left > 2e-14) {
		return failed(PerfectFit, "", "the fixed effects fit all %d rows perfectly, so nothing is left over to judge by", d.n)
	}
	for i := range w.rowY {
		w.rowY[i] /= left
	}
	for k, g := range d.groups {
		clear(w.zy[k])
		w.sums(g.class, w.zy[k])
	}
	w.place()
	return nil
}

// sums adds up the response by class.
func (w *work) sums(class []int32, out []float64) {
	if w.d.root == nil {
		for i, c := range class {
			out[c] += w.rowY[i]
		}
		return
	}
	for i, c := range class {
		out[c] += w.d.root[i] * w.rowY[i]
	}
}

// takeOut projects X out of the response.
func (w *work) takeOut() {
	d := w.d
	clear(w.fitted)
	w.sums(d.class, w.fitted)
	share := w.x[:d.p]
	clear(share)
	for c, f := range w.fitted {
		dense.Axpy(f, d.axes.Row(c), share)
	}
	for c := range w.fitted {
		w.fitted[c] = dense.Dot(d.axes.Row(c), share)
	}
	for i, c := range d.class {
		if d.root == nil {
			w.rowY[i] -= w.fitted[c]
		} else {
			w.rowY[i] -= d.root[i] * w.fitted[c]
		}
	}
	dense.Axpy(1, share, w.along)
}

// place puts Z′y into the tail and the chain; Q′y is 0 and y′y is 1.
func (w *work) place() {
	clear(w.yRow)
	for _, b := range w.blocks {
		copy(w.yRow[b.at:], w.zy[b.k])
	}
	w.yRow[w.d.t] = 1
	first := &w.levels[0]
	first.v.setLast(w.zy[first.k])
}

// constant is what in the criterion does not depend on θ.
func (w *work) constant() float64 {
	nf := float64(w.d.nf)
	return w.d.logR - w.d.logW + nf*(1+math.Log(2*math.Pi/nf)) + 2*nf*math.Log(w.rho)
}
