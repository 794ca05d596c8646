package reckon

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fairplot/internal/climate"
	"fairplot/internal/source"
	"fairplot/internal/unit"
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

// or is the input with another default.
func (in Input) or(value string) Input { in.Default = value; return in }

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

func degreeDays() Calculator {
	var words []string
	for _, m := range climate.Methods() {
		words = append(words, string(m))
	}
	return Calculator{
		Name: "degree-days", Subject: "climate", Says: "warmth of a day above a base temperature, by the method asked for and by the others",
		Inputs: []Input{
			inMin, inMax,
			{Name: "next-min", Says: "lowest temperature of the next morning, for the double methods", Kind: Temperature, Unit: "°C", Optional: true, Low: -60, High: 60},
			{Name: "base", Says: "temperature at which growth begins", Kind: Temperature, Unit: "°C", Low: -5, High: 30},
			{Name: "upper", Says: "temperature above which growth gets no faster", Kind: Temperature, Unit: "°C", Optional: true, Low: 0, High: 50},
			{Name: "method", Says: "how to count", Kind: Word, Words: words, Default: "average"},
			{Name: "days", Says: "number of such days", Kind: Number, Default: "1", Low: 1, High: 366},
		},
		Example: map[string]string{"min": "50 F", "max": "82 F", "base": "55 F", "upper": "90 F", "method": "sine"},
		Run:     runDegreeDays,
	}
}

func runDegreeDays(v Values) (Answer, error) {
	h := climate.Heat{Min: v.Temperature("min"), Max: v.Temperature("max"), NextMin: v.Temperature("min")}
	if h.Max < h.Min {
		return Answer{}, refuse("max", fmt.Sprintf("the maximum of %s °C lies below the minimum of %s °C", short(float64(h.Max)), short(float64(h.Min))), "have they been swapped?")
	}
	if v.Given("next-min") {
		h.NextMin = v.Temperature("next-min")
	}
	l := climate.Limits{Lower: v.Temperature("base"), Upper: v.Temperature("base") - 1}
	if v.Given("upper") {
		l.Upper = v.Temperature("upper")
		if l.Upper <= l.Lower {
			return Answer{}, refuse("upper", "the upper limit must lie above the base", "")
		}
	}
	var p paper
	n := v.Num("days")
	lowest, highest := math.Inf(1), 0.0
	var chosen float64
	for _, m := range climate.Methods() {
		d := climate.DegreeDays(m, h, l)
		p.line("%s: %v °C d a day", string(m), d)
		lowest, highest = min(lowest, d), max(highest, d)
		if string(m) == v.Word("method") {
			chosen = d
		}
	}
	p.line("%v days by %s: %v × %v = %v °C d", n, v.Word("method"), n, chosen, n*chosen)
	return Answer{
		Results: []Result{
			between("degree-days", n*chosen, n*lowest, n*highest, "°C d", "warmth above the base; the range is that of all methods"),
			result("degree-days-f", n*chosen*1.8, "°F d", "the same in °F d"),
		},
		Steps: p.lines, Source: []string{"MCMASTER1997", "ZALOM1983 table 7", "ALLEN1976", "BASKERVILLE1969", "METEIREANN"}, Status: string(source.Reprinted),
		Cautions: []string{"Degree days of different methods and bases don't compare: keep the method with the figure."},
	}, nil
}

func baseTemperature() Calculator {
	return Calculator{
		Name: "base-temperature", Subject: "climate", Says: "base temperatures of a crop by every source, and the monthly means at which it does well",
		Inputs: []Input{cropInput(false)}, Example: map[string]string{"crop": "tomato"},
		Run: func(v Values) (Answer, error) {
			c, err := cropOf(v)
			if err != nil {
				return Answer{}, err
			}
			all := climate.Bases(c.Name)
			if len(all) == 0 {
				return Answer{}, refuse("crop", "no source gives a base temperature of "+c.Name, "take that of a crop like it, and say so beside the figure")
			}
			var p paper
			var marks []source.Status
			var results []Result
			var sources []string
			for _, b := range all {
				p.line("%s%s: %v °C (mark %s)", b.Source, basis(b.Basis), float64(b.Temperature), string(b.Status))
				results = append(results, result("base", float64(b.Temperature), "°C", "base by "+b.Source+", "+b.Status.Says()+basis(b.Basis)))
				marks, sources = append(marks, b.Status), append(sources, b.Source)
			}
			if k, ok := climate.ComfortOf(c.Name); ok {
				results = append(results, between("best-mean", float64(k.BestLow+k.BestHigh)/2, float64(k.BestLow), float64(k.BestHigh), "°C", "monthly mean at which it grows best"),
					between("possible-mean", float64(k.Low+k.High)/2, float64(k.Low), float64(k.High), "°C", "monthly mean at which it grows"))
				sources = append(sources, k.Source)
			}
			return Answer{Results: results, Steps: p.lines, Source: slices.Compact(sources), Status: worst(marks...),
				Cautions: []string{"Sources differ by 2 to 8 °C for crops of warm countries: keep the source with the figure."}}, nil
		},
	}
}

