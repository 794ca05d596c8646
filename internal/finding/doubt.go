package finding

import "fmt"

// The codes of doubts. They are part of the program's JSON and do not change.
const (
	NotRandomised     Code = "not-randomised"
	GardenIsMethod    Code = "garden-is-method"
	MovedTogether     Code = "moved-together"
	OneSeason         Code = "one-season"
	FewUnits          Code = "few-units"
	ZeroVariance      Code = "zero-variance"
	SearchStopped     Code = "search-stopped"
	OddResiduals      Code = "odd-residuals"
	UnevenSpread      Code = "uneven-spread"
	OneGardenDecides  Code = "one-garden-decides"
	OneSeasonDecides  Code = "one-season-decides"
	EstimatedWeights  Code = "estimated-weights"
	HarvestIncomplete Code = "harvest-incomplete"
	SharedWeighings   Code = "shared-weighings"
	DifferentState    Code = "different-state"
	AboveCeiling      Code = "above-ceiling"
	Failures          Code = "failures"
	Extrapolated      Code = "extrapolated"
	AfterTreatment    Code = "after-treatment"
	ManyQuestions     Code = "many-questions"
	Unplanned         Code = "unplanned"
	Planned           Code = "planned"
	EdgePlants        Code = "edge-plants"
)

// Figure is the number that set the doubt off, with three digits, or "" if none did.
func (d Doubt) Figure() string {
	if d.Number == nil {
		return ""
	}
	return fmt.Sprintf("%.3g", *d.Number)
}

// Decide returns the verdict of a ratio whose interval is [low, high], the smallest ratio that matters being
// 1+margin, when more is better. The interval decides, never a p-value.
func Decide(low, high, margin float64) Verdict {
	switch {
	case 1/(1+margin) < low && high < 1+margin:
		return NoDifference
	case low > 1:
		return Better
	case high < 1:
		return Worse
	}
	return NotYet
}
