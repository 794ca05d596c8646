package reckon

import (
	"fmt"

	"fairplot/internal/ceiling"
	"fairplot/internal/climate"
)

func yieldCalculators() []Calculator { return []Calculator{yieldCeiling()} }

func yieldCeiling() Calculator {
	mean := func(in Input, says string) Input { in.Says = says; return in }
	return Calculator{
		Name: "yield-ceiling", Subject: "yield", Says: "the yield that light and warmth allow, by several methods, lowered by water",
		Inputs: []Input{
			cropInput(false), inLatitude, inElevation,
			{Name: "from", Says: "day of sowing or setting out", Kind: Date},
			{Name: "to", Says: "day of the last harvest", Kind: Date},
			mean(inMin, "mean of the daily lowest temperatures of that season"), mean(inMax, "mean of the daily highest temperatures of that season"),
			mean(inSunshine, "mean hours of bright sunshine a day"), mean(inSolar, "or mean radiation, MJ/m² a day"),
			{Name: "used", Says: "share of its full water use that the crop gets", Kind: Share, Default: "100 %", Low: 0.05, High: 1},
			{Name: "area", Says: "area of the bed", Kind: Area, Unit: "m2", Default: "1", Low: 0.01, High: 1e5},
		},
		Example: map[string]string{"crop": "potato", "latitude": "52", "from": "2025-04-20", "to": "2025-08-30", "min": "9", "max": "19", "sunshine": "6.2 h"},
		Run:     runYieldCeiling,
	}
}

func runYieldCeiling(v Values) (Answer, error) {
	c, err := cropOf(v)
	if err != nil {
		return Answer{}, err
	}
	season, err := seasonOf(v)
	if err != nil {
		return Answer{}, err
	}
	season.Crop = c.Name
	y, err := ceiling.Yield(season)
	if err != nil {
		return Answer{}, fromScience(err, map[string]string{"days": "to", "maximum": "max"})
	}
	p := ceilingSteps(y, v)
	best := y.WithWater
	area := float64(v.Area("area"))
	results := []Result{
		between("yield", float64(best.Mid()), float64(best.Low), float64(best.High), "kg/m²", "fresh, as eaten, from the lowest to the highest of all methods"),
		between("bed", float64(best.Mid())*area, float64(best.Low)*area, float64(best.High)*area, "kg", "the same for the bed"),
		result("spread", y.Spread, "times", "middle of the highest method over that of the lowest"),
	}
	var sources []string
	for _, e := range y.Estimates {
		results = append(results, between("by "+e.Method, float64(e.Fresh.Mid()), float64(e.Fresh.Low), float64(e.Fresh.High), "kg/m²", "fresh, before water"))
		sources = append(sources, e.Sources...)
	}
	return Answer{Results: results, Steps: p.lines, Source: unique(append(sources, y.DrySource, "FAO56 eq. 90")), Status: worst(y.Marks...), Cautions: ceilingCautions(y)}, nil
}

// seasonOf makes the days of the season, all with the mean weather given.
func seasonOf(v Values) (ceiling.Season, error) {
	place, w := climate.Place{Latitude: v.Num("latitude"), Elevation: v.Length("elevation")}, climate.Weather{Min: climate.Some(v.Num("min")), Max: climate.Some(v.Num("max"))}
	if v.Given("sunshine") {
		w.Sunshine = climate.Some(v.Num("sunshine"))
	}
	if v.Given("radiation") {
		w.Radiation = climate.Some(v.Num("radiation"))
	}
	from, to := v.Date("from"), v.Date("to")
	n := to.Sub(from) + 1
	if n < 14 || n > 366 {
		return ceiling.Season{}, refuse("to", fmt.Sprintf("from %s to %s are %d days", from, to, n), "give a season of 14 to 366 days")
	}
	s := ceiling.Season{Place: place, Days: make([]climate.Weather, n)}
	if v.Num("used") < 1 {
		s.Used = v.Num("used")
	}
	for i := range s.Days {
		s.Days[i] = w
		s.Days[i].Date = from.AddDays(i)
	}
	return s, nil
}

func ceilingSteps(y ceiling.Ceiling, v Values) *paper {
	p := &paper{}
	p.line("%d days, %v MJ/m² of sun, mean %v °C", y.Days, float64(y.Light), float64(y.Warmth))
	for _, e := range y.Estimates {
		p.line("%s: %v to %v kg/m² dry matter of the whole plant", e.Method, float64(e.Biomass.Low), float64(e.Biomass.High))
		p.line("  × harvested share %v to %v, / dry matter %v = %v to %v kg/m² fresh", y.HarvestIndex.Low, y.HarvestIndex.High, y.DryMatter, float64(e.Fresh.Low), float64(e.Fresh.High))
	}
	if v.Num("used") < 1 && y.Fresh.High > 0 {
		p.line("with %s of its water: × %v", v.Said("used"), float64(y.WithWater.High/y.Fresh.High))
	}
	return p
}

func ceilingCautions(y ceiling.Ceiling) []string {
	out := []string{"A ceiling without pests, weeds or want of food; the methods disagree, so take it as a range, never as a promise."}
	for _, e := range y.Estimates {
		for _, n := range e.Notes {
			out = append(out, e.Method+": "+n+".")
		}
	}
	for _, n := range y.Notes {
		out = append(out, upperFirst(n)+".")
	}
	return unique(out)
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}

// unique keeps the first of equal lines.
func unique(lines []string) []string {
	seen := map[string]bool{}
	var out []string
	for _, l := range lines {
		if !seen[l] {
			seen[l] = true
			out = append(out, l)
		}
	}
	return out
}
