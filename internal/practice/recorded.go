package practice

import (
	"slices"
	"strings"

	"fairplot/internal/garden"
)

// covers derives which covers lay on the bed while the planting stood, by name, in alphabetical order.
func (d *diary) covers(p *Planted) {
	end := d.end(p.Planting)
	var names []string
	level := Level{Known: true, Rule: RuleEntrySays}
	for _, c := range d.coversOn[p.Bed.ID] {
		if c.On.After(end) || !c.Off.IsZero() && c.Off.Before(p.Start) {
			continue
		}
		if !slices.Contains(names, c.What) {
			names = append(names, c.What)
		}
		level.Facts = append(level.Facts, Fact{Kind: garden.KindCover, ID: garden.ID(c.ID), Date: c.On, What: c.What})
	}
	switch {
	case len(names) > 0:
		slices.Sort(names)
		level.Word = strings.Join(names, " and ")
	case d.nothingDone(*p, garden.KindCover, p.Start, end):
		level.Word, level.Rule = "bare", RuleNothingDone
	default:
		level = Level{Rule: RuleNotWritten}
	}
	p.Levels[Cover] = level
}

// dayOfYear is the unit of a sowing day: 1 is 1 January.
const dayOfYear = "day of the year"

// recorded takes over what the planting itself says: variety, how it was started, and on which day of the year.
func (d *diary) recorded(p *Planted) {
	word := func(n Name, w string) {
		if w == "" {
			p.Levels[n] = Level{Rule: RuleNotWritten}
			return
		}
		p.Levels[n] = Level{Known: true, Word: w, Rule: RuleEntrySays}
	}
	word(Variety, p.Planting.Variety)
	word(StartedAs, string(p.Planting.Start))
	if p.Planting.Date.IsZero() {
		p.Levels[SowingDay] = Level{Rule: RuleNotWritten}
		return
	}
	p.Levels[SowingDay] = Level{Known: true, Amount: float64(p.Planting.Date.Date.YearDay()), Unit: dayOfYear, Rule: RuleEntrySays}
}

// overlapShare is the part of a planting's time that another must share its ground to count as growing with it; less is a relay.
const overlapShare = 0.25

// neighbours derives the family that stood there before and the crops it grew together with.
func (d *diary) neighbours(p *Planted) {
	if p.Start.IsZero() {
		p.Levels[PreviousFamily] = Level{Rule: RuleNotWritten}
		p.Levels[Companions] = Level{Rule: RuleNotWritten}
		return
	}
	end := d.end(p.Planting)
	long := max(1, end.Sub(p.Start))
	var previous garden.Planting
	var with []string
	for _, q := range d.plantings[p.Bed.ID] {
		if q.ID == p.Planting.ID || q.Date.IsZero() || !meet(q.Part, p.Planting.Part) {
			continue
		}
		qEnd := d.end(q)
		shared := minDate(end, qEnd).Sub(maxDate(p.Start, q.Date.Date))
		if float64(shared) >= overlapShare*float64(long) {
			with = append(with, q.Crop)
		}
		// A relay's first crop is both: it was there before, and it shared the ground for a while.
		cameBefore := q.Date.Date.Before(p.Start) && qEnd.Before(p.Start.AddDays(long/2+1)) && !qEnd.Before(p.Start.AddYears(-2))
		if cameBefore && (previous.Crop == "" || qEnd.After(d.end(previous))) {
			previous = q
		}
	}
	p.Levels[PreviousFamily] = d.previous(previous)
	p.Levels[Companions] = together(with)
}

func (d *diary) previous(q garden.Planting) Level {
	family := d.o.Family(q.Crop)
	if q.Crop == "" || family == "" {
		return Level{Rule: RuleNotWritten}
	}
	return Level{Known: true, Word: family, Rule: RuleLast,
		Facts: []Fact{{Kind: garden.KindPlanting, ID: garden.ID(q.ID), Date: d.end(q), What: q.Crop}}}
}

func together(with []string) Level {
	if len(with) == 0 {
		return Level{Known: true, Word: "alone", Rule: RuleOverlap}
	}
	slices.Sort(with)
	return Level{Known: true, Word: "with " + strings.Join(slices.Compact(with), " and "), Rule: RuleOverlap}
}
