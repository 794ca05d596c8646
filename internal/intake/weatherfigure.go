package intake

import (
	"math"
	"strconv"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
)

// Figure is one figure of a day as people write it.
type Figure struct {
	Field string  // "min"
	Text  string  // with its unit: "4.5 °C"
	Value float64 // in that unit: °C, mm, minutes, MJ/m², m/s, per cent
	Near  float64 // figures no farther apart than this are the same
}

// Figures returns what is known of the day. Digits that no instrument has are cut off, so that degrees turned from Fahrenheit do not drag
// their fractions along.
func (d WeatherDay) Figures() []Figure {
	var out []Figure
	add := func(field string, r climate.Reading, per float64, digits int, unitText string) {
		if r.Known {
			x := r.Value * per
			text := strconv.FormatFloat(x, 'f', digits, 64)
			out = append(out, Figure{field, strings.TrimSpace(text + " " + unitText), x, 0.6 * math.Pow10(-digits)})
		}
	}
	add("min", d.Min, 1, 2, "°C")
	add("max", d.Max, 1, 2, "°C")
	add("rain", d.Rain, 1, 2, "mm")
	add("sunshine", d.Sunshine, 60, 1, "min")
	add("radiation", d.Radiation, 1, 3, "")
	add("wind", d.Wind, 1, 3, "")
	add("humidity", d.Humidity, 100, 2, "%")
	return out
}

// NormalDays turns the monthly normals into days, each marked as one; its line is that of its month if the file begins with January.
func (w Weather) NormalDays(from, to civil.Date) []WeatherDay {
	days := climate.Days(w.Normals, from, to)
	out := make([]WeatherDay, len(days))
	for i, d := range days {
		out[i] = WeatherDay{Weather: d, Line: int(d.Date.Month()) + 1}
	}
	return out
}
