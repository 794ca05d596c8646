package climate

import (
	"math"
	"time"

	"fairplot/internal/civil"
)

// Month is the normal weather of one month as tables print it.
type Month struct {
	Min, Max  Reading // °C, means
	Rain      Reading // mm in the month
	RainDays  Reading // days with rain; if absent, rain falls in showers of 5 mm
	Sunshine  Reading // hours in the month
	Radiation Reading // MJ/m² a day
	Wind      Reading // m/s
	Humidity  Reading // 0 to 1
}

// shower is the depth of a light rain, by which a month's rain is dealt out where its rainy days are not known.
const shower = 5.0 // FAO56 table 13

// Showers returns how many rains of the depth make the month's rain.
func Showers(month, depth MM) float64 { return math.Round(float64(month / depth)) } // FAO56 ex. 23

// Days turns twelve monthly normals into the days from one date to another, both included, each marked Normal. Values run smoothly from
// month to month and keep each month's mean; rain falls in equal, evenly spaced showers.
func Days(normals [12]Month, from, to civil.Date) []Weather {
	curves := map[string][]float64{}
	fields := map[string]func(Month) Reading{
		"min": func(m Month) Reading { return m.Min }, "max": func(m Month) Reading { return m.Max },
		"sun": func(m Month) Reading { return m.Sunshine }, "rad": func(m Month) Reading { return m.Radiation },
		"wind": func(m Month) Reading { return m.Wind }, "hum": func(m Month) Reading { return m.Humidity },
	}
	for name, get := range fields {
		curves[name] = smooth(normals, get)
	}
	var out []Weather
	for d := from; !d.After(to); d = d.AddDays(1) {
		at := func(name string) Reading {
			if curves[name] == nil {
				return Reading{}
			}
			return Some(curves[name][min(d.YearDay(), 365)-1])
		}
		w := Weather{Date: d, Normal: true, Min: at("min"), Max: at("max"), Radiation: at("rad"), Wind: at("wind"), Humidity: at("hum")}
		if s := at("sun"); s.Known {
			w.Sunshine = Some(math.Max(0, s.Value/daysOf(d.Month())))
		}
		w.Rain = showerOn(normals[d.Month()-1], d)
		out = append(out, w)
	}
	return out
}

// showerOn returns the rain of the day when the month's rain is dealt out in equal showers.
func showerOn(m Month, d civil.Date) Reading {
	if !m.Rain.Known {
		return Reading{}
	}
	length := daysOf(d.Month())
	n := Showers(MM(m.Rain.Value), shower)
	if m.RainDays.Known {
		n = math.Round(m.RainDays.Value)
	}
	n = clamp(n, 1, length)
	day := math.Min(float64(d.Day()), length)
	if math.Floor(day*n/length) == math.Floor((day-1)*n/length) || float64(d.Day()) > length {
		return Some(0)
	}
	return Some(m.Rain.Value / n)
}

// monthLengths are those of a common year; 29 February repeats the day before and has no shower of its own.
var monthLengths = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

func daysOf(m time.Month) float64 { return float64(monthLengths[m-1]) }

// smooth returns 365 values on straight lines between the middles of the months, shifted until every month has its own mean
// again. nil if a month has no value.
func smooth(normals [12]Month, get func(Month) Reading) []float64 {
	var want, knots [12]float64
	for i, m := range normals {
		r := get(m)
		if !r.Known {
			return nil
		}
		want[i], knots[i] = r.Value, r.Value
	}
	for range 60 {
		means := monthMeans(lines(knots))
		for i := range knots {
			knots[i] += want[i] - means[i]
		}
	}
	return lines(knots)
}

// lines joins the middles of the months, the last with the first.
func lines(knots [12]float64) []float64 {
	out := make([]float64, 0, 365)
	for m, n := range monthLengths {
		for d := range n {
			x := (float64(d) + 0.5) / float64(n)
			next, share := (m+1)%12, x-0.5
			length, other := float64(n), float64(monthLengths[(m+1)%12])
			if x < 0.5 {
				next, share = (m+11)%12, 0.5-x
				other = float64(monthLengths[(m+11)%12])
			}
			share *= 2 * length / (length + other) // days from the middle over days between the middles
			out = append(out, knots[m]+(knots[next]-knots[m])*share)
		}
	}
	return out
}

func monthMeans(days []float64) [12]float64 {
	var out [12]float64
	i := 0
	for m, n := range monthLengths {
		for range n {
			out[m] += days[i] / float64(n)
			i++
		}
	}
	return out
}
