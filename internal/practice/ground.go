package practice

import (
	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// plantedArea is the planting's own ground: its part of the bed, times its share if it is intercropped.
func plantedArea(p garden.Planting, bed garden.Bed) garden.Maybe[unit.Area] {
	area := partArea(p.Part, bed)
	if area.Known && p.Part.Share.Known {
		area.Value *= unit.Area(p.Part.Share.Value)
	}
	return area
}

// partArea is the area of a stretch along the bed, shares left aside.
func partArea(part garden.Part, bed garden.Bed) garden.Maybe[unit.Area] {
	whole := bed.Area()
	if !whole.Known || !bed.Length.Known || !part.From.Known && !part.To.Known {
		return whole
	}
	from, to := part.From.Or(0), part.To.Or(bed.Length.Value)
	to = min(to, bed.Length.Value)
	if to <= from {
		return whole
	}
	return garden.Some(whole.Value * unit.Area(float64(to-from)/float64(bed.Length.Value)))
}

// ground is the planting's area with its share of the garden's paths: the garden's whole ground divided as its beds' areas are.
func (d *diary) ground(p Planted) garden.Maybe[unit.Area] {
	if !p.Area.Known || !p.Garden.Ground.Known {
		return garden.Maybe[unit.Area]{}
	}
	var beds unit.Area
	for _, b := range d.bedArea[p.Bed.Garden] {
		if !p.Start.IsZero() && !b.Stood(p.Start) {
			continue
		}
		a := b.Area()
		if !a.Known {
			return garden.Maybe[unit.Area]{}
		}
		beds += a.Value
	}
	if beds <= 0 || p.Garden.Ground.Value < beds {
		return garden.Maybe[unit.Area]{}
	}
	return garden.Some(p.Area.Value * unit.Area(float64(p.Garden.Ground.Value)/float64(beds)))
}

// meet reports whether two parts of one bed share ground. A part whose stretch is not known is taken to.
func meet(a, b garden.Part) bool {
	if a.Plot != "" && b.Plot != "" {
		return a.Plot == b.Plot
	}
	if stretchKnown(a) && stretchKnown(b) {
		return before(a.From, b.To) && before(b.From, a.To)
	}
	return true
}

func stretchKnown(p garden.Part) bool { return p.From.Known || p.To.Known }

// before reports whether from lies before to; an open end lies beyond everything.
func before(from, to garden.Maybe[unit.Length]) bool {
	return !to.Known || from.Or(0) < to.Value
}

// lineage returns the bed and all beds it grew out of, so that the ground keeps its history when beds are split or merged.
func (d *diary) lineage(id garden.BedID) []garden.BedID {
	out := []garden.BedID{id}
	seen := map[garden.BedID]bool{id: true}
	for i := 0; i < len(out); i++ {
		for _, from := range d.beds[out[i]].GrewFrom {
			if !seen[from] {
				seen[from] = true
				out = append(out, from)
			}
		}
	}
	return out
}

// shareOf is the bed's share of an amount given to several beds together: by area, or equal where an area is missing.
func (d *diary) shareOf(bed garden.BedID, beds []garden.BedID) float64 {
	if len(beds) == 1 {
		return 1
	}
	var all, own unit.Area
	for _, b := range beds {
		a := d.beds[b].Area()
		if !a.Known {
			return 1 / float64(len(beds))
		}
		all += a.Value
		if b == bed {
			own = a.Value
		}
	}
	return float64(own) / float64(all)
}

// nothingDone reports whether the grower said that nothing written of the kind means nothing done, for the whole of the days from
// (not before the bed was there) to the day.
func (d *diary) nothingDone(p Planted, kind garden.Kind, from, to civil.Date) bool {
	for _, start := range []civil.Date{p.Bed.From, p.Garden.From} {
		if !start.IsZero() && len(p.Bed.GrewFrom) == 0 && start.After(from) {
			from = start
		}
	}
	for _, n := range p.Garden.Nothing {
		if n.Kind == kind && (n.From.IsZero() || !n.From.After(from)) && (n.To.IsZero() || !n.To.Before(to)) {
			return true
		}
	}
	return false
}
