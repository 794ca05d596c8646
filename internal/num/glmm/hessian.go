package glmm

import (
	"math"
	"slices"

	"fairplot/internal/num/dense"
)

// strip is how many right-hand sides are solved at once, so that the work stays in the cache.
const strip = 64

// tiny is a spread below which its second derivative would be lost in rounding.
const tiny = 1e-5

// curvature is the Hessian of the objective at ψ. By Laplace it is exact but for rounding (docs/resampling.md derives it), and costs a solve for each row and class
// rather than searches for the modes. At a spread of 0 the objective is even in it, so the row and column are those of the identity.
func (o *objective) curvature(psi []float64) dense.Matrix {
	g := make([]float64, len(psi))
	if o.rule.nodes != nil {
		return hessian(o.value, psi, 3e-3)
	}
	o.value(psi, g) // leaves M, its inverse and z at ψ
	t := o.tangents(psi)
	h := dense.New(len(psi), len(psi))
	weights := make([]float64, len(o.rows))
	for i, m := range o.rows {
		weights[i] = m.weight
	}
	dense.AddMulT(h, timesColumns(t.direct, weights), t.direct, 1, false)
	dense.AddMulT(h, t.push, t.modes, -1, false)
	for i, m := range o.rows {
		weights[i] = m.bend*o.leverage[i]/2 - m.slope*o.random(o.z, i)
	}
	dense.AddMulT(h, timesColumns(t.total, weights), t.total, 1, false)
	o.throughLeverage(t, h)
	o.throughSpreads(t, h)
	o.betweenSpreads(t, h)
	for k, s := range t.theta {
		if j := o.x.Cols + k; s == 0 {
			apart(h, j, 1)
		} else if math.Abs(s) < tiny {
			apart(h, j, g[j]/s)
		}
	}
	return symmetric(h)
}

// apart makes row and column j of a matrix those of a diagonal one.
func apart(h dense.Matrix, j int, diagonal float64) {
	for i := range h.Rows {
		h.Set(i, j, 0)
		h.Set(j, i, 0)
	}
	h.Set(j, j, diagonal)
}

// tangents are derivatives by each parameter, a row for each.
type tangents struct {
	theta        []float64
	direct       dense.Matrix // of η with the modes held
	push, modes  dense.Matrix // of the modes' equations, and of the modes: M⁻¹ times it
	total, slope dense.Matrix // of η, and of w
	own          dense.Matrix // spreads × rows: Σ over the grouping of (M⁻¹a)², over θ; filled by throughLeverage
}

func (o *objective) tangents(psi []float64) tangents {
	p, n, q, r := o.x.Cols, len(o.rows), len(o.u), len(o.groups)
	t := tangents{theta: psi[p:], direct: dense.New(len(psi), n), push: dense.New(len(psi), q), own: dense.New(len(psi)-p, n)}
	for i, m := range o.rows {
		for j, x := range o.x.Row(i) {
			t.direct.Set(j, i, x)
		}
		for k, at := range o.places(i) {
			by := o.by[i*r+k]
			t.direct.Set(p+k, i, by*o.u[at])
			t.push.Data[(p+k)*q+int(at)] += by * m.residual
		}
	}
	for a := range psi {
		push, direct := t.push.Row(a), t.direct.Row(a)
		for i, m := range o.rows {
			for k, a := range o.row(i) {
				push[o.at[i*r+k]] -= a * m.weight * direct[i]
			}
		}
	}
	t.modes = dense.Matrix{Rows: len(psi), Cols: q, Data: slices.Clone(t.push.Data)}
	t.total = dense.Matrix{Rows: len(psi), Cols: n, Data: slices.Clone(t.direct.Data)}
	t.slope = dense.New(len(psi), n)
	for a := range psi {
		o.m.solve(t.modes.Row(a))
		for i, m := range o.rows {
			t.total.Data[a*n+i] += o.random(t.modes.Row(a), i)
			t.slope.Set(a, i, m.slope*t.total.At(a, i))
		}
	}
	return t
}

func timesColumns(m dense.Matrix, by []float64) dense.Matrix {
	out := dense.New(m.Rows, m.Cols)
	for a := range m.Rows {
		row := out.Row(a)
		for i, v := range m.Row(a) {
			row[i] = v * by[i]
		}
	}
	return out
}

