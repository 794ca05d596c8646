package soil

import (
	"fmt"
	"math"

	"fairplot/internal/unit"
)

// Screen is a published level of a metal in soil. None is a line between safe and unsafe.
type Screen struct {
	Metal string
	Says  string
	Above float64 // mg/kg of dry soil
	Mark
}

// Screens returns the levels for gardens and homes.
func Screens() []Screen {
	epa, germany := Mark{"EPA2025", "V"}, Mark{"BBODSCHV1999", "V"}
	return []Screen{
		{"lead", "US EPA screening level for homes, since October 2025", 200, epa},
		{"lead", "US EPA removal management level", 600, epa},
		{"lead", "Germany, playgrounds", 200, germany}, {"lead", "Germany, homes", 400, germany},
		{"arsenic", "Germany, playgrounds", 25, germany}, {"arsenic", "Germany, homes", 50, germany}, {"arsenic", "Germany, food gardens", 200, germany},
		{"cadmium", "Germany, playgrounds", 10, germany}, {"cadmium", "Germany, homes", 20, germany},
		{"mercury", "Germany, food gardens", 5, germany},
	}
}

// Exceeded returns the levels of the metal that the value is above.
func Exceeded(metal string, mgPerKg float64) []Screen {
	var out []Screen
	for _, s := range Screens() {
		if s.Metal == metal && mgPerKg > s.Above {
			out = append(out, s)
		}
	}
	return out
}

// LeafNitrate is the EU's limit in sold leaves, mg NO3 per kg fresh. EU1258-2011.
func LeafNitrate(leaf string, winter, underCover bool) (float64, error) {
	pick := func(winterIn, winterOut, summerIn, summerOut float64) float64 {
		switch {
		case winter && underCover:
			return winterIn
		case winter:
			return winterOut
		case underCover:
			return summerIn
		}
		return summerOut
	}
	switch leaf {
	case "spinach":
		return 3500, nil
	case "lettuce":
		return pick(5000, 4000, 4000, 3000), nil
	case "iceberg":
		return pick(2500, 2000, 2500, 2000), nil
	case "rocket":
		return pick(7000, 7000, 6000, 6000), nil
	case "baby food":
		return 200, nil
	}
	return 0, fmt.Errorf("no limit for %q: there are spinach, lettuce, iceberg, rocket and baby food", leaf)
}

// Lift is a load as lifted: the revised NIOSH equation's inputs. Zero values stand for the best case.
type Lift struct {
	Away      unit.Length // hands from the ankles, at least 25 cm counts
	Height    unit.Length // hands above the floor at the start
	Travel    unit.Length // up or down
	Twist     float64     // degrees
	Frequency float64     // multiplier of the published table, 0 means 1
	Grip      float64     // multiplier, 0 means 1
}

// RecommendedWeight returns the most that the equation recommends. NIOSH94-110.
func (l Lift) RecommendedWeight() (unit.Mass, error) {
	h, v, d := max(25, 100*float64(l.Away)), 100*float64(l.Height), max(25, 100*float64(l.Travel))
	if h > 63 || v < 0 || v > 175 || d > 175 || l.Twist < 0 || l.Twist > 135 {
		return 0, fmt.Errorf("nobody can lift so: hands up to 63 cm away and 175 cm high, twisted up to 135°")
	}
	kg := 23 * (25 / h) * (1 - 0.003*math.Abs(v-75)) * (0.82 + 4.5/d) * (1 - 0.0032*l.Twist) * one(l.Frequency) * one(l.Grip) // NIOSH94-110
	return unit.Mass(kg), nil
}

func one(x float64) float64 {
	if x == 0 {
		return 1
	}
	return x
}

// GuideWeight is a one-person base figure of the UK's HSE, at knuckle height close to the body; from memory.
func GuideWeight(woman bool) (unit.Mass, Mark) {
	if woman {
		return 16, Mark{"INDG143", "M"}
	}
	return 25, Mark{"INDG143", "M"}
}

// LiftReduction returns the share that is taken off a base figure for repeating and twisting. INDG143; between the printed rates
// the stricter next one holds.
func LiftReduction(perMinute, twist float64) float64 {
	off := 1.0
	switch {
	case perMinute > 8:
		off = 0.2
	case perMinute > 2:
		off = 0.5
	case perMinute > 0.5:
		off = 0.7
	}
	switch {
	case twist > 90:
		off *= 0.8
	case twist > 45:
		off *= 0.9
	}
	return 1 - off
}
