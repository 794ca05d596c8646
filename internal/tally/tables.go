package tally

import (
	"fmt"
	"slices"

	"fairplot/internal/civil"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// sentence sums the year up, what waits to be sorted out included.
func (b book) sentence(all line) string {
	waiting := unit.Mass(0)
	for _, h := range b.waiting {
		waiting += h.Net().Or(0)
	}
	hours := unit.Time(0)
	for _, w := range b.works {
		hours += w.Time
	}
	s := fmt.Sprintf("%s picked in %d from %d crops in beds", kg(all.mass+waiting), b.want.Season, all.plantings)
	if all.failed > 0 {
		s += fmt.Sprintf(", of which %d failed", all.failed)
	}
	if all.before > 0 {
		s += fmt.Sprintf("; %s by the same day of the year before", kg(all.before))
	}
	s += "."
	if hours > 0 && len(b.want.Crops) == 0 && len(b.want.Gardens) == 0 {
		s += fmt.Sprintf(" %.0f hours of work are noted.", float64(hours/unit.Hour))
	}
	if all.byEye > 0 {
		s += fmt.Sprintf(" %s of it was estimated by eye.", kg(all.byEye))
	}
	if waiting > 0 {
		s += fmt.Sprintf(" %s wait to be placed in a bed.", kg(waiting))
	}
	return s
}

func cropTable(lines []line) finding.Table {
	t := finding.Table{Title: "By crop", Columns: []finding.Column{{Name: "crop"}, {Name: "picked", Unit: "kg"}, {Name: "per m² of bed", Unit: "kg/m²"},
		{Name: "year before", Unit: "kg"}, {Name: "in beds"}, {Name: "failed"}, {Name: "first"}, {Name: "last"}, {Name: "work", Unit: "h"}}}
	for _, l := range lines {
		t.Rows = append(t.Rows, l.cells())
	}
	return t
}

func (b book) gardenTable(lines []line) finding.Table {
	t := cropTable(lines)
	t.Title, t.Columns[0].Name = "By garden", "garden"
	return t
}

func (l line) cells() []string {
	per := "not known"
	if !l.areaMissing && l.area > 0 {
		per = fmt.Sprintf("%.2f", float64(l.mass.Per(l.area)))
	}
	hours := "not noted"
	if l.time > 0 {
		hours = fmt.Sprintf("%.1f", float64(l.time/unit.Hour))
	}
	return []string{l.name, fmt.Sprintf("%.1f", float64(l.mass)), per, fmt.Sprintf("%.1f", float64(l.before)), fmt.Sprint(l.plantings),
		fmt.Sprint(l.failed), date(l.first), date(l.last), hours}
}

func waitingTable(waiting []garden.Harvest) finding.Table {
	t := finding.Table{Title: "To sort out", Columns: []finding.Column{{Name: "date"}, {Name: "crop"}, {Name: "picked", Unit: "kg"}, {Name: "note"}}}
	for _, h := range waiting {
		t.Rows = append(t.Rows, []string{date(h.Date), h.Crop, fmt.Sprintf("%.2f", float64(h.Net().Or(0))), h.Note})
	}
	return t
}

// poorAt and poorOf say when a bed is often poor: below three quarters of its crop's median of that season in most of at least four crops.
const (
	poorAt = 0.75
	poorOf = 4
)

// poorBeds lists beds whose crops mostly lay well below the median of the same crop and season. It is a place to look, not a finding.
func (b book) poorBeds() finding.Table {
	type key struct {
		crop   string
		season int
	}
	yields := map[key][]float64{}
	for _, p := range b.planted {
		if y, ok := yieldOf(p); ok {
			yields[key{p.Planting.Crop, p.Season}] = append(yields[key{p.Planting.Crop, p.Season}], y)
		}
	}
	of, poor := map[string]int{}, map[string]int{}
	var beds []string
	for _, p := range b.planted {
		y, ok := yieldOf(p)
		same := yields[key{p.Planting.Crop, p.Season}]
		if !ok || len(same) < 3 {
			continue
		}
		bed := p.Garden.Name + "/" + p.Bed.Name
		if of[bed] == 0 {
			beds = append(beds, bed)
		}
		of[bed]++
		if y < poorAt*median(same) {
			poor[bed]++
		}
	}
	t := finding.Table{Title: "Beds that were often poor, all seasons", Columns: []finding.Column{{Name: "bed"}, {Name: "crops well below the usual"}, {Name: "of"}}}
	for _, bed := range beds {
		if of[bed] >= poorOf && 2*poor[bed] > of[bed] {
			t.Rows = append(t.Rows, []string{bed, fmt.Sprint(poor[bed]), fmt.Sprint(of[bed])})
		}
	}
	return t
}

func yieldOf(p practice.Planted) (float64, bool) {
	if p.Planting.Ended.IsZero() || !p.Area.Known || p.Area.Value <= 0 {
		return 0, false
	}
	return float64(picked(p, civil.FromNumber(1<<20)).Per(p.Area.Value)), true
}

func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

func kg(m unit.Mass) string { return fmt.Sprintf("%.1f kg", float64(m)) }

func date(d civil.Date) string {
	if d.IsZero() {
		return "none yet"
	}
	return d.String()
}
