package spacing

import (
	"fmt"
	"math"

	"fairplot/internal/unit"
)

// Sowing is what the seed to buy is worked out from.
type Sowing struct {
	Plants      float64 // wanted
	Germination float64 // share, of the packet or the legal minimum
	Field       float64 // share of the germinated that come up and live: 0.9 in TIGANI
	PerStation  float64 // seeds at each place, thinned to one; 1 or 0: single seeds
	PerGram     float64 // seeds per gram, 0 unknown
}

// Seed is the seed to buy.
type Seed struct {
	Seeds float64 // whole
	Mass  unit.Mass
}

// Seed returns the seed for the plants. Losses divide: 100 plants at 85 % need 118 seeds, not 115. With several seeds at each
// station all are sown, and the chance that a station stays empty falls (see Empty).
func (s Sowing) Seed() (Seed, error) {
	switch {
	case s.Plants <= 0:
		return Seed{}, fmt.Errorf("say for how many plants, above 0")
	case s.Germination <= 0 || s.Germination > 1:
		return Seed{}, fmt.Errorf("germination is a share between 0 and 1 (85 %% is 0.85), not %g", s.Germination)
	case s.Field <= 0 || s.Field > 1:
		return Seed{}, fmt.Errorf("the share that comes up is between 0 and 1, not %g", s.Field)
	case s.PerGram < 0:
		return Seed{}, fmt.Errorf("seeds per gram cannot be %g", s.PerGram)
	}
	n := math.Ceil(s.Plants/(s.Germination*s.Field) - slack)
	if s.PerStation > 1 {
		n = math.Ceil(s.Plants) * s.PerStation
	}
	out := Seed{Seeds: n}
	if s.PerGram > 0 {
		out.Mass = unit.Mass(n / s.PerGram / 1000)
	}
	return out, nil
}

// Empty returns the share of stations at which no plant is to be expected, each with so many seeds.
func (s Sowing) Empty() float64 {
	return math.Pow(1-s.Germination*s.Field, max(1, s.PerStation))
}

// Stand returns the plants per area of rows sown on a bed top: germination × field × rows/(width × distance in the row). TIGANI.
func Stand(germination, field float64, rows int, width, inRow unit.Length) (unit.Crowding, error) {
	if width <= 0 || inRow <= 0 || rows <= 0 {
		return 0, fmt.Errorf("rows, the width of the bed and the distance in the row must be above 0")
	}
	return unit.Crowding(germination * field * float64(rows) / (float64(width) * float64(inRow))), nil // TIGANI
}

// HomeTest returns the standard error of a germination test of n seeds: a test of ten seeds cannot confirm a packet.
func HomeTest(germination float64, n int) (float64, error) {
	if n < 1 || germination < 0 || germination > 1 {
		return 0, fmt.Errorf("a germination test needs at least one seed and a share between 0 and 1")
	}
	return math.Sqrt(germination * (1 - germination) / float64(n)), nil
}

// LabelTolerance returns by how many percentage points a test of 400 seeds may lie below the label, by the mean of both in %.
// CFR201.63.
func LabelTolerance(mean float64) float64 {
	switch {
	case mean >= 96:
		return 5
	case mean >= 90:
		return 6
	case mean >= 80:
		return 7
	case mean >= 70:
		return 8
	case mean >= 60:
		return 9
	}
	return 10
}
