package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
)

// The files of the Global Historical Climatology Network, one for each station or year, have no heads: each line is one element of one day.
// The order of the cells is that of readme-by_station.txt (GHCND): station, YYYYMMDD, element, value, measurement flag, quality flag, source
// flag, time of observation.
var elementLine = regexp.MustCompile(`^"?[A-Z]{2}[A-Z0-9_-]{9}"?,"?\d{8}"?,"?[A-Z0-9]{4}"?,`)

// byElement reports whether the file is of that layout.
func byElement(data []byte) bool {
	first, _, _ := bytes.Cut(bytes.TrimPrefix(data, []byte("ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n")), []byte("\n"))
	return elementLine.Match(first)
}

// elements are the ones read, with their units (GHCND; those of sunshine and humidity from memory).
var elements = map[string]weatherColumn{
	"TMIN": {field: "min", convert: times(0.1)},
	"TMAX": {field: "max", convert: times(0.1)},
	"PRCP": {field: "rain", convert: times(0.1)},
	"AWND": {field: "wind", convert: times(0.1)},
	"TSUN": {field: "sunshine", convert: times(1.0 / 60)},
	"RHAV": {field: "humidity", convert: times(0.01)},
}

const missingElement = -9999

// elementReader gathers the lines of one file into days.
type elementReader struct {
	weather  *Weather
	rows     map[civil.Date]*WeatherDay
	order    []civil.Date
	flagged  int
	stations map[string]bool
}

// readElements takes in a file of that layout.
func readElements(name string, data []byte) (Weather, error) {
	w := Weather{
		Layout: "lines of single elements (GHCND)",
		Read:   []string{"min, max: TMIN and TMAX, tenths of °C", "rain: PRCP, tenths of mm", "wind: AWND, tenths of m/s", "sunshine: TSUN, minutes", "humidity: RHAV, %"},
	}
	in := elementReader{weather: &w, rows: map[civil.Date]*WeatherDay{}, stations: map[string]bool{}}
	r := csv.NewReader(bytes.NewReader(oneLineEnd(data)))
	r.FieldsPerRecord, r.ReuseRecord = -1, true
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		line, _ := r.FieldPos(0)
		if err != nil {
			return w, refuse(name, fmt.Sprintf("line %d cannot be read", line), "fetch the file again")
		}
		in.take(cells, line)
	}
	if len(in.stations) > 1 {
		return w, refuse(name, fmt.Sprintf("it holds %d stations", len(in.stations)), "take the file of one station")
	}
	rows := make([]WeatherDay, 0, len(in.order))
	for _, d := range in.order {
		if text := impossible(in.rows[d].Weather); text != "" {
			w.wrong(in.rows[d].Line, text)
			continue
		}
		rows = append(rows, *in.rows[d])
	}
	if in.flagged > 0 {
		w.note("%s the service's own checks and were left out", plural(in.flagged, "figure failed", "figures failed"))
	}
	w.days(rows)
	return w, w.judge()
}

// take reads one line.
func (in *elementReader) take(cells []string, line int) {
	if len(cells) < 4 {
		in.weather.wrong(line, "it has fewer than four cells")
		return
	}
	e, wanted := elements[cells[2]]
	if !wanted || cells[0] == "ID" {
		return
	}
	in.stations[cells[0]] = true
	value, err := strconv.Atoi(cells[3])
	date, dateErr := dayOf(cells[1], civil.Reader{})
	switch {
	case err != nil:
		in.weather.wrong(line, fmt.Sprintf("%q is no whole number", cells[3]))
		return
	case errors.Is(dateErr, errNoDay):
		in.weather.lost = 1
		return
	case dateErr != nil:
		in.weather.wrong(line, dateErr.Error())
		return
	case value == missingElement:
		return
	case at(cells, 5) != "":
		in.flagged++
		return
	}
	in.put(date, line, e, value)
}

func (in *elementReader) put(date civil.Date, line int, e weatherColumn, value int) {
	d, had := in.rows[date]
	if !had {
		d = &WeatherDay{Weather: climate.Weather{Date: date}, Line: line}
		in.rows[date] = d
		in.order = append(in.order, date)
	}
	to := d.place(e.field)
	now := climate.Some(e.convert(float64(value)))
	if to.Known && *to != now {
		in.weather.wrong(line, fmt.Sprintf("%s has another figure for %s on a line before; leave one of them out", date.Words(), e.field))
		return
	}
	*to = now
}
