package garden

import (
	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// Crop is a crop of the grower's own, or their own figures for a built-in one. Plantings name crops by Name.
type Crop struct {
	ID        Ref[Crop]      `json:"-"`
	Rev       int            `json:"-"`
	Name      string         `json:"name"`
	Family    string         `json:"family,omitempty"`
	CountedAs State          `json:"counted_as,omitempty"` // state in which its yield is counted
	Perennial bool           `json:"perennial,omitempty"`
	Own       []OwnFigure    `json:"own,omitempty"`
	Edible    Maybe[float64] `json:"edible,omitzero"` // edible share of the mass as counted
}

// OwnFigure is a figure the grower puts in place of the built-in one.
type OwnFigure struct {
	What  string  `json:"what"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Variety is a named sort of a crop.
type Variety struct {
	ID   Ref[Variety] `json:"-"`
	Rev  int          `json:"-"`
	Crop string       `json:"crop"`
	Name string       `json:"name"`
	Note string       `json:"note,omitempty"`
}

// Start says how a crop came into its bed.
type Start string

// The starts.
const (
	Sown   Start = "sown"
	SetOut Start = "set out"
)

// Arrangement is the pattern plants stand in.
type Arrangement string

// The arrangements.
const (
	InRows     Arrangement = "rows"
	Square     Arrangement = "square"
	Triangular Arrangement = "triangular"
	Broadcast  Arrangement = "broadcast"
)

// Weighed says how much of a crop was weighed when it ended.
type Weighed string

// The answers to "was all weighed?".
const (
	AllWeighed  Weighed = "all"
	SomeMissed  Weighed = "some missed"
	DontKnow    Weighed = "don't know"
	NotAskedYet Weighed = ""
)

// Part is the piece of a bed that a planting has; the zero value is all of it.
type Part struct {
	From  Maybe[unit.Length] `json:"from,omitzero"` // along the bed's length
	To    Maybe[unit.Length] `json:"to,omitzero"`
	Share Maybe[float64]     `json:"share,omitzero"` // of an intercrop, 0 to 1
	Plot  string             `json:"plot,omitempty"` // trial plot, "TRIAL/PLOT"
}

// Stand is a count of plants on a day: thinned to, filled to, or found standing.
type Stand struct {
	Date   civil.Date         `json:"date,omitzero"`
	What   StandKind          `json:"what"`
	Plants Maybe[int]         `json:"plants,omitzero"`
	InRow  Maybe[unit.Length] `json:"in_row,omitzero"` // thinned to this distance
}

// StandKind says what led to a count.
type StandKind string

// The kinds of stand.
const (
	Thinned    StandKind = "thinned"
	GapsFilled StandKind = "gaps filled"
	Resown     StandKind = "re-sown"
	Standing   StandKind = "standing"
)

// Planting is one crop in one bed or part of it, from sowing or setting out to the last harvest.
type Planting struct {
	ID          PlantingID         `json:"-"`
	Rev         int                `json:"-"`
	Bed         BedID              `json:"bed"`
	Part        Part               `json:"part,omitzero"`
	Crop        string             `json:"crop"`
	Variety     string             `json:"variety,omitempty"`
	SeedLot     string             `json:"seed_lot,omitempty"`
	Start       Start              `json:"start,omitempty"`
	Date        civil.When         `json:"date,omitzero"`
	InRow       Maybe[unit.Length] `json:"in_row,omitzero"`
	BetweenRows Maybe[unit.Length] `json:"between_rows,omitzero"`
	Plants      Maybe[int]         `json:"plants,omitzero"` // as set or meant to stand
	Arrangement Arrangement        `json:"arrangement,omitempty"`
	Stands      []Stand            `json:"stands,omitempty"` // in order of date
	Ended       civil.Date         `json:"ended,omitzero"`
	Failed      bool               `json:"failed,omitempty"`
	Why         string             `json:"why,omitempty"` // cause of failure
	StrikesAll  Maybe[bool]        `json:"strikes_all,omitzero"`
	Weighed     Weighed            `json:"weighed,omitempty"`
	Missed      Maybe[int]         `json:"missed,omitzero"` // pickings not weighed
	Note        string             `json:"note,omitempty"`
}
