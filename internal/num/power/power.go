// Package power tells what a trial can show before it is laid out: the chance that a test finds a true difference, the size that gives a
// wanted chance, and the difference that a size would show. Simple designs have closed forms by the noncentral t and F laws; any other one is
// simulated and fitted. It knows numbers, neither beds nor crops; variances are of the response as analysed, on the log scale of its logarithm.
package power

import (
	"math"

	"fairplot/internal/num/dist"
)

// F is the power of an F test at the given level: P(F > critical value) with numDF and denDF degrees of freedom and noncentrality lambda, the sum of
// squares of the true effects over the error variance.
func F(numDF, denDF, lambda, level float64) float64 {
	return dist.NoncentralFUpper(dist.FUpperQuantile(level, numDF, denDF), numDF, denDF, lambda)
}

// T is the power of a two-sided t test at the given level; delta is the true difference in standard errors. A significant
// difference in the wrong direction counts as found, as in the F test that it is the root of.
func T(df, delta, level float64) float64 {
	t := dist.TUpperQuantile(level/2, df)
	return min(1, dist.NoncentralTUpper(t, df, delta)+dist.NoncentralTLower(-t, df, delta))
}

// OneSidedT is the power of a t test against one direction.
func OneSidedT(df, delta, level float64) float64 {
	return dist.NoncentralTUpper(dist.TUpperQuantile(level, df), df, delta)
}

// Noncentrality is the lambda at which the F test has the wanted power: level or less gives 0.
func Noncentrality(numDF, denDF, wanted, level float64) float64 {
	return rise(wanted, func(lambda float64) float64 { return F(numDF, denDF, lambda, level) })
}

// Delta is the difference, in standard errors, at which the two-sided t test has the wanted power.
func Delta(df, wanted, level float64) float64 {
	return rise(wanted, func(delta float64) float64 { return T(df, delta, level) })
}

// Size is the size, not rounded, at which a power that grows with it reaches the wanted one; from is the least size that
// makes sense. NaN if none up to a hundred million does.
func Size(from, wanted float64, power func(n float64) float64) float64 {
	x := rise(wanted, func(more float64) float64 { return power(from + more) })
	if x > 1e8 {
		return math.NaN()
	}
	return from + x
}

// Least is the least whole size in [from, most] that gives the wanted power; false if none does. The power must not fall with the size.
func Least(from, most int, wanted float64, power func(n int) float64) (int, bool) {
	if power(from) >= wanted {
		return from, true
	}
	below, step := from, 1
	for below+step < most && power(below+step) < wanted {
		below += step
		step *= 2
	}
	above := min(most, below+step)
	if power(above) < wanted {
		return 0, false
	}
	for above-below > 1 {
		if middle := below + (above-below)/2; power(middle) >= wanted {
			above = middle
		} else {
			below = middle
		}
	}
	return above, true
}

// Averaged is the mean power where the error variance is only estimated, on df degrees of freedom: over variance = estimate df / chi-squared(df), what
// the estimate leaves open. It is lower than the power at the estimate wherever that is high.
func Averaged(estimate, df float64, power func(variance float64) float64) float64 {
	return dist.ScaleMean(df, func(s float64) float64 { return power(estimate / (s * s)) })
}

// rise finds x >= 0 where a rising function reaches the wanted value, to 14 digits; +Inf if it does not.
func rise(wanted float64, f func(x float64) float64) float64 {
	if f(0) >= wanted {
		return 0
	}
	low, high := 0.0, 1.0
	for f(high) < wanted {
		if high > 1e12 {
			return math.Inf(1)
		}
		low, high = high, 2*high
	}
	return between(low, high, func(x float64) float64 { return f(x) - wanted })
}

// between is the root of a rising function in a bracket: secants with Illinois' halving of the end that stands still.
func between(low, high float64, f func(x float64) float64) float64 {
	fl, fh := f(low), f(high)
	side := 0
	for range 200 {
		x := high - fh*(high-low)/(fh-fl)
		if !(x > low && x < high) {
			x = (low + high) / 2
		}
		fx := f(x)
		if fx < 0 {
			if low, fl = x, fx; side < 0 {
				fh /= 2
			}
			side = -1
		} else {
			if high, fh = x, fx; side > 0 {
				fl /= 2
			}
			side = 1
		}
		if high-low <= 1e-14*high || fx == 0 {
			return x
		}
	}
	return high
}
