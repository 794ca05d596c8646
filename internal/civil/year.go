package civil

import "time"

// GrowingYear is a year that may begin on another day than 1 January, as south of the equator. One that begins after June
// bears the number of the calendar year it ends in, others that of the year they begin in: the year of most of its
// days. The zero value is the calendar year.
type GrowingYear struct {
	Month time.Month
	Day   int
}

// Of returns the growing year that holds the date.
func (g GrowingYear) Of(d Date) int {
	year := d.Year()
	if g == (GrowingYear{}) {
		return year
	}
	for d.Before(g.First(year)) {
		year--
	}
	for d.After(g.Last(year)) {
		year++
	}
	return year
}

// First returns the first day of the growing year.
func (g GrowingYear) First(year int) Date {
	if g == (GrowingYear{}) {
		return Of(year, time.January, 1)
	}
	if g.Month > time.June {
		year--
	}
	return Of(year, g.Month, g.Day)
}

// Last returns the last day of the growing year.
func (g GrowingYear) Last(year int) Date { return g.First(year + 1).AddDays(-1) }
