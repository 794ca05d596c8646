package dist

import "math"

// BinomialProbability is P(K = k) of k successes in n trials with chance p each.
func BinomialProbability(k, n int, p float64) float64 {
	switch {
	case n < 0 || !probability(p):
		return math.NaN()
	case k < 0 || k > n:
		return 0
	case n == 0:
		return 1
	case p == 0 || k == 0:
		return whole(k == 0) * math.Exp(float64(n)*math.Log1p(-p))
	case p == 1 || k == n:
		return whole(k == n) * math.Pow(p, float64(n))
	}
	a, b := float64(k), float64(n-k)
	g := betaArgument{a, b, p, 1 - p, b*p - a*(1-p)}
	return g.peak() * float64(n) / a / b
}

func whole(certain bool) float64 {
	if certain {
		return 1
	}
	return 0
}

// BinomialLower is P(K <= k).
func BinomialLower(k, n int, p float64) float64 {
	switch {
	case n < 0 || !probability(p):
		return math.NaN()
	case k < 0:
		return 0
	case k >= n:
		return 1
	}
	return BetaUpper(p, float64(k)+1, float64(n-k))
}

// BinomialUpper is P(K > k).
func BinomialUpper(k, n int, p float64) float64 {
	switch {
	case n < 0 || !probability(p):
		return math.NaN()
	case k < 0:
		return 1
	case k >= n:
		return 0
	}
	return BetaLower(p, float64(k)+1, float64(n-k))
}

// BinomialQuantile is the least k with P(K <= k) >= q, and -1 where a parameter is out of range.
func BinomialQuantile(q float64, n int, p float64) int {
	if n < 0 || !probability(p) || !probability(q) {
		return -1
	}
	low, high := -1, n // P(K <= low) < q <= P(K <= high)
	for high-low > 1 {
		middle := low + (high-low)/2
		if BinomialLower(middle, n, p) >= q {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}
