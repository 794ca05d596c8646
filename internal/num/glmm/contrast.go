package glmm

import (
	"fmt"
	"math"
)

// Contrast is a linear function of the fixed effects: a log odds, or a difference of two. Its exponential is an odds
// or an odds ratio.
type Contrast struct {
	Value     float64 // ±Inf where the outcome never mixes along it
	Error     float64 // NaN in a model with separated columns, as are Z and P
	Z, P      float64 // against 0, two-sided, by the normal law
	Low, High float64
}

// Wald returns c·β with limits from its standard error. Where columns are separated there is none: use Profile.
// It errs when c has not one number a fixed effect.
func (m *Model) Wald(c []float64, confidence float64) (Contrast, error) {
	if err := m.fits(c, confidence); err != nil {
		return Contrast{}, err
	}
	out := Contrast{Value: m.value(c), Error: math.NaN(), Z: math.NaN(), P: math.NaN(), Low: math.NaN(), High: math.NaN()}
	if math.IsInf(out.Value, 0) || math.IsNaN(out.Value) {
		return out, nil
	}
	v := dot(c, multiply(m.Cov, c))
	out.Error = math.Sqrt(v)
	out.Z = out.Value / out.Error
	out.P = math.Erfc(math.Abs(out.Z) / math.Sqrt2)
	half := out.Error * quantile(confidence)
	out.Low, out.High = out.Value-half, out.Value+half
	return out, nil
}

func quantile(confidence float64) float64 { return math.Sqrt2 * math.Erfinv(confidence) }

func (m *Model) fits(c []float64, confidence float64) error {
	if len(c) != len(m.Beta) {
		return fmt.Errorf("the contrast has %d numbers for %d fixed effects", len(c), len(m.Beta))
	}
	if !(confidence > 0 && confidence < 1) {
		return fmt.Errorf("a confidence of %g is none; give a share such as 0.95", confidence)
	}
	if largest(c) == 0 {
		return fmt.Errorf("the contrast is all zeros and compares nothing")
	}
	return nil
}

// value is c·β, infinite along the direction of separation and unknown (NaN) where two infinite effects cancel.
func (m *Model) value(c []float64) float64 {
	if m.ends == nil {
		return dot(c, m.Beta)
	}
	ct := append([]float64(nil), c...)
	m.objective.intoBasis(ct)
	along, size := dot(ct, m.ends.scaled), math.Sqrt(dot(ct, ct)*dot(m.ends.scaled, m.ends.scaled))
	if m.ends.leftover(ct) == 0 {
		return dot(c, m.Beta)
	}
	if math.Abs(along) <= 1e-4*size {
		return math.NaN()
	}
	return math.Inf(int(math.Copysign(1, along)))
}

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
	pr := m.profile(c)
	want := quantile(confidence)
	step := 1.0
	if out.Error > 0 {
		step = want * out.Error
	}
	out.Low, out.High = pr.limit(-step, want), pr.limit(step, want)
	return out, nil
}

// profiler maximises the likelihood under c·β = v. With c̃ = cR⁻¹ a reflection takes the direction of c̃ to the first
// axis, where it is held.
type profiler struct {
	m      *Model
	size   float64   // |c̃|
	mirror []float64 // unit normal of the reflection; nil when c̃ lies on the axis
	best   float64   // c·β at the optimum
	warm   []float64 // the other coordinates, where the last search ended
}

func (m *Model) profile(c []float64) *profiler {
	ct := append([]float64(nil), c...)
	m.objective.intoBasis(ct)
	size := math.Sqrt(dot(ct, ct))
	v := append([]float64(nil), ct...)
	v[0] += math.Copysign(size, ct[0]) // away from cancellation; the axis then points along −sign
	norm := math.Sqrt(dot(v, v))
	for j := range v {
		v[j] /= norm
	}
	p := &profiler{m: m, size: -math.Copysign(size, ct[0]), mirror: v, best: dot(c, m.Beta)}
	p.warm = p.reflect(m.at)[1:]
	return p
}

// reflect returns x with its fixed effects reflected; it is its own inverse.
func (p *profiler) reflect(x []float64) []float64 {
	out := append([]float64(nil), x...)
	k := 2 * dot(p.mirror, x[:len(p.mirror)])
	for j, v := range p.mirror {
		out[j] -= k * v
	}
	return out
}

// root is the square root of twice the fall of the log-likelihood at c·β = v.
func (p *profiler) root(v float64) float64 {
	full := make([]float64, len(p.warm)+1)
	g := make([]float64, len(full))
	f := func(x, gradient []float64) float64 {
		full[0] = v / p.size
		copy(full[1:], x)
		value := p.m.objective.value(p.reflect(full), g)
		copy(gradient, p.reflect(g)[1:])
		return value
	}
	var found optimum
	if len(p.warm) == 0 {
		found.value = f(nil, nil)
	} else {
		for k := len(p.mirror) - 1; k < len(p.warm); k++ {
			p.warm[k] = max(math.Abs(p.warm[k]), 0.3) // a spread of 0 would stay there, though another v may have more
		}
		found = minimise(f, p.warm, smooth)
		p.warm = found.x
	}
	return math.Sqrt(max(0, 2*(found.value+p.m.LogLik)))
}

// limit looks from the optimum in steps until the root passes want, then closes in; ±Inf where it does not within
// 100 on the logit scale of the contrast.
func (p *profiler) limit(step, want float64) float64 {
	start := append([]float64(nil), p.warm...)
	defer func() { p.warm = start }()
	a, fa := p.best, -want
	b := a + step
	fb := p.root(b) - want
	for fb < 0 {
		if math.Abs(b-p.best) > 100*math.Abs(step) && math.Abs(b-p.best) > 100 {
			return math.Inf(int(math.Copysign(1, step)))
		}
		a, fa = b, fb
		b += 2 * (b - p.best)
		fb = p.root(b) - want
	}
	return closeIn(p, want, a, fa, b, fb)
}

// closeIn is the Illinois variant of false position (Dowell & Jarratt 1971, BIT 11:168-174).
func closeIn(p *profiler, want, a, fa, b, fb float64) float64 {
	for range 60 {
		v := b - fb*(b-a)/(fb-fa)
		fv := p.root(v) - want
		if math.Abs(fv) < 1e-9 || math.Abs(b-a) < 1e-10*(1+math.Abs(b)) {
			return v
		}
		if (fv < 0) != (fb < 0) {
			a, fa = b, fb
		} else {
			fa /= 2
		}
		b, fb = v, fv
	}
	return b
}
