package cli

import (
	"encoding/json"
	"fmt"
	"math"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/season"
	"fairplot/internal/unit"
)

// seasonJSON is a season as JSON; what is not known is null.
type seasonJSON struct {
	Site    string         `json:"site"`
	Base    float64        `json:"base_c"`
	Weather []weatherJSON  `json:"weather"`
	Frost   frostJSON      `json:"frost"`
	Crops   []cropJSON     `json:"crops"`
	LeftOut map[string]int `json:"left_out"` // crops without an account of their water, by reason
	Notes   []string       `json:"notes"`
}

// weatherJSON is the weather of a week or month.
type weatherJSON struct {
	From        civil.Date `json:"from"`
	To          civil.Date `json:"to"`
	Days        int        `json:"days"`
	Unknown     int        `json:"unknown_days"`
	Min         *float64   `json:"lowest_c"`
	Max         *float64   `json:"highest_c"`
	Warmth      *float64   `json:"degree_days"`
	WarmthSoFar *float64   `json:"degree_days_so_far"`
	DayLength   *float64   `json:"day_length_h"`
	Sun         *float64   `json:"radiation_mj_m2"`
	Rain        float64    `json:"rain_mm"`
	Evaporation *float64   `json:"evaporation_mm"`
}

// frostJSON is the frost of the season's days.
type frostJSON struct {
	Days  int        `json:"days"`
	Last  civil.Date `json:"last,omitzero"`  // before midsummer
	First civil.Date `json:"first,omitzero"` // after it
}

// cropJSON is the water of a crop in a bed.
type cropJSON struct {
	Crop       string      `json:"crop"`
	Planting   garden.ID   `json:"planting"`
	Used       float64     `json:"used_mm"`
	StressDays int         `json:"stress_days"`
	Missing    float64     `json:"missing_mm"`
	Water      string      `json:"water"`
	Litres     *float64    `json:"litres"`
	Spells     []spellJSON `json:"spells"`
	Notes      []string    `json:"notes,omitempty"`
}

// spellJSON is that water over a week or month.
type spellJSON struct {
	From       civil.Date `json:"from"`
	To         civil.Date `json:"to"`
	Rain       float64    `json:"rain_mm"`
	Given      float64    `json:"given_mm"`
	Used       float64    `json:"used_mm"`
	Drained    float64    `json:"drained_mm"`
	Missing    float64    `json:"missing_mm"`
	Held       float64    `json:"held_mm"`
	StressDays int        `json:"stress_days"`
}

func (a *app) printSeasonJSON(s seasonShown) error {
	value := seasonJSON{Site: s.Site.Name, Base: float64(s.base), LeftOut: s.Left, Notes: s.Notes, Weather: []weatherJSON{}, Crops: []cropJSON{}}
	value.Frost = frostJSON(s.Frost())
	for _, m := range s.sums {
		value.Weather = append(value.Weather, weatherOf(m))
	}
	for _, b := range s.beds {
		value.Crops = append(value.Crops, s.crop(b))
	}
	out, err := json.MarshalIndent(value, "", "  ")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.env.Stdout, "%s\n", out)
	return err
}

// tidy cuts off digits that no such figure has.
func tidy(x float64) float64 { return math.Round(x*100) / 100 }

func weatherOf(m season.Sum) weatherJSON {
	known := func(x float64) *float64 {
		if m.Unknown == m.Days {
			return nil
		}
		x = tidy(x)
		return &x
	}
	return weatherJSON{From: m.From, To: m.To, Days: m.Days, Unknown: m.Unknown, Rain: tidy(float64(m.Rain)), Min: known(m.Min), Max: known(m.Max),
		Warmth: known(m.Warmth), WarmthSoFar: known(m.WarmthSoFar), DayLength: known(m.DayLength), Sun: known(float64(m.Sun)), Evaporation: known(float64(m.ET0))}
}

func (s seasonShown) crop(b season.BedWater) cropJSON {
	sum := b.Sheet.Sum
	out := cropJSON{Crop: s.name(b), Planting: garden.ID(b.Planting.ID), Used: tidy(float64(sum.Used)), StressDays: sum.StressDays, Missing: tidy(float64(sum.End)),
		Water: s.advice(b), Notes: b.Notes, Spells: []spellJSON{}}
	if b.Area.Known {
		litres := tidy(float64(b.Advice.Volume / unit.Litre))
		out.Litres = &litres
	}
	for _, w := range b.Over(s.sums) {
		out.Spells = append(out.Spells, spellJSON{From: w.From, To: w.To, Rain: tidy(float64(w.Rain)), Given: tidy(float64(w.Given)), Used: tidy(float64(w.Used)),
			Drained: tidy(float64(w.Drained)), Missing: tidy(float64(w.Missing)), Held: tidy(float64(w.Held)), StressDays: w.StressDays})
	}
	return out
}
