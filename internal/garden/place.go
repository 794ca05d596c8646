package garden

import (
	"math"

	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// Site is a place with one climate.
type Site struct {
	ID         SiteID             `json:"-"`
	Rev        int                `json:"-"`
	Name       string             `json:"name"`
	Latitude   Maybe[float64]     `json:"latitude,omitzero"`  // degrees, north positive
	Longitude  Maybe[float64]     `json:"longitude,omitzero"` // degrees, east positive
	Elevation  Maybe[unit.Length] `json:"elevation,omitzero"`
	LastFrost  MonthDay           `json:"last_frost,omitzero"`  // usual last frost of spring
	FirstFrost MonthDay           `json:"first_frost,omitzero"` // usual first frost of autumn
}

// MonthDay is a day of any year; the zero value is "not noted".
type MonthDay struct {
	Month int `json:"month"`
	Day   int `json:"day"`
}

// Garden is beds that lie together and share paths.
type Garden struct {
	ID        GardenID         `json:"-"`
	Rev       int              `json:"-"`
	Site      SiteID           `json:"site,omitzero"`
	Name      string           `json:"name"`
	Ground    Maybe[unit.Area] `json:"ground,omitzero"` // with paths
	Soil      string           `json:"soil,omitempty"`
	Shelter   string           `json:"shelter,omitempty"`
	UseBefore string           `json:"use_before,omitempty"`
	From      civil.Date       `json:"from,omitzero"`
	To        civil.Date       `json:"to,omitzero"`
	Nothing   []NothingPeriod  `json:"nothing,omitempty"`
}

// NothingPeriod says that in a garden, from one day to another, nothing written of a kind of entry means nothing done.
type NothingPeriod struct {
	Kind Kind       `json:"kind"`
	From civil.Date `json:"from,omitzero"`
	To   civil.Date `json:"to,omitzero"`
}

// Point is a point on the plan, metres east and north of the plan's origin.
type Point struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Bed is a piece of ground that is dug, fed and planted as one.
type Bed struct {
	ID       BedID              `json:"-"`
	Rev      int                `json:"-"`
	Garden   GardenID           `json:"garden"`
	Name     string             `json:"name"`
	Length   Maybe[unit.Length] `json:"length,omitzero"`
	Width    Maybe[unit.Length] `json:"width,omitzero"`
	Outline  []Point            `json:"outline,omitempty"` // instead of length and width, in its own frame
	At       Maybe[Point]       `json:"at,omitzero"`       // south-west corner on the plan
	Angle    float64            `json:"angle,omitzero"`    // degrees, anticlockwise
	Tunnel   bool               `json:"tunnel,omitempty"`
	From     civil.Date         `json:"from,omitzero"`
	To       civil.Date         `json:"to,omitzero"`
	GrewFrom []BedID            `json:"grew_from,omitempty"` // the beds it was split from or merged of
}

// Area returns the bed's area: length times width, or the area within the outline (shoelace formula); not known without either.
func (b Bed) Area() Maybe[unit.Area] {
	if len(b.Outline) >= 3 {
		twice := 0.0
		for i, p := range b.Outline {
			q := b.Outline[(i+1)%len(b.Outline)]
			twice += p.X*q.Y - q.X*p.Y
		}
		return Some(unit.Area(math.Abs(twice) / 2))
	}
	if b.Length.Known && b.Width.Known {
		return Some(b.Length.Value.Times(b.Width.Value))
	}
	return Maybe[unit.Area]{}
}

// Stood reports whether the bed was there on the day.
func (b Bed) Stood(day civil.Date) bool {
	return (b.From.IsZero() || !day.Before(b.From)) && (b.To.IsZero() || !day.After(b.To))
}
