package intake

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"fmt"
	"io"
	"slices"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/garden"
)

// WeatherOptions settle what a file of weather cannot say of itself.
type WeatherOptions struct {
	Options
	Columns map[string]string // field to the head of its column: "min" to "Tmin"
	Units   map[string]string // field to the unit of its bare numbers: "min" to "F"
	Dates   civil.Reader      // how 03/04/2026 is meant
}

// Weather is what a file of weather holds: days, or one row for each month.
type Weather struct {
	Layout  string // what the file was taken for
	Days    []WeatherDay
	Monthly bool // rows of months: Normals is filled and Days is empty
	Normals [12]climate.Month
	Read    []string // what each column was taken for, with its unit
	Notes   []string // what was left out, and what is missing
	Wrong   []Remark // lines that cannot be taken
	Doubts  []Remark // lines that can, with a question beside them

	lost int // days that no date can hold
}

// WeatherDay is one day with the line of the file that it stands on.
type WeatherDay struct {
	climate.Weather
	Line int

	rainDays climate.Reading // of a row of months
}

// Remark is a sentence about a line.
type Remark struct {
	Line int
	Text string
}

// ReadWeather takes in a file of daily weather or of monthly normals: a CSV, spreadsheet or table in columns with heads in its first
// lines, or one of the layouts of public services that need no heads. Errors are *garden.Error about the file as a whole; what is
// wrong with single lines stands in Wrong.
func ReadWeather(name string, data []byte, o WeatherOptions) (Weather, error) {
	data, err := unpacked(name, data)
	if err != nil {
		return Weather{}, err
	}
	if byElement(data) {
		return readElements(name, data)
	}
	t, columns, skipped, err := weatherTable(name, data, o)
	if err != nil {
		return Weather{}, err
	}
	if err := columns.settleUnits(t, o); err != nil {
		return Weather{}, err
	}
	w := Weather{Layout: columns.layout(), Read: columns.says()}
	rows := columns.rows(t, skipped, o, &w)
	if columns.monthly() {
		return w, w.months(rows)
	}
	w.days(rows)
	return w, w.judge()
}

// unpacked takes a file out of its gzip, in which public services hand out large ones (RFC 1952).
func unpacked(name string, data []byte) ([]byte, error) {
	if !bytes.HasPrefix(data, []byte{0x1F, 0x8B}) {
		return data, nil
	}
	r, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, refuse(name, "it is packed and cannot be unpacked", "fetch it again")
	}
	out, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	switch {
	case err != nil:
		return nil, refuse(name, "it is packed and breaks off", "fetch it again")
	case len(out) > maxBytes:
		return nil, refuse(name, fmt.Sprintf("unpacked it has more than %d MB", maxBytes>>20), "take the file of one station")
	}
	return out, nil
}

// days sorts the rows by date and finds days that stand there twice.
func (w *Weather) days(rows []WeatherDay) {
	slices.SortStableFunc(rows, func(a, b WeatherDay) int { return cmp.Or(a.Date.Compare(b.Date), a.Line-b.Line) })
	same, twice := 0, 0
	for _, d := range rows {
		n := len(w.Days)
		if n == 0 || w.Days[n-1].Date != d.Date {
			w.Days = append(w.Days, d)
			continue
		}
		if w.Days[n-1].Weather == d.Weather {
			same++
			continue
		}
		twice++
		w.wrong(d.Line, fmt.Sprintf("line %d has %s too, with other figures; leave one of them out", w.Days[n-1].Line, d.Date.Words()))
	}
	if same > 0 {
		w.note("%s alike and counted once", plural(same, "line stands there twice", "lines stand there twice"))
	}
	if len(w.Days) > 0 && twice*2 > len(w.Days) {
		w.note("most days have several lines: if these are hours, make daily lowest, highest and sum of them first")
	}
	w.gaps()
}

// gaps counts the days that are missing between the first and the last.
func (w *Weather) gaps() {
	if w.lost > 0 {
		w.note("%v and was left out", errNoDay)
	}
	missing, longest := 0, 0
	var from civil.Date
	for i := 1; i < len(w.Days); i++ {
		gap := w.Days[i].Date.Sub(w.Days[i-1].Date) - 1
		if w.Days[i-1].Date.Before(civil.Date{}) && w.Days[i].Date.After(civil.Date{}) {
			gap-- // the day that no date can hold
		}
		missing += gap
		if gap > longest {
			longest, from = gap, w.Days[i-1].Date.AddDays(1)
		}
	}
	if missing > 0 {
		w.note("%s between the first and the last, at most %d in a row from %s on", plural(missing, "day is missing", "days are missing"), longest, from.Words())
	}
}

func (w *Weather) note(format string, args ...any) {
	w.Notes = append(w.Notes, fmt.Sprintf(format, args...))
}

func (w *Weather) wrong(line int, text string) { w.Wrong = append(w.Wrong, Remark{line, text}) }

func (w *Weather) doubt(line int, text string) { w.Doubts = append(w.Doubts, Remark{line, text}) }

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// ask refuses a file until somebody says how it is meant.
func ask(field, text, hint string) error {
	return &garden.Error{Kind: garden.Ambiguous, Field: field, Text: text, Hint: hint}
}
