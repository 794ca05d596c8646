package garden

import (
	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// Place outside the beds where work is done.
type Place string

// The places.
const (
	SeedBench Place = "seed bench"
	Heap      Place = "heap"
	Paths     Place = "paths"
)

// Work is time spent.
type Work struct {
	ID        Ref[Work]  `json:"-"`
	Rev       int        `json:"-"`
	Beds      []BedID    `json:"beds,omitempty"`
	Garden    GardenID   `json:"garden,omitzero"`
	Place     Place      `json:"place,omitempty"`
	Planting  PlantingID `json:"planting,omitzero"`
	Task      string     `json:"task"`
	Time      unit.Time  `json:"time"`
	Who       string     `json:"who,omitempty"`
	Date      civil.Date `json:"date"`
	OverYears int        `json:"over_years,omitzero"` // one-off work spread over so many years
	Note      string     `json:"note,omitempty"`
}

// Loosening is how ground was worked, ordered by Rank.
type Loosening string

// The ways of working the ground, from none to deepest.
const (
	Undisturbed Loosening = "undisturbed"
	Raked       Loosening = "raked"
	Hoed        Loosening = "hoed"
	Forked      Loosening = "forked"
	SingleDug   Loosening = "single dug"
	Tilled      Loosening = "tilled"
	Broadforked Loosening = "broadforked"
	DoubleDug   Loosening = "double dug"
)

// UsualDepth returns the depth a kind of cultivation usually reaches, in metres: common practice, a spit being about 25 cm.
func (l Loosening) UsualDepth() unit.Length {
	switch l {
	case Raked, Hoed:
		return 0.05
	case Forked:
		return 0.20
	case SingleDug:
		return 0.25
	case Tilled:
		return 0.15
	case Broadforked:
		return 0.30
	case DoubleDug:
		return 0.50
	}
	return 0
}

// Cultivation is one working of the ground.
type Cultivation struct {
	ID       Ref[Cultivation]   `json:"-"`
	Rev      int                `json:"-"`
	Beds     []BedID            `json:"beds"`
	Part     Part               `json:"part,omitzero"`
	How      Loosening          `json:"how"`
	Depth    Maybe[unit.Length] `json:"depth,omitzero"`
	Date     civil.Date         `json:"date"`
	MeantFor PlantingID         `json:"meant_for,omitzero"`
	Note     string             `json:"note,omitempty"`
}

// Placement is where material went.
type Placement string

// The placements.
const (
	OnSurface Placement = "surface"
	MixedIn   Placement = "mixed"
	InTrench  Placement = "trench"
)

// Amendment is material put on or in the soil of one or several beds; the amount is that of all beds together.
type Amendment struct {
	ID        Ref[Amendment]     `json:"-"`
	Rev       int                `json:"-"`
	Beds      []BedID            `json:"beds"`
	Part      Part               `json:"part,omitzero"`
	Material  string             `json:"material"`
	Volume    Maybe[unit.Volume] `json:"volume,omitzero"`
	Mass      Maybe[unit.Mass]   `json:"mass,omitzero"`
	Loads     string             `json:"loads,omitempty"` // as written: "2 barrows"
	Placement Placement          `json:"placement,omitempty"`
	Depth     Maybe[unit.Length] `json:"depth,omitzero"`
	Date      civil.Date         `json:"date"`
	MeantFor  string             `json:"meant_for,omitempty"` // a crop: it then counts there alone
	Note      string             `json:"note,omitempty"`
}

// Watering is water given; the volume is that of all beds together, the depth that of each.
type Watering struct {
	ID     Ref[Watering]      `json:"-"`
	Rev    int                `json:"-"`
	Beds   []BedID            `json:"beds"`
	Volume Maybe[unit.Volume] `json:"volume,omitzero"`
	Depth  Maybe[unit.Length] `json:"depth,omitzero"`
	Date   civil.Date         `json:"date"`
	Note   string             `json:"note,omitempty"`
}

// Cover is mulch, fleece, net or glass on a bed.
type Cover struct {
	ID   Ref[Cover] `json:"-"`
	Rev  int        `json:"-"`
	Beds []BedID    `json:"beds"`
	What string     `json:"what"`
	On   civil.Date `json:"on"`
	Off  civil.Date `json:"off,omitzero"`
	Note string     `json:"note,omitempty"`
}

// Treatment is a product used against pests, diseases or weeds.
type Treatment struct {
	ID            Ref[Treatment] `json:"-"`
	Rev           int            `json:"-"`
	Beds          []BedID        `json:"beds,omitempty"`
	Planting      PlantingID     `json:"planting,omitzero"`
	Product       string         `json:"product"`
	Dose          string         `json:"dose,omitempty"`
	Date          civil.Date     `json:"date"`
	DaysToHarvest Maybe[int]     `json:"days_to_harvest,omitzero"`
	Note          string         `json:"note,omitempty"`
}
