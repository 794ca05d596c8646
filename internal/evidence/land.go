package evidence

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/finding"
	"fairplot/internal/practice"
)

// landRatios tells for crops that shared a bed how much ground they would have needed apart: the sum over the crops of the yield on the shared
// ground over the yield of the crop alone (MEAD1980), the latter from the same garden and season. Where a crop did not also stand alone there is no row.
func landRatios(q Question, l ledger) finding.Table {
	t := finding.Table{Title: "Ground that crops sharing a bed would have needed apart", Columns: []finding.Column{{Name: "bed"}, {Name: "year"}, {Name: "crops"}, {Name: "times the ground"}}}
	alone := soleYields(l)
	var order []bedYear
	together := map[bedYear][]practice.Planted{}
	for _, p := range l.planted {
		if !asked(q, p) || !p.Planting.Part.Share.Known || !strings.HasPrefix(p.Level(practice.Companions).Word, "with ") {
			continue
		}
		k := bedYear{p.Bed.ID, p.Season}
		if together[k] == nil {
			order = append(order, k)
		}
		together[k] = append(together[k], p)
	}
	for _, k := range order {
		if ratio, ok := landRatio(together[k], alone); ok {
			first := together[k][0]
			t.Rows = append(t.Rows, []string{first.Garden.Name + "/" + first.Bed.Name, fmt.Sprint(k.season), strings.Join(cropsTogether(together[k]), " + "), times(ratio)})
		}
	}
	return t
}

// soleKey is where a crop that stood alone can be set against one that did not.
type soleKey struct {
	garden string
	season int
	crop   string
}

// soleYields are the mean kg/m² of crops that stood alone.
func soleYields(l ledger) map[soleKey]float64 {
	sum, n := map[soleKey]float64{}, map[soleKey]float64{}
	for _, p := range l.planted {
		if p.Level(practice.Companions).Word != "alone" {
			continue
		}
		if kg, area, ok := weighed(p); ok {
			k := soleKey{p.Garden.Name, p.Season, p.Planting.Crop}
			sum[k] += kg / area
			n[k]++
		}
	}
	for k := range sum {
		sum[k] /= n[k]
	}
	return sum
}

// weighed is the mass and the ground of a planting that is over and wholly weighed.
func weighed(p practice.Planted) (kg, area float64, ok bool) {
	if p.Planting.Ended.IsZero() || !p.Planting.Failed && len(p.Harvests) == 0 || !p.Area.Known || p.Area.Value <= 0 {
		return 0, 0, false
	}
	r := row{planted: &p}
	mass, why := r.weigh()
	return float64(mass), float64(p.Area.Value), why == ""
}

// landRatio takes the ground the crops had together as the sum of their shares of it.
func landRatio(crops []practice.Planted, alone map[soleKey]float64) (float64, bool) {
	if len(cropsTogether(crops)) < 2 {
		return 0, false
	}
	ground := 0.0
	for _, p := range crops {
		ground += float64(p.Area.Or(0))
	}
	ratio := 0.0
	for _, p := range crops {
		kg, _, ok := weighed(p)
		sole := alone[soleKey{p.Garden.Name, p.Season, p.Planting.Crop}]
		if !ok || sole <= 0 || ground <= 0 {
			return 0, false
		}
		ratio += kg / ground / sole
	}
	return ratio, true
}

func cropsTogether(crops []practice.Planted) []string {
	var out []string
	for _, p := range crops {
		if !slices.Contains(out, p.Planting.Crop) {
			out = append(out, p.Planting.Crop)
		}
	}
	slices.Sort(out)
	return out
}
