package intake

import (
	"fmt"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
)

// Rows of months are means of temperature, wind and humidity, and sums of rain over the month; sunshine is a sum where it passes what a day
// has, and radiation is a daily mean. Several rows of a month, such as those of thirty years, become one by their mean.

// months turns rows of months into the twelve normals.
func (w *Weather) months(rows []WeatherDay) error {
	var sums [12]struct{ min, max, rain, rainDays, sunshine, radiation, wind, humidity mean }
	years := map[int]bool{}
	for _, r := range rows {
		s := &sums[r.Date.Month()-1]
		years[r.Date.Year()] = true
		s.min.add(r.Min)
		s.max.add(r.Max)
		s.rain.add(r.Rain)
		s.rainDays.add(r.rainDays)
		s.sunshine.add(r.Sunshine)
		s.radiation.add(r.Radiation)
		s.wind.add(r.Wind)
		s.humidity.add(r.Humidity)
	}
	for i := range sums {
		s := &sums[i]
		w.Normals[i] = climate.Month{Min: s.min.reading(), Max: s.max.reading(), Rain: s.rain.reading(), RainDays: s.rainDays.reading(), Sunshine: s.sunshine.reading(),
			Radiation: s.radiation.reading(), Wind: s.wind.reading(), Humidity: s.humidity.reading()}
		if s.min.n+s.rain.n == 0 {
			return refuse("", fmt.Sprintf("it has no figures for %s", time.Month(i+1)), "normals need all twelve months")
		}
	}
	w.Monthly = true
	if len(years) > 1 {
		w.note("rows of %d years were brought to one by their means", len(years))
	}
	w.monthlySunshine()
	return nil
}

// monthlySunshine takes sunshine that fits into a day for hours a day, and makes the month's sum of it.
func (w *Weather) monthlySunshine() {
	most := 0.0
	for _, m := range w.Normals {
		most = max(most, m.Sunshine.Value)
	}
	if most == 0 || most > mostSun {
		return
	}
	for i := range w.Normals {
		w.Normals[i].Sunshine.Value *= float64(lastDay(i + 1))
	}
}

// lastDay is the length of a month of a common year.
func lastDay(month int) int { return civil.Of(2001, time.Month(month)+1, 1).AddDays(-1).Day() }

// mean gathers readings.
type mean struct {
	sum float64
	n   int
}

func (m *mean) add(r climate.Reading) {
	if r.Known {
		m.sum += r.Value
		m.n++
	}
}

func (m *mean) reading() climate.Reading {
	if m.n == 0 {
		return climate.Reading{}
	}
	return climate.Some(m.sum / float64(m.n))
}
