package intake

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"fairplot/internal/word"
)

// The fields that a file of weather can have, beside those that make up its dates.
var weatherFields = []string{"min", "max", "rain", "sunshine", "radiation", "wind", "humidity", "rain-days"}

var dateFields = []string{"date", "year", "month", "day"}

// headsOf lists the words that head a column in the tables that weather services hand out, by field. Those of FAO-56 and of the CF
// conventions are plain English; the short ones are those of the files that docs/science-climate.md names.
var headsOf = map[string][]string{
	"date":      {"date", "datum", "mess datum", "time", "yyyymmdd", "date time", "observation date"},
	"year":      {"year", "yyyy", "yr"},
	"month":     {"month", "mm", "mo", "mon"},
	"day":       {"day", "dd"},
	"min":       {"min", "tmin", "t min", "tn", "tnk", "minimum", "minimum temperature", "min temp", "min temperature", "temperature min", "temp min", "lowest", "low"},
	"max":       {"max", "tmax", "t max", "tx", "txk", "maximum", "maximum temperature", "max temp", "max temperature", "temperature max", "temp max", "highest", "high"},
	"rain":      {"rain", "rainfall", "rainfall amount", "prcp", "precip", "precipitation", "ppt", "rr", "rsk", "rain total"},
	"sunshine":  {"sunshine", "sun", "sdk", "tsun", "sunshine hours", "sun hours", "hours of sunshine", "sunshine duration", "inst"},
	"radiation": {"radiation", "solar radiation", "global radiation", "solar exposure", "daily global solar exposure", "srad", "glot"},
	"wind":      {"wind", "wind speed", "mean wind", "mean wind speed", "fm", "ffm", "awnd"},
	"humidity":  {"humidity", "relative humidity", "mean humidity", "mean relative humidity", "rh", "upm", "um", "rhav"},
	"rain-days": {"rain days", "rainy days", "days with rain", "days of rain"},
}

// weatherColumn is a column whose meaning is known.
type weatherColumn struct {
	field, head string
	at          int
	unit        string // as written in the head, the row below it, or the call
	convert     func(float64) float64
}

type weatherColumns []weatherColumn

func (c weatherColumns) find(field string) (weatherColumn, bool) {
	i := slices.IndexFunc(c, func(w weatherColumn) bool { return w.field == field })
	if i < 0 {
		return weatherColumn{}, false
	}
	return c[i], true
}

func (c weatherColumns) has(field string) bool { _, ok := c.find(field); return ok }

// monthly reports rows of months: a month, and no day.
func (c weatherColumns) monthly() bool { return c.has("month") && !c.has("day") && !c.has("date") }

// dated reports whether a row can be placed in time.
func (c weatherColumns) dated() bool {
	return c.has("date") || c.has("year") && c.has("month") && c.has("day") || c.monthly()
}

func (c weatherColumns) values() int {
	n := 0
	for _, w := range c {
		if slices.Contains(weatherFields, w.field) {
			n++
		}
	}
	return n
}

func (c weatherColumns) layout() string {
	switch {
	case c.monthly():
		return "rows of months"
	case slices.ContainsFunc(c, func(w weatherColumn) bool { return w.head == "MESS_DATUM" }):
		return "daily table of a German station (DWD-KL)"
	}
	return "table with heads"
}

// says tells what each column was taken for.
func (c weatherColumns) says() []string {
	var out []string
	for _, f := range weatherFields {
		if w, ok := c.find(f); ok {
			out = append(out, fmt.Sprintf("%s: column “%s”, %s", f, w.head, w.unit))
		}
	}
	return out
}

var headUnit = regexp.MustCompile(`^(.*?)[\s_]*[\[(]\s*([^\])]*?)\s*[\])]\s*$`)

// headParts takes "Tmax (°F)", "PRCP in" or "rain_mm" apart: the words, and the unit if there is one.
func headParts(head string) (name, unitText string) {
	if m := headUnit.FindStringSubmatch(head); m != nil && m[1] != "" {
		return headName(m[1]), m[2]
	}
	name = headName(head)
	before, last, found := cutLast(name)
	if found && isUnit(last) && fieldOf(name, nil) == "" {
		return strings.TrimSuffix(before, " in"), last
	}
	return name, ""
}

func cutLast(s string) (before, last string, found bool) {
	i := strings.LastIndex(s, " ")
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+1:], true
}

var headSigns = strings.NewReplacer("_", " ", "-", " ", ".", " ", "/", " ", ",", " ", ":", " ")

func headName(s string) string { return word.Fold(headSigns.Replace(s)) }

