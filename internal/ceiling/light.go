package ceiling

import (
	"math"

	"fairplot/internal/climate"
	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// Caught returns the share of the light that leaves of the area per ground catch.
func Caught(extinction, lai float64) float64 { return 1 - math.Exp(-extinction*lai) } // SWAT-THEORY eq. 5:2.1.1, after Monsi and Saeki 1953

// ForLeaves returns the radiation of a day that plants can use and do catch, MJ/m².
func ForLeaves(solar climate.Radiation, extinction, lai float64) climate.Radiation {
	return climate.Radiation(activeShare*Caught(extinction, lai)) * solar // SWAT-THEORY eq. 5:2.1.1
}

// activeShare is the part of the sun's energy that leaves can use.
const activeShare = 0.5 // SWAT-THEORY ch. 5:2, after MONTEITH1977

// Grown returns the dry matter grown from the radiation caught, with so many grams to the megajoule.
func Grown(caught climate.Radiation, gramsPerMJ float64) unit.Yield {
	return unit.Yield(gramsPerMJ*float64(caught)) * unit.Yield(unit.Gram) // SWAT-THEORY eq. 5:2.1.2
}

// day is what the methods need of one day.
type day struct {
	solar, above            climate.Radiation
	length                  float64 // h
	mean, daytime, max, sun float64 // °C; sun is the share of possible sunshine
	cover                   float64 // share of full leaf that stands, 0 to 1
	month                   float64 // 0 is mid-January
	latitude                float64
}

// daily works through the season's weather.
func (s Season) daily(f facts) ([]day, error) {
	out := make([]day, len(s.Days))
	for i, w := range s.Days {
		e, err := s.Place.Evaporation(w)
		if err != nil {
			return nil, err
		}
		out[i] = day{
			solar: e.Solar, above: e.Above, length: e.DayLength, mean: float64(e.Temperature), max: float64(e.Tmax),
			daytime: Daytime(int(w.Date.Month()), e.Tmin, e.Tmax), cover: s.leafOn(i + 1), latitude: s.Place.Latitude,
			month: monthOf(w.Date.YearDay()), sun: sunshineOf(e),
		}
	}
	return out, nil
}

// sunshineOf returns the share of possible sunshine that goes with the day's radiation.
func sunshineOf(e climate.Evaporation) float64 {
	if e.Above <= 0 {
		return 0
	}
	return math.Min(1, math.Max(0, (float64(e.Solar/e.Above)-0.25)/0.50)) // FAO56 eq. 35 turned round
}

// leafOn returns the share of full leaf on the day: it grows as FAO-56 lets the crop coefficient grow.
func (s Season) leafOn(n int) float64 { return s.Stages.Grown(n) }

// warmth returns how far the mean temperature lets the crop grow, from 0 at its base to 1 at its optimum. Above the optimum it stays 1.
func warmth(mean, base, optimum float64) float64 {
	return math.Min(1, math.Max(0, (mean-base)/(optimum-base))) // ZHAO2019 equation from memory
}

// cool returns how far the heat of the day lets the crop grow.
func cool(max, hot, tooHot float64) float64 {
	return math.Min(1, math.Max(0, 1-(max-hot)/(tooHot-hot))) // ZHAO2019 equation from memory
}

// closedLeaf is the share of the light that a closed garden stand catches, whatever a rain-fed field does.
const closedLeaf = 0.95 // ZHAO2019 table 1, fmax

// byLight is the method of light caught and turned into dry matter, with the field figures. The low end has the field's leaf and growth
// slowed in the cold; the high end a closed stand that grows fully above its base.
func (f facts) byLight(days []day) Estimate {
	r := Range{}
	leaf := Caught(f.field.extinction, f.field.lai)
	for _, d := range days {
		usable := activeShare * float64(d.solar) * d.cover
		r.Low += Grown(climate.Radiation(usable*math.Min(leaf, closedLeaf)*warmth(d.mean, f.field.base, f.field.optimum)), f.field.rue)
		if d.mean > f.field.base {
			r.High += Grown(climate.Radiation(usable*math.Max(leaf, closedLeaf)), f.field.rue)
		}
	}
	return Estimate{Method: "light use, field figures", Biomass: r, Sources: []string{"SWATPLUS plants.plt", "SWAT-THEORY eq. 5:2.1.2", "SWAT-HI", "ZHAO2019 table 1"}, Status: source.FromMemory, Proxy: f.proxy,
		Notes: []string{"the slowing by cold and the share above ground are rules from memory"}}
}

// bySimple is the same method with the parameters of the SIMPLE model, which count all of the sun's energy.
func (f facts) bySimple(days []day) Estimate {
	r := Range{}
	p := *f.simple
	for _, d := range days {
		caught := climate.Radiation(float64(d.solar) * d.cover * p.cover)
		r.Low += Grown(climate.Radiation(float64(caught)*math.Min(warmth(d.mean, p.base, p.optimum), cool(d.max, p.hot, p.tooHot))), p.rue)
		if d.mean > p.base {
			r.High += Grown(caught, p.rue)
		}
	}
	return Estimate{Method: "light use, SIMPLE figures", Biomass: r, Sources: []string{"ZHAO2019 table 1"}, Status: source.FromMemory, Proxy: f.proxy,
		Notes: []string{"figures from one transcription; equations from memory"}}
}
