package reckon

import (
	"fmt"
	"math"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/source"
)

func frostRisk() Calculator {
	return Calculator{
		Name: "frost-risk", Subject: "climate", Says: "how likely frost still comes after a day of spring, or before a day of autumn, from past frosts",
		Inputs: []Input{
			{Name: "frosts", Says: "last frosts of spring or first ones of autumn, one a year: dates or days of the year, with none for a year without frost", Kind: Text},
			{Name: "season", Says: "spring for last frosts, autumn for first ones", Kind: Word, Words: []string{"spring", "autumn"}, Default: "spring"},
			{Name: "date", Says: "the day you ask about", Kind: Date, Optional: true},
			{Name: "risk", Says: "the risk you would take", Kind: Share, Default: "10 %", Low: 0.005, High: 0.995},
		},
		Example: map[string]string{"frosts": "118, 131, 109, 125, 122, 140, 115, 128, 120, 112", "date": "11 May", "risk": "10 %"},
		Run:     runFrostRisk,
	}
}

func runFrostRisk(v Values) (Answer, error) {
	f, err := frostsIn(v.Text("frosts"))
	if err != nil {
		return Answer{}, err
	}
	law, err := f.Law()
	if err != nil {
		return Answer{}, fromScience(err, map[string]string{"dates": "frosts", "years": "frosts"})
	}
	var p paper
	p.line("%d years, %d with a frost: share q = %v", f.Years, law.N, law.Share)
	p.line("mean day m = %v, standard deviation s = %v days", law.Mean, law.SD)
	results := []Result{frostDay(&p, law, v)}
	if v.Given("date") {
		results = append(results, frostOn(&p, f, law, v)...)
	}
	cautions := []string{"Frost on the ground, in a hollow or in another garden comes earlier and later than where the thermometer hangs."}
	if law.N < 10 {
		cautions = append(cautions, fmt.Sprintf("%d years are few for a risk: one more late frost would move the day by several days.", law.N))
	}
	return Answer{Results: results, Steps: p.lines, Source: []string{"THOM1959", "MRCC"}, Status: string(source.Derived), Cautions: cautions}, nil
}

// frostDay returns the day of the risk asked for.
func frostDay(p *paper, law climate.FrostLaw, v Values) Result {
	risk := v.Num("risk")
	find, says := law.SpringDay, "day after which frost comes with a risk of "+v.Said("risk")
	if v.Word("season") == "autumn" {
		find, says = law.AutumnDay, "day before which frost comes with a risk of "+v.Said("risk")
	}
	day, ok := find(risk)
	if !ok {
		p.line("frost comes in %v of years at all, more seldom than the risk of %v", law.Share, risk)
		return result("day", 0, "day of the year", "no day: frost comes more seldom than that in any case")
	}
	p.line("day = m ± s z = %v", day)
	spread := law.Spread(risk)
	when := civil.Of(2025, 1, 1).AddDays(int(math.Round(day)) - 1)
	return between("day", day, day-spread, day+spread, "day of the year", says+fmt.Sprintf(": about %d %s; the range is one standard error", when.Day(), when.Month()))
}

// frostOn returns the risk on the day asked about, by the law and as seen.
func frostOn(p *paper, f climate.Frosts, law climate.FrostLaw, v Values) []Result {
	day := float64(v.Date("date").YearDay())
	risk, seen, says := law.After(day), f.SeenAfter(day), "after"
	if v.Word("season") == "autumn" {
		risk, seen, says = law.Before(day), f.SeenBefore(day), "before"
	}
	p.line("day %v: z = (%v - %v)/%v = %v, risk %v", day, day, law.Mean, law.SD, (day-law.Mean)/law.SD, risk)
	return []Result{
		result("risk", 100*risk, "%", "chance of a frost "+says+" the day, by the law"),
		result("seen", 100*seen, "%", "share of the years given that had one"),
	}
}

// frostsIn reads a list of dates or days of the year.
func frostsIn(text string) (climate.Frosts, error) {
	var f climate.Frosts
	for _, item := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		item = strings.TrimSpace(item)
		if item == "" {
			continue
		}
		f.Years++
		if strings.EqualFold(item, "none") {
			continue
		}
		day, err := dayOfYear(item)
		if err != nil {
			return f, err
		}
		f.Days = append(f.Days, day)
	}
	return f, nil
}

// dayOfYear reads a number of 1 to 366 or a date.
func dayOfYear(item string) (float64, error) {
	if x, err := (Input{Name: "frosts", Kind: Number}).number(item); err == nil {
		if x < 1 || x > 366 || x != math.Trunc(x) {
			return 0, refuse("frosts", fmt.Sprintf("%s is no day of the year", item), "days run from 1 to 366; or write dates such as 2021-05-11")
		}
		return x, nil
	}
	d, err := (Input{Name: "frosts"}).readDate(item)
	if err != nil {
		return 0, err
	}
	return float64(d.date.YearDay()), nil
}
