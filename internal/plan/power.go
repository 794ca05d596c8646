package plan

import (
	"math"

	"fairplot/internal/num/power"
)

// Spread is how much like plots differ: the variance of the logarithm of the yield, and how surely that is known.
type Spread struct {
	Variance float64
	DF       float64 // +Inf: known
	Area     float64 // m² of the plots it was seen on; 0 if not known
	Source   string  // key of the published figure; "" for the grower's own records
}

// Power is the chance that, in a trial of complete blocks, two ways whose true log yields differ by difference are shown to differ at the level
// alpha, in the mean over what the variance may be given the records.
func (s Spread) Power(ways, blocks int, difference, alpha float64) float64 {
	if ways < 2 || blocks < 2 || !(s.Variance > 0) {
		return 0
	}
	at := func(variance float64) float64 {
		two, _ := power.Blocks(ways, blocks, variance)
		return two.Power(difference, alpha)
	}
	if math.IsInf(s.DF, 1) {
		return at(s.Variance)
	}
	return power.Averaged(s.Variance, s.DF, at)
}
