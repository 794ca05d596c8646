package glmm

import (
	"math"

	"fairplot/internal/num/dense"
)

const (
	// gradients that end a search, in coordinates where the Hessian is about 1
	sharp   = 1e-11 // for estimates
	smooth  = 1e-7  // for values: the likelihood is then within 1e-14
	settled = 1e-7  // and what still counts as converged

	widest = 10.0 // a standard deviation on the logit scale beyond which classes are all or none, and it has no end
)

// optimum is where a search ended.
type optimum struct {
	x         []float64
	value     float64
	gradient  float64 // largest component
	converged bool
}

// function is a smooth function with its gradient, which it writes over its second argument.
type function func(x, gradient []float64) float64

// search minimises the objective from the fixed effects at even odds, or far out where they have no end, and
// spreads of 1, then tries each small spread at exactly 0.
func (o *objective) search(ends *recession) optimum {
	start := make([]float64, o.x.Cols+len(o.groups))
	if ends != nil {
		copy(start, ends.reached)
	}
	for k := range o.groups {
		start[o.x.Cols+k] = 1
	}
	best := minimise(o.value, start, sharp)
	return o.boundaries(best)
}

// boundaries puts a spread on 0 where that is no worse. The objective is even in each spread, so 0 is always
// stationary and a search that starts there stays there exactly.
func (o *objective) boundaries(best optimum) optimum {
	p := o.x.Cols
	for k := range o.groups {
		t := p + k
		best.x[t] = math.Abs(best.x[t])
		if best.x[t] == 0 || best.x[t] > 0.1 {
			continue
		}
		at := append([]float64(nil), best.x...)
		at[t] = 0
		if without := minimise(o.value, at, sharp); without.value <= best.value+1e-9 {
			best = without
		}
	}
	for k := range o.groups {
		best.x[p+k] = math.Abs(best.x[p+k])
	}
	return best
}

// minimise is the quasi-Newton method of Broyden, Fletcher, Goldfarb and Shanno with an inverse Hessian that starts
// at the identity (Nocedal & Wright 2006, Numerical Optimization, alg. 6.1), polished by Newton steps.
func minimise(f function, start []float64, enough float64) optimum {
	n := len(start)
	x, g := append([]float64(nil), start...), make([]float64, n)
	at := optimum{x: x, value: f(x, g)}
	inverse := identity(n)
	next, gNext := make([]float64, n), make([]float64, n)
	restarted := false
	for range 200 {
		if largest(g) < enough {
			break
		}
		step := multiply(inverse, g)
		value, ok := descend(f, at, step, g, next, gNext)
		if !ok {
			if restarted {
				break
			}
			inverse, restarted = identity(n), true
			continue
		}
		restarted = false
		update(inverse, at.x, next, g, gNext)
		copy(at.x, next)
		copy(g, gNext)
		at.value = value
	}
	at.gradient = largest(g)
	return polish(f, at, g, enough)
}

// descend goes along −step, at most 4 units a go, halving until the value falls enough; false where it does not.
func descend(f function, at optimum, step, g, next, gNext []float64) (float64, bool) {
	slope := dot(step, g)
	size := min(1, 4/largest(step))
	for range 40 {
		for j := range next {
			next[j] = at.x[j] - size*step[j]
		}
		if v := f(next, gNext); v <= at.value-1e-4*size*slope+1e-13*math.Abs(at.value) && !math.IsNaN(v) {
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
	sy := dot(s, y)
	if !(sy > 1e-12*math.Sqrt(dot(s, s)*dot(y, y))) {
		return
	}
	hy := multiply(inverse, y)
	scale := (1 + dot(y, hy)/sy) / sy
	for i := range n {
		for j := range n {
			inverse.Data[i*n+j] += scale*s[i]*s[j] - (hy[i]*s[j]+s[i]*hy[j])/sy
		}
	}
}

// polish takes Newton steps with the Hessian by differences while the gradient shrinks.
func polish(f function, at optimum, g []float64, enough float64) optimum {
	for range 4 {
		if at.gradient < enough {
			break
		}
		h := hessian(f, at.x)
		if !invert(h) {
			break
		}
		step := multiply(h, g)
		next, gNext := make([]float64, len(g)), make([]float64, len(g))
		for j := range next {
			next[j] = at.x[j] - step[j]
		}
		v := f(next, gNext)
		if !(largest(gNext) < at.gradient) || v > at.value+1e-9 {
			break
		}
		at.x, at.value, at.gradient = next, v, largest(gNext)
		copy(g, gNext)
	}
	at.converged = at.gradient <= settled
	return at
}

// hessian differentiates the gradient by central differences of fourth order; with exact gradients and coordinates
// of unit size its error is about 1e-11.
func hessian(f function, x []float64) dense.Matrix {
	const e = 3e-3
	n := len(x)
	h := dense.New(n, n)
	at := append([]float64(nil), x...)
	g := make([]float64, n)
	for j := range n {
		for _, w := range [][2]float64{{-2, 1. / 12}, {-1, -8. / 12}, {1, 8. / 12}, {2, -1. / 12}} {
			at[j] = x[j] + w[0]*e
			f(at, g)
			for i := range n {
				h.Data[i*n+j] += w[1] * g[i] / e
			}
		}
		at[j] = x[j]
	}
	for i := range n {
		for j := range i {
			m := (h.At(i, j) + h.At(j, i)) / 2
			h.Set(i, j, m)
			h.Set(j, i, m)
		}
	}
	return h
}

// invert replaces a positive definite matrix by its inverse; false, and a spoilt matrix, where it is not.
func invert(a dense.Matrix) bool {
	n := a.Rows
	if cholesky(a, 1e-10) >= 0 {
		return false
	}
	out := dense.New(n, n)
	col := make([]float64, n)
	for j := range n {
		clear(col)
		col[j] = 1
		lowerSolve(a, col)
		upperSolve(a, col)
		for i := range n {
			out.Set(i, j, col[i])
		}
	}
	copy(a.Data, out.Data)
	return true
}

func identity(n int) dense.Matrix {
	m := dense.New(n, n)
	for j := range n {
		m.Set(j, j, 1)
	}
	return m
}

func multiply(m dense.Matrix, v []float64) []float64 {
	out := make([]float64, m.Rows)
	for i := range out {
		out[i] = dot(m.Row(i), v)
	}
	return out
}

func largest(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		if a := math.Abs(x); !(a <= m) {
			m = a
		}
	}
	return m
}
