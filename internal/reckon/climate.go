package reckon

import (
	"errors"
	"fmt"
	"math"

	"fairplot/internal/climate"
	"fairplot/internal/source"
)

func climateCalculators() []Calculator {
	return []Calculator{dayLength(), radiation(), evaporation(), degreeDays(), baseTemperature(), frostRisk(), emergence()}
}

// fromScience turns an error of the science packages into one about the input of the same name, if there is one.
func fromScience(err error, fields map[string]string) error {
	var e *climate.Error
	if !errors.As(err, &e) {
		return refuse("", err.Error(), "")
	}
	name, ok := fields[e.Field]
	if !ok {
		name = e.Field
	}
	return refuse(name, e.Text, e.Hint)
}

// The inputs that several calculators share.
var (
	inLatitude  = Input{Name: "latitude", Says: "degrees north; south is negative, or write 33.9 S", Kind: Number, Unit: "°", Low: -90, High: 90}
	inDate      = Input{Name: "date", Says: "the day", Kind: Date}
	inElevation = Input{Name: "elevation", Says: "height above the sea", Kind: Length, Unit: "m", Default: "0", Low: -430, High: 6000}
	inMin       = Input{Name: "min", Says: "lowest temperature of the day", Kind: Temperature, Unit: "°C", Low: -60, High: 60}
	inMax       = Input{Name: "max", Says: "highest temperature of the day", Kind: Temperature, Unit: "°C", Low: -60, High: 60}
	inSunshine  = Input{Name: "sunshine", Says: "hours of bright sunshine", Kind: Time, Unit: "h", Optional: true, Low: 0, High: 24}
	inSolar     = Input{Name: "radiation", Says: "measured radiation on level ground, MJ/m² a day", Kind: Number, Unit: "MJ/m²", Optional: true, Low: 0, High: 50}
	inAir       = Input{Name: "air", Says: "inland, or coastal where the air comes from a large water", Kind: Word, Words: []string{"inland", "coastal"}, Default: "inland"}
)

// optional is the input when it need not be given.
func (in Input) optional() Input { in.Optional, in.Default = true, ""; return in }

// cautionHighLatitude warns where the radiation formula is weak.
const cautionHighLatitude = "In winter beyond 55° of latitude the formula for radiation has limited validity: take it as a rough figure."

func latitudeCautions(latitude float64) []string {
	if math.Abs(latitude) > 55 {
		return []string{cautionHighLatitude}
	}
	return nil
}

// sunSteps writes down the geometry of the day.
func sunSteps(p *paper, latitude float64, j int) climate.Sun {
	s := climate.SunOn(latitude, j)
	p.line("day of the year J = %d", j)
	p.line("latitude φ = %v° × π/180 = %v rad", latitude, s.Latitude)
	p.line("distance of the sun dr = 1 + 0.033 cos(2π J/365) = %v", s.Distance)
	p.line("declination δ = 0.409 sin(2π J/365 - 1.39) = %v rad", s.Declination)
	p.line("sunset angle ωs = arccos(-tan φ tan δ) = %v rad", s.SunsetAngle)
	return s
}

// polar says what the sun does where it does not rise or set.
func polar(s climate.Sun) []string {
	switch {
	case s.PolarNight():
		return []string{"The sun does not rise on this day at this latitude."}
	case s.PolarDay():
		return []string{"The sun does not set on this day at this latitude."}
	}
	return nil
}

func dayLength() Calculator {
	return Calculator{
		Name: "day-length", Subject: "climate", Says: "hours from sunrise to sunset on a day",
		Inputs:  []Input{inLatitude, inDate},
		Example: map[string]string{"latitude": "20 S", "date": "2025-09-03"},
		Run: func(v Values) (Answer, error) {
			var p paper
			s := sunSteps(&p, v.Num("latitude"), v.Date("date").YearDay())
			p.line("day length N = 24/π ωs = %v h", s.DayLength())
			return Answer{
				Results: []Result{result("day-length", s.DayLength(), "h", "possible sunshine, by the sun's centre; sunrise in the almanac adds some minutes for the air's bending")},
				Steps:   p.lines, Source: []string{"FAO56 eq. 22-25 and 34"}, Status: string(source.Recomputed), Cautions: polar(s),
			}, nil
		},
	}
}

