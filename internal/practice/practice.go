// Package practice derives what each planting really got from the diary: how the ground was worked, what it was fed,
// how closely it stood, each with the entries that say so. A method is what was done, never a label typed
// in. It is one pure function of the records and judges no yield.
package practice

import (
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// Name names a practice, in the words that questions use.
type Name string

// The practices. Those of a dressing carry the material's class in front: "compost", "later compost", "residual compost".
const (
	Cultivation    Name = "cultivation"     // deepest loosening in the twelve months before the start
	OwnCultivation Name = "own cultivation" // deepest loosening done for this crop alone
	SinceDeepDug   Name = "years since deep dug"
	SinceFirstDug  Name = "years since first dug"
	Compost        Name = "compost"
	Manure         Name = "manure"
	Fertiliser     Name = "fertiliser"
	Spacing        Name = "spacing"
	StandingPlants Name = "standing"
	Arrangement    Name = "arrangement"
	Rectangularity Name = "rectangularity"
	Water          Name = "water"
	Rain           Name = "rain"
	Cover          Name = "cover"
	Variety        Name = "variety"
	SowingDay      Name = "sowing day"
	StartedAs      Name = "start"
	PreviousFamily Name = "previous family"
	Companions     Name = "companions"
	WorkTime       Name = "work"
)

// Later and Residual name the dressings between start and first harvest, and those of the three years before the base dressing.
func Later(n Name) Name { return "later " + n }

// Residual names the dressings of the three years before the base dressing's twelve months.
func Residual(n Name) Name { return "residual " + n }

// Fact is an entry that a level rests on.
type Fact struct {
	Kind garden.Kind
	ID   garden.ID
	Date civil.Date
	What string  // "double dug", "leaf compost"
	Of   float64 // the amount it adds to the level, in the level's unit; 0 for words
}

// Level is the value a practice takes in a planting: a word or an amount. An unknown level is not zero.
type Level struct {
	Known  bool
	Word   string  // for practices that are words
	Amount float64 // for practices that are amounts, in Unit
	Unit   string
	Facts  []Fact
	Rule   Rule // why it counts as what it does, or why it is unknown
}

// Dressing is what one class of material brought, per m² of the planting.
type Dressing struct {
	Litres    float64                      // fresh volume, L/m²
	DryMatter garden.Maybe[float64]        // kg/m², where the material says so
	Nitrogen  garden.Maybe[float64]        // kg N/m², where the material says so
	Placed    map[garden.Placement]float64 // L/m² by placement
}

// Planted is one planting, or one year of a perennial, with what it got.
type Planted struct {
	Planting     garden.Planting
	Bed          garden.Bed
	Garden       garden.Garden
	Season       int                     // growing year, by first harvest
	Start        civil.Date              // S: sowing or setting out; a perennial's later years begin with the growing year
	FirstHarvest civil.Date              // H, zero if nothing was picked
	LastHarvest  civil.Date              // zero if nothing was picked
	Area         garden.Maybe[unit.Area] // of the planting's own ground
	Ground       garden.Maybe[unit.Area] // with its share of the garden's paths
	Harvests     []*garden.Harvest       // of this season, in order of date: the entries themselves, not to be changed
	Levels       map[Name]Level
	Base         map[Name]Dressing // by class of material
	Year         int               // 1 for the first year of a perennial and for every annual
}

// Level returns the level of a practice; one nobody asked about is unknown.
func (p Planted) Level(n Name) Level { return p.Levels[n] }

// Options are what the derivation needs beside the records.
type Options struct {
	Perennial func(crop string) bool   // nil: none is
	Family    func(crop string) string // nil: "" for all
	YearStart garden.MonthDay          // start of the growing year; zero is 1 January
}

// SeasonOf returns the growing year of the day: the calendar year in which that growing year ends if it starts after
// June, else the one in which it starts.
func (o Options) SeasonOf(day civil.Date) int {
	start := o.yearStart()
	year, month := day.Year(), int(day.Month())
	before := month < start.Month || month == start.Month && day.Day() < start.Day
	switch {
	case start.Month > 6 && !before:
		return year + 1
	case start.Month <= 6 && before:
		return year - 1
	}
	return year
}

// seasonStart returns the first day of the growing year.
func (o Options) seasonStart(season int) civil.Date {
	start := o.yearStart()
	if start.Month > 6 {
		season--
	}
	return civil.Of(season, time.Month(start.Month), start.Day)
}

func (o Options) yearStart() garden.MonthDay {
	if o.YearStart == (garden.MonthDay{}) {
		return garden.MonthDay{Month: 1, Day: 1}
	}
	return o.YearStart
}

// Of returns every planting with what it got, in the order of the records, one for each year of a perennial. Plantings
// whose bed is not among the records are left out.
func Of(r garden.Records, o Options) []Planted {
	if o.Perennial == nil {
		o.Perennial = func(string) bool { return false }
	}
	if o.Family == nil {
		o.Family = func(string) string { return "" }
	}
	d := newDiary(r, o)
	var out []Planted
	for _, p := range r.Plantings {
		bed, ok := d.beds[p.Bed]
		if !ok {
			continue
		}
		for _, one := range d.years(p, bed) {
			d.derive(&one)
			out = append(out, one)
		}
	}
	return out
}

// derive fills in every practice of one planting.
func (d *diary) derive(p *Planted) {
	p.Levels = make(map[Name]Level, 24)
	d.cultivation(p)
	d.dressings(p)
	d.spacing(p)
	d.water(p)
	d.covers(p)
	d.recorded(p)
	d.neighbours(p)
	d.work(p)
}
