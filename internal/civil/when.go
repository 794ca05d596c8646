package civil

import (
	"fmt"
	"strings"
)

// Precision says how surely a date is known.
type Precision uint8

// The precisions of a When.
const (
	Exact  Precision = iota // that very day
	About                   // that day or near it
	InWeek                  // some day of that ISO week; the date is its Thursday
)

// When is a date with its precision; the zero value is "no date".
type When struct {
	Date      Date
	Precision Precision
}

// IsZero reports whether w is "no date".
func (w When) IsZero() bool { return w.Date.IsZero() }

// String returns 2026-04-03, 2026-04-03~ for "about" (ISO 8601-2:2019, approximate) or 2026-W15 for a week.
func (w When) String() string {
	switch {
	case w.IsZero():
		return ""
	case w.Precision == About:
		return w.Date.String() + "~"
	case w.Precision == InWeek:
		year, week := w.Date.Week()
		return fmt.Sprintf("%04d-W%02d", year, week)
	}
	return w.Date.String()
}

// Words returns the date for reading: 3 Apr 2026, about 3 Apr 2026, week 15 of 2026.
func (w When) Words() string {
	switch {
	case w.IsZero():
		return ""
	case w.Precision == About:
		return "about " + w.Date.Words()
	case w.Precision == InWeek:
		year, week := w.Date.Week()
		return fmt.Sprintf("week %d of %d", week, year)
	}
	return w.Date.Words()
}

// MarshalText returns what String returns.
func (w When) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads what MarshalText wrote; empty text is no date.
func (w *When) UnmarshalText(text []byte) error {
	*w = When{}
	s := string(text)
	if s == "" {
		return nil
	}
	if date, about := strings.CutSuffix(s, "~"); about {
		return w.read(date, About)
	}
	if len(s) == 8 && s[4:6] == "-W" {
		read, err := isoWeek(s)
		if err == nil {
			*w = read
		}
		return err
	}
	return w.read(s, Exact)
}

func (w *When) read(s string, p Precision) error {
	d, err := Parse(s)
	if err == nil {
		*w = When{Date: d, Precision: p}
	}
	return err
}

// isoWeek reads 2026-W15.
func isoWeek(s string) (When, error) {
	year, ok := digits(s[:4])
	week, ok2 := digits(s[6:8])
	if !ok || !ok2 {
		return When{}, notADate(s)
	}
	return weekOf(year, week)
}

func weekOf(year, week int) (When, error) {
	if year < 1000 || year > 9999 {
		return When{}, &Error{Text: fmt.Sprintf("the year %d cannot be right", year), Hint: "write the year in four digits"}
	}
	if week < 1 || week > WeeksIn(year) {
		return When{}, &Error{Text: fmt.Sprintf("%d has no week %d", year, week), Hint: fmt.Sprintf("its weeks run from 1 to %d", WeeksIn(year))}
	}
	return InWeekOf(year, week), nil
}
