package spacing

import (
	"fmt"
	"math"
)

// Law is a published law of the mean weight of a plant against crowding (plants/m²). Weights are in the unit of its constants.
type Law interface {
	Weight(crowding float64) float64
	// Optimum returns the crowding of the greatest yield per area and that yield; false when the yield only nears a ceiling.
	Optimum() (crowding, yield float64, ok bool)
}

// YieldAt returns the yield per area of the law.
func YieldAt(l Law, crowding float64) float64 { return crowding * l.Weight(crowding) }

// Asymptotic is 1/w = a + b ρ: the yield per area nears 1/b. KIRA1956.
type Asymptotic struct{ A, B float64 }

// Weight returns the mean weight.
func (l Asymptotic) Weight(c float64) float64 { return 1 / (l.A + l.B*c) }

// Optimum returns the ceiling 1/b, which no crowding reaches.
func (l Asymptotic) Optimum() (float64, float64, bool) { return math.Inf(1), 1 / l.B, false }

// Alone returns the weight of a plant without neighbours.
func (l Asymptotic) Alone() float64 { return 1 / l.A }

// Power is w = (a + b ρ)^(−1/θ). BLEASDALE1960.
type Power struct{ A, B, Theta float64 }

// Weight returns the mean weight.
func (l Power) Weight(c float64) float64 { return math.Pow(l.A+l.B*c, -1/l.Theta) }

// Optimum exists for θ below 1: ρ = a θ/(b (1 − θ)).
func (l Power) Optimum() (float64, float64, bool) {
	if l.Theta >= 1 {
		return math.Inf(1), math.NaN(), false
	}
	c := l.A * l.Theta / (l.B * (1 - l.Theta))
	return c, YieldAt(l, c), true
}

// Parabolic is w = 1/(a + b ρ + c ρ²). HOLLIDAY1960.
type Parabolic struct{ A, B, C float64 }

// Weight returns the mean weight.
func (l Parabolic) Weight(x float64) float64 { return 1 / (l.A + l.B*x + l.C*x*x) }

// Optimum is at ρ = √(a/c), with the yield 1/(b + 2 √(a c)).
func (l Parabolic) Optimum() (float64, float64, bool) {
	if l.C <= 0 {
		return math.Inf(1), 1 / l.B, false
	}
	return math.Sqrt(l.A / l.C), 1 / (l.B + 2*math.Sqrt(l.A*l.C)), true
}

// Bent is w = 1/(a + b ρ^c), of Farazdaghi and Harris.
type Bent struct{ A, B, C float64 }

// Weight returns the mean weight.
func (l Bent) Weight(x float64) float64 { return 1 / (l.A + l.B*math.Pow(x, l.C)) }

// Optimum exists for c above 1: a = b (c − 1) ρ^c.
func (l Bent) Optimum() (float64, float64, bool) {
	if l.C <= 1 {
		return math.Inf(1), math.NaN(), false
	}
	x := math.Pow(l.A/(l.B*(l.C-1)), 1/l.C)
	return x, YieldAt(l, x), true
}

// Decaying is w = a k^ρ with k below 1, of Carmer and Jackobs.
type Decaying struct{ A, K float64 }

// Weight returns the mean weight.
func (l Decaying) Weight(x float64) float64 { return l.A * math.Pow(l.K, x) }

// Optimum is at ρ = −1/ln k.
func (l Decaying) Optimum() (float64, float64, bool) {
	x := -1 / math.Log(l.K)
	return x, YieldAt(l, x), true
}

// ThroughTwo returns the asymptotic law through two mean weights at two crowdings. Two points leave no error: it is arithmetic, not
// a fit, and says nothing of how sure it is.
func ThroughTwo(c1, w1, c2, w2 float64) (Asymptotic, error) {
	if c1 <= 0 || c2 <= 0 || c1 == c2 || w1 <= 0 || w2 <= 0 {
		return Asymptotic{}, fmt.Errorf("two different crowdings above 0 with their mean weights above 0 are needed")
	}
	b := (1/w2 - 1/w1) / (c2 - c1)
	a := 1/w1 - b*c1
	if a <= 0 || b <= 0 {
		return Asymptotic{}, fmt.Errorf("the two weights do not follow the law: the closer stand must weigh less a plant and more an area")
	}
	return Asymptotic{a, b}, nil
}

// Thinned is the upper bound of self-thinning: w = K ρ^(−3/2), so that the mass per area goes as ρ^(−1/2). SELFTHINNING1983; the
// power belongs to the weight of one plant, not to the mass per area.
func Thinned(k, crowding float64) float64 { return k * math.Pow(crowding, -1.5) }
