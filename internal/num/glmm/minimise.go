package glmm

import (
	"math"
	"slices"

	"fairplot/internal/num/dense"
)

// problem is a smooth function to be made small. Value writes the gradient over its second argument.
type problem struct {
	value     func(x, gradient []float64) float64
	curvature func(x []float64) dense.Matrix
}

// metric is an approximation of the inverse Hessian.
type metric struct {
	dense.Matrix
	exact bool // it has been the inverse Hessian itself not far from here
}

func newMetric(n int) *metric { return &metric{Matrix: identity(n)} }

func (m *metric) clone() *metric {
	return &metric{dense.Matrix{Rows: m.Rows, Cols: m.Cols, Data: slices.Clone(m.Data)}, m.exact}
}

// take makes the metric the inverse of a Hessian; false where that is not positive definite, and the metric is as it was.
func (m *metric) take(hessian dense.Matrix) bool {
	if !invert(hessian) {
		return false
	}
	copy(m.Data, hessian.Data)
	m.exact = true
	return true
}

// hold is the metric with coordinate j held: the inverse of the Hessian of the others.
func (m *metric) hold(j int) {
	column := slices.Clone(m.Row(j))
	for i := range m.Rows {
		dense.Axpy(-column[i]/column[j], column, m.Row(i))
	}
	apart(m.Matrix, j, 1)
}

// turn is the metric with the sign of coordinate j changed.
func (m *metric) turn(j int) {
	for i := range m.Rows {
		m.Set(i, j, -m.At(i, j))
		m.Set(j, i, -m.At(j, i))
	}
}

// near is the gradient from which on the exact Hessian pays: before it a rough one from the steps themselves is as good.
const near = 1e-2

// minimise is the quasi-Newton method of Broyden, Fletcher, Goldfarb and Shanno (Nocedal & Wright 2006, Numerical Optimization, alg. 6.1), set right once by the exact
// Hessian and polished by Newton steps. It improves the metric as it goes.
func (p problem) minimise(start []float64, inverse *metric, enough float64) optimum {
	n := len(start)
	x, g := slices.Clone(start), make([]float64, n)
	at := optimum{x: x, value: p.value(x, g)}
	next, gNext := make([]float64, n), make([]float64, n)
	restarted := false
	for range 200 {
		if largest(g) < enough {
			break
		}
		if !inverse.exact && largest(g) < near {
			inverse.exact = true // tried once
			inverse.take(p.curvature(at.x))
		}
		step := multiply(inverse.Matrix, g)
		value, ok := p.descend(at, step, g, next, gNext)
		if !ok {
			if restarted {
				break
			}
			restarted = true
			if !inverse.take(p.curvature(at.x)) {
				copy(inverse.Data, identity(n).Data)
			}
			continue
		}
		restarted = false
		update(inverse.Matrix, at.x, next, g, gNext)
		copy(at.x, next)
		copy(g, gNext)
		at.value = value
	}
	at.gradient = largest(g)
	return p.polish(at, g, enough)
}

// descend goes along −step, at most 4 units a go, halving until the value falls enough; false where it does not.
func (p problem) descend(at optimum, step, g, next, gNext []float64) (float64, bool) {
	slope := dense.Dot(step, g)
	size := min(1, 4/largest(step))
	for range 40 {
		for j := range next {
			next[j] = at.x[j] - size*step[j]
		}
		if v := p.value(next, gNext); v <= at.value-1e-4*size*slope+1e-13*math.Abs(at.value) && !math.IsNaN(v) {
			return v, largest(gNext) < largest(g) || v < at.value
		}
		size /= 2
	}
	return at.value, false
}

// update is eq. 6.17 of Nocedal & Wright; a step without positive curvature is passed over.
func update(inverse dense.Matrix, x, next, g, gNext []float64) {
	n := len(x)
	s, y := make([]float64, n), make([]float64, n)
	for j := range n {
		s[j], y[j] = next[j]-x[j], gNext[j]-g[j]
	}
	sy := dense.Dot(s, y)
	if !(sy > 1e-12*math.Sqrt(dense.Dot(s, s)*dense.Dot(y, y))) {
		return
	}
	hy := multiply(inverse, y)
	scale := (1 + dense.Dot(y, hy)/sy) / sy
	for i := range n {
		row := inverse.Row(i)
		dense.Axpy(scale*s[i]-hy[i]/sy, s, row)
		dense.Axpy(-s[i]/sy, hy, row)
	}
}

// polish takes Newton steps while the gradient shrinks.
func (p problem) polish(at optimum, g []float64, enough float64) optimum {
	for range 4 {
		if at.gradient < enough {
			break
		}
		h := p.curvature(at.x)
		if !invert(h) {
			break
		}
		step := multiply(h, g)
		next, gNext := make([]float64, len(g)), make([]float64, len(g))
		for j := range next {
			next[j] = at.x[j] - step[j]
		}
		v := p.value(next, gNext)
		if !(largest(gNext) < at.gradient) || v > at.value+1e-9 {
			break
		}
		at.x, at.value, at.gradient = next, v, largest(gNext)
		copy(g, gNext)
	}
	at.converged = at.gradient <= settled
	return at
}
