// Package evidence answers from records what gave more, and says how surely: it picks the plantings that can tell, the
// experimental unit and the model by fixed rules, and keeps every doubt. It fits nothing itself (num does) and prints nothing.
package evidence

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/word"
)

// Gardens is what is compared when whole gardens are, as places.
const Gardens practice.Name = "gardens"

// Per is the area that a yield is given on.
type Per string

// The areas.
const (
	PerBed    Per = "bed"
	PerGround Per = "ground"
)

// Question is one comparison, as asked.
type Question struct {
	What       practice.Name // a practice, or Gardens
	Crops      []string      // empty: all
	Seasons    []int         // growing years; empty: all
	Gardens    []string      // names; empty: all
	Levels     []string      // only these levels; empty: all
	Against    string        // the level the others are set against; empty: chosen by rule
	Per        Per
	Response   string  // see Responses
	Matters    float64 // smallest difference worth acting on: 0.25 is 25 %
	Confidence float64 // 0.95
	Adjust     []practice.Name
	WholeYear  bool
}

// Setup is what answering needs beside the question and the records.
type Setup struct {
	Today   civil.Date
	Options practice.Options
	Usual   func(crop string) (plants float64, ok bool) // usual density of a crop, plants/m²
	Food    func(crop string) (kcal float64, ok bool)   // food energy per kg as harvested, from tables
	// Nutrient is what a kg as harvested holds of a nutrient, in grams, from tables; nil: there are none.
	Nutrient func(crop, nutrient string) (grams float64, ok bool)
	Price    func(crop string) (price float64, ok bool) // the grower's own price of a kg, in the book's currency; nil: there are none
	Asked    int                                        // distinct questions asked so far, this one included; 0 if nobody counts
	Seed     uint64
}

// normal returns the question with defaults put in and lists in order, so that equal questions look alike.
func (q Question) normal() Question {
	if q.Per == "" {
		q.Per = PerBed
	}
	if q.Response == "" {
		q.Response = Yield
	}
	if q.Matters == 0 {
		q.Matters = DefaultMatters
	}
	if q.Confidence == 0 {
		q.Confidence = DefaultConfidence
	}
	sorted := func(list []string) []string {
		list = slices.Clone(list)
		slices.Sort(list)
		return slices.Compact(list)
	}
	q.Crops, q.Gardens, q.Levels = sorted(q.Crops), sorted(q.Gardens), sorted(q.Levels)
	q.Seasons = slices.Clone(q.Seasons)
	slices.Sort(q.Seasons)
	q.Seasons = slices.Compact(q.Seasons)
	q.Adjust = slices.Clone(q.Adjust)
	slices.Sort(q.Adjust)
	return q
}

// The defaults of a question: the grower's settings go before them.
const (
	DefaultMatters    = 0.25
	DefaultConfidence = 0.95
)

// Canonical is the text under which a question counts as asked: kind, practice, response and filters. The margin, the
// reference and the confidence do not make another question of it.
func (q Question) Canonical() string {
	q = q.normal()
	var b strings.Builder
	fmt.Fprintf(&b, "compare %s of %s", q.What, q.Response)
	if q.WholeYear {
		b.WriteString(" whole-year")
	}
	if q.Per == PerGround {
		b.WriteString(" per ground")
	}
	part := func(name string, values []string) {
		if len(values) > 0 {
			fmt.Fprintf(&b, " %s=%s", name, strings.Join(values, ","))
		}
	}
	part("crops", q.Crops)
	part("gardens", q.Gardens)
	levels := make([]string, len(q.Levels))
	for i, l := range q.Levels {
		levels[i] = word.Fold(l)
	}
	part("levels", levels)
	years := make([]string, len(q.Seasons))
	for i, y := range q.Seasons {
		years[i] = fmt.Sprint(y)
	}
	part("seasons", years)
	adjust := make([]string, len(q.Adjust))
	for i, a := range q.Adjust {
		adjust[i] = string(a)
	}
	part("adjust", adjust)
	return b.String()
}

// check refuses margins and levels of confidence that mean nothing.
func (q Question) check() error {
	if !(q.Matters > 0 && q.Matters <= 5) {
		return &garden.Error{Kind: garden.Invalid, Field: "matters", Text: fmt.Sprintf("a difference of %.3g %% cannot be the smallest that matters", 100*q.Matters),
			Hint: "give a share above 0 and up to 500 %, such as 25 %"}
	}
	if !(q.Confidence > 0.5 && q.Confidence < 1) {
		return &garden.Error{Kind: garden.Invalid, Field: "confidence", Text: fmt.Sprintf("%.3g %% is no level of confidence", 100*q.Confidence),
			Hint: "give more than 50 % and less than 100 %, such as 95 %"}
	}
	if q.WholeYear {
		return q.checkYear()
	}
	return nil
}
