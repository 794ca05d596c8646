package dist

import "math"

// fArgument is f of the F law as an argument of the beta law with a = d1/2, b = d2/2.
func fArgument(f, d1, d2 float64) betaArgument {
	r := d1 / d2 * f
	if math.IsInf(r, 1) {
		return betaArgument{d1 / 2, d2 / 2, 1, 0, d2 / 2}
	}
	return betaArgument{d1 / 2, d2 / 2, r / (1 + r), 1 / (1 + r), d1 / 2 * (f - 1) / (1 + r)}
}

// fTails returns P(F <= f) and P(F > f); an infinite df is a known variance.
func fTails(f, d1, d2 float64) (lower, upper float64) {
	switch {
	case !valid(d1, d2) || math.IsNaN(f):
		return math.NaN(), math.NaN()
	case f <= 0:
		return 0, 1
	case math.IsInf(f, 1):
		return 1, 0
	case math.IsInf(d2, 1) && math.IsInf(d1, 1):
		return step(f)
	case math.IsInf(d2, 1):
		return gammaTails(d1/2, d1*f/2)
	case math.IsInf(d1, 1):
		upper, lower = gammaTails(d2/2, d2/f/2)
		return lower, upper
	}
	return fArgument(f, d1, d2).tails()
}

// step is the law that is all at 1.
func step(f float64) (lower, upper float64) {
	if f < 1 {
		return 0, 1
	}
	return 1, 0
}

// FUpper is P(F > f) with d1 and d2 degrees of freedom.
func FUpper(f, d1, d2 float64) float64 { _, upper := fTails(f, d1, d2); return upper }

// FLower is P(F <= f) with d1 and d2 degrees of freedom.
func FLower(f, d1, d2 float64) float64 { lower, _ := fTails(f, d1, d2); return lower }

// FQuantile is the f with P(F <= f) = p.
func FQuantile(p, d1, d2 float64) float64 { return fQuantile(curve.below, p, 0, math.Inf(1), d1, d2) }

// FUpperQuantile is the f with P(F > f) = p.
func FUpperQuantile(p, d1, d2 float64) float64 {
	return fQuantile(curve.above, p, math.Inf(1), 0, d1, d2)
}

func fQuantile(find func(curve, float64, float64) float64, p, atZero, atOne, d1, d2 float64) float64 {
	v, done := edge(p, atZero, atOne)
	switch {
	case !valid(d1, d2):
		return math.NaN()
	case done:
		return v
	case math.IsInf(d1, 1) && math.IsInf(d2, 1):
		return 1
	}
	return math.Exp(find(fCurve(d1, d2), p, 0))
}

// fCurve is the F law along log f.
func fCurve(d1, d2 float64) curve {
	return func(u float64) (float64, float64, float64) {
		f := math.Exp(u)
		lower, upper := fTails(f, d1, d2)
		switch {
		case math.IsInf(d2, 1):
			return lower, upper, gammaPeak(d1/2, d1*f/2)
		case math.IsInf(d1, 1):
			return lower, upper, gammaPeak(d2/2, d2/f/2)
		}
		return lower, upper, fArgument(f, d1, d2).peak()
	}
}
