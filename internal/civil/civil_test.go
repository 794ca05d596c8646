package civil_test

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"fairplot/internal/civil"
)

// Package time is the outside judge of all arithmetic here.
func agrees(t *testing.T, n int) {
	t.Helper()
	want := time.Date(1999, time.December, 31, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n)
	d := civil.FromNumber(n)
	year, week := d.Week()
	wantYear, wantWeek := want.ISOWeek()
	if d.Year() != want.Year() || d.Month() != want.Month() || d.Day() != want.Day() || d.YearDay() != want.YearDay() ||
		d.Weekday() != want.Weekday() || year != wantYear || week != wantWeek || !d.Time().Equal(want) {
		t.Fatalf("day %d: got %v, day %d, %v, week %d-%d; package time says %v", n, d, d.YearDay(), d.Weekday(), year, week, want)
	}
	if back := civil.Of(want.Year(), want.Month(), want.Day()); back != d {
		t.Fatalf("Of(%v) = day %d, want %d", want, back.Number(), n)
	}
}

func TestEveryDayOf800YearsAgreesWithPackageTime(t *testing.T) {
	for n := -146097; n <= 146097; n++ {
		agrees(t, n)
	}
}

func FuzzDays(f *testing.F) {
	f.Add(0)
	f.Add(-730000)
	f.Fuzz(func(t *testing.T, n int) { agrees(t, n%3000000) })
}

func TestDaysBeyondTheMonthRunOnAsInPackageTime(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		y, m, d := r.IntN(400)+1800, time.Month(r.IntN(60)-30), r.IntN(200)-100
		want := time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
		if got := civil.Of(y, m, d); !got.Time().Equal(want) {
			t.Fatalf("Of(%d, %d, %d) = %v, package time says %v", y, m, d, got, want)
		}
	}
}

// 3 April 2026 was a Friday in ISO week 14 (any calendar); the examples of 53 weeks and of weeks that count to
// another year are those of ISO 8601 and package time's documentation.
func TestISOWeeks(t *testing.T) {
	for _, c := range []struct {
		year, week, weekday int
		want                string
	}{
		{2026, 14, 5, "2026-04-03"}, {2020, 53, 5, "2021-01-01"}, {2004, 53, 6, "2005-01-01"}, {2009, 1, 1, "2008-12-29"}, {2026, 1, 1, "2025-12-29"},
	} {
		if got := civil.OfWeek(c.year, c.week, c.weekday); got.String() != c.want {
			t.Errorf("%d-W%d-%d is %v, want %s", c.year, c.week, c.weekday, got, c.want)
		}
	}
	for year, want := range map[int]int{2015: 53, 2020: 53, 2026: 53, 2025: 52, 2024: 52} {
		if got := civil.WeeksIn(year); got != want {
			t.Errorf("%d has %d weeks, want %d", year, got, want)
		}
	}
}

