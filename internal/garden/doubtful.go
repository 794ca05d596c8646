package garden

import (
	"fmt"

	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// Limits beyond which an entry is asked about, never refused. All are common practice, set wide: they catch slipped decimals and
// wrong units, not good growers.
const (
	mostPerPicking unit.Yield  = 25  // kg/m² at one picking
	mostPerCrop    unit.Yield  = 60  // kg/m² over the life of a planting
	mostDressing   unit.Depth  = 0.3 // a layer of 30 cm
	mostWater      unit.Depth  = 0.1 // 100 mm in a day
	deepest        unit.Length = 1.2
	largestBed     unit.Area   = 500
	firstYear                  = 1950
)

// Doubtful returns questions about a record that can be kept but may not be meant: "is this right?". The index holds what it
// names, unless it is among those beside it that are not in the index yet; today is the day it is written on.
func Doubtful(x *Index, rec Record, today civil.Date, beside ...Record) []string {
	d := &doubts{x: x, beside: beside}
	if day := rec.Day(); !day.IsZero() {
		d.ask(day.After(today), "%s lies in the future", iso(day))
		d.ask(day.Year() < firstYear, "%s lies far back", iso(day))
	}
	switch v := rec.(type) {
	case Garden:
		d.garden(v)
	case Bed:
		if a := v.Area(); a.Known {
			d.ask(a.Value > largestBed, "a bed of %.4g m² is very large", float64(a.Value))
		}
	case Planting:
		d.planting(v)
	case Harvest:
		d.harvest(v)
	case Work:
		d.ask(v.Time > unit.Day, "%.3g hours are more than one day has", float64(v.Time/unit.Hour))
	case Cultivation:
		d.ask(v.Depth.Or(0) > deepest, "%.3g m is very deep", float64(v.Depth.Value))
	case Amendment:
		d.layer(v.Beds, v.Volume, mostDressing, "the material")
	case Watering:
		d.ask(v.Depth.Or(0) > mostWater, "%.4g mm of water in one day is very much", 1000*float64(v.Depth.Value))
		d.layer(v.Beds, v.Volume, mostWater, "the water")
	case SoilTest:
		d.soil(v)
	}
	return d.says
}

type doubts struct {
	x      *Index
	beside []Record
	says   []string
}

// look returns the record of the id, from beside the index or from it.
func look[T Record](d *doubts, id Ref[T]) (T, bool) {
	for _, rec := range d.beside {
		if v, ok := rec.(T); ok && rec.Identity() == ID(id) {
			return v, true
		}
	}
	return Find(d.x, id)
}

func (d *doubts) ask(doubtful bool, format string, args ...any) {
	if doubtful {
		d.says = append(d.says, fmt.Sprintf(format, args...)+": is this right?")
	}
}

func (d *doubts) garden(g Garden) {
	if !g.Ground.Known {
		return
	}
	var beds unit.Area
	for _, b := range d.x.BedsOf(g.ID) {
		beds += b.Area().Or(0)
	}
	d.ask(beds > g.Ground.Value, "the beds have %.4g m², more than the garden's ground of %.4g m²", float64(beds), float64(g.Ground.Value))
}

func (d *doubts) planting(p Planting) {
	d.ask(!p.Ended.IsZero() && !p.Date.IsZero() && p.Ended.Before(p.Date.Date), "it ended on %s, before it began", iso(p.Ended))
	bed, ok := look(d, p.Bed)
	if !ok {
		return
	}
	d.ask(!p.Date.IsZero() && !bed.Stood(p.Date.Date), "the bed was not there on %s", iso(p.Date.Date))
	d.ask(bed.Length.Known && p.Part.To.Or(0) > bed.Length.Value*(1+1e-9), "the part ends at %.4g m, but the bed is %.4g m long",
		float64(p.Part.To.Value), float64(bed.Length.Value))
	if a := bed.Area(); a.Known && p.Plants.Known && p.InRow.Known && p.BetweenRows.Known {
		need := unit.Area(float64(p.Plants.Value)) * p.InRow.Value.Times(p.BetweenRows.Value)
		// The outer half rows may hang over the rim, so up to twice the area is not asked about.
		d.ask(need > 2*a.Value, "%d plants at that spacing need %.3g m², but the bed has %.3g m²", p.Plants.Value, float64(need), float64(a.Value))
	}
	d.shares(p)
}

// shares asks when the shares of crops that stand in the bed together add up to more than the bed.
func (d *doubts) shares(p Planting) {
	if !p.Part.Share.Known || p.Date.IsZero() {
		return
	}
	sum := p.Part.Share.Value
	for _, q := range d.x.PlantingsIn(p.Bed) {
		if q.ID != p.ID && q.Part.Share.Known && q.Stood(p.Date.Date) {
			sum += q.Part.Share.Value
		}
	}
	d.ask(sum > 1.001, "the crops that share the bed have %.4g %% of it together", 100*sum)
}

// Stood reports whether the planting was in its bed on the day, as far as its dates say.
func (p Planting) Stood(day civil.Date) bool {
	return (p.Date.IsZero() || !day.Before(p.Date.Date)) && (p.Ended.IsZero() || !day.After(p.Ended))
}

func (d *doubts) harvest(h Harvest) {
	d.ask(h.SampleCount.Known && h.Count.Known && h.SampleCount.Value > h.Count.Value, "the sample of %d is larger than the count of %d",
		h.SampleCount.Value, h.Count.Value)
	p, ok := look(d, h.Planting)
	if !ok {
		d.yield(h, d.area(h.Beds))
		return
	}
	d.ask(!p.Date.IsZero() && p.Date.Precision == civil.Exact && h.Date.Before(p.Date.Date),
		"the harvest of %s lies before the crop began on %s", iso(h.Date), iso(p.Date.Date))
	d.ask(!p.Ended.IsZero() && h.Date.After(p.Ended), "the crop ended on %s, before this harvest", iso(p.Ended))
	area := d.plantedArea(p)
	d.yield(h, area)
	if area.Known {
		sum := d.x.Picked(p.ID) + h.Net().Or(0)
		if old, had := Find(d.x, h.ID); had && old.Planting == p.ID {
			sum -= old.Net().Or(0)
		}
		d.ask(sum > h.Net().Or(0) && sum.Per(area.Value) > mostPerCrop, "with this the crop has given %.4g kg from %.3g m²", float64(sum), float64(area.Value))
	}
}

func (d *doubts) yield(h Harvest, area Maybe[unit.Area]) {
	if net := h.Net(); net.Known && area.Known {
		d.ask(net.Value.Per(area.Value) > mostPerPicking, "%.4g kg from %.3g m² is very much", float64(net.Value), float64(area.Value))
	}
}

func (d *doubts) plantedArea(p Planting) Maybe[unit.Area] {
	bed, _ := look(d, p.Bed)
	area := bed.Area()
	if !area.Known {
		return area
	}
	if bed.Length.Known && (p.Part.From.Known || p.Part.To.Known) {
		part := min(p.Part.To.Or(bed.Length.Value), bed.Length.Value) - p.Part.From.Or(0)
		if part > 0 {
			area.Value *= unit.Area(part / bed.Length.Value)
		}
	}
	area.Value *= unit.Area(p.Part.Share.Or(1))
	return area
}

// area returns the area of the beds together, not known if one of them has no size.
func (d *doubts) area(beds []BedID) Maybe[unit.Area] {
	var sum unit.Area
	for _, id := range beds {
		b, _ := look(d, id)
		a := b.Area()
		if !a.Known {
			return a
		}
		sum += a.Value
	}
	return Maybe[unit.Area]{Value: sum, Known: sum > 0}
}

func (d *doubts) layer(beds []BedID, v Maybe[unit.Volume], most unit.Depth, what string) {
	if area := d.area(beds); area.Known && v.Known {
		depth := v.Value.Per(area.Value)
		d.ask(depth > most, "%s would lie %.3g cm deep on %.4g m²", what, 100*float64(depth), float64(area.Value))
	}
}

func (d *doubts) soil(s SoilTest) {
	for _, v := range s.Values {
		// Mineral and peaty garden soils lie between about pH 3 and 10; outside it the column is usually another.
		d.ask(Fold(v.What) == "ph" && (v.Value < 3 || v.Value > 10), "no garden soil has pH %.3g", v.Value)
	}
}

func iso(d civil.Date) string { return d.Time().Format("2006-01-02") }
