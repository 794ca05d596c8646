package civil

import (
	"fmt"
	"strings"
	"time"
)

// week reads "week 15", "week 15 2026", "week 15 of 2026", "last week", "2026-w15" and "2026-w15-3".
func (r Reader) week(s string) (When, bool, error) {
	if len(s) >= 8 && s[4:6] == "-w" {
		w, err := isoWeek(s)
		if err == nil && len(s) == 10 && s[8] == '-' && s[9] >= '1' && s[9] <= '7' {
			year, week := w.Date.Week()
			return exact(OfWeek(year, week, int(s[9]-'0')), nil)
		}
		if err == nil && len(s) != 8 {
			err = notADate(s)
		}
		return w, true, err
	}
	if s == "this week" || s == "last week" {
		if err := r.needToday(s); err != nil {
			return When{}, true, err
		}
		day := r.Today
		if s == "last week" {
			day = day.AddDays(-7)
		}
		year, week := day.Week()
		return InWeekOf(year, week), true, nil
	}
	rest, ok := strings.CutPrefix(s, "week ")
	if !ok {
		return When{}, false, nil
	}
	return r.numberedWeek(s, strings.Fields(strings.ReplaceAll(rest, " of ", " ")))
}

func (r Reader) numberedWeek(s string, words []string) (When, bool, error) {
	if len(words) == 0 || len(words) > 2 {
		return When{}, true, notADate(s)
	}
	week, ok := digits(words[0])
	if !ok {
		return When{}, true, notADate(s)
	}
	if len(words) == 2 {
		year, ok := digits(words[1])
		if !ok {
			return When{}, true, notADate(s)
		}
		w, err := weekOf(year, week)
		return w, true, err
	}
	if err := r.needToday(s); err != nil {
		return When{}, true, err
	}
	year, _ := r.Today.AddDays(soon).Week()
	if week >= 1 && week <= 53 && (week > WeeksIn(year) || OfWeek(year, week, 1).Sub(r.Today) > soon) {
		year--
	}
	w, err := weekOf(year, week)
	return w, true, err
}

// relative reads days counted from today.
func (r Reader) relative(s string) (When, bool, error) {
	back, known := r.daysBack(s)
	if !known {
		return When{}, false, nil
	}
	if err := r.needToday(s); err != nil {
		return When{}, true, err
	}
	d := r.Today.AddDays(-back)
	return exact(valid(s, d.Year(), int(d.Month()), d.Day()))
}

func (r Reader) daysBack(s string) (int, bool) {
	switch s {
	case "today", "now":
		return 0, true
	case "yesterday":
		return 1, true
	case "day before yesterday", "the day before yesterday":
		return 2, true
	case "tomorrow":
		return -1, true
	}
	words := strings.Fields(s)
	if len(words) == 3 && words[2] == "ago" {
		n, ok := digits(words[0])
		if words[0] == "a" || words[0] == "one" {
			n, ok = 1, true
		}
		switch strings.TrimSuffix(words[1], "s") {
		case "day":
			return n, ok
		case "week":
			return n * 7, ok
		}
		return 0, false
	}
	return r.weekdayBack(words)
}

// weekdayBack reads "monday" as the last one, today included, and "last monday" as one before today.
func (r Reader) weekdayBack(words []string) (int, bool) {
	last := len(words) == 2 && words[0] == "last"
	if !last && len(words) != 1 {
		return 0, false
	}
	for day := time.Sunday; day <= time.Saturday; day++ {
		if !shortens(words[len(words)-1], strings.ToLower(day.String())) {
			continue
		}
		back := (int(r.Today.Weekday()) - int(day) + 7) % 7
		if back == 0 && last {
			back = 7
		}
		return back, true
	}
	return 0, false
}

// shortens reports whether the word is the name or three letters or more of its beginning.
func shortens(word, name string) bool {
	word = strings.TrimSuffix(word, ".")
	return len(word) >= 3 && strings.HasPrefix(name, word)
}

// named reads dates with the month as a word, in any order: 3 Apr 2026, April 3, 3rd of April.
func (r Reader) named(s string) (When, bool, error) {
	var month int
	var numbers []string
	for _, word := range strings.Fields(strings.NewReplacer(",", " ", "-", " ", ".", " ", "/", " ").Replace(s)) {
		if m := monthNamed(word); m > 0 && month == 0 {
			month = m
		} else if word != "of" && word != "the" {
			numbers = append(numbers, word)
		}
	}
	if month == 0 {
		return When{}, false, nil
	}
	if len(numbers) == 0 || len(numbers) > 2 {
		return When{}, true, notADate(s)
	}
	if len(numbers) == 2 && len(numbers[0]) == 4 {
		numbers[0], numbers[1] = numbers[1], numbers[0] // 2026 Apr 3
	}
	day, ok := digits(withoutOrdinal(numbers[0]))
	if !ok || day > 31 {
		return When{}, true, &Error{Text: fmt.Sprintf("%q names no day of the month", shorten(s)), Hint: "write about 15 April 2026, or week 16, if the day is not known"}
	}
	if len(numbers) == 1 {
		return r.nearest(s, month, day)
	}
	year, ok := yearOf(numbers[1])
	if !ok {
		return When{}, true, notADate(s)
	}
	return exact(valid(s, year, month, day))
}

func monthNamed(word string) int {
	if word == "sept" {
		return 9
	}
	for m := time.January; m <= time.December; m++ {
		if shortens(word, strings.ToLower(m.String())) {
			return int(m)
		}
	}
	return 0
}

func withoutOrdinal(word string) string {
	for _, end := range []string{"st", "nd", "rd", "th"} {
		if n, ok := strings.CutSuffix(word, end); ok {
			return n
		}
	}
	return word
}

// yearOf reads a year in four digits, or in two for this century.
func yearOf(s string) (int, bool) {
	n, ok := digits(s)
	if ok && len(s) == 2 {
		return 2000 + n, true
	}
	return n, ok && len(s) == 4
}
