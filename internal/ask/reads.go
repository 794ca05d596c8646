package ask

import (
	"slices"
	"strings"

	"fairplot/internal/evidence"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
)

// always are the kinds of record that every question reads; those that only some do come in thousands.
var always = []garden.Kind{garden.KindSetting, garden.KindSite, garden.KindGarden, garden.KindBed, garden.KindCrop, garden.KindMaterial, garden.KindPlanting,
	garden.KindHarvest, garden.KindCultivation, garden.KindAmendment, garden.KindCover, garden.KindMeasurement, garden.KindLoss}

// readsOfCompare adds what the practices and the response named need. Words that cannot be read need nothing: the answer is what is wrong with them.
func readsOfCompare(c Call) []garden.Kind {
	kinds := slices.Clone(always)
	response := strings.Join(strings.Fields(c.Said["response"]), " ")
	named := practicesNamed(c)
	if slices.Contains(named, practice.Rain) {
		kinds = append(kinds, garden.KindWeather)
	}
	if slices.Contains(named, practice.Water) {
		kinds = append(kinds, garden.KindWatering)
	}
	byTime := response == evidence.PerHour || response == evidence.Hours || c.Said["whole-year"] == "true" // a year's answer tells its hours too
	if byTime || slices.Contains(named, practice.WorkTime) {
		kinds = append(kinds, garden.KindWork)
	}
	return kinds
}

// practicesNamed are what is compared and what is adjusted for.
func practicesNamed(c Call) []practice.Name {
	var out []practice.Name
	for _, word := range append(list(c.Said["adjust"]), c.Subject) {
		if n, err := practiceWord(word); err == nil {
			out = append(out, n)
		}
	}
	return out
}

// readsOfTally adds the work, whose hours are part of how it went.
func readsOfTally(Call) []garden.Kind { return append(slices.Clone(always), garden.KindWork) }
