package intake

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/word"
)

// missing are the signs that services set where nothing was measured. The numbers among them are outside anything weather can do.
var missing = map[string]bool{
	"": true, "-": true, "--": true, "---": true, "na": true, "n/a": true, "nan": true, "null": true, "none": true, "missing": true, "m": true, "x": true,
	"-99": true, "-99.9": true, "-99.99": true, "-999": true, "-999.0": true, "-999.9": true, "-9999": true, "-9999.0": true, "9999.9": true, "999.9": true, "99999": true,
}

// traces are the signs for rain too little to measure.
var traces = map[string]bool{"t": true, "tr": true, "trace": true}

var figureText = regexp.MustCompile(`^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(.*)$`)

// figure takes a cell apart: the number and the unit behind it. A star or hash behind a number marks it as estimated or measured otherwise.
func figure(cell string) (x float64, unitText string, ok bool) {
	cell = strings.TrimRight(strings.TrimSpace(strings.ReplaceAll(cell, "−", "-")), "*#")
	if missing[strings.ToLower(cell)] {
		return 0, "", false
	}
	m := figureText.FindStringSubmatch(cell)
	if m == nil {
		return 0, "", false
	}
	x, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
	return x, m[2], err == nil
}

// rows reads the rows under the heads; what is wrong is told of each line.
func (c weatherColumns) rows(t Table, skipped int, o WeatherOptions, w *Weather) []WeatherDay {
	var out []WeatherDay
	units := unitRow(t) != nil
	for i, row := range t.Rows {
		if i == 0 && units {
			continue
		}
		line := t.Lines[i] + skipped
		date, err := c.date(t, row, o)
		if errors.Is(err, errNoDay) {
			w.lost++
			continue
		}
		if err != nil {
			w.wrong(line, err.Error())
			continue
		}
		d := WeatherDay{Weather: climate.Weather{Date: date}, Line: line}
		text := c.fill(&d, row)
		if text == "" && c.monthly() {
			text = impossible(climate.Weather{Min: d.Min, Max: d.Max, Wind: d.Wind, Humidity: d.Humidity})
		} else if text == "" {
			text = impossible(d.Weather)
		}
		if text != "" {
			w.wrong(line, text)
			continue
		}
		if d.Weather == (climate.Weather{Date: date}) && !c.monthly() {
			continue // a day without any figure is a gap
		}
		out = append(out, d)
	}
	return out
}

// fill reads the figures of a row; the text says what is wrong.
func (c weatherColumns) fill(d *WeatherDay, row []string) string {
	for _, w := range c {
		to := d.place(w.field)
		if to == nil {
			continue
		}
		r, text := w.reading(at(row, w.at))
		if text != "" {
			return w.field + ": " + text
		}
		*to = r
	}
	return ""
}

// reading reads one cell; the text says what is wrong.
func (w weatherColumn) reading(cell string) (climate.Reading, string) {
	plain := strings.ToLower(strings.TrimSpace(cell))
	if w.field == "rain" && traces[plain] {
		return climate.Some(0), ""
	}
	x, unitText, ok := figure(cell)
	if !ok {
		if missing[strings.TrimRight(plain, "*#")] {
			return climate.Reading{}, ""
		}
		return climate.Reading{}, fmt.Sprintf("%q is no number", cell)
	}
	convert := w.convert
	if unitText != "" {
		s, known := scaleNamed(scalesOf[w.field], unitText)
		if !known {
			return climate.Reading{}, fmt.Sprintf("%q is no unit for it; it may be %s", unitText, firstNames(scalesOf[w.field]))
		}
		convert = s.convert
	}
	if convert == nil {
		return climate.Reading{}, fmt.Sprintf("%q has no unit", cell)
	}
	return climate.Some(convert(x)), ""
}

// place is where a field of a day is kept; nil for what a day does not have.
func (d *WeatherDay) place(field string) *climate.Reading {
	switch field {
	case "min":
		return &d.Min
	case "max":
		return &d.Max
	case "rain":
		return &d.Rain
	case "sunshine":
		return &d.Sunshine
	case "radiation":
		return &d.Radiation
	case "wind":
		return &d.Wind
	case "humidity":
		return &d.Humidity
	case "rain-days":
		return &d.rainDays
	}
	return nil
}

// date reads the day of a row; of a row of months its first.
func (c weatherColumns) date(t Table, row []string, o WeatherOptions) (civil.Date, error) {
	if w, ok := c.find("date"); ok {
		return dayOf(t.Day(at(row, w.at)), o.Dates)
	}
	year := 2001 // of a normal month, whose year does not matter
	if w, ok := c.find("year"); ok {
		n, err := strconv.Atoi(at(row, w.at))
		if err != nil || n < 1 || n > 9999 {
			return civil.Date{}, fmt.Errorf("%q is no year", at(row, w.at))
		}
		year = n
	}
	w, _ := c.find("month")
	month, ok := monthOf(at(row, w.at))
	if !ok {
		return civil.Date{}, fmt.Errorf("%q is no month", at(row, w.at))
	}
	day := 1
	if w, ok := c.find("day"); ok {
		n, err := strconv.Atoi(at(row, w.at))
		if d := civil.Of(year, month, n); err != nil || n < 1 || d.Month() != month {
			return civil.Date{}, fmt.Errorf("%q is no day of %s %d", at(row, w.at), month, year)
		}
		day = n
	}
	if date := civil.Of(year, month, day); !date.IsZero() {
		return date, nil
	}
	return civil.Date{}, errNoDay
}

// errNoDay is the day that no civil.Date can hold, because its number stands for none: a file that spans the year 2000 has it, and must not
// be refused for it.
var errNoDay = errors.New("31 December 1999 cannot be kept")

var theDayBefore2000 = regexp.MustCompile(`^(1999\D12\D31|31\D12\D1999|12\D31\D1999)$`)

var runDate = regexp.MustCompile(`^(\d{4})(\d\d)(\d\d)$`)

// dayOf reads 2025-07-01, 20250701, 2025-07-01T00:00 or what the reader knows.
func dayOf(cell string, r civil.Reader) (civil.Date, error) {
	cell = strings.TrimSpace(cell)
	if m := runDate.FindStringSubmatch(cell); m != nil {
		cell = m[1] + "-" + m[2] + "-" + m[3]
	}
	if day, clock, found := strings.Cut(strings.Replace(cell, "T", " ", 1), " "); found && strings.Contains(clock, ":") {
		cell = day
	}
	if theDayBefore2000.MatchString(cell) {
		return civil.Date{}, errNoDay
	}
	return r.Date(cell)
}

// monthOf reads 7, 07, Jul or July.
func monthOf(cell string) (time.Month, bool) {
	if n, err := strconv.Atoi(strings.TrimSpace(cell)); err == nil {
		return time.Month(n), n >= 1 && n <= 12
	}
	name := word.Fold(strings.TrimSuffix(cell, "."))
	for m := time.January; m <= time.December; m++ {
		if len(name) >= 3 && strings.HasPrefix(strings.ToLower(m.String()), name) {
			return m, true
		}
	}
	return 0, false
}
