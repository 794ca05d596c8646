package tally

import (
	"fmt"
	"slices"

	"fairplot/internal/civil"
	"fairplot/internal/finding"
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
	told := scaleOf(b.want.System)
	s := fmt.Sprintf("%s picked in %d from %s in beds", told.weight(all.mass+waiting), b.want.Season, crops(all.plantings))
	if all.failed > 0 {
		s += fmt.Sprintf(", of which %d failed", all.failed)
	}
	if all.before > 0 {
		s += fmt.Sprintf("; %s by the same day of the year before", told.weight(all.before))
	}
	s += "."
	if hours > 0 && len(b.want.Crops) == 0 && len(b.want.Gardens) == 0 {
		s += fmt.Sprintf(" %s of work are noted in it; the hours of a crop go back to the end of the crop before.", hours.Format(b.want.System))
	}
	if all.byEye > 0 {
		s += fmt.Sprintf(" %s of it was estimated by eye.", told.weight(all.byEye))
	}
	if waiting > 0 {
		s += fmt.Sprintf(" %s wait to be placed in a bed.", told.weight(waiting))
	}
	return s
}

// scale is what weights and yields are told in.
type scale struct {
	mass      unit.Mass
	massName  string
	yield     unit.Yield
	yieldName string
	area      string
}

func scaleOf(s unit.System) scale {
	if s == unit.US {
		const area = 100 * unit.SquareFoot
		return scale{mass: unit.Pound, massName: "lb", yield: unit.Pound.Per(area), yieldName: "lb/100 sq ft", area: "100 sq ft"}
	}
	return scale{mass: unit.Kilogram, massName: "kg", yield: 1, yieldName: "kg/m²", area: "m²"}
}

func (s scale) figure(m unit.Mass) string { return fmt.Sprintf("%.1f", float64(m/s.mass)) }

func (s scale) weight(m unit.Mass) string { return s.figure(m) + " " + s.massName }

func crops(n int) string {
	if n == 1 {
		return "1 crop"
	}
	return fmt.Sprintf("%d crops", n)
}

func (b book) cropTable(lines []line) finding.Table {
	told := scaleOf(b.want.System)
	t := finding.Table{Title: "By crop", Columns: []finding.Column{{Name: "crop"}, {Name: "picked", Unit: told.massName},
		{Name: "per " + told.area + " of bed", Unit: told.yieldName}, {Name: "year before", Unit: told.massName},
		{Name: "in beds"}, {Name: "failed"}, {Name: "first"}, {Name: "last"}, {Name: "work", Unit: "h"}}}
	for _, l := range lines {
		t.Rows = append(t.Rows, l.cells(told))
	}
	return t
}

func (b book) gardenTable(lines []line) finding.Table {
	t := b.cropTable(lines)
	t.Title, t.Columns[0].Name = "By garden", "garden"
	return t
}

func (l line) cells(told scale) []string {
	per := "not known"
	if !l.areaMissing && l.area > 0 {
		per = fmt.Sprintf("%.2f", float64(l.mass.Per(l.area)/told.yield))
	}
	hours := "not noted"
	if l.time > 0 {
		hours = fmt.Sprintf("%.1f", float64(l.time/unit.Hour))
	}
	return []string{l.name, told.figure(l.mass), per, told.figure(l.before), fmt.Sprint(l.plantings),
		fmt.Sprint(l.failed), date(l.first), date(l.last), hours}
}

func (b book) waitingTable() finding.Table {
	told := scaleOf(b.want.System)
	t := finding.Table{Title: "To sort out", Columns: []finding.Column{{Name: "date"}, {Name: "crop"}, {Name: "picked", Unit: told.massName}, {Name: "note"}}}
	for _, h := range b.waiting {
		t.Rows = append(t.Rows, []string{date(h.Date), h.Crop, fmt.Sprintf("%.2f", float64(h.Net().Or(0)/told.mass)), h.Note})
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

func date(d civil.Date) string {
	if d.IsZero() {
		return "none yet"
	}
	return d.String()
}
