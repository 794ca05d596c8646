package dist

import (
	"math"
	"sync"
)

// Range is the law of the studentised range of k independent normal values, Tukey's law for all pairs of k means. It holds tables that are
// made when first needed; keep one for a family. It may be shared by goroutines.
type Range struct {
	k     int
	tails *table
}

// rangeEnd is where the tables stop: the tail there is below 1e-270.
const rangeEnd = 50

// mostCommon is the number of values up to which one Range serves the whole process. Its panels depend on k alone and are made when first
// touched, so that sharing them changes no digit; it saves half the time of a small analysis from the second one on.
const mostCommon = 12

var common = func() (out [mostCommon + 1]func() *Range) {
	for k := range out {
		out[k] = sync.OnceValue(func() *Range { return newRange(k) })
	}
	return out
}()

// NewRange prepares the range of k values. With k below 2 there is no difference, and every tail is 0.
func NewRange(k int) *Range {
	if k >= 0 && k <= mostCommon {
		return common[k]()
	}
	return newRange(k)
}

func newRange(k int) *Range {
	r := &Range{k: k}
	switch {
	case k == 2:
		r.tails = newTable(func(w float64) float64 { return math.Erfc(w / 2) }, narrow, 1, rangeEnd)
	case k > 2:
		r.tails = newTable(newRangeRule(k).upper, narrow, 1, rangeEnd)
	}
	return r
}

// Upper is P(range/s > q) with s² a variance on df degrees of freedom: the adjusted p-value of a difference of t = q/sqrt(2) standard errors.
func (r *Range) Upper(q, df float64) float64 {
	switch {
	case !valid(df) || math.IsNaN(q):
		return math.NaN()
	case q <= 0:
		return 1
	case r.k < 2 || math.IsInf(q, 1):
		return 0
	case r.k == 2:
		return min(1, 2*TUpper(q/math.Sqrt2, df))
	}
	return studentised(q, df, r.tails.at)
}

// Quantile is the q with P(range/s <= q) = p.
func (r *Range) Quantile(p, df float64) float64 { return r.UpperQuantile(1-p, df) }

// UpperQuantile is the q with P(range/s > q) = p.
func (r *Range) UpperQuantile(p, df float64) float64 {
	v, done := edge(p, math.Inf(1), 0)
	switch {
	case !valid(df):
		return math.NaN()
	case done:
		return v
	case r.k < 2:
		return 0
	}
	// One pair exceeds q less often than some pair, and some pair no more often than the pairs' sum.
	one, all := math.Sqrt2*TUpperQuantile(p/2, df), math.Sqrt2*TUpperQuantile(p/float64(r.k*(r.k-1)), df)
	if r.k == 2 {
		return one
	}
	return crossing(p, one, all, func(q float64) float64 { return r.Upper(q, df) })
}

// rangeRule is the trapezoid rule in z for P(range > w) = k INT phi(z) (Phi(z)^(k-1) - (Phi(z) - Phi(z-w))^(k-1)) dz: the largest value
// lies at z and not all others within w below it.
type rangeRule struct {
	others  int
	step    float64
	below   []float64 // Phi(z)
	weights []float64 // step k phi(z) Phi(z)^(k-1)
}

const rangeStart = -8.5

func newRangeRule(k int) rangeRule {
	r := rangeRule{others: k - 1, step: min(0.5, 0.8/math.Sqrt(float64(k)))}
	for z := rangeStart; z < 9+rangeEnd/2.0; z = rangeStart + r.step*float64(len(r.below)) {
		below := NormalLower(z)
		r.below = append(r.below, below)
		r.weights = append(r.weights, r.step*float64(k)*NormalDensity(z)*math.Pow(below, float64(k-1)))
	}
	return r
}

// upper is P(range > w). The difference of powers is Phi^(k-1) (1 - (1-r)^(k-1)) with r = Phi(z-w)/Phi(z), whose last factor is
// summed without a subtraction. All mass beyond 1e-17 lies within 8.5 of w/2 at most.
func (r rangeRule) upper(w float64) float64 {
	first := max(0, int((w/2-8.5-rangeStart)/r.step))
	last := min(len(r.below)-1, int((w/2+8.5-rangeStart)/r.step)+1)
	sum := 0.0
	for i := first; i <= last; i++ {
		sum += r.weights[i] * someOf(r.others, NormalLower(rangeStart+float64(i)*r.step-w)/r.below[i])
	}
	return min(1, sum)
}

// someOf is 1 - (1-r)^n.
func someOf(n int, r float64) float64 {
	if n > 16 {
		return -math.Expm1(float64(n) * math.Log1p(-r))
	}
	sum := 1.0
	for range n - 1 {
		sum = 1 + sum*(1-r)
	}
	return r * sum
}
