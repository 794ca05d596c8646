// Package tally describes what was picked and how long it took: sums, firsts and lasts, last year to the same day, and
// beds that are often poor. It compares nothing and so is never counted as a question asked.
package tally

import (
	"cmp"
	"fmt"
	"slices"

	"fairplot/internal/civil"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// Wanted says which part of the records is described.
type Wanted struct {
	Season  int      // growing year; 0 is the last up to Today in which anything was picked
	Crops   []string // empty: all
	Gardens []string // empty: all
	Today   civil.Date
	Options practice.Options
	System  unit.System // in which weights and yields are told
}

// line is the sum of one crop, garden or bed.
type line struct {
	name        string
	mass        unit.Mass
	byEye       unit.Mass
	area        unit.Area
	areaMissing bool
	plantings   int
	failed      int
	first, last civil.Date
	time        unit.Time
	before      unit.Mass // last year to the same day
}

// book is the records sorted out for the sums.
type book struct {
	want     Wanted
	planted  []practice.Planted
	waiting  []garden.Harvest // not placed in any bed
	works    []garden.Work
	gardenOf map[garden.BedID]string
	gardens  map[garden.GardenID]string
}

// latest is the last growing year in which anything was picked, that of today if nothing was yet.
func latest(picked []garden.Harvest, want Wanted) int {
	var last civil.Date
	for _, h := range picked {
		if !h.Nothing && !h.Date.After(want.Today) && h.Date.After(last) {
			last = h.Date
		}
	}
	if last.IsZero() {
		last = want.Today
	}
	return want.Options.SeasonOf(last)
}

// Of describes a growing year as one finding with its tables.
func Of(r garden.Records, want Wanted) finding.Finding {
	if want.Season == 0 {
		want.Season = latest(r.Harvests, want)
	}
	b := sortOut(r, want)
	crops := b.lines(func(p practice.Planted) string { return p.Planting.Crop })
	gardens := b.lines(func(p practice.Planted) string { return p.Garden.Name })
	all := total(crops)
	out := finding.Finding{
		Question: fmt.Sprintf("How did %d go?", want.Season),
		Answer:   b.sentence(all),
		Tables:   []finding.Table{b.cropTable(crops), b.gardenTable(gardens)},
	}
	if len(b.waiting) > 0 {
		out.Tables = append(out.Tables, b.waitingTable())
	}
	if poor := b.poorBeds(); len(poor.Rows) > 0 {
		out.Tables = append(out.Tables, poor)
	}
	return out
}

func sortOut(r garden.Records, want Wanted) book {
	b := book{want: want, gardenOf: map[garden.BedID]string{}, gardens: map[garden.GardenID]string{}}
	for _, g := range r.Gardens {
		b.gardens[g.ID] = g.Name
	}
	for _, bed := range r.Beds {
		b.gardenOf[bed.ID] = b.gardens[bed.Garden]
	}
	for _, p := range practice.Of(r, want.Options) {
		if among(want.Crops, p.Planting.Crop) && among(want.Gardens, p.Garden.Name) {
			b.planted = append(b.planted, p)
		}
	}
	for _, h := range r.Harvests {
		if !h.Placed() && !h.Nothing && want.Options.SeasonOf(h.Date) == want.Season && among(want.Crops, h.Crop) && len(want.Gardens) == 0 {
			b.waiting = append(b.waiting, h)
		}
	}
	for _, w := range r.Works {
		if want.Options.SeasonOf(w.Date) == want.Season && !w.Date.After(want.Today) {
			b.works = append(b.works, w)
		}
	}
	return b
}

func among(list []string, name string) bool { return len(list) == 0 || slices.Contains(list, name) }

// lines adds up the plantings of the season by a name, in the order of the most first.
func (b book) lines(name func(practice.Planted) string) []line {
	at := map[string]*line{}
	sameDay := b.want.Today.AddYears(-1)
	if b.want.Season < b.want.Options.SeasonOf(b.want.Today) { // a year that is over is set against the whole year before
		sameDay = b.want.Today
	}
	for _, p := range b.planted {
		l := at[name(p)]
		if l == nil {
			l = &line{name: name(p)}
			at[name(p)] = l
		}
		switch p.Season {
		case b.want.Season:
			l.add(p, b.want.Today)
		case b.want.Season - 1:
			l.before += picked(p, sameDay)
		}
	}
	var out []line
	for _, l := range at {
		if l.plantings > 0 || l.before > 0 {
			out = append(out, *l)
		}
	}
	slices.SortFunc(out, func(a, b line) int { return cmp.Or(cmp.Compare(b.mass, a.mass), cmp.Compare(a.name, b.name)) })
	return out
}

func (l *line) add(p practice.Planted, today civil.Date) {
	l.plantings++
	if p.Planting.Failed {
		l.failed++
	}
	l.area += p.Area.Or(0)
	l.areaMissing = l.areaMissing || !p.Area.Known
	if w := p.Level(practice.WorkTime); w.Known && p.Area.Known {
		l.time += unit.Time(w.Amount*float64(p.Area.Value)) * unit.Minute
	}
	for _, h := range p.Harvests {
		net := h.Net()
		if h.Date.After(today) || !net.Known {
			continue
		}
		l.mass += net.Value
		if h.Weighing == garden.ByEye {
			l.byEye += net.Value
		}
		if l.first.IsZero() || h.Date.Before(l.first) {
			l.first = h.Date
		}
		if h.Date.After(l.last) {
			l.last = h.Date
		}
	}
}

// picked is what was picked up to and with the day.
func picked(p practice.Planted, to civil.Date) unit.Mass {
	var sum unit.Mass
	for _, h := range p.Harvests {
		if net := h.Net(); net.Known && !h.Date.After(to) {
			sum += net.Value
		}
	}
	return sum
}

func total(lines []line) line {
	var t line
	for _, l := range lines {
		t.mass += l.mass
		t.byEye += l.byEye
		t.plantings += l.plantings
		t.failed += l.failed
		t.before += l.before
	}
	return t
}
