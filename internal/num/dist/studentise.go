package dist

import "math"

// studentised returns E U(q s) with s = chi/sqrt(df), q > 0, for a tail U that falls from 1 to 0.
func studentised(q, df float64, tail func(w float64) float64) float64 {
	if math.IsInf(df, 1) {
		return tail(q)
	}
	s := scaled{df: df, step: chiStep(df), of: func(s float64) float64 { return tail(q * s) }}
	return min(1, s.falling())
}

// chiStep is a step at which the trapezoid rule over log s errs by about 1e-13: its error is the density's Fourier transform at 2 pi/step, which is
// |Gamma(df/2 + i pi/step)| / Gamma(df/2). For many df that falls like a normal one's, below 15 the bound on the left rules.
func chiStep(df float64) float64 { return min(0.1, 0.55/math.Sqrt(2*df)) }

// scaled is the mean of a function with values in [0, 1] over s = chi/sqrt(df).
//
// The trapezoid rule in x = log s converges faster than any power of the step: the density of x, 2 (df/2)^(df/2) /
// Gamma(df/2) exp(df x - df e^(2x)/2), is taken relative to its peak at x = 0, where nothing cancels.
type scaled struct {
	df, step float64
	of       func(s float64) float64
}

// falling is the mean where the function falls in s. Its mass may lie far to the left of the density's, never to the right.
func (s scaled) falling() float64 {
	density := chiDensity(s.df)
	sum := density(0) * s.of(1)
	sum = s.side(s.step, sum, density, false)
	return s.step * s.side(-s.step, sum, density, true)
}

// rising is the mean where the function rises in s: its mass may lie far to the right.
func (s scaled) rising() float64 {
	density := chiDensity(s.df)
	sum := density(0) * s.of(1)
	sum = s.side(s.step, sum, density, true)
	return s.step * s.side(-s.step, sum, density, false)
}

// side adds the terms on one side of the peak until what may follow is nothing: where the function still grows towards 1
// the density alone tells.
func (s scaled) side(step, sum float64, density func(x float64) float64, grows bool) float64 {
	for x := step; ; x += step {
		bound := density(x)
		term := bound * s.of(math.Exp(x))
		sum += term
		if !grows {
			bound = term
		}
		if !(bound > max(sum, 1e-290)*1e-17) {
			return sum
		}
	}
}

// chiDensity is the density of log s.
func chiDensity(df float64) func(x float64) float64 {
	half := df / 2
	peak := math.Ln2 + 0.5*math.Log(half) - halfLog2Pi - stirling(half)
	return func(x float64) float64 { return math.Exp(peak - df*(math.Expm1(2*x)/2-x)) }
}

// crossing finds the q in [low, high] at which the falling tail is p, by secants of its logit against log q, which is nearly a line, also where
// the tail is close to 1. The bracket must hold the crossing.
func crossing(p, low, high float64, tail func(q float64) float64) float64 {
	logit := func(v float64) float64 { return math.Log(v) - math.Log1p(-v) }
	goal := logit(p)
	return math.Exp(root(math.Log(low), math.Log(high), func(u float64) float64 { return logit(tail(math.Exp(u))) - goal }))
}

// root finds where a falling function is 0 in [a, b]; it returns an end that the function does not reach 0 within.
func root(a, b float64, f func(u float64) float64) float64 {
	fa, fb := f(a), f(b)
	if !(fa > 0) {
		return a
	}
	if !(fb < 0) {
		return b
	}
	side, u := 0, a
	for range 200 {
		u = b - fb*(b-a)/(fb-fa)
		if !(u > a && u < b) {
			u = (a + b) / 2
		}
		fu := f(u)
		if fu > 0 {
			if side > 0 {
				fb *= weight(fu, fa)
			}
			a, fa, side = u, fu, 1
		} else {
			if side < 0 {
				fa *= weight(fu, fb)
			}
			b, fb, side = u, fu, -1
		}
		if b-a < 2e-15*max(1, math.Abs(u)) || math.Abs(fu) < 1e-14 {
			break
		}
	}
	return u
}

// weight is that of Anderson & Björck (1973, BIT 13:253-264): it lowers the end that stood still, so that the bracket shrinks from both sides.
func weight(f, old float64) float64 {
	if m := 1 - f/old; m > 0 {
		return m
	}
	return 0.5
}

// ScaleMean is the mean of f(s) over s = chi/sqrt(df), for a smooth f between 0 and 1: a power, say, over what an estimated
// standard deviation may be. An infinite df is s = 1.
func ScaleMean(df float64, f func(s float64) float64) float64 {
	switch {
	case !valid(df):
		return math.NaN()
	case math.IsInf(df, 1):
		return f(1)
	}
	s := scaled{df: df, step: chiStep(df), of: f}
	density := chiDensity(df)
	sum := density(0) * f(1)
	sum = s.side(s.step, sum, density, true)
	return s.step * s.side(-s.step, sum, density, true)
}
