package glmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// row is row i of A, a number for each grouping.
func (o *objective) row(i int) []float64 {
	r := len(o.groups)
	return o.a[i*r : (i+1)*r]
}

// random returns row i of A times v.
func (o *objective) random(v []float64, i int) float64 {
	s, a := 0.0, o.row(i)
	for k, at := range o.places(i) {
		s += a[k] * v[at]
	}
	return s
}

// modes finds the conditional modes u by penalised iteratively reweighted least squares and returns the penalised
// log-likelihood there, without constants (Bates et al. 2015 for lme4; Pinheiro & Chao 2006, JCGS 15:58-81).
func (o *objective) modes() float64 {
	h := o.look(o.u)
	if math.IsNaN(h) || math.IsInf(h, 0) {
		clear(o.u)
		h = o.look(o.u)
	}
	for range 200 {
		o.fill()
		o.slope(o.uphill)
		copy(o.step, o.uphill)
		o.m.solve(o.step)
		decrement := dense.Dot(o.uphill, o.step)
		if math.IsNaN(decrement) { // M was spoilt: the parameters lie past all bounds
			clear(o.u)
			return decrement
		}
		better := h
		for size := 1.0; size > 1e-6; size /= 2 {
			for j := range o.trial {
				o.trial[j] = o.u[j] + size*o.step[j]
			}
			if better = o.look(o.trial); better >= h || decrement < 1e-8*(1+math.Abs(h)) { // near the top rounding of h would stop good steps
				break
			}
		}
		copy(o.u, o.trial)
		h = better
		if decrement < 1e-16 { // Newton doubles the digits: after a step of 1e-8 there are no more to gain
			o.fill()
			break
		}
	}
	return h
}

// look works out the rows at u and returns Σ log f(y|η) − u·u/2 without constants.
func (o *objective) look(u []float64) float64 {
	h := -dense.Dot(u, u) / 2
	for i, f := range o.fixed {
		eta := f + o.random(u, i)
		e := math.Exp(-math.Abs(eta))
		p, q := 1/(1+e), e/(1+e)
		y, n := o.y[i], o.n[i]
		if eta > 0 { // no difference of large numbers
			h += (y - n) * eta
		} else {
			p, q = q, p
			h += y * eta
		}
		h -= n * math.Log1p(e)
		w := n * p * q
		o.rows[i] = moment{residual: y - n*p, weight: w, slope: w * (q - p), bend: w * ((q-p)*(q-p) - 2*p*q)}
	}
	return h
}

// moment is what a row contributes at its η: y − μ, the weight w = n p(1−p) = dμ/dη, and the first two derivatives of w.
type moment struct{ residual, weight, slope, bend float64 }

// slope writes the derivative of the penalised log-likelihood by u.
func (o *objective) slope(out []float64) {
	for j, v := range o.u {
		out[j] = -v
	}
	for i, m := range o.rows {
		a := o.row(i)
		for k, at := range o.places(i) {
			out[at] += a[k] * m.residual
		}
	}
}

// fill sets M = AᵀWA + I at the rows as they were last looked at and factors it.
func (o *objective) fill() {
	o.m.identity()
	for i, m := range o.rows {
		a, pairs := o.row(i), o.pairs(i)
		for k, t := range a {
			wt := m.weight * t
			for l, s := range a[:k+1] {
				o.m.v[pairs[l]] += wt * s
			}
			pairs = pairs[k+1:]
		}
	}
	o.m.factor()
}
