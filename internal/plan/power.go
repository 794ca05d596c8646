package plan

import (
	"math"

	"fairplot/internal/num/dist"
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
// alpha: by the noncentral F law, in the mean over what the variance may be given the records.
func (s Spread) Power(ways, blocks int, difference, alpha float64) float64 {
	df := float64((ways - 1) * (blocks - 1))
	if df < 1 || !(s.Variance > 0) {
		return 0
	}
	limit := dist.FUpperQuantile(alpha, 1, df)
	at := func(variance float64) float64 {
		return dist.NoncentralFUpper(limit, 1, df, float64(blocks)*difference*difference/(2*variance))
	}
	if math.IsInf(s.DF, 1) {
		return at(s.Variance)
	}
	return power.Averaged(s.Variance, s.DF, at)
}