func basis(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

func emergence() Calculator {
	return Calculator{
		Name: "emergence", Subject: "climate", Says: "days from sowing to seedlings at a soil temperature",
		Inputs: []Input{
			cropInput(false),
			{Name: "soil", Says: "temperature of the soil at sowing depth", Kind: Temperature, Unit: "°C", Low: -5, High: 50},
			{Name: "sown", Says: "day of sowing", Kind: Date, Optional: true},
		},
		Example: map[string]string{"crop": "carrot", "soil": "15", "sown": "2025-04-10"},
		Run:     runEmergence,
	}
}

func runEmergence(v Values) (Answer, error) {
	c, err := cropOf(v)
	if err != nil {
		return Answer{}, err
	}
	soil := v.Temperature("soil")
	a := emergenceAnswer{soil: soil}
	s, err := climate.DaysToEmerge(c.Name, soil)
	sums := climate.Thermals(c.Name)
	switch {
	case err == nil:
		a.table(s)
	case len(sums) == 0 || soil <= sums[0].Base:
		return Answer{}, fromScience(err, nil)
	}
	for _, t := range sums {
		a.sum(t)
	}
	if share, ok := climate.Seedlings(c.Name, soil); ok {
		a.results = append(a.results, result("seedlings", 100*share, "%", "share of seed that became normal seedlings at this temperature"))
		a.sources = append(a.sources, "HARRINGTON-UCD")
	}
	if l, ok := climate.SoilLimitsOf(c.Name); ok {
		a.limits(l)
	}
	if v.Given("sown") && len(a.results) > 0 && a.results[0].Unit == "d" {
		day := v.Date("sown").AddDays(int(math.Round(a.results[0].Value)))
		a.p.line("sown %s + %v days = %s", v.Date("sown").Words(), math.Round(a.results[0].Value), day.Words())
		a.results = append(a.results, result("day", float64(day.YearDay()), "day of the year", "up about "+day.Words()))
	}
	return Answer{Results: a.results, Steps: a.p.lines, Source: a.sources, Status: worst(a.marks...), Cautions: a.cautions}, nil
}

// emergenceAnswer gathers what several tables say about seed at one temperature.
type emergenceAnswer struct {
	soil     unit.Temperature
	p        paper
	results  []Result
	sources  []string
	marks    []source.Status
	cautions []string
}

func (a *emergenceAnswer) table(s climate.Sprout) {
	a.p.line("days at the tested temperatures on either side: %v and %v; between them by the rate 1/days = %v days", s.Low, s.High, s.Days)
	says := "days until seedlings show, sown 13 mm deep and kept moist"
	if s.High == 0 {
		says += "; at one of the tested temperatures beside it none came up"
		s.High = s.Days
	}
	a.results = append(a.results, between("days", s.Days, math.Min(s.Low, s.Days), math.Max(s.High, s.Days), "d", says))
	a.sources, a.marks = append(a.sources, s.Source+" days to emergence"), append(a.marks, s.Status)
}

func (a *emergenceAnswer) sum(t climate.Thermal) {
	days, ok := t.Days(a.soil)
	if !ok {
		return
	}
	if len(a.results) > 0 && t.Status == source.FromMemory {
		return // a figure from memory is shown only where there is no other
	}
	a.p.line("heat sum: days = %v °C d / (%v - %v) = %v (%s)", t.Sum, float64(a.soil), float64(t.Base), days, t.Source)
	says := t.Basis + ", " + t.Status.Says()
	if !t.Within(a.soil) {
		says += "; outside the temperatures it was fitted to"
	}
	a.results = append(a.results, result("by-heat-sum", days, "d", says))
	a.sources, a.marks = append(a.sources, t.Source), append(a.marks, t.Status)
}

func (a *emergenceAnswer) limits(l climate.SoilLimits) {
	a.results = append(a.results, between("best-soil", float64(l.BestLow+l.BestHigh)/2, float64(l.BestLow), float64(l.BestHigh), "°C", "soil temperature at which the seed comes up best"))
	a.sources, a.marks = append(a.sources, l.Source), append(a.marks, l.Status)
	switch {
	case a.soil < l.Low:
		a.cautions = append(a.cautions, fmt.Sprintf("The soil is colder than the %s °C that this seed needs: it may rot first.", short(float64(l.Low))))
	case l.High != 0 && a.soil > l.High:
		a.cautions = append(a.cautions, fmt.Sprintf("The soil is hotter than the %s °C that this seed bears.", short(float64(l.High))))
	}
}
