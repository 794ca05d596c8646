package reckon

import (
	"fmt"
	"math"
	"slices"

	"fairplot/internal/climate"
	"fairplot/internal/source"
	"fairplot/internal/unit"
)

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
				p.line("%v °C%s (%s)", float64(b.Temperature), basis(b.Basis), b.Status.Behind(b.Source))
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
