package evidence

import (
	"fmt"

	"fairplot/internal/practice"
)

// band is a run of a rate, from Low up to but not including the next one's Low. Bands are round numbers fixed in advance and never
// moved to where the data look best.
type band struct {
	low  float64
	name string
}

// bandsOf holds the bands of every practice that is an amount: dressings in L/m², water in mm a day, densities as a share of the
// crop's usual one.
var bandsOf = map[practice.Name][]band{
	practice.Compost:        dressingBands,
	practice.Manure:         dressingBands,
	practice.Fertiliser:     {{0, "none"}, {1e-9, "under 0.1 L/m²"}, {0.1, "0.1 L/m² or more"}},
	practice.Spacing:        densityBands,
	practice.StandingPlants: densityBands,
	practice.Water:          {{0, "none"}, {1e-9, "under 1 mm/day"}, {1, "1 to 3 mm/day"}, {3, "3 mm/day or more"}},
	practice.Rain:           {{0, "under 1 mm/day"}, {1, "1 to 2 mm/day"}, {2, "2 mm/day or more"}},
	practice.WorkTime:       {{0, "under 10 min/m²"}, {10, "10 to 30 min/m²"}, {30, "30 min/m² or more"}},
	practice.SinceDeepDug:   yearBands,
	practice.SinceFirstDug:  yearBands,
	practice.Rectangularity: {{0, "nearly square"}, {2, "rows 2 to 4 times as far apart"}, {4, "rows 4 times as far apart or more"}},
	practice.SowingDay:      {{1, "before April"}, {91, "April or May"}, {152, "June or later"}},
}

var dressingBands = []band{{0, "none"}, {1e-9, "under 10 L/m²"}, {10, "10 to 25 L/m²"}, {25, "25 to 50 L/m²"}, {50, "50 L/m² or more"}}

var densityBands = []band{{0, "wide"}, {0.75, "usual"}, {1.33, "close"}}

var yearBands = []band{{0, "within a year"}, {1, "1 to 3 years ago"}, {3, "3 years ago or more"}}

// Bands describes the bands of a practice, for help and documents; empty if its levels are words.
func Bands(n practice.Name) []string {
	var out []string
	for _, b := range bandsOf[baseName(n)] {
		out = append(out, b.name)
	}
	return out
}

// baseName strips "later" and "residual": their bands are those of the dressing.
func baseName(n practice.Name) practice.Name {
	for _, class := range []practice.Name{practice.Compost, practice.Manure, practice.Fertiliser} {
		if n == practice.Later(class) || n == practice.Residual(class) {
			return class
		}
	}
	return n
}

// levelOf returns the word for the level a planting has of the practice, its amount, and a reason if it has none.
func levelOf(p practice.Planted, n practice.Name, usual func(string) (float64, bool)) (word string, amount float64, why string) {
	if n == Gardens {
		return p.Garden.Name, 0, ""
	}
	l := p.Level(n)
	if !l.Known {
		return "", 0, fmt.Sprintf("%s not known", n)
	}
	bands, banded := bandsOf[baseName(n)]
	if !banded {
		return l.Word, 0, ""
	}
	amount = l.Amount
	if n == practice.Spacing || n == practice.StandingPlants {
		dense, ok := usual(p.Planting.Crop)
		if !ok {
			return "", 0, "no usual spacing is known for the crop"
		}
		amount /= dense
	}
	for _, b := range bands {
		if amount >= b.low {
			word = b.name
		}
	}
	return word, amount, ""
}
