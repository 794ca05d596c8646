package dist

import "math"

// studentised returns E U(q s) with s = chi/sqrt(df) independent of what U is the tail of, q > 0. U falls from 1 to 0.
//
// The trapezoid rule in x = log s converges faster than any power of the step: the density of x, 2 (df/2)^(df/2) /
// Gamma(df/2) exp(df x - df e^(2x)/2), is taken relative to its peak at x = 0, where nothing cancels.
func studentised(q, df float64, tail func(w float64) float64) float64 {
	if math.IsInf(df, 1) {
		return tail(q)
	}
	step := min(0.16, 0.6/math.Sqrt(2*df))
	density := chiDensity(df)
	sum := density(0) * tail(q)
	for x := step; ; x += step {
		term := density(x) * tail(q*math.Exp(x))
		sum += term
		if term <= sum*1e-17 {
			break
		}
	}
	for x := -step; ; x -= step {
		f := density(x)
		sum += f * tail(q*math.Exp(x))
		if f <= sum*1e-17 {
			break
		}
	}
	return min(1, sum*step)
}

// chiDensity is the density of log s.
func chiDensity(df float64) func(x float64) float64 {
	half := df / 2
	peak := math.Ln2 + 0.5*math.Log(half) - halfLog2Pi - stirling(half)
	return func(x float64) float64 { return math.Exp(peak - df*(math.Expm1(2*x)/2-x)) }
}

// crossing finds the q in [low, high] at which the falling tail is p, by secants of its logit against log q: nearly a line, also where
// the tail is close to 1. The bracket must hold the crossing.
func crossing(p, low, high float64, tail func(q float64) float64) float64 {
	logit := func(v float64) float64 { return math.Log(v) - math.Log1p(-v) }
	goal := logit(p)
	miss := func(u float64) float64 { return logit(tail(math.Exp(u))) - goal }
	a, b := math.Log(low), math.Log(high)
	fa, fb := miss(a), miss(b)
	if !(fa > 0) {
		return low
	}
	if !(fb < 0) {
		return high
	}
	side, u := 0, a
	for range 100 {
		u = b - fb*(b-a)/(fb-fa)
		if !(u > a && u < b) {
			u = (a + b) / 2
		}
		f := miss(u)
		if f > 0 {
			if side > 0 {
				fb *= weight(f, fa)
			}
			a, fa, side = u, f, 1
		} else {
			if side < 0 {
				fa *= weight(f, fb)
			}
			b, fb, side = u, f, -1
		}
		if b-a < 2e-15 || math.Abs(f) < 1e-14 {
			break
		}
	}
	return math.Exp(u)
}

// weight is that of Anderson & Björck (1973, BIT 13:253-264): it lowers the end that stood still, so that the bracket shrinks from both sides.
func weight(f, old float64) float64 {
	if m := 1 - f/old; m > 0 {
		return m
	}
	return 0.5
}