func radiation() Calculator {
	return Calculator{
		Name: "radiation", Subject: "climate", Says: "sun's energy on a day: above the air, under a clear sky and at the ground",
		Inputs:  []Input{inLatitude, inDate, inElevation, inSunshine, inMin.optional(), inMax.optional(), inAir},
		Example: map[string]string{"latitude": "22.9 S", "date": "2025-05-15", "sunshine": "7.1 h"},
		Run:     runRadiation,
	}
}

func runRadiation(v Values) (Answer, error) {
	var p paper
	latitude := v.Num("latitude")
	s := sunSteps(&p, latitude, v.Date("date").YearDay())
	above := s.Above()
	clear := climate.ClearSky(above, v.Length("elevation"))
	p.line("above the air Ra = 24×60/π × 0.0820 dr (ωs sin φ sin δ + cos φ cos δ sin ωs) = %v MJ/m²", float64(above))
	p.line("clear sky Rso = (0.75 + 0.00002 × %v m) Ra = %v MJ/m²", v.Num("elevation"), float64(clear))
	results := []Result{
		result("above-air", float64(above), "MJ/m²", "energy above the air"),
		result("clear-sky", float64(clear), "MJ/m²", "energy on level ground under a clear sky"),
	}
	ground, err := groundRadiation(v, &p, s, above, clear)
	if err != nil {
		return Answer{}, err
	}
	if ground != nil {
		results = append(results, *ground)
	}
	return Answer{Results: results, Steps: p.lines, Source: []string{"FAO56 eq. 21-25, 35, 37 and 50"}, Status: string(source.Recomputed), Cautions: append(polar(s), latitudeCautions(latitude)...)}, nil
}

// groundRadiation works out the radiation at the ground from sunshine, or from the range of temperature; nil if neither is given.
func groundRadiation(v Values, p *paper, s climate.Sun, above, clear climate.Radiation) (*Result, error) {
	switch {
	case v.Given("sunshine"):
		n := v.Num("sunshine")
		if n > s.DayLength()+0.5 {
			return nil, refuse("sunshine", fmt.Sprintf("%s h of sunshine do not fit into a day of %s h", short(n), short(s.DayLength())), "is it the sum of several days?")
		}
		rs := climate.FromSunshine(above, n, s.DayLength())
		p.line("at the ground Rs = (0.25 + 0.50 × %v/%v) Ra = %v MJ/m²", n, s.DayLength(), float64(rs))
		r := result("ground", float64(rs), "MJ/m²", "energy on level ground, from the sunshine")
		return &r, nil
	case v.Given("min") && v.Given("max"):
		low, high := v.Temperature("min"), v.Temperature("max")
		if high < low {
			return nil, refuse("max", fmt.Sprintf("the maximum of %s °C lies below the minimum of %s °C", short(float64(high)), short(float64(low))), "have they been swapped?")
		}
		factor := climate.Inland
		if v.Word("air") == "coastal" {
			factor = climate.Coast
		}
		rs := climate.FromRange(above, clear, low, high, factor)
		p.line("at the ground Rs = %v √(%v - %v) Ra, at most Rso = %v MJ/m²", factor, float64(high), float64(low), float64(rs))
		r := result("ground", float64(rs), "MJ/m²", "energy on level ground, guessed from the range of temperature")
		return &r, nil
	}
	return nil, nil
}

func evaporation() Calculator {
	return Calculator{
		Name: "evaporation", Subject: "climate", Says: "what well-watered short grass uses in a day (reference evapotranspiration), from the weather",
		Inputs: []Input{
			inLatitude, inDate, inElevation, inMin, inMax, inSunshine, inSolar,
			{Name: "humidity", Says: "mean relative humidity", Kind: Share, Optional: true, Low: 0.03, High: 1},
			{Name: "wind", Says: "mean wind, m/s", Kind: Number, Unit: "m/s", Optional: true, Low: 0, High: 40},
			{Name: "wind-height", Says: "height at which the wind was measured", Kind: Length, Unit: "m", Default: "2", Low: 0.5, High: 50},
			inAir,
			{Name: "ground", Says: "arid where the land around the thermometer is dry", Kind: Word, Words: []string{"watered", "arid"}, Default: "watered"},
		},
		Example: map[string]string{"latitude": "45.72", "date": "2025-07-15", "elevation": "200 m", "min": "14.8", "max": "26.6"},
		Run:     runEvaporation,
	}
}