// throughLeverage subtracts ½ dwᵀ(V∘V)dw, V = AM⁻¹Aᵀ: what the weights do to the leverages. It takes V by strips of columns.
func (o *objective) throughLeverage(t tangents, h dense.Matrix) {
	n := len(o.rows)
	var columns, squares, parts, slopes store
	for from := 0; from < n; from += strip {
		w := min(strip, n-from)
		y := columns.matrix(len(o.u), w)
		for i := range w {
			a := o.row(from + i)
			for k, at := range o.places(from + i) {
				y.Data[int(at)*w+i] += a[k]
			}
		}
		o.m.solveMany(y, 0)
		for at, k := range o.block {
			if t.theta[k] != 0 {
				own := t.own.Row(k)[from : from+w]
				for i, v := range y.Row(at) {
					own[i] += v * v / t.theta[k]
				}
			}
		}
		square := squares.matrix(w, n)
		v := make([]float64, w)
		for j := range n {
			clear(v)
			a := o.row(j)
			for k, at := range o.places(j) {
				dense.Axpy(a[k], y.Row(int(at)), v)
			}
			for i, x := range v {
				square.Data[i*n+j] = x * x
			}
		}
		part, here := parts.matrix(h.Rows, w), slopes.matrix(h.Rows, w)
		for a := range h.Rows {
			copy(here.Row(a), t.slope.Row(a)[from:from+w])
		}
		dense.AddMulT(part, t.slope, square, 1, false)
		dense.AddMulT(h, part, here, -0.5, false)
	}
}

// store lends the same numbers again and again, cleared.
type store []float64

func (s *store) matrix(rows, columns int) dense.Matrix {
	if len(*s) < rows*columns {
		*s = make([]float64, rows*columns)
	}
	m := dense.Matrix{Rows: rows, Cols: columns, Data: (*s)[:rows*columns]}
	clear(m.Data)
	return m
}

// throughSpreads adds what comes of a spread's own columns in A as another parameter moves.
func (o *objective) throughSpreads(t tangents, h dense.Matrix) {
	p := o.x.Cols
	for i, m := range o.rows {
		left := m.slope*o.leverage[i]/2 - m.weight*o.random(o.z, i)
		for k, at := range o.places(i) {
			by, own := o.by[i*len(t.theta)+k], t.own.At(k, i)
			for b := range h.Rows {
				x := by*(left*t.modes.At(b, int(at))-m.weight*o.z[at]*t.total.At(b, i)) + own*t.slope.At(b, i)
				h.Data[(p+k)*h.Cols+b] += x
				h.Data[b*h.Cols+p+k] += x
			}
		}
	}
}

// betweenSpreads adds, with C = I − M⁻¹ and its blocks by grouping, (tr C_kk − 2|C_kk|²)/θ_k² and −2|C_kl|²/(θ_kθ_l): the second derivative of ½ log|M| with the
// weights held. The inverse is taken by strips of columns, from the diagonal down.
func (o *objective) betweenSpreads(t tangents, h dense.Matrix) {
	q, r, p := len(o.u), len(o.groups), o.x.Cols
	sum := dense.New(r, r)
	var columns store
	for from := 0; from < q; from += strip {
		w := min(strip, q-from)
		g := columns.matrix(q, w)
		for c := range w {
			g.Set(from+c, c, 1)
		}
		o.m.solveMany(g, from)
		for at := from; at < from+w; at++ {
			row, k := g.Row(at), o.block[at]
			row[at-from] = 1 - row[at-from]
			sum.Data[k*r+k] += row[at-from]
		}
		for c := 0; c < w; {
			k, end := o.block[from+c], c+1
			for end < w && o.block[from+end] == k {
				end++
			}
			for at := from; at < q; at++ {
				run := g.Row(at)[c:end]
				square := 2 * dense.Dot(run, run)
				sum.Data[o.block[at]*r+k] -= square
				if at >= from+w { // above the diagonal there is as much again
					sum.Data[k*r+o.block[at]] -= square
				}
			}
			c = end
		}
	}
	for k, s := range t.theta {
		for l, v := range t.theta {
			if s != 0 && v != 0 {
				h.Data[(p+k)*h.Cols+p+l] += sum.At(k, l) / (s * v)
			}
		}
	}
}

// symmetric takes the mean of a matrix and its transpose, which differ by rounding.
func symmetric(h dense.Matrix) dense.Matrix {
	for i := range h.Rows {
		for j := range i {
			m := (h.At(i, j) + h.At(j, i)) / 2
			h.Set(i, j, m)
			h.Set(j, i, m)
		}
	}
	return h
}
