package dist

import "math"

// NormalDensity is the standard normal density.
func NormalDensity(x float64) float64 { return math.Exp(-x*x/2 - halfLog2Pi) }

// NormalLower is P(Z <= x) for a standard normal Z.
func NormalLower(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// NormalUpper is P(Z > x) for a standard normal Z.
func NormalUpper(x float64) float64 { return math.Erfc(x/math.Sqrt2) / 2 }

// NormalQuantile is the x with P(Z <= x) = p.
func NormalQuantile(p float64) float64 { return -NormalUpperQuantile(p) }

// NormalUpperQuantile is the x with P(Z > x) = p.
func NormalUpperQuantile(p float64) float64 {
	switch {
	case !probability(p):
		return math.NaN()
	case p > 0.5:
		return -NormalUpperQuantile(1 - p)
	case p == 0:
		return math.Inf(1)
	case p > 0.1:
		return math.Sqrt2 * math.Erfinv(1-2*p)
	}
	// Abramowitz & Stegun (1964), 26.2.23, good to 4.5e-4, then Halley's steps on the tail itself.
	u := math.Sqrt(-2 * math.Log(p))
	x := u - (2.515517+u*(0.802853+u*0.010328))/(1+u*(1.432788+u*(0.189269+u*0.001308)))
	for range 2 {
		d := (NormalUpper(x) - p) / NormalDensity(x)
		x += d / (1 - x*d/2)
	}
	return x
}
