package dist

import "math"

// plainBeta is x with no better knowledge of 1-x and of the distance from the mean than x itself.
func plainBeta(x, a, b float64) betaArgument {
	y := 1 - x
	return betaArgument{a, b, x, y, b*x - a*y}
}

// BetaDensity is the density of the beta law with shapes a and b at x in (0, 1), 0 outside.
func BetaDensity(x, a, b float64) float64 {
	switch {
	case !valid(a, b) || math.IsNaN(x):
		return math.NaN()
	case x <= 0 || x >= 1:
		return 0
	}
	return plainBeta(x, a, b).peak() / x / (1 - x)
}

// BetaLower is P(X <= x) of the beta law with shapes a and b, the regularised incomplete beta function I_x(a, b).
func BetaLower(x, a, b float64) float64 {
	if !valid(a, b) || math.IsNaN(x) {
		return math.NaN()
	}
	lower, _ := plainBeta(x, a, b).tails()
	return lower
}

// BetaUpper is P(X > x).
func BetaUpper(x, a, b float64) float64 {
	if !valid(a, b) || math.IsNaN(x) {
		return math.NaN()
	}
	_, upper := plainBeta(x, a, b).tails()
	return upper
}

// BetaQuantile is the x with P(X <= x) = p.
func BetaQuantile(p, a, b float64) float64 { return betaQuantile(curve.below, p, 0, 1, a, b) }

// BetaUpperQuantile is the x with P(X > x) = p.
func BetaUpperQuantile(p, a, b float64) float64 { return betaQuantile(curve.above, p, 1, 0, a, b) }

func betaQuantile(find func(curve, float64, float64) float64, p, atZero, atOne, a, b float64) float64 {
	v, done := edge(p, atZero, atOne)
	switch {
	case !valid(a, b):
		return math.NaN()
	case done:
		return v
	}
	// u is the logarithm of the odds x/(1-x), by which the density is x^a (1-x)^b / B(a, b).
	u := find(func(u float64) (float64, float64, float64) {
		x, y := 1/(1+math.Exp(-u)), 1/(1+math.Exp(u))
		g := betaArgument{a, b, x, y, b*x - a*y}
		lower, upper := g.tails()
		return lower, upper, g.peak()
	}, p, math.Log(a/b))
	return 1 / (1 + math.Exp(-u))
}
