package dist

import "math"

// mixture is a law that is one of a row of central laws j = 0, 1, 2 ..., drawn by a Poisson number; each lies further right than the one before.
type mixture struct {
	tails func(j float64) (lower, upper float64)
	gap   func(j float64) float64 // upper tail of j+1 less that of j
}

// upper sums Poisson(j; mean) times the upper tail of j. It walks upwards, where each tail is the last one plus its gap: nothing cancels, and the
// result keeps its relative accuracy however small it is (Benton & Krishnamoorthy 2003, Comput. Stat. Data Anal. 43:249-267, walk from the middle
// and subtract on one side).
func (m mixture) upper(mean float64) float64 {
	j := max(0, math.Floor(mean-10*math.Sqrt(mean)-10))
	chance := poisson(j, mean)
	_, tail := m.tails(j)
	sum := 0.0
	for {
		sum += chance * tail
		tail = min(1, tail+m.gap(j))
		j++
		chance *= mean / j
		// What follows is at most a geometric series.
		if ratio := mean / (j + 1); ratio < 1 && chance <= (1-ratio)*sum*epsilon || chance == 0 {
			return min(1, sum)
		}
	}
}

// lower sums Poisson(j; mean) times the lower tail of j, downwards.
func (m mixture) lower(mean float64) float64 {
	j := math.Ceil(mean + 10*math.Sqrt(mean) + 50)
	chance := poisson(j, mean)
	tail, _ := m.tails(j)
	sum := 0.0
	for {
		sum += chance * tail
		if j == 0 {
			return min(1, sum)
		}
		chance *= j / mean
		j--
		tail = min(1, tail+m.gap(j))
		if ratio := j / mean; ratio < 1 && chance <= (1-ratio)*sum*epsilon {
			return min(1, sum)
		}
	}
}

// poisson is e^-mean mean^j / j!.
func poisson(j, mean float64) float64 { return gammaPeak(j+1, mean) / mean }

func noncentralChiSquared(x, df float64) mixture {
	return mixture{
		tails: func(j float64) (float64, float64) { return gammaTails(df/2+j, x/2) },
		gap:   func(j float64) float64 { return gammaPeak(df/2+j, x/2) / (df/2 + j) },
	}
}

func noncentralF(f, d1, d2 float64) mixture {
	if math.IsInf(d2, 1) {
		return noncentralChiSquared(d1*f, d1)
	}
	at := func(j float64) betaArgument {
		g := fArgument(f, d1, d2)
		g.a += j
		g.ahead -= j * g.y
		return g
	}
	return mixture{
		tails: func(j float64) (float64, float64) { return at(j).tails() },
		gap:   func(j float64) float64 { return at(j).peak() / (d1/2 + j) },
	}
}

// NoncentralChiSquaredUpper is P(X > x) for chi-squared with df degrees of freedom and noncentrality lambda >= 0, the sum of squared means.
func NoncentralChiSquaredUpper(x, df, lambda float64) float64 {
	switch {
	case !valid(df) || math.IsInf(df, 1) || !noncentrality(lambda) || math.IsNaN(x):
		return math.NaN()
	case x <= 0:
		return 1
	case lambda == 0 || math.IsInf(x, 1):
		return ChiSquaredUpper(x, df)
	}
	return noncentralChiSquared(x, df).upper(lambda / 2)
}

// NoncentralChiSquaredLower is P(X <= x).
func NoncentralChiSquaredLower(x, df, lambda float64) float64 {
	switch {
	case !valid(df) || math.IsInf(df, 1) || !noncentrality(lambda) || math.IsNaN(x):
		return math.NaN()
	case x <= 0:
		return 0
	case lambda == 0 || math.IsInf(x, 1):
		return ChiSquaredLower(x, df)
	}
	return noncentralChiSquared(x, df).lower(lambda / 2)
}

// NoncentralFUpper is P(F > f) for d1 and d2 degrees of freedom and noncentrality lambda >= 0 of the numerator: the power of a test that
// rejects beyond f. d2 may be infinite, d1 not.
func NoncentralFUpper(f, d1, d2, lambda float64) float64 {
	switch {
	case !valid(d1, d2) || math.IsInf(d1, 1) || !noncentrality(lambda) || math.IsNaN(f):
		return math.NaN()
	case f <= 0:
		return 1
	case lambda == 0 || math.IsInf(f, 1):
		return FUpper(f, d1, d2)
	}
	return noncentralF(f, d1, d2).upper(lambda / 2)
}

