package season

import (
	"time"

	"fairplot/internal/civil"
)

// Cold is the frost of a season's days.
type Cold struct {
	Days  int        // with a minimum at or below freezing
	Last  civil.Date // the last of the cold half year before the season's midsummer; zero if there was none among the days
	First civil.Date // the first after it
}

// Frost returns the days of frost among those shown, air frost as a screen at head height has it: on the ground it freezes more often. The
// midsummer that parts spring from autumn is that of the last year in which the days reach it.
func (s Season) Frost() Cold {
	var out Cold
	middle := s.midsummer()
	for _, d := range s.Days {
		if !d.Min.Known || d.Min.Value > 0 {
			continue
		}
		out.Days++
		switch {
		case middle.IsZero():
		case d.Date.Before(middle):
			out.Last = d.Date
		case out.First.IsZero():
			out.First = d.Date
		}
	}
	return out
}

// midsummer is 1 July, or 1 January south of the equator.
func (s Season) midsummer() civil.Date {
	month := time.July
	if s.Place.Latitude < 0 {
		month = time.January
	}
	for i := len(s.Days) - 1; i >= 0; i-- {
		if d := s.Days[i].Date; d.Month() == month && d.Day() == 1 {
			return d
		}
	}
	if n := len(s.Days); n > 0 { // it was not reached: every frost is one of spring, or of autumn
		day := civil.Of(s.Days[0].Date.Year(), month, 1)
		if s.Days[0].Date.After(day) {
			return day
		}
		return s.Days[n-1].Date.AddDays(1)
	}
	return civil.Date{}
}
