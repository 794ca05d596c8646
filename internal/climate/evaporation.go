package climate

import (
	"fmt"
	"math"

	"fairplot/internal/unit"
)

// Gap names a reading that was missing and the rule that stood in for it.
type Gap string

// The gaps.
const (
	GapSunshine Gap = "sunshine from the daily range of temperature" // FAO56 eq. 50
	GapHumidity Gap = "humidity from the minimum temperature"        // FAO56 eq. 48
	GapWind     Gap = "wind taken as 2 m/s"                          // FAO56 ch. 3
	GapSun      Gap = "the sun does not rise"
)

// defaultWind and leastWind are in m/s at 2 m.
const (
	defaultWind = 2.0 // FAO56 ch. 3
	leastWind   = 0.5 // FAO56 ch. 3
)

// Evaporation is the reference evapotranspiration of a day with everything it was worked out from.
type Evaporation struct {
	ET0                     MM
	Pressure                Pressure
	Gamma, Delta            float64 // kPa/°C
	Saturation, Vapour      Pressure
	Wind                    float64 // m/s at 2 m
	DayLength               float64 // h
	Above, Solar, ClearSky  Radiation
	NetShort, NetLong, Net  Radiation
	GroundHeat              Radiation
	BySun, ByWind           MM // its radiation and wind terms
	LowestHumidity          float64
	Gaps                    []Gap
	Tmin, Tmax, Temperature unit.Temperature
}

// Evaporation works out the reference evapotranspiration of one day by Penman and Monteith; what is missing beside the temperatures
// is replaced by the rules of FAO-56 chapter 3 and named. Temperatures must be there.
func (p Place) Evaporation(w Weather) (Evaporation, error) {
	if err := p.check(w); err != nil {
		return Evaporation{}, err
	}
	sun := SunOn(p.Latitude, w.Date.YearDay())
	e := Evaporation{Tmin: unit.Temperature(w.Min.Value), Tmax: unit.Temperature(w.Max.Value)}
	e.Temperature, _ = w.Mean()
	e.Pressure = AirPressure(p.Elevation)
	e.DayLength, e.Above = sun.DayLength(), sun.Above()
	e.ClearSky = ClearSky(e.Above, p.Elevation)
	e.Solar = p.solar(w, &e)
	e.Vapour = p.vapour(w, &e)
	e.Wind = p.wind(w, &e)
	e.LowestHumidity = float64(e.Vapour / Saturation(e.Tmax)) // FAO56 eq. 63
	if sun.PolarNight() {
		e.Gaps = append(e.Gaps, GapSun)
	}
	return e.finish(), nil
}

// finish fills in the terms that follow from temperatures, solar radiation, vapour pressure and wind.
func (e Evaporation) finish() Evaporation {
	e.Gamma, e.Delta = Psychrometric(e.Pressure), Slope(e.Temperature)
	e.Saturation = MeanSaturation(e.Tmin, e.Tmax)
	e.NetShort = NetShort(e.Solar)
	e.NetLong = NetLong(e.Tmin, e.Tmax, e.Vapour, Clearness(e.Solar, e.ClearSky))
	e.Net = e.NetShort - e.NetLong // FAO56 eq. 40
	e.BySun, e.ByWind = penmanMonteith(e, 900)
	e.ET0 = max(0, e.BySun+e.ByWind)
	return e
}

// penmanMonteith returns the radiation and the wind term; the numerator constant is 900 for days and 37 for hours.
func penmanMonteith(e Evaporation, constant float64) (bySun, byWind MM) {
	below := e.Delta + e.Gamma*(1+0.34*e.Wind)
	energy := 0.408 * e.Delta * float64(e.Net-e.GroundHeat)
	drying := e.Gamma * constant / (float64(e.Temperature) + 273) * e.Wind * float64(e.Saturation-e.Vapour)
	return MM(energy / below), MM(drying / below) // FAO56 eq. 6
}

// WithGroundHeat returns the evaporation with heat going into the ground, which matters for months, not for days.
func (e Evaporation) WithGroundHeat(g Radiation) Evaporation {
	e.GroundHeat = g
	return e.finish()
}

func (p Place) solar(w Weather, e *Evaporation) Radiation {
	switch {
	case w.Radiation.Known:
		return Radiation(w.Radiation.Value)
	case w.Sunshine.Known:
		return FromSunshine(e.Above, w.Sunshine.Value, e.DayLength)
	}
	e.Gaps = append(e.Gaps, GapSunshine)
	factor := Inland
	if p.Coastal {
		factor = Coast
	}
	return FromRange(e.Above, e.ClearSky, e.Tmin, e.Tmax, factor)
}

