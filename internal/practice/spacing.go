package practice

import (
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// spacing derives plants per m² as set and, apart, as standing: a bed that slugs thinned is no wide spacing.
func (d *diary) spacing(p *Planted) {
	p.Levels[Spacing] = asSet(*p)
	p.Levels[StandingPlants] = asStanding(*p)
	if a := p.Planting.Arrangement; a != "" {
		p.Levels[Arrangement] = Level{Known: true, Word: string(a), Rule: RuleEntrySays}
	}
	inRow, between := p.Planting.InRow, p.Planting.BetweenRows
	if inRow.Known && between.Known {
		p.Levels[Rectangularity] = Level{Known: true, Amount: float64(between.Value / inRow.Value), Rule: RuleEntrySays}
	}
}

// asSet is the density that was meant: of the last thinning before the first harvest if there was one, else as sown or set out.
func asSet(p Planted) Level {
	q := p.Planting
	plants, inRow := q.Plants, q.InRow
	for _, s := range q.Stands {
		if s.What != garden.Thinned || !p.FirstHarvest.IsZero() && s.Date.After(p.FirstHarvest) {
			continue
		}
		switch {
		case s.InRow.Known:
			inRow, plants = s.InRow, garden.Maybe[int]{}
		case s.Plants.Known:
			plants = s.Plants
		}
	}
	if plants.Known {
		return perArea(p, plants.Value, RuleAsSet)
	}
	if !inRow.Known {
		return Level{Rule: RuleNotWritten}
	}
	crowding, ok := fromDistances(q, inRow.Value)
	if !ok {
		return Level{Rule: RuleNotWritten}
	}
	return Level{Known: true, Amount: float64(crowding), Unit: "plants/m²", Rule: RuleFromRows}
}

// fromDistances is one plant to each cell of the arrangement: in-row times between-row distance; a triangular stand with one distance
// only has rows that are √3/2 of it apart.
func fromDistances(q garden.Planting, inRow unit.Length) (unit.Crowding, bool) {
	between := q.BetweenRows.Or(inRow)
	if !q.BetweenRows.Known {
		switch q.Arrangement {
		case garden.Square:
		case garden.Triangular:
			between = inRow * 0.8660254037844386
		default:
			return 0, false
		}
	}
	return unit.Crowding(1 / float64(inRow.Times(between))), true
}

// asStanding is the last count of what stood before the first harvest.
func asStanding(p Planted) Level {
	level := Level{Rule: RuleNotWritten}
	for _, s := range p.Planting.Stands {
		if s.What != garden.Standing || !s.Plants.Known || !p.FirstHarvest.IsZero() && s.Date.After(p.FirstHarvest) {
			continue
		}
		level = perArea(p, s.Plants.Value, RuleCounted)
		level.Facts = []Fact{{Kind: garden.KindPlanting, ID: garden.ID(p.Planting.ID), Date: s.Date, What: "counted"}}
	}
	return level
}

func perArea(p Planted, plants int, rule Rule) Level {
	if !p.Area.Known {
		return Level{Rule: RuleNoArea}
	}
	return Level{Known: true, Amount: float64(plants) / float64(p.Area.Value), Unit: "plants/m²", Rule: rule}
}
