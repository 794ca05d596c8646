package diary

import (
	"fmt"
	"math"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// The ways to split a crate. The parts are marked as one weighing: they never count as several.
var splits = []string{"area", "plants", "hand"}

// spreadHarvest splits a crate over its beds if the draft says how.
func spreadHarvest(r *reading, v garden.Harvest) ([]garden.Harvest, error) {
	if !r.given("split") {
		return []garden.Harvest{v}, nil
	}
	how, err := oneOf(r.fields["split"], splits)
	if err != nil {
		return nil, inField("split", err)
	}
	if len(v.Beds) < 2 {
		return nil, inField("split", invalid("there is nothing to split among", "name two beds or more, such as terrace/1-3"))
	}
	parts, err := r.crateParts(v, how)
	if err != nil {
		return nil, err
	}
	weights, err := r.weights(parts, how)
	if err != nil {
		return nil, err
	}
	return divide(v, parts, weights, how, Short(r.NewID())), nil
}

// crateParts gives the picking once for each bed, placed there.
func (r *reading) crateParts(v garden.Harvest, how string) ([]garden.Harvest, error) {
	var out []garden.Harvest
	for _, bed := range v.Beds {
		part := v
		part.Beds = []garden.BedID{bed}
		if err := r.place(&part); err != nil {
			return nil, err
		}
		out = append(out, part)
	}
	return out, nil
}

func (r *reading) weights(parts []garden.Harvest, how string) ([]float64, error) {
	if how == "hand" {
		return r.byHand(len(parts))
	}
	out := make([]float64, len(parts))
	for i, h := range parts {
		p, _ := find(r, h.Planting)
		bed, _ := find(r, p.Bed)
		area := bed.Area()
		switch {
		case how == "area" && !area.Known:
			return nil, inField("split", invalid(r.bedName(bed.ID)+" has no size", "give its length and width, or split by plants or by hand"))
		case how == "plants" && p.Plants.Or(0) == 0:
			return nil, inField("split", invalid("the number of plants in "+r.bedName(bed.ID)+" is not noted", "note it, or split by area or by hand"))
		case how == "area":
			out[i] = float64(area.Value) * p.Part.Share.Or(1)
		default:
			out[i] = float64(p.Plants.Value)
		}
	}
	return out, nil
}

// byHand reads the parts, apart by semicolons since a comma may be the decimal mark.
func (r *reading) byHand(n int) ([]float64, error) {
	texts := strings.Split(r.fields["parts"], ";")
	if len(texts) != n {
		return nil, inField("parts", invalid(fmt.Sprintf("there are %d parts for %d beds", len(texts), n), "write one for each bed, such as 2 kg; 1.5 kg"))
	}
	out := make([]float64, n)
	for i, t := range texts {
		m, err := readMass(r, strings.TrimSpace(t))
		if err != nil {
			return nil, inField("parts", err)
		}
		out[i] = float64(m)
	}
	return out, nil
}

// divide gives each part its share of the mass and of the count; parts by hand are taken as they are.
func divide(whole garden.Harvest, parts []garden.Harvest, weights []float64, how, crate string) []garden.Harvest {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	net := whole.Net()
	left := whole.Count.Or(0)
	out := make([]garden.Harvest, len(parts))
	for i, h := range parts {
		h.ID, h.Rev = garden.HarvestID{}, 0
		h.Crate, h.SplitBy = crate, how
		h.Gross, h.Tare, h.SampleCount = garden.Maybe[unit.Mass]{}, garden.Maybe[unit.Mass]{}, garden.Maybe[int]{}
		if h.Weighing == garden.BySample {
			h.Weighing = garden.ByEye
		}
		switch {
		case how == "hand":
			h.Mass = garden.Some(unit.Mass(weights[i]))
		case net.Known:
			h.Mass = garden.Some(net.Value * unit.Mass(weights[i]/sum))
		}
		if whole.Count.Known {
			n := left
			if i < len(parts)-1 {
				n = min(left, int(math.Round(float64(whole.Count.Value)*weights[i]/sum)))
			}
			h.Count = garden.Some(n)
			left -= n
		}
		out[i] = h
	}
	return out
}

// placeHarvest sorts out a picking: it gets its planting, or is split over its beds.
func placeHarvest(r *reading, n nounOf[garden.Harvest], v garden.Harvest) error {
	if err := n.fill(r, &v, v.ID.String()); err != nil || len(r.out.Questions) > 0 {
		return err
	}
	if !r.given("split") {
		if !v.Placed() {
			return &garden.Error{Kind: garden.Invalid, Text: "it still belongs to no crop", Hint: "name the planting, or the bed it came from, or split it"}
		}
		if err := r.change(v); err != nil {
			return err
		}
		r.said(n.says(r.writing(), v))
		return nil
	}
	parts, err := spreadHarvest(r, v)
	if err != nil || len(r.out.Questions) > 0 {
		return err
	}
	r.remove(v)
	for _, part := range parts {
		if err := r.add(part); err != nil {
			return err
		}
		r.said(n.says(r.writing(), part))
	}
	return nil
}
