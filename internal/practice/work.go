package practice

import (
	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// work derives minutes per m²: its own, its share of what was done on the bed since the crop before, and its share of one-off work.
// Time on a garden or at the seed bench that names no bed belongs to no planting.
func (d *diary) work(p *Planted) {
	if !p.Area.Known {
		p.Levels[WorkTime] = Level{Rule: RuleNoArea}
		return
	}
	level := Level{Known: true, Unit: "min/m²", Rule: RuleOwnTime}
	add := func(w garden.Work, minutes float64) {
		if minutes == 0 {
			return
		}
		each := minutes / float64(p.Area.Value)
		level.Amount += each
		level.Facts = append(level.Facts, Fact{Kind: garden.KindWork, ID: garden.ID(w.ID), Date: w.Date, What: w.Task, Of: each})
	}
	for _, w := range d.ownWork[p.Planting.ID] {
		if p.Planting.Date.IsZero() || d.o.SeasonOf(w.Date) == p.Season || len(p.Harvests) == len(d.harvests[p.Planting.ID]) {
			add(w, minutes(w.Time))
		}
	}
	days := d.ownDays(*p)
	for _, w := range d.works[p.Bed.ID] {
		if !w.Planting.IsZero() {
			continue
		}
		add(w, minutes(w.Time)*d.shareOf(p.Bed.ID, w.Beds)*d.shareOfWork(*p, w, days))
	}
	if len(level.Facts) == 0 && !d.nothingDone(*p, garden.KindWork, days.from, days.to) {
		level = Level{Rule: RuleNotWritten}
	}
	p.Levels[WorkTime] = level
}

func minutes(t unit.Time) float64 { return float64(t / unit.Minute) }

// ownDays run from the end of the crop before, at most a year before the start, to the planting's own end.
func (d *diary) ownDays(p Planted) span {
	days := span{p.Start.AddYears(-1).AddDays(1), d.end(p.Planting)}
	if p.Year > 1 {
		days.from = p.Start
	}
	if !p.LastHarvest.IsZero() && len(p.Harvests) < len(d.harvests[p.Planting.ID]) {
		days.to = d.o.seasonStart(p.Season + 1).AddDays(-1)
	}
	for _, q := range d.plantings[p.Bed.ID] {
		end := d.end(q)
		if q.ID != p.Planting.ID && meet(q.Part, p.Planting.Part) && end.Before(p.Start) && !end.Before(days.from) {
			days.from = end.AddDays(1)
		}
	}
	return days
}

// shareOfWork is the planting's share of work on its bed: of that day's work by the ground of the plantings then there or next to come; of
// one-off work, one year's part, divided among that year's plantings of the bed.
func (d *diary) shareOfWork(p Planted, w garden.Work, days span) float64 {
	if w.OverYears > 1 {
		first := d.o.SeasonOf(w.Date)
		if p.Season < first || p.Season >= first+w.OverYears {
			return 0
		}
		return 1 / float64(w.OverYears) / float64(max(1, d.inSeason(p)))
	}
	if !days.holds(w.Date) {
		return 0
	}
	var all float64
	for _, q := range d.plantings[p.Bed.ID] {
		one := Planted{Planting: q, Bed: p.Bed, Start: q.Date.Date, Year: 1, Season: p.Season}
		if q.ID == p.Planting.ID || !q.Date.IsZero() && d.ownDays(one).holds(w.Date) {
			all += float64(plantedArea(q, p.Bed).Or(0))
		}
	}
	if all <= 0 {
		return 1
	}
	return float64(p.Area.Value) / all
}

// inSeason counts the plantings of the bed in the planting's growing year.
func (d *diary) inSeason(p Planted) int {
	n := 0
	for _, q := range d.plantings[p.Bed.ID] {
		one := Planted{Planting: q, Start: q.Date.Date}
		one.take(d.harvests[q.ID])
		if d.season(one) == p.Season {
			n++
		}
	}
	return n
}

func minDate(a, b civil.Date) civil.Date {
	if b.Before(a) {
		return b
	}
	return a
}

func maxDate(a, b civil.Date) civil.Date {
	if b.After(a) {
		return b
	}
	return a
}
