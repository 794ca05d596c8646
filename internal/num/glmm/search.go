package glmm

import (
	"math"
	"slices"

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

// few is up to how many rows the search is made a second time, from wide spreads: the likelihood of few rows may have two tops in a spread, one of them at 0.
const few = 60

// search minimises the objective from the fixed effects without groupings, or far out where they have no end, and
// spreads of one half, then tries each small spread at exactly 0.
func (o *objective) search(from []float64) optimum {
	best := o.searchAt(from, 0.5)
	if len(o.rows) > few || len(o.groups) == 0 {
		return best
	}
	if other := o.searchAt(from, 2); other.value < best.value-1e-7 && slices.Max(other.x[o.x.Cols:]) <= widest {
		return other
	}
	return best
}

// searchAt starts with every spread as given.
func (o *objective) searchAt(from []float64, spread float64) optimum {
	start := slices.Clone(from)
	for range o.groups {
		start = append(start, spread)
	}
	inverse := newMetric(len(start))
	p := problem{o.value, o.curvature}
	return o.boundaries(p, p.minimise(start, inverse, sharp), inverse)
}

// boundaries puts a spread on 0 where that is no worse. The objective is even in each spread, so 0 is always
// stationary and a search that starts there stays there exactly.
func (o *objective) boundaries(p problem, best optimum, inverse *metric) optimum {
	for t := o.x.Cols; t < len(best.x); t++ {
		if best.x[t] < 0 {
			best.x[t] = -best.x[t]
			inverse.turn(t)
		}
		if best.x[t] == 0 || best.x[t] > 0.1 {
			continue
		}
		at, held := slices.Clone(best.x), inverse.clone()
		at[t] = 0
		held.hold(t)
		if without := p.minimise(at, held, sharp); without.value <= best.value+1e-9 {
			best, inverse = without, held
		}
	}
	best = p.release(best, o.x.Cols, inverse, sharp)
	for t := o.x.Cols; t < len(best.x); t++ {
		best.x[t] = math.Abs(best.x[t])
	}
	return best
}

// release lets spreads go, which are the coordinates from first on, that lie at exactly 0, where a search stays though the function falls as they grow.
func (p problem) release(found optimum, first int, inverse *metric, enough float64) optimum {
	if !slices.Contains(found.x[first:], 0) {
		return found
	}
	at, g := slices.Clone(found.x), make([]float64, len(found.x))
	for k := first; k < len(at); k++ {
		if at[k] == 0 {
			at[k] = 1e-3
		}
	}
	p.value(at, g)
	grows := false
	for k := first; k < len(at); k++ {
		switch {
		case found.x[k] != 0:
		case g[k] < 0:
			at[k], grows = 0.1, true
		default:
			at[k] = 0
		}
	}
	if !grows {
		return found
	}
	if freed := p.minimise(at, inverse, enough); freed.value < found.value-1e-9 {
		return freed
	}
	return found
}

// hessian differentiates the gradient by central differences of fourth order with steps of e; with exact gradients and coordinates
// of unit size its error at 3e-3 is about 1e-11.
func hessian(f func(x, gradient []float64) float64, x []float64, e float64) dense.Matrix {
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
	return symmetric(h)
}

// invert replaces a positive definite matrix by its inverse; false, and a spoilt matrix, where it is not. Pivots are relative to 1.
func invert(a dense.Matrix) bool {
	n := a.Rows
	if dense.Cholesky(a) >= 0 {
		return false
	}
	for j := range n {
		if p := a.At(j, j); !(p*p > 1e-10) {
			return false
		}
	}
	out := dense.New(n, n)
	dense.CholeskyInverse(a, n, out, dense.New(n, n))
	dense.Mirror(out)
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
		out[i] = dense.Dot(m.Row(i), v)
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
