package soil

import (
	"fmt"
	"slices"

	"fairplot/internal/unit"
)

// Basis says of what a series counts its shares. The conventions differ and must never be mixed.
type Basis string

// The bases.
const (
	OfTotal     Basis = "of the total nitrogen first applied"
	OfOrganic   Basis = "of the organic nitrogen first applied"
	OfRemainder Basis = "of the organic nitrogen still left each year"
)

// Series is a published release of nitrogen over years, the year of spreading first.
type Series struct {
	Name   string // key for a caller: "cattle-solid"
	Says   string
	Shares []float64
	Basis  Basis
	Mark
}

// Year is one year of release.
type Year struct {
	Released, Left float64 // in the unit of the amount given
}

// Release spends the nitrogen year by year. The sum of what is released and the last Left is always the amount. The ammonium
// part is released in the first year when the basis is organic nitrogen.
func (s Series) Release(total, ammonium float64) ([]Year, error) {
	if total < 0 || ammonium < 0 || ammonium > total {
		return nil, fmt.Errorf("total nitrogen (%g) must not be negative, and its ammonium part (%g) not more than the total", total, ammonium)
	}
	first := total
	if s.Basis != OfTotal {
		first = total - ammonium
	}
	left := first
	years := make([]Year, 0, len(s.Shares))
	for i, share := range s.Shares {
		out := share * first
		if s.Basis == OfRemainder {
			out = share * left
		}
		out = min(out, left)
		left -= out
		if i == 0 && s.Basis != OfTotal {
			out += ammonium
		}
		years = append(years, Year{out, left})
	}
	return years, nil
}

// Standing returns what the same dressing, given every year, releases in the year when n of them lie in the ground, the newest
// first.
func (s Series) Standing(total, ammonium float64, n int) (float64, error) {
	years, err := s.Release(total, ammonium)
	if err != nil {
		return 0, err
	}
	sum := 0.0
	for _, y := range years[:min(n, len(years))] {
		sum += y.Released
	}
	return sum, nil
}

// AllSeries returns the built-in series. The statutory ones of Germany put the first year's least efficiency (DUV-A3) before the
// after-effect of § 4 (1) no. 5; slurries and other materials follow the same rule of 10 % in the next year.
func AllSeries() []Series { return slices.Clone(series) }

// FindSeries returns the series of the name.
func FindSeries(name string) (Series, bool) {
	for _, s := range series {
		if s.Name == name {
			return s, true
		}
	}
	return Series{}, false
}

var statute = Mark{"DUV-A3", "V"}