func (p Place) vapour(w Weather, e *Evaporation) Pressure {
	if w.Humidity.Known {
		return VapourFromMean(e.Tmin, e.Tmax, w.Humidity.Value)
	}
	e.Gaps = append(e.Gaps, GapHumidity)
	return VapourFromMinimum(e.Tmin, p.Arid)
}

func (p Place) wind(w Weather, e *Evaporation) float64 {
	if w.Wind.Known {
		return math.Max(leastWind, WindAt2m(w.Wind.Value, p.WindHeight))
	}
	e.Gaps = append(e.Gaps, GapWind)
	return defaultWind
}

// Penman works out a day's evapotranspiration from radiation, vapour pressure and wind at 2 m that are all known.
func (p Place) Penman(yearDay int, tmin, tmax unit.Temperature, vapour Pressure, wind float64, solar Radiation) Evaporation {
	sun := SunOn(p.Latitude, yearDay)
	above := sun.Above()
	return Evaporation{
		Tmin: tmin, Tmax: tmax, Temperature: (tmin + tmax) / 2, Pressure: AirPressure(p.Elevation), DayLength: sun.DayLength(),
		Above: above, ClearSky: ClearSky(above, p.Elevation), Solar: solar, Vapour: vapour, Wind: wind,
		LowestHumidity: float64(vapour / Saturation(tmax)),
	}.finish()
}

// Hargreaves returns the reference evapotranspiration from temperatures alone, to be checked against Penman and Monteith
// wherever more is known.
func Hargreaves(tmin, tmax unit.Temperature, above Radiation) MM {
	mean := float64(tmin+tmax) / 2
	return MM(0.0023*(mean+17.8)*math.Sqrt(math.Max(0, float64(tmax-tmin)))) * above.Evaporates() // FAO56 eq. 52
}

// HourlyIn is one hour's weather.
type HourlyIn struct {
	Temperature unit.Temperature
	Humidity    float64   // 0 to 1
	Wind        float64   // m/s at 2 m
	Solar       Radiation // MJ/m² in the hour
	Clearness   float64   // Rs/Rso of the hour, or before sunset for a night
	Night       bool
}

// Hourly returns the reference evapotranspiration of one hour, mm, with its terms.
func (p Place) Hourly(in HourlyIn) Evaporation {
	e := Evaporation{Temperature: in.Temperature, Pressure: AirPressure(p.Elevation), Wind: in.Wind, Solar: in.Solar}
	e.Gamma, e.Delta, e.Saturation = Psychrometric(e.Pressure), Slope(in.Temperature), Saturation(in.Temperature)
	e.Vapour = Pressure(in.Humidity) * e.Saturation // FAO56 eq. 54
	e.NetShort = NetShort(in.Solar)
	e.NetLong = NetLong(in.Temperature, in.Temperature, e.Vapour, in.Clearness) / 24 // FAO56 eq. 39
	e.Net = e.NetShort - e.NetLong
	e.GroundHeat = 0.1 * e.Net // FAO56 eq. 45
	if in.Night {
		e.GroundHeat = 0.5 * e.Net // FAO56 eq. 46
	}
	e.BySun, e.ByWind = penmanMonteith(e, 37) // FAO56 eq. 53
	e.ET0 = max(0, e.BySun+e.ByWind)
	return e
}

// check refuses what cannot be weather.
func (p Place) check(w Weather) error {
	switch {
	case math.Abs(p.Latitude) > 90 || math.IsNaN(p.Latitude):
		return &Error{Field: "latitude", Text: fmt.Sprintf("a latitude of %g° does not exist", p.Latitude), Hint: "latitudes run from -90 at the south pole to 90 at the north pole"}
	case !w.Min.Known || !w.Max.Known:
		return &Error{Field: "temperature", Text: "minimum or maximum of the day is missing", Hint: "fill the gap from the days around it"}
	case w.Max.Value < w.Min.Value:
		return &Error{Field: "maximum", Text: fmt.Sprintf("the maximum of %g °C lies below the minimum of %g °C", w.Max.Value, w.Min.Value), Hint: "have they been swapped?"}
	case w.Humidity.Known && (w.Humidity.Value < 0 || w.Humidity.Value > 1):
		return &Error{Field: "humidity", Text: fmt.Sprintf("a humidity of %g is more than all the air can hold", w.Humidity.Value), Hint: "80 % is 0.8 here"}
	}
	return nil
}
