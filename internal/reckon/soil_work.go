package reckon

import (
	"fmt"

	"fairplot/internal/soil"
)

func workTime() Calculator {
	var names, efforts []string
	for _, r := range soil.Rates() {
		names = append(names, r.Work)
	}
	for _, e := range soil.Efforts() {
		efforts = append(efforts, e.Says)
	}
	return Calculator{
		Name: "work-time", Subject: "soil", Says: "hours that digging or weeding a bed takes by published paces, and the energy",
		Inputs: []Input{
			{Name: "work", Says: "which", Kind: Word, Words: names},
			{Name: "area", Says: "bed", Kind: Area, Unit: "m2", Low: 0.1, High: 1e5},
			{Name: "effort", Says: "how hard, for the energy", Kind: Word, Words: efforts, Default: "digging"},
			{Name: "body", Says: "your own weight, for the energy", Kind: Mass, Unit: "kg", Optional: true, Low: 20, High: 250},
		},
		Example: map[string]string{"work": "double-dig", "area": "10 m2", "body": "70 kg"},
		Run:     runWork,
	}
}

func runWork(v Values) (Answer, error) {
	var p paper
	var rate soil.Rate
	for _, r := range soil.Rates() {
		if r.Work == v.Word("work") {
			rate = r
		}
	}
	h := rate.Hours(v.Area("area"))
	p.line("%s: %s h/m² (%s)", rate.Says, span(rate.Low, rate.High), rate.Mark)
	p.line("× %v m² = %s h", float64(v.Area("area")), span(h.Low, h.High))
	results := []Result{between("hours", h.Mid(), h.Low, h.High, "h", "of work while working, without rest and fetching")}
	sources, mark := []string{rate.Source}, worst(rate.Status)
	if v.Given("body") {
		for _, e := range soil.Efforts() {
			if e.Says == v.Word("effort") {
				kcal := e.Energy(v.Mass("body"), h.Mid())
				p.line("%v MET × %v kg × %v h = %v kcal (1 MET as 1 kcal/kg/h, from memory)", e.MET, float64(v.Mass("body")), h.Mid(), kcal)
				results = append(results, result("energy", kcal, "kcal", "spent, the rest of the body included"))
				sources, mark = append(sources, e.Source), "M"
			}
		}
	}
	cautions := []string{cautionLift, "Paces differ several times over by soil, skill and what is called done: your own clock goes before them."}
	if rate.Work != "weed-drilled" {
		cautions = append(cautions, cautionPipes, cautionGround)
	}
	return answered(p, mark, sources, cautions, results...)
}

func animalManure() Calculator {
	var names []string
	for _, a := range soil.Animals() {
		names = append(names, a.Name)
	}
	return Calculator{
		Name: "animal-manure", Subject: "soil", Says: "nitrogen and phosphate in the droppings of your own animals",
		Inputs: []Input{
			{Name: "animal", Says: "which", Kind: Word, Words: names},
			{Name: "head", Says: "how many", Kind: Number, Low: 1, High: 10000},
			{Name: "days", Says: "days that the droppings are gathered", Kind: Number, Default: "365", Low: 1, High: 366},
		},
		Example: map[string]string{"animal": "goat", "head": "3"},
		Run: func(v Values) (Answer, error) {
			var p paper
			for _, a := range soil.Animals() {
				if a.Name != v.Word("animal") {
					continue
				}
				k := v.Num("head") * v.Num("days") / 1000
				p.line("%v head × %v days × %v g N = %v kg; × %v g P2O5 = %v kg", v.Num("head"), v.Num("days"), a.Nitrogen, a.Nitrogen*k, a.Phosphate, a.Phosphate*k)
				return answered(p, string(a.Status), []string{a.Source}, []string{cautionManure, cautionWater, cautionLocal},
					result("nitrogen", a.Nitrogen*k, "kg", "dropped, before what goes off as ammonia"), result("phosphate", a.Phosphate*k, "kg", "P2O5"),
					result("volume", a.Litres*k*1000, "L", "of droppings"))
			}
			return Answer{}, refuse("animal", fmt.Sprintf("no figures for %q", v.Word("animal")), "")
		},
	}
}
