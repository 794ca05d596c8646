// Package dist holds the laws that tests, intervals and power stand on: normal, Student t, F, chi-squared, beta and
// binomial, their noncentral forms, the studentised range and Dunnett's multivariate t.
//
// Lower is P(X <= x), Upper is P(X > x); each is computed as the tail it is, never as one minus the other, so
// that a probability of 1e-300 keeps its digits. Quantile takes the probability below, UpperQuantile the one above.
// Degrees of freedom need not be whole, and +Inf is the known variance. A parameter outside its range gives NaN; nothing here
// panics on a number. docs/distributions.md states the errors measured.
package dist

import "math"

const (
	epsilon    = 0x1p-53
	halfLog2Pi = 0.918938533204672741780329736406 // log(2 pi)/2
)

// valid tells whether every parameter is positive; NaN is not.
func valid(parameters ...float64) bool {
	for _, v := range parameters {
		if !(v > 0) {
			return false
		}
	}
	return true
}

// probability tells whether p lies in [0, 1]; NaN does not.
func probability(p float64) bool { return p >= 0 && p <= 1 }

// drop returns t - log(1+t) without the cancellation near 0; ratio is 1+t, handed over because t has lost it near -1.
// It is the exponent by which a gamma or beta density falls from its peak (Loader 2000, Fast and accurate
// computation of binomial probabilities).
func drop(t, ratio float64) float64 {
	if math.Abs(t) > 0.4 {
		return t - math.Log(ratio)
	}
	// log(1+t) = 2 artanh(r), r = t/(2+t); t = 2r/(1-r), so the leading terms cancel by hand.
	r := t / (2 + t)
	r2 := r * r
	sum, power := 0.0, r*r2
	for k := 3.0; k < 40; k += 2 {
		next := sum + power/k
		if next == sum {
			break
		}
		sum, power = next, power*r2
	}
	return r*t - 2*sum
}

// stirling returns log Gamma(a+1) - (a + 1/2) log a + a - log(2 pi)/2, what Stirling's formula leaves out, for a > 0.
func stirling(a float64) float64 {
	if a < 12 {
		lg, _ := math.Lgamma(a + 1)
		return lg - (a+0.5)*math.Log(a) + a - halfLog2Pi
	}
	// Bernoulli numbers over 2j(2j-1): Abramowitz & Stegun (1964), 6.1.40.
	r := 1 / (a * a)
	return (1.0/12 - r*(1.0/360-r*(1.0/1260-r*(1.0/1680-r*(1.0/1188-r*(691.0/360360-r/156)))))) / a
}
