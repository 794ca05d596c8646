// Package civil holds dates without clocks or time zones: days, ISO weeks, growing years. It reads dates
// as a locale writes them when they are not ambiguous. Instants belong to operations, not here.
package civil

import "time"

// Date is a day of the proleptic Gregorian calendar, counted from 1 January 2000 so that it orders and
// compares as a number; the zero value is "no date".
type Date struct {
	day int32 // days since 1999-12-31, so that 2000-01-01 is 1
}

// Of returns the date; days beyond the month's end run on, as in package time. 31 December 1999 itself
// stands for "no date" and cannot be told from it.
func Of(year int, month time.Month, day int) Date {
	m := int(month) - 1
	year += floorDiv(m, 12)
	m -= floorDiv(m, 12) * 12
	return Date{day: int32(dayNumber(year, m+1, 1) + day - 1)}
}

// FromTime returns the civil date of t in t's own zone.
func FromTime(t time.Time) Date { return Of(t.Year(), t.Month(), t.Day()) }

// FromNumber returns the date n days after 31 December 1999; Number is its inverse.
func FromNumber(n int) Date { return Date{day: int32(n)} }

// Number counts days since 31 December 1999; it is 0 for no date.
func (d Date) Number() int { return int(d.day) }

// IsZero reports whether d is "no date".
func (d Date) IsZero() bool { return d.day == 0 }

// Time returns midnight UTC of the date.
func (d Date) Time() time.Time {
	year, month, day := d.Split()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// Split returns year, month and day in one go.
func (d Date) Split() (year int, month time.Month, day int) {
	y, m, n := fromDayNumber(int(d.day))
	return y, time.Month(m), n
}

// Year returns the calendar year.
func (d Date) Year() int {
	y, _, _ := fromDayNumber(int(d.day))
	return y
}

// Month returns the month.
func (d Date) Month() time.Month {
	_, m, _ := fromDayNumber(int(d.day))
	return time.Month(m)
}

// Day returns the day of the month.
func (d Date) Day() int {
	_, _, n := fromDayNumber(int(d.day))
	return n
}

// YearDay returns the day of the year, 1 to 366.
func (d Date) YearDay() int { return int(d.day) - dayNumber(d.Year(), 1, 1) + 1 }

// Weekday returns the day of the week.
func (d Date) Weekday() time.Weekday {
	n := int(d.day) + 5 // day 0, 31 December 1999, was a Friday
	return time.Weekday(n - floorDiv(n, 7)*7)
}

// AddDays returns the date n days later; n may be negative.
func (d Date) AddDays(n int) Date { return Date{day: d.day + int32(n)} }

// AddYears returns the same day n years later; 29 February becomes 1 March in common years.
func (d Date) AddYears(n int) Date { return Of(d.Year()+n, d.Month(), d.Day()) }

// Sub returns the number of days from e to d.
func (d Date) Sub(e Date) int { return int(d.day - e.day) }

// Before reports whether d lies before e.
func (d Date) Before(e Date) bool { return d.day < e.day }

// After reports whether d lies after e.
func (d Date) After(e Date) bool { return d.day > e.day }

// Compare returns -1, 0 or 1 as d lies before, on or after e.
func (d Date) Compare(e Date) int {
	switch {
	case d.day < e.day:
		return -1
	case d.day > e.day:
		return 1
	}
	return 0
}
