package garden

import (
	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// Material is what beds are fed with. Nutrient shares are of fresh mass.
type Material struct {
	ID        Ref[Material]       `json:"-"`
	Rev       int                 `json:"-"`
	Name      string              `json:"name"`
	Density   Maybe[unit.Density] `json:"density,omitzero"`
	DryMatter Maybe[float64]      `json:"dry_matter,omitzero"` // share of fresh mass
	N         Maybe[float64]      `json:"n,omitzero"`
	P2O5      Maybe[float64]      `json:"p2o5,omitzero"`
	K2O       Maybe[float64]      `json:"k2o,omitzero"`
	CN        Maybe[float64]      `json:"cn,omitzero"` // carbon to nitrogen, by mass
	Price     Maybe[unit.Money]   `json:"price,omitzero"`
	PricePer  string              `json:"price_per,omitempty"` // "m3", "kg"
	Source    string              `json:"source,omitempty"`
	Heap      *HeapLog            `json:"heap,omitempty"`
}

// HeapLog is the life of a compost heap.
type HeapLog struct {
	Started      civil.Date        `json:"started,omitzero"`
	Ingredients  []Ingredient      `json:"ingredients,omitempty"`
	Temperatures []HeapTemperature `json:"temperatures,omitempty"`
	LoadsTaken   []HeapLoad        `json:"loads_taken,omitempty"`
}

// Ingredient is one material that went on a heap.
type Ingredient struct {
	Date     civil.Date         `json:"date,omitzero"`
	Material string             `json:"material"`
	Volume   Maybe[unit.Volume] `json:"volume,omitzero"`
	Mass     Maybe[unit.Mass]   `json:"mass,omitzero"`
}

// HeapTemperature is one reading in a heap.
type HeapTemperature struct {
	Date  civil.Date       `json:"date"`
	Value unit.Temperature `json:"value"`
}

// HeapLoad is compost taken from a heap.
type HeapLoad struct {
	Date   civil.Date  `json:"date"`
	Volume unit.Volume `json:"volume"`
}

// Measure is a grower's own unit, calibrated by weighed or measured loads.
type Measure struct {
	ID     Ref[Measure]       `json:"-"`
	Rev    int                `json:"-"`
	Name   string             `json:"name"`
	Plural string             `json:"plural,omitempty"`
	Volume Maybe[unit.Volume] `json:"volume,omitzero"` // of one load
	Mass   Maybe[unit.Mass]   `json:"mass,omitzero"`   // of one load, for Of
	Of     string             `json:"of,omitempty"`    // the material whose mass it is; empty for any
	Loads  int                `json:"loads,omitzero"`  // how many loads it was calibrated by
}

// Factor is one thing tried in a trial.
type Factor struct {
	Name   string   `json:"name"` // a practice word, or the grower's own
	Levels []string `json:"levels"`
}

// TrialPlot is one experimental unit of a trial.
type TrialPlot struct {
	Name   string            `json:"name"`
	Bed    BedID             `json:"bed"`
	Part   Part              `json:"part,omitzero"`
	Block  string            `json:"block"`
	Whole  string            `json:"whole,omitempty"` // whole plot of a split plot
	Row    int               `json:"row,omitzero"`
	Column int               `json:"column,omitzero"`
	Levels map[string]string `json:"levels"` // factor to level
}

// Trial is a planned comparison. Once fixed it is only ended or amended in the open.
type Trial struct {
	ID         TrialID     `json:"-"`
	Rev        int         `json:"-"`
	Name       string      `json:"name"`
	Question   string      `json:"question"`
	Factors    []Factor    `json:"factors"`
	Crop       string      `json:"crop,omitempty"`
	Response   string      `json:"response"`
	Matters    float64     `json:"matters"` // smallest difference worth acting on, 0.25 is 25 %
	Design     string      `json:"design"`
	Seed       uint64      `json:"seed"`
	Plots      []TrialPlot `json:"plots"`
	FixedOn    civil.Date  `json:"fixed_on,omitzero"`
	Ended      civil.Date  `json:"ended,omitzero"`
	Amendments []Addendum  `json:"amendments,omitempty"`
}

// Addendum is a change to a trial after it was fixed, told in the open.
type Addendum struct {
	Date civil.Date `json:"date"`
	Text string     `json:"text"`
}

// Person is someone who notes things.
type Person struct {
	ID   PersonID `json:"-"`
	Rev  int      `json:"-"`
	Name string   `json:"name"`
}

// Device is a phone or computer that entries come from.
type Device struct {
	ID     DeviceID   `json:"-"`
	Rev    int        `json:"-"`
	Name   string     `json:"name"`
	Person PersonID   `json:"person,omitzero"`
	Since  civil.Date `json:"since,omitzero"`
	CutOff civil.Date `json:"cut_off,omitzero"` // from this day it may not read; what it still holds is taken
}

// Setting is one choice of the book.
type Setting struct {
	ID    Ref[Setting] `json:"-"`
	Rev   int          `json:"-"`
	Name  string       `json:"name"`
	Value string       `json:"value"`
}

// The names of settings.
const (
	SettingUnits      = "units"        // metric or us
	SettingDates      = "dates"        // day-first or month-first; unset: ambiguous dates are refused
	SettingMatters    = "matters"      // "25 %"
	SettingYearStart  = "growing-year" // "01-01"
	SettingCurrency   = "currency"     // ISO 4217
	SettingConfidence = "confidence"   // "95 %"
	SettingWalk       = "walk"         // beds and gardens in the order they are walked to, between commas: "kitchen/3, kitchen/1, orchard"
)
