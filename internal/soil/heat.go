package soil

import (
	"fmt"

	"fairplot/internal/unit"
)

// HeatRule is a published requirement for a heap to count as made safe.
type HeatRule struct {
	Name     string
	Says     string
	Degrees  unit.Temperature // at least
	Top      unit.Temperature // at most, 0: none
	Days     float64          // in one run where Run is set
	Turnings int
	CNLow    float64 // starting C:N, 0: none asked
	CNHigh   float64
	Moisture float64 // least water content in %, 0: none asked
	Mark
}

// HeatRules returns the rules, those of the law texts first. From-memory ones are shown and never decide.
func HeatRules() []HeatRule {
	biowaste := Mark{"BIOABFV", "V"}
	organic := Mark{"CFR205.203", "V2"}
	pfrp := Mark{"CFR503", "M"}
	union := Mark{"EU2019-1009", "M"}
	return []HeatRule{
		{"germany-55", "Germany: two weeks at 55 °C", 55, 0, 14, 0, 0, 0, 40, biowaste},
		{"germany-60", "Germany: six days at 60 °C", 60, 0, 6, 0, 0, 0, 40, biowaste},
		{"germany-65", "Germany: three days at 65 °C", 65, 0, 3, 0, 0, 0, 40, biowaste},
		{"us-organic-windrow", "US organic rule, turned windrow: 15 days at 55 to 77 °C with five turnings", 55, 77, 15, 5, 25, 40, 0, organic},
		{"us-organic-vessel", "US organic rule, in a vessel or an aerated pile: three days at 55 to 77 °C", 55, 77, 3, 0, 25, 40, 0, organic},
		{"epa-windrow", "US EPA, windrow: 15 days at 55 °C with five turnings", 55, 0, 15, 5, 0, 0, 0, pfrp},
		{"eu-70", "European Union: three days at 70 °C", 70, 0, 3, 0, 0, 0, 0, union},
		{"eu-65", "European Union: five days at 65 °C", 65, 0, 5, 0, 0, 0, 0, union},
		{"eu-60", "European Union: seven days at 60 °C", 60, 0, 7, 0, 0, 0, 0, union},
		{"eu-55", "European Union: fourteen days at 55 °C", 55, 0, 14, 0, 0, 0, 0, union},
	}
}

// HeatLog is what a grower measured: the lowest temperature of each day, in a row, over the whole heap.
type HeatLog struct {
	Days           []unit.Temperature
	Turnings       int
	CarbonNitrogen float64 // at the start, 0 unknown
	Moisture       float64 // %, 0 unknown
}

// Met tells whether the log meets the rule, with what is missing.
func (r HeatRule) Met(l HeatLog) (bool, string) {
	run, best := 0, 0
	for _, t := range l.Days {
		if t >= r.Degrees && (r.Top == 0 || t <= r.Top) {
			run++
			best = max(best, run)
			continue
		}
		run = 0
	}
	switch {
	case float64(best) < r.Days:
		return false, fmt.Sprintf("%d days in a row are not the %g asked", best, r.Days)
	case l.Turnings < r.Turnings:
		return false, fmt.Sprintf("%d turnings are not the %d asked", l.Turnings, r.Turnings)
	case r.CNLow > 0 && l.CarbonNitrogen == 0:
		return false, "the starting C:N is not known"
	case r.CNLow > 0 && (l.CarbonNitrogen < r.CNLow || l.CarbonNitrogen > r.CNHigh):
		return false, fmt.Sprintf("the starting C:N of %.3g is not between %g and %g", l.CarbonNitrogen, r.CNLow, r.CNHigh)
	case r.Moisture > 0 && l.Moisture == 0:
		return false, "the water content is not known"
	case r.Moisture > 0 && l.Moisture < r.Moisture:
		return false, fmt.Sprintf("a water content of %.3g %% is below %g", l.Moisture, r.Moisture)
	}
	return true, ""
}

// RawManureDays returns the least days from working raw manure in to harvest: 120 where the eaten part touches the soil or its
// splashes, 90 otherwise. A heap without a log that meets a rule counts as raw. CFR205.203.
func RawManureDays(touchesSoil bool) int {
	if touchesSoil {
		return 120
	}
	return 90
}
