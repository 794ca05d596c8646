package glmm

import (
	"fmt"
	"math"
	"slices"

	"fairplot/internal/num/dense"
)

// Profile returns c·β with the limits at which the likelihood, maximised over everything else, has fallen by half
// the square of the normal quantile. A limit is infinite where it never falls that far. Error, Z and P are Wald's.
func (m *Model) Profile(c []float64, confidence float64) (Contrast, error) {
	out, err := m.Wald(c, confidence)
	if err != nil {
		return out, err
	}
	if math.IsNaN(out.Value) {
		return out, fmt.Errorf("both sides of this comparison are without end, so nothing can be said of their difference")
	}
	want := quantile(confidence)
	step := 1.0
	if out.Error > 0 {
		step = want * out.Error
	}
	out.Low, out.High = m.profile(c).limit(-step, want), m.profile(c).limit(step, want)
	return out, nil
}

// profiler maximises the likelihood under c·β = v. With c̃ = cR⁻¹ a reflection takes the direction of c̃ to the first
// axis, where it is held.
type profiler struct {
	m       *Model
	size    float64   // |c̃|, signed as the axis points
	mirror  []float64 // unit normal of the reflection
	best    float64   // c·β at the optimum
	inverse *metric   // of the other coordinates
	last    point
	before  point
}

// point is a place on the profile.
type point struct {
	v    float64
	rest []float64 // the other coordinates there
}

func (m *Model) profile(c []float64) *profiler {
	ct := slices.Clone(c)
	m.objective.intoBasis(ct)
	size := math.Sqrt(dense.Dot(ct, ct))
	v := slices.Clone(ct)
	v[0] += math.Copysign(size, ct[0]) // away from cancellation; the axis then points along −sign
	norm := math.Sqrt(dense.Dot(v, v))
	for j := range v {
		v[j] /= norm
	}
	p := &profiler{m: m, size: -math.Copysign(size, ct[0]), mirror: v, best: dense.Dot(c, m.Beta)}
	p.last = point{p.best, p.reflect(m.at)[1:]}
	p.before = p.last
	h := p.reflectBoth(m.curvature)
	p.inverse = newMetric(len(p.last.rest))
	if len(m.Separated) == 0 && p.inverse.take(inner(h)) {
		// along the profile the rest moves by −H⁻¹h for each unit of what is held
		held := slices.Clone(h.Row(0)[1:])
		unit := multiply(p.inverse.Matrix, held)
		p.before = point{p.best - p.size, slices.Clone(p.last.rest)}
		dense.Axpy(1, unit, p.before.rest)
	}
	return p
}

// reflect returns x with its fixed effects reflected; it is its own inverse.
func (p *profiler) reflect(x []float64) []float64 {
	out := slices.Clone(x)
	dense.Axpy(-2*dense.Dot(p.mirror, x[:len(p.mirror)]), p.mirror, out[:len(p.mirror)])
	return out
}

// reflectBoth reflects the rows and the columns of a symmetric matrix.
func (p *profiler) reflectBoth(h dense.Matrix) dense.Matrix {
	out := dense.New(h.Rows, h.Cols)
	for range 2 {
		for i := range h.Rows {
			for j, v := range p.reflect(h.Row(i)) {
				out.Set(j, i, v)
			}
		}
		h, out = out, dense.New(h.Rows, h.Cols)
	}
	return h
}

// inner is a matrix without its first row and column.
func inner(h dense.Matrix) dense.Matrix {
	out := dense.New(h.Rows-1, h.Cols-1)
	for i := range out.Rows {
		copy(out.Row(i), h.Row(i + 1)[1:])
	}
	return out
}

// held is the problem of the rest with c·β held at v. Its value also leaves the slope along the axis.
func (p *profiler) held(v float64, slope *float64) problem {
	full := make([]float64, len(p.last.rest)+1)
	g := make([]float64, len(full))
	whole := func(x []float64) []float64 {
		full[0] = v / p.size
		copy(full[1:], x)
		return p.reflect(full)
	}
	return problem{
		value: func(x, gradient []float64) float64 {
			value := p.m.objective.value(whole(x), g)
			turned := p.reflect(g)
			*slope = turned[0] / p.size
			copy(gradient, turned[1:])
			return value
		},
		curvature: func(x []float64) dense.Matrix { return inner(p.reflectBoth(p.m.objective.curvature(whole(x)))) },
	}
}

// root is the square root of twice the fall of the log-likelihood at c·β = v, and its derivative by v. The rest starts where the line through the last two points
// leads, or at the last where that is better.
func (p *profiler) root(v float64) (root, slope float64) {
	var by float64
	held := p.held(v, &by)
	start, g := p.last.rest, make([]float64, len(p.last.rest))
	if t := (v - p.last.v) / (p.last.v - p.before.v); !math.IsNaN(t) && !math.IsInf(t, 0) {
		ahead := slices.Clone(start)
		dense.Axpy(t, p.last.rest, ahead)
		dense.Axpy(-t, p.before.rest, ahead)
		if held.value(ahead, g) < held.value(start, g) {
			start = ahead
		}
	}
	found := held.release(held.minimise(start, p.inverse, smooth), len(p.mirror)-1, p.inverse, smooth)
	held.value(found.x, g) // the last place looked at need not be the one found
	p.before, p.last = p.last, point{v, found.x}
	root = math.Sqrt(max(0, 2*(found.value+p.m.LogLik)))
	return root, by / root
}

// limit is where the profile has fallen far enough on one side. Spreads that lie at 0 there are tried from further out, in case the likelihood has a
// second top in them, and the search goes on along that.
func (p *profiler) limit(step, want float64) float64 {
	v := p.crossing(p.best+step, step, want)
	if math.IsInf(v, 0) || !slices.Contains(p.last.rest[len(p.mirror)-1:], 0) {
		return v
	}
	var by float64
	held := p.held(v, &by)
	at, g := slices.Clone(p.last.rest), make([]float64, len(p.last.rest))
	here := held.value(at, g)
	for k := len(p.mirror) - 1; k < len(at); k++ {
		at[k] = max(math.Abs(at[k]), 0.3)
	}
	if other := held.minimise(at, p.inverse.clone(), smooth); other.value < here-1e-7 {
		p.last, p.before = point{v, other.x}, point{v, other.x}
		return p.crossing(v, step, want)
	}
	return v
}

// crossing looks from v in steps until the root passes want, and closes in by Newton's method within what brackets it; ±Inf where it does not pass
// within 100 on the logit scale of the contrast.
func (p *profiler) crossing(v, step, want float64) float64 {
	below, above := p.best, math.NaN()
	for range 60 {
		root, slope := p.root(v)
		short := want - root
		next := v + short/slope
		if math.Abs(short) < 1e-5 && math.Abs(next-v) < 1e-4*math.Abs(step) {
			return next // its error is of the order of short², which nobody sees
		}
		if short > 0 {
			below = v
		} else {
			above = v
		}
		far := v + 2*(v-p.best)
		switch {
		case !math.IsNaN(above):
			if !((next-below)*(next-above) < 0) {
				next = (below + above) / 2
			}
			if math.Abs(above-below) < 1e-10*(1+math.Abs(above)) {
				return next
			}
		case math.Abs(v-p.best) > 100*math.Abs(step) && math.Abs(v-p.best) > 100:
			return math.Inf(int(math.Copysign(1, step)))
		case !((next-v)*(next-far) < 0):
			next = far
		}
		v = next
	}
	return v
}
