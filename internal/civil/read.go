package civil

import (
	"fmt"
	"strings"
	"time"
)

// Order says which comes first where a date is written in figures with the year last.
type Order uint8

// The orders. Unset reads 26/04/2026 but refuses 03/04/2026.
const (
	Unset Order = iota
	DayFirst
	MonthFirst
)

// Reader reads dates as people write them.
type Reader struct {
	Today Date  // what "yesterday" and a date without a year count from; none: such words are refused
	Order Order // how the book's locale writes 03/04/2026
}

// soon is how many days ahead a date without a year may lie: the diary looks back, a sowing plan a little ahead.
const soon = 31

// Date reads one day, exactly known.
func (r Reader) Date(s string) (Date, error) {
	w, err := r.When(s)
	switch {
	case err != nil:
		return Date{}, err
	case w.Precision != Exact:
		return Date{}, &Error{Text: fmt.Sprintf("%q is not one sure day", shorten(s)), Hint: "here the very day is needed, such as " + w.Date.String()}
	}
	return w.Date, nil
}

// When reads a day, "about" a day, or a week: 2026-04-03, 20260403, 03/04/2026, 3.4.2026, 3 Apr 2026, April 3,
// yesterday, last Monday, 3 days ago, about 3 April, week 15, 2026-W15.
func (r Reader) When(s string) (When, error) {
	text := strings.Join(strings.Fields(strings.ToLower(s)), " ")
	if text == "" {
		return When{}, &Error{Text: "there is no date", Hint: isoHint}
	}
	for _, word := range []string{"about ", "around ", "circa ", "ca. ", "c. ", "~"} {
		if rest, ok := strings.CutPrefix(text, word); ok {
			return r.about(rest)
		}
	}
	if rest, ok := strings.CutSuffix(text, "~"); ok {
		return r.about(rest)
	}
	for _, read := range []func(string) (When, bool, error){r.week, r.relative, r.named, r.figures} {
		if w, mine, err := read(text); mine {
			return w, err
		}
	}
	return When{}, notADate(s)
}

func (r Reader) about(s string) (When, error) {
	w, err := r.When(s)
	if err == nil && w.Precision == Exact {
		w.Precision = About
	}
	return w, err
}

// exact wraps a day that was read.
func exact(d Date, err error) (When, bool, error) {
	if err != nil {
		return When{}, true, err
	}
	return When{Date: d}, true, nil
}

// needToday refuses words that count from today where no today was given.
func (r Reader) needToday(s string) error {
	if r.Today.IsZero() {
		return &Error{Text: fmt.Sprintf("%q depends on the day it is read", shorten(s)), Hint: isoHint}
	}
	return nil
}

// nearest gives a date without a year the last year in which it is no more than a month ahead.
func (r Reader) nearest(s string, month, day int) (When, bool, error) {
	if err := r.needToday(s); err != nil {
		return When{}, true, err
	}
	year := r.Today.Year() + 1
	for range 9 { // 29 February may be eight years back
		if month >= 1 && month <= 12 && day <= daysIn(year, month) && Of(year, time.Month(month), day).Sub(r.Today) <= soon {
			break
		}
		year--
	}
	return exact(valid(s, year, month, day))
}
