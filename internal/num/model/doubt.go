package model

import "math"

// Doubt is one reason to be careful: its code, a sentence, and the number that set it off, if one did.
type Doubt struct {
	Code   string   `json:"code"`
	Says   string   `json:"says"`
	Number *float64 `json:"number,omitempty"`
}

// The codes of doubts that arise here.
const (
	MixedColumn   = "mixed-column"   // numbers and words in one column, read as categories
	SameNumber    = "same-number"    // one number spelled in two ways, read as two categories
	OneLevel      = "one-level"      // a factor with one level in the analysed rows
	NearlyAliased = "nearly-aliased" // a column all but determined by others
	NestedTurned  = "nested-wrongly" // a/b where every a lies in one b
	NotEstimable  = "not-estimable"  // a mean or difference that these rows cannot estimate
	TooManyPairs  = "too-many-pairs" // of one compared term, not worked out
	DunnettError  = "dunnett-error"  // the probabilities come from sampling
)

// Finite returns a pointer to v, or nil where v is no number: what does not exist is absent.
func Finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