// fieldOf returns the field that a head names; chosen heads go before the usual words.
func fieldOf(name string, chosen map[string]string) string {
	for field, head := range chosen {
		if headName(head) == name {
			return field
		}
	}
	for field, words := range headsOf {
		if _, taken := chosen[field]; !taken && slices.Contains(words, name) {
			return field
		}
	}
	return ""
}

// columnsIn reads a line of heads. Of two columns for one field the first counts.
func columnsIn(heads []string, chosen map[string]string) weatherColumns {
	var out weatherColumns
	for i, head := range heads {
		name, unitText := headParts(head)
		field := fieldOf(headName(head), chosen)
		if field == "" {
			field = fieldOf(name, chosen)
		}
		if field != "" && !out.has(field) {
			out = append(out, weatherColumn{field: field, head: head, at: i, unit: unitText})
		}
	}
	return out
}

// deepestHead is how many lines of a file may stand above its heads.
const deepestHead = 60

// weatherTable finds the line of heads, which services set below some lines about the station, and reads the table from there. skipped is the
// number of lines above it.
func weatherTable(name string, data []byte, o WeatherOptions) (Table, weatherColumns, int, error) {
	skipped := 0
	if !bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		text, _, err := decode(name, data)
		if err != nil {
			return Table{}, nil, 0, err
		}
		data, skipped = fromHeads(oneLineEnd(text), &o)
	}
	t, err := ReadTable(name, data, o.Options)
	if err != nil {
		return t, nil, 0, err
	}
	columns := columnsIn(t.Header, o.Columns)
	return t, columns, skipped, checkHeads(t, columns, o)
}

// fromHeads returns the text from its line of heads on, with the mark between columns settled; columns apart by blanks get tabs.
func fromHeads(text []byte, o *WeatherOptions) (rest []byte, skipped int) {
	best, mark := 0, o.Mark
	rest = text
	at := text
	for line := 0; line < deepestHead && len(at) > 0; line++ {
		head, after, _ := bytes.Cut(at, []byte("\n"))
		for _, m := range []rune{';', '\t', ',', '|', ' '} {
			if o.Mark != 0 && m != o.Mark {
				continue
			}
			c := columnsIn(cellsOf(string(head), m), o.Columns)
			if score := len(c); c.dated() && c.values() > 0 && score > best {
				best, mark, rest, skipped = score, m, at, line
			}
		}
		at = after
	}
	if mark == ' ' {
		rest, mark = tabbed(rest), '\t'
	}
	o.Mark = mark
	return rest, skipped
}

func cellsOf(line string, mark rune) []string {
	if mark == ' ' {
		return strings.Fields(line)
	}
	cells := strings.Split(line, string(mark))
	for i, c := range cells {
		cells[i] = strings.Trim(strings.TrimSpace(c), `"`)
	}
	return cells
}

// tabbed puts a tab between columns that are apart by blanks. A line with fewer words than heads and no digit is a row of units: it
// belongs to the last columns, since the first hold the date.
func tabbed(text []byte) []byte {
	var out bytes.Buffer
	heads := 0
	for i, line := range strings.Split(string(text), "\n") {
		cells := strings.Fields(line)
		if i == 0 {
			heads = len(cells)
		}
		if i == 1 && len(cells) < heads && !strings.ContainsAny(line, "0123456789") {
			cells = append(make([]string, heads-len(cells)), cells...)
		}
		out.WriteString(strings.Join(cells[:min(len(cells), max(heads, 1))], "\t") + "\n")
	}
	return out.Bytes()
}

// checkHeads says what is missing among the heads.
func checkHeads(t Table, c weatherColumns, o WeatherOptions) error {
	for field, head := range o.Columns {
		if !slices.Contains(weatherFields, field) && !slices.Contains(dateFields, field) {
			return refuse("columns", fmt.Sprintf("%q is no field of the weather", field), word.Hint(field, slices.Concat(dateFields, weatherFields)))
		}
		if !c.has(field) {
			return refuse("columns", fmt.Sprintf("no column is headed %q", head), word.Hint(head, t.Header))
		}
	}
	heads := "its heads are " + strings.Join(t.Header[:min(len(t.Header), 20)], ", ")
	switch {
	case !c.dated():
		return ask("columns", "no column is known for the date; "+heads, "name it, such as: --columns date=HEAD, or year=, month= and day=")
	case c.values() == 0:
		return ask("columns", "no column is known for the weather; "+heads, "name them, such as: --columns min=HEAD,max=HEAD,rain=HEAD")
	}
	return nil
}
