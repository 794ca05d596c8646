package dist

import "math"

// ChiSquaredDensity is the density of chi-squared with df degrees of freedom.
func ChiSquaredDensity(x, df float64) float64 {
	switch {
	case !valid(df) || math.IsNaN(x):
		return math.NaN()
	case x < 0 || math.IsInf(x, 1):
		return 0
	case x == 0:
		return chiSquaredAtZero(df)
	}
	return gammaPeak(df/2, x/2) / x
}

func chiSquaredAtZero(df float64) float64 {
	switch {
	case df < 2:
		return math.Inf(1)
	case df == 2:
		return 0.5
	}
	return 0
}

// ChiSquaredUpper is P(X > x) for chi-squared with df degrees of freedom.
func ChiSquaredUpper(x, df float64) float64 {
	if !valid(df) || math.IsNaN(x) {
		return math.NaN()
	}
	_, upper := gammaTails(df/2, x/2)
	return upper
}

// ChiSquaredLower is P(X <= x).
func ChiSquaredLower(x, df float64) float64 {
	if !valid(df) || math.IsNaN(x) {
		return math.NaN()
	}
	lower, _ := gammaTails(df/2, x/2)
	return lower
}

// ChiSquaredQuantile is the x with P(X <= x) = p.
func ChiSquaredQuantile(p, df float64) float64 {
	return chiSquaredQuantile(curve.below, p, 0, math.Inf(1), df)
}

// ChiSquaredUpperQuantile is the x with P(X > x) = p.
func ChiSquaredUpperQuantile(p, df float64) float64 {
	return chiSquaredQuantile(curve.above, p, math.Inf(1), 0, df)
}

func chiSquaredQuantile(find func(curve, float64, float64) float64, p, atZero, atOne, df float64) float64 {
	v, done := edge(p, atZero, atOne)
	switch {
	case !valid(df) || math.IsInf(df, 1):
		return math.NaN()
	case done:
		return v
	}
	return math.Exp(find(func(u float64) (float64, float64, float64) {
		half := math.Exp(u) / 2
		lower, upper := gammaTails(df/2, half)
		return lower, upper, gammaPeak(df/2, half)
	}, p, math.Log(df)))
}
