package garden

import (
	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// State is the state in which a harvest was weighed.
type State string

// The states.
const (
	AsLifted State = "as lifted" // with tops and what clings to it
	Topped   State = "topped"    // tops off
	Trimmed  State = "trimmed"   // outer leaves or roots off
	Shelled  State = "shelled"
	Cured    State = "cured"
	Dried    State = "dried"
)

// Weighing says how a mass came about.
type Weighing string

// The ways of weighing.
const (
	ByScale     Weighing = "weighed"
	ByEye       Weighing = "estimated"
	BySample    Weighing = "sample" // Mass is of SampleCount pieces; Count is of all
	NotRecorded Weighing = ""
)

// Use is where a harvest went.
type Use string

// The uses.
const (
	Eaten   Use = "eaten"
	Given   Use = "given"
	Sold    Use = "sold"
	Stored  Use = "stored"
	Animals Use = "animals"
	ToHeap  Use = "heap"
)

// Edge says whether the plants on the rim are in the weight.
type Edge string

// The edges.
const (
	EdgeUnknown Edge = ""
	EdgeIn      Edge = "in"
	EdgeOut     Edge = "out"
)

// Harvest is one picking of one crop. It belongs to a planting, or else names a crop and the beds it may have come from, and then
// waits to be sorted out.
type Harvest struct {
	ID          HarvestID        `json:"-"`
	Rev         int              `json:"-"`
	Planting    PlantingID       `json:"planting,omitzero"`
	Crop        string           `json:"crop,omitempty"` // where there is no planting
	Beds        []BedID          `json:"beds,omitempty"` // "several"; empty without a planting is "don't know"
	Date        civil.Date       `json:"date"`
	Mass        Maybe[unit.Mass] `json:"mass,omitzero"` // net
	Gross       Maybe[unit.Mass] `json:"gross,omitzero"`
	Tare        Maybe[unit.Mass] `json:"tare,omitzero"`
	Count       Maybe[int]       `json:"count,omitzero"`
	SampleCount Maybe[int]       `json:"sample_count,omitzero"`
	State       State            `json:"state,omitempty"`
	Weighing    Weighing         `json:"weighing,omitempty"`
	Edge        Edge             `json:"edge,omitempty"`
	Use         Use              `json:"use,omitempty"`
	Round       string           `json:"round,omitempty"`    // weighing round it was noted in
	Crate       string           `json:"crate,omitempty"`    // shared weighing it is a part of
	SplitBy     string           `json:"split_by,omitempty"` // area, plants, hand
	Nothing     bool             `json:"nothing,omitempty"`  // looked, nothing to pick
	Note        string           `json:"note,omitempty"`
}

// Net returns the mass of the whole picking: as noted, gross less tare, or the sample's mass times count over sample.
func (h Harvest) Net() Maybe[unit.Mass] {
	net := h.Mass
	if !net.Known && h.Gross.Known {
		net = Some(h.Gross.Value - h.Tare.Or(0))
	}
	if h.Weighing == BySample {
		if !net.Known || !h.Count.Known || h.SampleCount.Or(0) <= 0 {
			return Maybe[unit.Mass]{}
		}
		return Some(net.Value * unit.Mass(float64(h.Count.Value)/float64(h.SampleCount.Value)))
	}
	return net
}

// Placed reports whether the harvest belongs to a planting; the others wait to be sorted out.
func (h Harvest) Placed() bool { return !h.Planting.IsZero() }
