// Package season turns the records of weather, beds and plantings into the quantities of a growing season: warmth, rain, evaporation, the
// water of every bed from day to day, and the yield that the place allowed. It works nothing out itself that packages climate, water and
// ceiling know, and it compares nothing.
package season

import (
	"fmt"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// Options are what the grower may set.
type Options struct {
	Base   unit.Temperature // above which warmth counts
	Method climate.Method   // "" is Average
	Tunnel garden.GardenID  // warmth as measured under cover in this garden; zero: in the open
}

// Day is one day at a place.
type Day struct {
	Date      civil.Date
	Min, Max  climate.Reading // °C
	Rain      climate.MM
	ET0       climate.MM
	Warmth    float64 // °C d
	Sun       climate.Radiation
	DayLength float64 // h
	Wind, Low float64 // m/s at 2 m; lowest humidity, 0 to 1
	Worked    bool    // temperatures were there or could be filled, so that warmth and evaporation are known
	Gaps      []climate.Gap
}

// Sum adds up days.
type Sum struct {
	From, To    civil.Date
	Days        int
	Unknown     int // days without evaporation and warmth
	Min, Max    float64
	Rain, ET0   climate.MM
	Warmth      float64
	Sun         climate.Radiation // mean of the days
	DayLength   float64           // h, mean of the days
	WarmthSoFar float64           // from the first day asked for
}

// Season is the weather of a place over some days, with the water of its beds.
type Season struct {
	Site   garden.Site
	Place  climate.Place
	Days   []Day
	Filled climate.Filled
	Gaps   map[climate.Gap]int // days on which a reading was replaced by a rule
	Odd    int                 // days with a maximum below the minimum, which count as not noted
	Beds   []BedWater
	Left   map[string]int // plantings without an account, by reason
	Notes  []string
}

// Of works through the days from one date to another, both included, at a site. Without weather days, or without the site's latitude, an
// error says what is missing.
func Of(r garden.Records, site garden.SiteID, from, to civil.Date, o Options) (Season, error) {
	where, err := siteOf(r, site)
	if err != nil {
		return Season{}, err
	}
	if to.Before(from) {
		return Season{}, &garden.Error{Kind: garden.Invalid, Field: "to", Text: fmt.Sprintf("%s lies before %s", to, from), Hint: "swap the two days"}
	}
	s := Season{Site: where, Place: placeOf(where), Gaps: map[climate.Gap]int{}, Left: map[string]int{}}
	weather := Readings(r, site)
	if len(weather) == 0 {
		return Season{}, &garden.Error{Kind: garden.Missing, Field: "weather", Text: "there is no weather of " + where.Name, Hint: "bring in days or monthly normals first"}
	}
	beds := bedsOf(r, site)
	early := s.earliest(r, beds, from, to)
	_, s.Filled = climate.Fill(weather, from, to)
	filled, _ := climate.Fill(weather, early, to)
	days := work(s.Place, filled, o)
	s.Days = days[from.Sub(early):]
	var underCover []string
	if !o.Tunnel.IsZero() {
		if s.Days, err = s.under(r, from, to, o); err != nil {
			return Season{}, err
		}
		underCover = []string{"temperatures and warmth are those under the cover; sun and evaporation are those of the open, and no rain falls"}
	}
	for _, d := range s.Days {
		for _, g := range d.Gaps {
			s.Gaps[g]++
		}
	}
	s.Odd = odd(r.Weather, site, from, to)
	s.Notes = append(underCover, s.told()...)
	s.water(r, beds, days)
	return s, nil
}

func siteOf(r garden.Records, id garden.SiteID) (garden.Site, error) {
	for _, s := range r.Sites {
		if s.ID != id {
			continue
		}
		if !s.Latitude.Known {
			return s, &garden.Error{Kind: garden.Missing, Field: "latitude", Text: "the latitude of " + s.Name + " is not noted", Hint: "the sun's height rests on it: note it to one degree at least"}
		}
		return s, nil
	}
	return garden.Site{}, &garden.Error{Kind: garden.Missing, Field: "site", Text: "that place is not in the records", Hint: "name one of the places"}
}

func placeOf(s garden.Site) climate.Place {
	return climate.Place{Latitude: s.Latitude.Value, Elevation: s.Elevation.Or(0)}
}

// Readings returns the weather days of the site in the open, those under cover left out.
func Readings(r garden.Records, site garden.SiteID) []climate.Weather {
	return readings(r.Weather, func(w garden.WeatherDay) bool { return w.Site == site && w.Tunnel.IsZero() })
}

func readings(days []garden.WeatherDay, wanted func(garden.WeatherDay) bool) []climate.Weather {
	var out []climate.Weather
	for _, d := range days {
		if wanted(d) {
			out = append(out, reading(d))
		}
	}
	return out
}

// reading turns a record into the quantities of package climate. A maximum below the minimum counts as not noted, and so does a humidity above all
// that air can hold.
func reading(d garden.WeatherDay) climate.Weather {
	w := climate.Weather{Date: d.Date, Normal: d.Normal}
	if d.Min.Known {
		w.Min = climate.Some(float64(d.Min.Value))
	}
	if d.Max.Known {
		w.Max = climate.Some(float64(d.Max.Value))
	}
	if d.Rain.Known {
		w.Rain = climate.Some(float64(d.Rain.Value / unit.Millimetre))
	}
	if d.Sunshine.Known {
		w.Sunshine = climate.Some(float64(d.Sunshine.Value / unit.Hour))
	}
	if w.Min.Known && w.Max.Known && w.Max.Value < w.Min.Value {
		w.Min, w.Max = climate.Reading{}, climate.Reading{} // one of them is a slip, and nobody knows which
	}
	w.Radiation, w.Wind, w.Humidity = known(d.Radiation), known(d.Wind), known(d.Humidity)
	w.Humidity.Known = w.Humidity.Known && w.Humidity.Value >= 0 && w.Humidity.Value <= 1
	return w
}

// odd counts the days of the span whose maximum lies below the minimum.
func odd(days []garden.WeatherDay, site garden.SiteID, from, to civil.Date) int {
	n := 0
	for _, d := range days {
		inside := d.Site == site && d.Tunnel.IsZero() && !d.Date.Before(from) && !d.Date.After(to)
		if inside && d.Min.Known && d.Max.Known && d.Max.Value < d.Min.Value {
			n++
		}
	}
	return n
}

func known(m garden.Maybe[float64]) climate.Reading {
	return climate.Reading{Value: m.Value, Known: m.Known}
}

// Frosts returns the last frosts of spring and the first of autumn at the site, a frost being a minimum at or below the threshold, and how many
// half years had too few minima to count.
func Frosts(r garden.Records, site garden.SiteID, threshold unit.Temperature) (spring, autumn climate.Frosts, leftOut int, err error) {
	where, err := siteOf(r, site)
	if err != nil {
		return spring, autumn, 0, err
	}
	spring, autumn, leftOut = climate.FrostsOf(Readings(r, site), threshold, where.Latitude.Value < 0)
	return spring, autumn, leftOut, nil
}

// work turns filled weather into days with warmth and evaporation.
func work(p climate.Place, weather []climate.Weather, o Options) []Day {
	if o.Method == "" {
		o.Method = climate.Average
	}
	limits := climate.Limits{Lower: o.Base, Upper: o.Base - 1}
	out := make([]Day, len(weather))
	for i, w := range weather {
		d := Day{Date: w.Date, Min: w.Min, Max: w.Max, Rain: climate.MM(w.Rain.Value)}
		if e, err := p.Evaporation(w); err == nil {
			d.ET0, d.Wind, d.Low, d.Worked, d.Gaps = e.ET0, e.Wind, e.LowestHumidity, true, e.Gaps
			d.Sun, d.DayLength = e.Solar, e.DayLength
			d.Warmth = climate.DegreeDays(o.Method, heatOn(weather, i), limits)
		}
		out[i] = d
	}
	return out
}

// heatOn is the warmth of a day with that of the next morning, where it is known.
func heatOn(weather []climate.Weather, i int) climate.Heat {
	h := climate.Heat{Min: unit.Temperature(weather[i].Min.Value), Max: unit.Temperature(weather[i].Max.Value)}
	h.NextMin = h.Min
	if i+1 < len(weather) && weather[i+1].Min.Known {
		h.NextMin = unit.Temperature(weather[i+1].Min.Value)
	}
	return h
}

// told says what was put in place of missing weather.
func (s *Season) told() []string {
	var out []string
	say := func(n int, format string) {
		if n > 0 {
			out = append(out, fmt.Sprintf(format, n))
		}
	}
	f := s.Filled
	say(s.Odd, "%d days have a maximum below the minimum: both were left out; put them right in the weather")
	say(f.Joined, "temperatures of %d days lie on a straight line between the days around")
	say(f.OtherYears, "temperatures of %d days are the mean of that time in other years")
	say(f.Rain, "rain of %d days is the mean of the days around")
	say(f.RainOthers, "rain of %d days is the mean of that time in other years")
	say(f.Normals, "%d days are made from monthly normals")
	say(f.StillEmpty, "%d days have no temperatures, so no warmth and no evaporation")
	say(f.StillNoRain, "%d days have no rain noted and count as dry")
	for _, g := range []climate.Gap{climate.GapSunshine, climate.GapHumidity, climate.GapWind, climate.GapSun} {
		say(s.Gaps[g], "on %d days: "+strings.ReplaceAll(string(g), "%", "%%"))
	}
	return out
}

// Months adds the days up by month.
func (s Season) Months() []Sum {
	return s.sums(func(a, b civil.Date) bool { return a.Month() == b.Month() && a.Year() == b.Year() })
}

// Weeks adds the days up by seven days from the first.
func (s Season) Weeks() []Sum {
	return s.sums(func(a, b civil.Date) bool { return b.Sub(a) < 7 })
}

// Whole adds up all days.
func (s Season) Whole() Sum {
	all := s.sums(func(civil.Date, civil.Date) bool { return true })
	if len(all) == 0 {
		return Sum{}
	}
	return all[0]
}

// sums adds up runs of days that belong together with the first of the run.
func (s Season) sums(together func(first, day civil.Date) bool) []Sum {
	var out []Sum
	soFar := 0.0
	for _, d := range s.Days {
		if len(out) == 0 || !together(out[len(out)-1].From, d.Date) {
			out = append(out, Sum{From: d.Date})
		}
		soFar += d.Warmth
		out[len(out)-1].add(d, soFar)
	}
	for i := range out {
		if n := float64(out[i].Days - out[i].Unknown); n > 0 {
			out[i].Min, out[i].Max = out[i].Min/n, out[i].Max/n
			out[i].Sun, out[i].DayLength = out[i].Sun/climate.Radiation(n), out[i].DayLength/n
		}
	}
	return out
}

func (s *Sum) add(d Day, soFar float64) {
	s.To = d.Date
	s.Days++
	s.Rain += d.Rain
	s.WarmthSoFar = soFar
	if !d.Worked {
		s.Unknown++
		return
	}
	s.Min, s.Max = s.Min+d.Min.Value, s.Max+d.Max.Value
	s.ET0, s.Warmth = s.ET0+d.ET0, s.Warmth+d.Warmth
	s.Sun, s.DayLength = s.Sun+d.Sun, s.DayLength+d.DayLength
}