func weatherOf(v Values) (climate.Place, climate.Weather) {
	place := climate.Place{
		Latitude: v.Num("latitude"), Elevation: v.Length("elevation"), WindHeight: v.Length("wind-height"),
		Coastal: v.Word("air") == "coastal", Arid: v.Word("ground") == "arid",
	}
	read := func(name string) climate.Reading {
		if !v.Given(name) {
			return climate.Reading{}
		}
		return climate.Some(v.Num(name))
	}
	return place, climate.Weather{
		Date: v.Date("date"), Min: read("min"), Max: read("max"), Sunshine: read("sunshine"), Radiation: read("radiation"),
		Wind: read("wind"), Humidity: read("humidity"),
	}
}

func runEvaporation(v Values) (Answer, error) {
	place, w := weatherOf(v)
	sun := climate.SunOn(place.Latitude, w.Date.YearDay())
	if sun.PolarNight() {
		return Answer{}, refuse("date", "the sun does not rise on this day at this latitude, and the formula rests on the sun", "evaporation is next to nothing then; ask for a day with a sunrise")
	}
	if w.Radiation.Known && w.Radiation.Value > float64(sun.Above()) {
		return Answer{}, refuse("radiation", fmt.Sprintf("%s MJ/m² is more than the %s MJ/m² that the sun sends above the air on this day", short(w.Radiation.Value), short(float64(sun.Above()))), "is the unit MJ/m² a day? 1 kWh/m² is 3.6 MJ/m²")
	}
	e, err := place.Evaporation(w)
	if err != nil {
		return Answer{}, fromScience(err, map[string]string{"maximum": "max"})
	}
	h := climate.Hargreaves(e.Tmin, e.Tmax, e.Above)
	p := evaporationSteps(e, v.Num("elevation"))
	p.line("by temperature alone (Hargreaves) = 0.0023 (%v + 17.8) √(%v - %v) × 0.408 × %v = %v mm", float64(e.Temperature), float64(e.Tmax), float64(e.Tmin), float64(e.Above), float64(h))
	cautions := latitudeCautions(place.Latitude)
	for _, g := range e.Gaps {
		cautions = append(cautions, "Not given, so replaced: "+string(g)+".")
	}
	return Answer{
		Results: []Result{
			result("evaporation", float64(e.ET0), "mm", "a day's use of short grass; 1 mm is 1 L on a square metre"),
			result("hargreaves", float64(h), "mm", "the same from temperatures alone, as a check"),
			result("radiation", float64(e.Solar), "MJ/m²", "sun's energy at the ground that was used"),
			result("day-length", e.DayLength, "h", "possible sunshine"),
		},
		Steps: p.lines, Source: []string{"FAO56 eq. 6 and 52"}, Status: string(source.Recomputed), Cautions: cautions,
	}, nil
}

// evaporationSteps writes down a day's evaporation.
func evaporationSteps(e climate.Evaporation, elevation float64) *paper {
	p := &paper{}
	p.line("mean temperature T = (%v + %v)/2 = %v °C", float64(e.Tmax), float64(e.Tmin), float64(e.Temperature))
	p.line("air pressure P = 101.3 ((293 - 0.0065 × %v)/293)^5.26 = %v kPa; γ = 0.000665 P = %v kPa/°C", elevation, float64(e.Pressure), e.Gamma)
	p.line("slope Δ = %v kPa/°C; saturation es = %v kPa; vapour ea = %v kPa", e.Delta, float64(e.Saturation), float64(e.Vapour))
	p.line("above the air Ra = %v MJ/m²; clear sky Rso = %v; at the ground Rs = %v", float64(e.Above), float64(e.ClearSky), float64(e.Solar))
	p.line("kept of it Rns = 0.77 Rs = %v; lost as heat Rnl = %v; net Rn = %v MJ/m²", float64(e.NetShort), float64(e.NetLong), float64(e.Net))
	p.line("wind at 2 m u2 = %v m/s", e.Wind)
	p.line("ET0 = [0.408 Δ Rn + γ 900/(T + 273) u2 (es - ea)] / [Δ + γ (1 + 0.34 u2)]")
	p.line("ET0 = %v by the sun + %v by the wind = %v mm", float64(e.BySun), float64(e.ByWind), float64(e.ET0))
	return p
}
