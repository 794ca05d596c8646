package dist

import "math"

// gammaPeak returns x^a e^-x / Gamma(a), for a > 0 and x > 0.
func gammaPeak(a, x float64) float64 {
	if a < 1 {
		// Stirling's remainder grows without bound as a goes to 0.
		lg, _ := math.Lgamma(a + 1)
		return a * math.Exp(a*math.Log(x)-x-lg)
	}
	return math.Sqrt(a/(2*math.Pi)) * math.Exp(-a*drop((x-a)/a, x/a)-stirling(a))
}

// gammaTails returns the regularised incomplete gamma functions P(a, x) and Q(a, x). The one that is not the
// larger is summed on its own, so both keep their relative accuracy as far as a < 1/10 is not asked for.
func gammaTails(a, x float64) (lower, upper float64) {
	switch {
	case x <= 0:
		return 0, 1
	case math.IsInf(x, 1):
		return 1, 0
	case x < a+1:
		lower = min(1, gammaPeak(a, x)/a*gammaSeries(a, x))
		return lower, 1 - lower
	}
	upper = min(1, gammaPeak(a, x)*gammaFraction(a, x))
	return 1 - upper, upper
}

// gammaSeries is 1 + x/(a+1) + x²/((a+1)(a+2)) + ... (Abramowitz & Stegun 1964, 6.5.29).
func gammaSeries(a, x float64) float64 {
	sum, term := 1.0, 1.0
	for term > sum*epsilon/4 {
		a++
		term *= x / a
		sum += term
	}
	return sum
}

// gammaFraction is Gamma(a, x) e^x x^-a as Legendre's continued fraction in its even form
// (Abramowitz & Stegun 1964, 6.5.31), by Lentz's method.
func gammaFraction(a, x float64) float64 {
	const tiny = 1e-300
	b := x + 1 - a
	c, d := 1/tiny, 1/b
	h := d
	for i := 1.0; i < 1e6; i++ {
		an := -i * (i - a)
		b += 2
		d = 1 / nonzero(an*d+b, tiny)
		c = nonzero(b+an/c, tiny)
		h *= c * d
		if math.Abs(c*d-1) < 2*epsilon {
			break
		}
	}
	return h
}

func nonzero(v, tiny float64) float64 {
	if math.Abs(v) < tiny {
		return tiny
	}
	return v
}
