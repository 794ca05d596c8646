package civil

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Error tells in a sentence why a text is no date and what to write instead.
type Error struct {
	Text string // what is wrong, without the final stop
	Hint string // how to mend it
}

// Error returns text and hint as one line.
func (e *Error) Error() string {
	if e.Hint == "" {
		return e.Text
	}
	return e.Text + "; " + e.Hint
}

// String returns the date as ISO 8601 has it, such as 2026-04-03, or "" for no date.
func (d Date) String() string { return string(d.AppendText(nil)) }

// AppendText appends what String returns.
func (d Date) AppendText(b []byte) []byte {
	if d.IsZero() {
		return b
	}
	year, month, day := d.Split()
	if year < 0 || year > 9999 {
		return fmt.Appendf(b, "%+05d-%02d-%02d", year, month, day)
	}
	return append(b, '0'+byte(year/1000), '0'+byte(year/100%10), '0'+byte(year/10%10), '0'+byte(year%10),
		'-', '0'+byte(month/10), '0'+byte(month%10), '-', '0'+byte(day/10), '0'+byte(day%10))
}

// Words returns the date for reading, such as 3 Apr 2026, which no locale takes for another day.
func (d Date) Words() string {
	if d.IsZero() {
		return ""
	}
	year, month, day := d.Split()
	return strconv.Itoa(day) + " " + month.String()[:3] + " " + strconv.Itoa(year)
}

// MarshalText returns the ISO 8601 date, empty for none.
func (d Date) MarshalText() ([]byte, error) { return d.AppendText(nil), nil }

// UnmarshalText reads an ISO 8601 calendar date; empty text is no date.
func (d *Date) UnmarshalText(text []byte) error {
	*d = Date{}
	if len(text) == 0 {
		return nil
	}
	parsed, err := Parse(string(text))
	if err == nil {
		*d = parsed
	}
	return err
}

// Parse reads an ISO 8601 calendar date in full, 2026-04-03, and nothing else; files and JSON use it.
func Parse(s string) (Date, error) {
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return Date{}, notADate(s)
	}
	year, ok1 := digits(s[:4])
	month, ok2 := digits(s[5:7])
	day, ok3 := digits(s[8:])
	if !ok1 || !ok2 || !ok3 {
		return Date{}, notADate(s)
	}
	return valid(s, year, month, day)
}

// valid returns the date if there is such a day and it can be kept.
func valid(s string, year, month, day int) (Date, error) {
	switch {
	case month < 1 || month > 12:
		return Date{}, &Error{Text: fmt.Sprintf("%q has no month %d", s, month), Hint: isoHint}
	case day < 1 || day > daysIn(year, month):
		return Date{}, &Error{Text: fmt.Sprintf("%s %d has no day %d", time.Month(month), year, day), Hint: "look at the date again"}
	case year < 1000 || year > 9999:
		return Date{}, &Error{Text: fmt.Sprintf("the year %d in %q cannot be right", year, s), Hint: "write the year in four digits"}
	}
	d := Of(year, time.Month(month), day)
	if d.IsZero() {
		return Date{}, &Error{Text: "31 December 1999 is the one day that cannot be kept", Hint: "take the day before or after it"}
	}
	return d, nil
}

const isoHint = "write it as year-month-day, such as 2026-04-03"

func notADate(s string) error {
	return &Error{Text: fmt.Sprintf("%q is not a date that can be read", shorten(s)), Hint: isoHint}
}

// shorten keeps a message on one line, whatever was pasted into the field.
func shorten(s string) string {
	runes := []rune(s)
	if len(runes) > 40 {
		return string(runes[:40]) + "…"
	}
	return s
}

// digits reads a run of ASCII digits.
func digits(s string) (int, bool) {
	if s == "" || len(s) > 8 || strings.Trim(s, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	return n, err == nil
}
