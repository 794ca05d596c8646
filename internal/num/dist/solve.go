package dist

import "math"

// curve is a law seen along u, usually the logarithm of its argument: both tails, and the density by u.
type curve func(u float64) (lower, upper, slope float64)

// below finds the u with lower tail p, above the one with upper tail p, by Newton's steps on the logarithm of the smaller tail. That is concave in u for
// all laws here, so the steps close in from one side; a bracket guards the first of them. Start is any guess.
func (c curve) below(p, start float64) float64 {
	if p > 0.5 {
		return c.find(math.Log1p(-p), true, start)
	}
	return c.find(math.Log(p), false, start)
}

func (c curve) above(p, start float64) float64 {
	if p > 0.5 {
		return c.find(math.Log1p(-p), false, start)
	}
	return c.find(math.Log(p), true, start)
}

func (c curve) find(logTail float64, upper bool, u float64) float64 {
	low, high := -744.0, 709.0
	for range 200 {
		tail, up, slope := c(u)
		sign := 1.0
		if upper {
			tail, sign = up, -1
		}
		miss := sign * (math.Log(tail) - logTail)
		if miss > 0 {
			high = u
		} else {
			low = u
		}
		next := u - miss*tail/slope
		if !(next >= low && next <= high) {
			next = (low + high) / 2
		}
		step := next - u
		u = next
		if math.Abs(step) <= 4*epsilon*max(1, math.Abs(u)) || low == high {
			break
		}
	}
	return u
}

// edge answers for the probabilities whose quantile is an end of the support, and for what is no probability.
func edge(p, atZero, atOne float64) (float64, bool) {
	switch {
	case !probability(p):
		return math.NaN(), true
	case p == 0:
		return atZero, true
	case p == 1:
		return atOne, true
	}
	return 0, false
}
