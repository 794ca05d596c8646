package practice

import (
	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

// DeepFrom is the depth from which a loosening counts as deep digging: deeper than one spit (common practice).
const DeepFrom = 0.40

// cultivation derives how the ground was worked: by the deepest loosening, for this crop alone, and how long ago it was deep-dug.
func (d *diary) cultivation(p *Planted) {
	if p.Start.IsZero() {
		p.Levels[Cultivation] = Level{Rule: RuleNotWritten}
		return
	}
	from := p.Start.AddYears(-1)
	var deepest, own *garden.Cultivation
	var lastDeep, firstDeep civil.Date
	for _, c := range d.workings(*p) {
		if c.Date.After(p.Start) {
			continue
		}
		if depth(c) >= DeepFrom {
			lastDeep = latest(lastDeep, c.Date)
			firstDeep = earliest(firstDeep, c.Date)
		}
		meant := !c.MeantFor.IsZero() && c.MeantFor != p.Planting.ID
		if c.Date.Before(from) || meant && c.How == garden.Undisturbed {
			continue
		}
		deepest = deeper(deepest, c)
		if c.MeantFor == p.Planting.ID {
			own = deeper(own, c)
		}
	}
	p.Levels[Cultivation] = d.cultivationLevel(*p, deepest, from)
	if own != nil {
		p.Levels[OwnCultivation] = worked(*own, RuleForThisAlone)
	}
	setYears(p, SinceDeepDug, lastDeep)
	setYears(p, SinceFirstDug, firstDeep)
}

// workings are the cultivations of the planting's ground, those of the beds it grew out of included.
func (d *diary) workings(p Planted) []garden.Cultivation {
	var out []garden.Cultivation
	for _, bed := range d.lineage(p.Bed.ID) {
		for _, c := range d.cultivations[bed] {
			if bed != p.Bed.ID || meet(c.Part, p.Planting.Part) {
				out = append(out, c)
			}
		}
	}
	return out
}

func (d *diary) cultivationLevel(p Planted, deepest *garden.Cultivation, from civil.Date) Level {
	switch {
	case deepest != nil && deepest.How == garden.Undisturbed:
		return worked(*deepest, RuleEntrySays)
	case deepest != nil:
		return worked(*deepest, RuleDeepest)
	case d.nothingDone(p, garden.KindCultivation, from, p.Start):
		return Level{Known: true, Word: string(garden.Undisturbed), Rule: RuleNothingDone}
	}
	return Level{Rule: RuleNotWritten}
}

func worked(c garden.Cultivation, rule Rule) Level {
	return Level{Known: true, Word: string(c.How), Rule: rule,
		Facts: []Fact{{Kind: garden.KindCultivation, ID: garden.ID(c.ID), Date: c.Date, What: string(c.How)}}}
}

// depth is as noted, else what that kind of working usually reaches.
func depth(c garden.Cultivation) float64 { return float64(c.Depth.Or(c.How.UsualDepth())) }

// deeper returns the deeper of the two, of equals the later.
func deeper(a *garden.Cultivation, b garden.Cultivation) *garden.Cultivation {
	if a == nil || depth(b) > depth(*a) || depth(b) == depth(*a) && b.Date.After(a.Date) {
		return &b
	}
	return a
}

func setYears(p *Planted, n Name, day civil.Date) {
	if day.IsZero() {
		return
	}
	p.Levels[n] = Level{Known: true, Amount: float64(p.Start.Sub(day)) / 365.25, Unit: "years", Rule: RuleEntrySays,
		Facts: []Fact{{Kind: garden.KindCultivation, Date: day, What: "deep dug"}}}
}

func latest(a, b civil.Date) civil.Date {
	if a.IsZero() || b.After(a) {
		return b
	}
	return a
}

func earliest(a, b civil.Date) civil.Date {
	if a.IsZero() || b.Before(a) {
		return b
	}
	return a
}