func TestGrowingYears(t *testing.T) {
	day := func(s string) civil.Date {
		d, err := civil.Parse(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	south, march, calendar := civil.GrowingYear{Month: time.July, Day: 1}, civil.GrowingYear{Month: time.March, Day: 1}, civil.GrowingYear{}
	for _, c := range []struct {
		g    civil.GrowingYear
		day  string
		want int
	}{
		{calendar, "2026-01-01", 2026}, {calendar, "2026-12-31", 2026},
		{south, "2025-06-30", 2025}, {south, "2025-07-01", 2026}, {south, "2026-06-30", 2026},
		{march, "2026-02-28", 2025}, {march, "2026-03-01", 2026},
	} {
		if got := c.g.Of(day(c.day)); got != c.want {
			t.Errorf("%+v: %s lies in %d, want %d", c.g, c.day, got, c.want)
		}
		if d := day(c.day); d.Before(c.g.First(c.want)) || d.After(c.g.Last(c.want)) {
			t.Errorf("%+v: %s lies outside %v to %v", c.g, c.day, c.g.First(c.want), c.g.Last(c.want))
		}
	}
}

func TestReading(t *testing.T) {
	today := civil.Of(2026, time.April, 10) // a Friday
	for _, c := range []struct {
		text  string
		order civil.Order
		want  string
	}{
		{"2026-04-03", 0, "2026-04-03"}, {"20260403", 0, "2026-04-03"}, {"2026-093", 0, "2026-04-03"}, {"2026/4/3", 0, "2026-04-03"},
		{"03/04/2026", civil.DayFirst, "2026-04-03"}, {"03/04/2026", civil.MonthFirst, "2026-03-04"}, {"26/04/2026", 0, "2026-04-26"},
		{"04/26/2026", 0, "2026-04-26"}, {"4/4/26", 0, "2026-04-04"}, {"3.4.2026", 0, "2026-04-03"}, {"3.4.", 0, "2026-04-03"}, {"3.4.26", civil.DayFirst, "2026-04-03"},
		{"3 Apr 2026", 0, "2026-04-03"}, {"3 apr. 26", 0, "2026-04-03"}, {"April 3", 0, "2026-04-03"}, {"3rd of April, 2026", 0, "2026-04-03"}, {"2026 Apr 3", 0, "2026-04-03"},
		{"December 28", 0, "2025-12-28"}, {"11 May", 0, "2026-05-11"}, {"12 May", 0, "2025-05-12"}, {"29 Feb", 0, "2024-02-29"},
		{"today", 0, "2026-04-10"}, {"Yesterday", 0, "2026-04-09"}, {"tomorrow", 0, "2026-04-11"}, {"3 days ago", 0, "2026-04-07"}, {"a week ago", 0, "2026-04-03"},
		{"Monday", 0, "2026-04-06"}, {"last monday", 0, "2026-04-06"}, {"friday", 0, "2026-04-10"}, {"last fri", 0, "2026-04-03"},
		{"week 15", 0, "2026-W15"}, {"2026-W15", 0, "2026-W15"}, {"2026-W15-2", 0, "2026-04-07"}, {"week 52", 0, "2025-W52"}, {"week 15 of 2025", 0, "2025-W15"}, {"last week", 0, "2026-W14"},
		{"about 3 April", 0, "2026-04-03~"}, {"~2026-04-03", 0, "2026-04-03~"}, {"2026-04-03~", 0, "2026-04-03~"}, {"about week 15", 0, "2026-W15"},
	} {
		got, err := civil.Reader{Today: today, Order: c.order}.When(c.text)
		if err != nil || got.String() != c.want {
			t.Errorf("%q (order %d) is read as %v, %v; want %s", c.text, c.order, got, err, c.want)
		}
	}
}

func TestUnreadableDatesAreExplained(t *testing.T) {
	today := civil.Of(2026, time.April, 10)
	for _, c := range []struct {
		text  string
		order civil.Order
		says  string
	}{
		{"03/04/2026", 0, "could be 3 Apr 2026 or 4 Mar 2026"}, {"3/4", 0, "could be 3 Apr 2026 or 4 Mar 2026"}, {"3.4.2026", civil.MonthFirst, "could be"},
		{"26/04/2026", civil.MonthFirst, "no month 26"}, {"2026-02-30", 0, "February 2026 has no day 30"}, {"29.2.2025", 0, "no day 29"},
		{"April 2026", 0, "no day of the month"}, {"", 0, "there is no date"}, {"soon", 0, "not a date"}, {"week 54 of 2025", 0, "no week 54"}, {"1999-12-31", 0, "cannot be kept"},
		{"2026-W60", 0, "no week 60"}, {"7", 0, "not a date"}, {"2026-366", 0, "no day 366"}, {"0026-04-03", 0, "four digits"},
	} {
		w, err := civil.Reader{Today: today, Order: c.order}.When(c.text)
		var e *civil.Error
		if !errors.As(err, &e) || !strings.Contains(e.Error(), c.says) || e.Hint == "" {
			t.Errorf("%q gives %v, %v; want a sentence with %q and a hint", c.text, w, err, c.says)
		}
	}
	if _, err := (civil.Reader{}).Date("yesterday"); err == nil {
		t.Error("yesterday was read without a today")
	}
	if _, err := (civil.Reader{Today: today}).Date("week 15"); err == nil {
		t.Error("a week was read as one day")
	}
}

func TestTextRoundTrips(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 5000 {
		w := civil.When{Date: civil.FromNumber(r.IntN(20000) - 5000), Precision: civil.Precision(r.IntN(3))}
		if w.IsZero() {
			continue
		}
		if w.Precision == civil.InWeek {
			w = civil.InWeekOf(w.Date.Week())
		}
		data, err := json.Marshal(w)
		var back civil.When
		if err2 := json.Unmarshal(data, &back); err != nil || err2 != nil || back != w {
			t.Fatalf("%v became %s and %v: %v, %v", w, data, back, err, err2)
		}
		for _, text := range []string{w.String(), w.Words()} {
			if read, err := (civil.Reader{}).When(text); err != nil || read != w {
				t.Fatalf("%q is read as %v, %v; want %v", text, read, err, w)
			}
		}
	}
	var none struct {
		Date civil.Date `json:"date"`
		Left civil.When `json:"left,omitzero"`
	}
	data, _ := json.Marshal(none)
	if string(data) != `{"date":""}` {
		t.Errorf("no date is written as %s", data)
	}
	if err := json.Unmarshal([]byte(`{"date":"03/04/2026"}`), &none); err == nil {
		t.Error("JSON with another form of date was read")
	}
}

func FuzzReader(f *testing.F) {
	for _, s := range []string{"2026-04-03", "about 3 April", "week 15", "3.4.", "last mon", "2026-W15-3", "29 feb", "~~", "-w", "w/w/w"} {
		f.Add(s, uint8(0))
	}
	f.Fuzz(func(t *testing.T, s string, order uint8) {
		r := civil.Reader{Today: civil.Of(2026, time.April, 10), Order: civil.Order(order % 3)}
		w, err := r.When(s)
		if err != nil {
			return
		}
		if w.IsZero() {
			t.Fatalf("%q was read as no date without an error", s)
		}
		if again, err := r.When(w.String()); err != nil || again != w {
			t.Fatalf("%q was read as %v, which is read as %v, %v", s, w, again, err)
		}
	})
}

func BenchmarkYear(b *testing.B) {
	d := civil.Of(2026, time.April, 3)
	sum := 0
	for i := range b.N {
		sum += d.AddDays(i % 4000).Year()
	}
	_ = sum
}

func BenchmarkParse(b *testing.B) {
	for range b.N {
		if _, err := civil.Parse("2026-04-03"); err != nil {
			b.Fatal(err)
		}
	}
}
