package practice

import (
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// classes are the practices that a material's name may fall under.
var classes = []Name{Compost, Manure, Fertiliser}

// ClassOf returns the class of a material by its name: compost and leaf mould, manure, and all else fertiliser.
func ClassOf(material string) Name {
	name := strings.ToLower(material)
	switch {
	case strings.Contains(name, "compost"), strings.Contains(name, "leaf mould"), strings.Contains(name, "leaf mold"):
		return Compost
	case strings.Contains(name, "manure"), strings.Contains(name, "slurry"), strings.Contains(name, "dung"):
		return Manure
	}
	return Fertiliser
}

// span is a run of days, both ends included.
type span struct{ from, to civil.Date }

func (s span) holds(day civil.Date) bool { return !day.Before(s.from) && !day.After(s.to) }

// dressings derives what the planting was fed: before its start, in the three years before that, and while it grew.
func (d *diary) dressings(p *Planted) {
	if p.Start.IsZero() {
		for _, c := range classes {
			p.Levels[c] = Level{Rule: RuleNotWritten}
		}
		return
	}
	year := p.Start.AddYears(-1)
	base := span{year, p.Start.AddDays(-1)}
	residual := span{year.AddYears(-3), year.AddDays(-1)}
	p.Base = map[Name]Dressing{}
	given := d.given(*p)
	for _, class := range classes {
		p.Levels[class] = d.dressing(*p, given, class, base, RuleSumBefore)
		if sum, ok := d.total(*p, given, class, base); ok {
			p.Base[class] = sum
		}
		p.Levels[Residual(class)] = d.dressing(*p, given, class, residual, RuleSumResidual)
		if !p.FirstHarvest.IsZero() {
			p.Levels[Later(class)] = d.dressing(*p, given, class, span{p.Start, p.FirstHarvest}, RuleSumLater)
		}
	}
}

// gift is one dressing of the planting's ground with the depth of material it makes there.
type gift struct {
	garden.Amendment
	depth garden.Maybe[unit.Length] // fresh volume over the ground it was spread on
	class Name
}

// given are the dressings of the planting's ground. One that was meant for another crop, or for an earlier planting of this one, does not count.
func (d *diary) given(p Planted) []gift {
	var out []gift
	for _, bed := range d.lineage(p.Bed.ID) {
		for _, a := range d.amendments[bed] {
			if bed == p.Bed.ID && !meet(a.Part, p.Planting.Part) || !d.meantFor(a, p) {
				continue
			}
			out = append(out, gift{Amendment: a, class: ClassOf(a.Material), depth: d.spread(a, bed)})
		}
	}
	return out
}

// meantFor reports whether the dressing counts for the planting: it names no crop, or it names this one and no earlier planting of
// the crop on this ground started on or after that day.
func (d *diary) meantFor(a garden.Amendment, p Planted) bool {
	if a.MeantFor == "" {
		return true
	}
	if !strings.EqualFold(a.MeantFor, p.Planting.Crop) {
		return false
	}
	for _, q := range d.plantings[p.Bed.ID] {
		same := q.ID != p.Planting.ID && strings.EqualFold(q.Crop, a.MeantFor) && meet(q.Part, p.Planting.Part)
		if same && q.Date.Date.Before(p.Planting.Date.Date) && !d.end(q).Before(a.Date) {
			return false
		}
	}
	return true
}

// spread is the bed's share of the volume over the ground it went on, by way of the material's density where only a mass was noted.
func (d *diary) spread(a garden.Amendment, bed garden.BedID) garden.Maybe[unit.Length] {
	area := partArea(a.Part, d.beds[bed])
	volume := a.Volume
	if density := d.materials[a.Material].Density; !volume.Known && density.Known {
		volume = garden.Some(unit.Volume(float64(a.Mass.Value) / float64(density.Value)))
	}
	if !area.Known || !volume.Known {
		return garden.Maybe[unit.Length]{}
	}
	return garden.Some(volume.Value.Per(area.Value) * unit.Length(d.shareOf(bed, a.Beds)))
}

// dressing is the sum of one class over the days, in L/m² of ground.
func (d *diary) dressing(p Planted, given []gift, class Name, days span, rule Rule) Level {
	level := Level{Known: true, Unit: "L/m²", Rule: rule}
	for _, g := range given {
		if g.class != class || !days.holds(g.Date) {
			continue
		}
		if !g.depth.Known {
			if !p.Bed.Area().Known {
				return Level{Rule: RuleNoArea}
			}
			return Level{Rule: RuleNoVolume}
		}
		litres := float64(g.depth.Value / unit.Millimetre) // 1 mm is 1 L/m²
		level.Amount += litres
		level.Facts = append(level.Facts, Fact{Kind: garden.KindAmendment, ID: garden.ID(g.ID), Date: g.Date, What: g.Material, Of: litres})
	}
	if len(level.Facts) > 0 {
		return level
	}
	if d.nothingDone(p, garden.KindAmendment, days.from, days.to) {
		level.Rule = RuleNothingDone
		return level
	}
	return Level{Rule: RuleNotWritten}
}

// total adds up the same dressings in the other units, as far as the materials say what is in them.
func (d *diary) total(p Planted, given []gift, class Name, days span) (Dressing, bool) {
	sum := Dressing{DryMatter: garden.Some(0.0), Nitrogen: garden.Some(0.0), Placed: map[garden.Placement]float64{}}
	any := false
	for _, g := range given {
		if g.class != class || !days.holds(g.Date) || !g.depth.Known {
			continue
		}
		any = true
		litres := float64(g.depth.Value / unit.Millimetre)
		sum.Litres += litres
		sum.Placed[g.Placement] += litres
		m := d.materials[g.Material]
		mass := garden.Maybe[float64]{}
		if m.Density.Known {
			mass = garden.Some(float64(m.Density.Value.Of(unit.Volume(g.depth.Value))))
		}
		sum.DryMatter = plus(sum.DryMatter, mass, m.DryMatter)
		sum.Nitrogen = plus(sum.Nitrogen, mass, m.N)
	}
	return sum, any
}

// plus adds mass times share, which is unknown as soon as one of the three is.
func plus(sum, mass, share garden.Maybe[float64]) garden.Maybe[float64] {
	if !sum.Known || !mass.Known || !share.Known {
		return garden.Maybe[float64]{}
	}
	return garden.Some(sum.Value + mass.Value*share.Value)
}
