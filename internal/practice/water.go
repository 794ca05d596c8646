package practice

import (
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// water derives water given and rain, in mm a day from start to first harvest.
func (d *diary) water(p *Planted) {
	if p.FirstHarvest.IsZero() || p.Start.IsZero() || !p.FirstHarvest.After(p.Start) {
		p.Levels[Water] = Level{Rule: RuleNoHarvest}
		p.Levels[Rain] = Level{Rule: RuleNoHarvest}
		return
	}
	days := float64(p.FirstHarvest.Sub(p.Start))
	p.Levels[Water] = d.watered(*p, days)
	p.Levels[Rain] = d.rained(*p, days)
}

func (d *diary) watered(p Planted, days float64) Level {
	level := Level{Known: true, Unit: "mm/day", Rule: RulePerDay}
	during := span{p.Start, p.FirstHarvest}
	for _, w := range d.waterings[p.Bed.ID] {
		if !during.holds(w.Date) {
			continue
		}
		depth := w.Depth
		if w.Volume.Known {
			area := p.Bed.Area()
			if !area.Known {
				return Level{Rule: RuleNoArea}
			}
			depth = garden.Some(w.Volume.Value.Per(area.Value) * unit.Length(d.shareOf(p.Bed.ID, w.Beds)))
		}
		mm := float64(depth.Value/unit.Millimetre) / days
		level.Amount += mm
		level.Facts = append(level.Facts, Fact{Kind: garden.KindWatering, ID: garden.ID(w.ID), Date: w.Date, What: "watered", Of: mm})
	}
	if len(level.Facts) > 0 {
		return level
	}
	if d.nothingDone(p, garden.KindWatering, p.Start, p.FirstHarvest) {
		level.Rule = RuleNothingDone
		return level
	}
	return Level{Rule: RuleNotWritten}
}

// rained needs an entry for nine days in ten; a bed in a tunnel gets no rain.
func (d *diary) rained(p Planted, days float64) Level {
	if p.Bed.Tunnel {
		return Level{Known: true, Unit: "mm/day", Rule: RuleEntrySays}
	}
	byDay := d.rain[p.Garden.Site]
	sum, known := 0.0, 0
	for day := p.Start; day.Before(p.FirstHarvest); day = day.AddDays(1) {
		if mm, ok := byDay[day]; ok {
			sum += float64(mm / unit.Millimetre)
			known++
		}
	}
	if float64(known) < 0.9*days {
		return Level{Rule: RuleFewDays}
	}
	return Level{Known: true, Amount: sum / float64(known), Unit: "mm/day", Rule: RulePerDay}
}