var series = slices.Concat(statutory(), []Series{
	{"dilute-cattle", "cattle manure below 18 % dry matter", []float64{0.35, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"cattle", "cattle manure of 18 % dry matter or more", []float64{0.25, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"poultry", "poultry manure", []float64{0.55, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"dilute-pig", "pig manure below 18 % dry matter", []float64{0.35, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"pig", "pig manure of 18 % dry matter or more", []float64{0.25, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"dilute-horse", "horse manure below 18 % dry matter", []float64{0.30, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"horse", "horse manure of 18 % dry matter or more", []float64{0.25, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"dilute-sheep", "sheep manure below 18 % dry matter", []float64{0.35, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"sheep", "sheep manure of 18 % dry matter or more", []float64{0.25, 0.12, 0.05}, OfOrganic, Mark{"CSS412", "V"}},
	{"alberta", "manures, Alberta", []float64{0.25, 0.12, 0.06}, OfOrganic, Mark{"ALBERTA2007", "V"}},
	{"producer", "compost, a UK producer's example", []float64{0.10, 0.05}, OfTotal, Mark{"FAIRFIELD", "V"}},
	{"pratt-poultry", "poultry manure of 4.5 % nitrogen", []float64{0.90, 0.10, 0.075, 0.05}, OfRemainder, Mark{"PRATT1973", "M"}},
	{"pratt-fresh", "fresh cattle manure of 3.5 % nitrogen", []float64{0.75, 0.15, 0.10, 0.075}, OfRemainder, Mark{"PRATT1973", "M"}},
	{"pratt-2.5", "dry corral manure of 2.5 % nitrogen", []float64{0.40, 0.25, 0.06, 0.03}, OfRemainder, Mark{"PRATT1973", "M"}},
	{"pratt-1.5", "dry corral manure of 1.5 % nitrogen", []float64{0.35, 0.15, 0.10, 0.075}, OfRemainder, Mark{"PRATT1973", "M"}},
	{"pratt-1.0", "dry corral manure of 1.0 % nitrogen", []float64{0.20, 0.10, 0.075, 0.05}, OfRemainder, Mark{"PRATT1973", "M"}},
})

// statutory builds the German series from the least efficiency of the year of spreading. DUV-A3; after-effects of DUV-P4.
func statutory() []Series {
	compost := []float64{0.04, 0.03, 0.03}
	manure := []float64{0.10}
	out := []Series{}
	for _, m := range []struct {
		name, says string
		first      float64
		after      []float64
	}{
		{"green-compost", "compost of green waste", 0.03, compost},
		{"compost", "other compost", 0.05, compost},
		{"cattle-solid", "solid manure of cattle, sheep or goats", 0.25, manure},
		{"horse-solid", "solid manure of horses", 0.25, manure},
		{"pig-solid", "solid manure of pigs", 0.30, manure},
		{"poultry-solid", "solid manure of poultry or rabbits", 0.30, manure},
		{"hen-dried", "dried hen droppings", 0.60, manure},
		{"cattle-slurry", "cattle slurry on worked ground", 0.60, manure},
		{"pig-slurry", "pig slurry on worked ground", 0.70, manure},
		{"urine", "urine of cattle or pigs", 0.90, manure},
		{"sludge-liquid", "sewage sludge below 15 % dry matter", 0.30, manure},
		{"sludge-solid", "sewage sludge, solid", 0.25, manure},
		{"mushroom", "spent mushroom substrate", 0.10, manure},
		{"digestate", "biogas digestate, liquid, on worked ground", 0.60, manure},
		{"digestate-solid", "biogas digestate, solid", 0.30, manure},
	} {
		out = append(out, Series{m.name, m.says, append([]float64{m.first}, m.after...), OfTotal, statute})
	}
	return out
}

// NextCrop is the share of a farmyard manure's total nitrogen that the next crop finds. RB209-2010, the manure incorporated or not.
type NextCrop struct {
	Season   string
	Soil     string
	Fresh    bool // not stored for three months
	WorkedIn bool // within 24 hours
	Share    float64
}

// NextCropShare returns the share by season: 5 % after autumn spreading on sand, 10 % otherwise, 15 % for fresh manure worked in
// within a day in spring.
func NextCropShare(season string, sandy, fresh, workedIn bool) (NextCrop, error) {
	n := NextCrop{Season: season, Soil: "medium or heavy", Fresh: fresh, WorkedIn: workedIn, Share: 0.10}
	if sandy {
		n.Soil = "sandy"
	}
	switch season {
	case "autumn":
		if sandy {
			n.Share = 0.05
		}
	case "spring":
		if fresh && workedIn {
			n.Share = 0.15
		}
	case "winter", "summer":
	default:
		return n, fmt.Errorf("season %q: it is autumn, winter, spring or summer", season)
	}
	return n, nil
}

// GreenManureN returns the plant-available nitrogen of worked-in green stuff, in kg per tonne of dry matter, from its nitrogen in
// % of dry matter: nothing up to 1.5 %, then linear to 3.5 %; beyond the published line the end is held and marked.
func GreenManureN(percent float64) (kgPerTonne float64, beyond bool) {
	at := min(max(percent, 1.5), 3.5)
	poundsPerTon := 17.5 * (at - 1.5) // PNW636
	return poundsPerTon / 2, percent < 1.5 || percent > 3.5
}

// OntarioOrganicN returns the share of a manure's organic nitrogen that becomes available, in %, from its composition in % as
// applied; below 0 it ties nitrogen up. The assumptions are published, the equation is put together from them here.
func OntarioOrganicN(dryMatter, total, ammonium float64, liquid bool) (float64, error) {
	organic := total - ammonium
	if organic <= 0 || dryMatter <= 0 {
		return 0, fmt.Errorf("the manure needs dry matter and organic nitrogen (total %g %% less ammonium %g %%) above 0", total, ammonium)
	}
	kept := 0.31
	if liquid {
		kept = 0.374
	}
	bound := dryMatter * 0.42 * kept / 8 // ONTARIO2025: 42 % carbon, microbes of C:N 8
	return 100 * (organic - bound) / organic, nil
}

// MineralisesByCN says what a compost does with nitrogen by its C:N. CLEMSON.
func MineralisesByCN(cn float64) string {
	switch {
	case cn > 30:
		return "likely to tie up nitrogen"
	case cn < 20:
		return "gives off nitrogen"
	}
	return "neither clearly gives nor ties up nitrogen"
}

// ProductRate returns how much of a product supplies the nutrient wanted, from its content in % of mass.
func ProductRate(wanted unit.Yield, percent float64) (unit.Yield, error) {
	if percent <= 0 || percent > 100 {
		return 0, fmt.Errorf("the product holds %g %% of the nutrient: give a content between 0 and 100 %%", percent)
	}
	return wanted * unit.Yield(100/percent), nil // PENHALLEGON2008
}
