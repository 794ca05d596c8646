package civil

import (
	"fmt"
	"strings"
	"time"
)

// figures reads dates in figures only.
func (r Reader) figures(s string) (When, bool, error) {
	if n, ok := digits(s); ok {
		if len(s) != 8 {
			return When{}, true, notADate(s)
		}
		return exact(valid(s, n/10000, n/100%100, n%100))
	}
	mark := strings.IndexAny(s, "-/.")
	if mark < 0 {
		return When{}, false, nil
	}
	fields := strings.Split(strings.TrimSuffix(s, "."), s[mark:mark+1])
	numbers := make([]int, len(fields))
	for i, f := range fields {
		n, ok := digits(strings.TrimSpace(f))
		if !ok {
			return When{}, false, nil
		}
		numbers[i] = n
	}
	switch {
	case len(fields) == 3 && len(fields[0]) == 4:
		return exact(valid(s, numbers[0], numbers[1], numbers[2]))
	case len(fields) == 2 && s[mark] == '-' && len(fields[0]) == 4 && len(fields[1]) == 3:
		return exact(ordinal(s, numbers[0], numbers[1]))
	case len(fields) == 2:
		return r.dayAndMonth(s, s[mark], numbers[0], numbers[1], 0)
	case len(fields) == 3:
		year, ok := yearOf(strings.TrimSpace(fields[2]))
		if !ok {
			return When{}, true, notADate(s)
		}
		return r.dayAndMonth(s, s[mark], numbers[0], numbers[1], year)
	}
	return When{}, false, nil
}

// ordinal reads the day of the year, 2026-093 (ISO 8601).
func ordinal(s string, year, day int) (Date, error) {
	if day < 1 || day > dayNumber(year+1, 1, 1)-dayNumber(year, 1, 1) {
		return Date{}, &Error{Text: fmt.Sprintf("%q: %d has no day %d", s, year, day), Hint: isoHint}
	}
	d := Of(year, time.January, 1).AddDays(day - 1)
	return valid(s, year, int(d.Month()), d.Day())
}

// dayAndMonth settles which of the two is the day; year is 0 if none was written. Points are taken to stand behind the day
// (3.4.2026) unless the book writes the month first.
func (r Reader) dayAndMonth(s string, mark byte, a, b, year int) (When, bool, error) {
	order := r.Order
	if mark == '.' && order == Unset {
		order = DayFirst
	}
	dayFirst, monthFirst := b >= 1 && b <= 12, a >= 1 && a <= 12
	switch {
	case order == DayFirst, order == Unset && dayFirst && (!monthFirst || a == b):
		return r.withYear(s, year, b, a)
	case order == MonthFirst && mark == '.' && dayFirst && a != b, order == Unset && dayFirst && monthFirst:
		return When{}, true, r.bothReadings(s, a, b, year)
	}
	return r.withYear(s, year, a, b)
}

func (r Reader) withYear(s string, year, month, day int) (When, bool, error) {
	if year == 0 {
		return r.nearest(s, month, day)
	}
	return exact(valid(s, year, month, day))
}

func (r Reader) bothReadings(s string, a, b, year int) error {
	if year == 0 {
		if err := r.needToday(s); err != nil {
			return err
		}
		year = r.Today.Year()
	}
	first, second := Of(year, time.Month(b), a), Of(year, time.Month(a), b)
	return &Error{
		Text: fmt.Sprintf("%q could be %s or %s", s, first.Words(), second.Words()),
		Hint: fmt.Sprintf("write %s or %s, or set how this book writes dates (day first or month first)", first, second),
	}
}