// NoncentralFLower is P(F <= f).
func NoncentralFLower(f, d1, d2, lambda float64) float64 {
	switch {
	case !valid(d1, d2) || math.IsInf(d1, 1) || !noncentrality(lambda) || math.IsNaN(f):
		return math.NaN()
	case f <= 0:
		return 0
	case lambda == 0 || math.IsInf(f, 1):
		return FLower(f, d1, d2)
	}
	return noncentralF(f, d1, d2).lower(lambda / 2)
}

func noncentrality(lambda float64) bool { return lambda >= 0 && !math.IsInf(lambda, 1) }

// NoncentralTUpper is P(T > t) for T = (Z + delta)/sqrt(chi²/df).
func NoncentralTUpper(t, df, delta float64) float64 {
	switch {
	case !valid(df) || math.IsNaN(t) || math.IsNaN(delta) || math.IsInf(delta, 0):
		return math.NaN()
	case math.IsInf(df, 1):
		return NormalUpper(t - delta)
	case math.IsInf(t, 0):
		return TUpper(t, df)
	case t < 0:
		return noncentralTBelow(-t, df, -delta)
	}
	return noncentralTAbove(t, df, delta)
}

// NoncentralTLower is P(T <= t).
func NoncentralTLower(t, df, delta float64) float64 { return NoncentralTUpper(-t, df, -delta) }

// noncentralTAbove and noncentralTBelow are E P(Z > t s - delta) and E P(Z <= t s - delta) over s, for t >= 0: sums of positive terms, where the
// usual series in the incomplete beta function alternate as soon as t and delta differ in sign.
func noncentralTAbove(t, df, delta float64) float64 {
	s := scaled{df: df, step: noncentralStep(df, delta), of: func(s float64) float64 { return NormalUpper(t*s - delta) }}
	return min(1, s.falling())
}

func noncentralTBelow(t, df, delta float64) float64 {
	s := scaled{df: df, step: noncentralStep(df, delta), of: func(s float64) float64 { return NormalLower(t*s - delta) }}
	return min(1, s.rising())
}

// noncentralStep follows the normal tail's turn, which is 1/|delta| wide in log s.
func noncentralStep(df, delta float64) float64 {
	return min(0.1, 0.5/math.Sqrt(2*(df+delta*delta)))
}

// NoncentralTQuantile is the t with P(T <= t) = p.
func NoncentralTQuantile(p, df, delta float64) float64 {
	v, done := edge(p, math.Inf(-1), math.Inf(1))
	switch {
	case !valid(df) || math.IsNaN(delta) || math.IsInf(delta, 0):
		return math.NaN()
	case done:
		return v
	}
	miss := func(t float64) float64 {
		return logOdds(NoncentralTUpper(t, df, delta), NoncentralTLower(t, df, delta), p)
	}
	low, high := delta-1, delta+1
	for step := 1.0; miss(low) < 0; step *= 2 {
		low -= step
	}
	for step := 1.0; miss(high) > 0; step *= 2 {
		high += step
	}
	return root(low, high, miss)
}

// NoncentralFQuantile is the f with P(F <= f) = p.
func NoncentralFQuantile(p, d1, d2, lambda float64) float64 {
	if !valid(d1, d2) || math.IsInf(d1, 1) || !noncentrality(lambda) {
		return math.NaN()
	}
	return positiveQuantile(p, 1+lambda/d1, func(f float64) (float64, float64) {
		return NoncentralFLower(f, d1, d2, lambda), NoncentralFUpper(f, d1, d2, lambda)
	})
}

// NoncentralChiSquaredQuantile is the x with P(X <= x) = p.
func NoncentralChiSquaredQuantile(p, df, lambda float64) float64 {
	if !valid(df) || math.IsInf(df, 1) || !noncentrality(lambda) {
		return math.NaN()
	}
	return positiveQuantile(p, df+lambda, func(x float64) (float64, float64) {
		return NoncentralChiSquaredLower(x, df, lambda), NoncentralChiSquaredUpper(x, df, lambda)
	})
}

// logOdds is how far the tails at a point stand above the odds that p below asks for.
func logOdds(upper, lower, p float64) float64 {
	return math.Log(upper) - math.Log(lower) + math.Log(p) - math.Log1p(-p)
}

func positiveQuantile(p, start float64, tails func(x float64) (lower, upper float64)) float64 {
	if v, done := edge(p, 0, math.Inf(1)); done {
		return v
	}
	miss := func(u float64) float64 {
		lower, upper := tails(math.Exp(u))
		return logOdds(upper, lower, p)
	}
	low, high := math.Log(start)-0.5, math.Log(start)+0.5
	for step := 1.0; miss(low) < 0; step *= 2 {
		low -= step
	}
	for step := 1.0; miss(high) > 0; step *= 2 {
		high += step
	}
	return math.Exp(root(low, high, miss))
}
