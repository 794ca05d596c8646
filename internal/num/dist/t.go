package dist

import "math"

// tArgument is t² of Student's law as an argument of the beta law with a = 1/2 and b = df/2.
func tArgument(t, df float64) betaArgument {
	t2 := t * t
	n := df + t2
	return betaArgument{0.5, df / 2, t2 / n, df / n, (t2 - 1) / n * df / 2}
}

// tTails returns P(|T| < |t|) and P(|T| > |t|).
func tTails(t, df float64) (inside, outside float64) {
	if math.IsInf(df, 1) {
		return math.Erf(math.Abs(t) / math.Sqrt2), math.Erfc(math.Abs(t) / math.Sqrt2)
	}
	if math.IsInf(t, 0) {
		return 1, 0
	}
	if tFarOut(t, df) {
		outside = tPower(t, df)
		return 1 - outside, outside
	}
	return tArgument(t, df).tails()
}

// tFarOut tells where the tail is its leading power of t to the last digit; the square of such a t may not be a number.
func tFarOut(t, df float64) bool { return math.Abs(t) > 1e9*math.Sqrt(df) }

// tPower is that leading power, (df/t²)^(df/2) / (df/2 B(df/2, 1/2)).
func tPower(t, df float64) float64 {
	half := df / 2
	upper, _ := math.Lgamma(half + 0.5)
	lower, _ := math.Lgamma(half + 1)
	return math.Exp(half*math.Log(df)-df*math.Log(math.Abs(t))+upper-lower) / math.Sqrt(math.Pi)
}

// TDensity is the density of Student's t with df degrees of freedom.
func TDensity(t, df float64) float64 {
	switch {
	case !valid(df) || math.IsNaN(t):
		return math.NaN()
	case math.IsInf(df, 1):
		return NormalDensity(t)
	case math.IsInf(t, 0):
		return 0
	}
	// Gamma((df+1)/2)/Gamma(df/2) by Stirling's formula and its remainders; both powers then meet in one logarithm.
	peak := df/2*math.Log1p(1/df) - 0.5 + stirling((df+1)/2) - stirling(df/2) - halfLog2Pi
	return math.Exp(peak - (df+1)/2*math.Log1p(t/df*t))
}

// TUpper is P(T > t) for Student's t with df degrees of freedom.
func TUpper(t, df float64) float64 {
	if !valid(df) || math.IsNaN(t) {
		return math.NaN()
	}
	inside, outside := tTails(t, df)
	if t < 0 {
		return 0.5 + inside/2
	}
	return outside / 2
}

// TLower is P(T <= t).
func TLower(t, df float64) float64 { return TUpper(-t, df) }

// TQuantile is the t with P(T <= t) = p.
func TQuantile(p, df float64) float64 { return -TUpperQuantile(p, df) }

// TUpperQuantile is the t with P(T > t) = p.
func TUpperQuantile(p, df float64) float64 {
	v, done := edge(p, math.Inf(1), math.Inf(-1))
	switch {
	case !valid(df):
		return math.NaN()
	case done:
		return v
	case math.IsInf(df, 1):
		return NormalUpperQuantile(p)
	case p > 0.5:
		return -TUpperQuantile(1-p, df)
	case p == 0.5:
		return 0
	}
	c := curve(func(u float64) (float64, float64, float64) {
		t := math.Exp(u)
		inside, outside := tTails(t, df)
		if tFarOut(t, df) {
			return inside, outside, df * outside
		}
		return inside, outside, 2 * tArgument(t, df).peak()
	})
	start := math.Log(NormalUpperQuantile(p))
	if p > 0.25 {
		return math.Exp(c.below(1-2*p, start))
	}
	return math.Exp(c.above(2*p, start))
}
