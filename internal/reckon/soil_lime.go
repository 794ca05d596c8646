package reckon

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/soil"
)

func lime() Calculator {
	return Calculator{
		Name: "lime", Subject: "soil", Says: "lime that brings a soil to a pH, by a published scheme",
		Inputs: []Input{
			{Name: "scheme", Says: "factor (UK, by texture), buffer (Mehlich), sikora, grades (Poland)", Kind: Word, Words: []string{"factor", "buffer", "sikora", "grades"}, Default: "factor"},
			{Name: "ph", Says: "present pH", Kind: Number, Unit: "pH", Low: 3, High: 10},
			{Name: "target", Says: "pH aimed at; 6.7, on peat 6.0, if not given", Kind: Number, Unit: "pH", Optional: true, Low: 3, High: 10},
			{Name: "texture", Says: "for factor and grades; the weights light and heavy are for grades", Kind: Word, Words: []string{"sand", "loam", "clay", "peat", "very light", "light", "medium", "heavy"}, Optional: true},
			{Name: "buffer-ph", Says: "for buffer and sikora: pH in the laboratory's buffer", Kind: Number, Unit: "pH", Optional: true, Low: 3, High: 8},
			{Name: "credit", Says: "for buffer: lime still at work, US tons an acre", Kind: Number, Default: "0", Low: 0, High: 20},
			{Name: "product", Says: "the product's neutralising value, % CaO", Kind: Number, Optional: true, Low: 1, High: 180},
			{Name: "area", Says: "ground", Kind: Area, Unit: "m2", Default: "1", Low: 0.01, High: 1e5},
		},
		Example: map[string]string{"scheme": "factor", "texture": "sand", "ph": "6.0", "target": "6.7", "product": "70"},
		Run:     runLime,
	}
}

// limeTarget returns the pH aimed at; RB209's for worked ground where none is given.
func limeTarget(p *paper, v Values) float64 {
	if v.Given("target") {
		return v.Num("target")
	}
	_, target, mark := soil.TargetPH(v.Word("texture") == "peat")
	if v.Word("scheme") != "grades" {
		p.line("target: pH %v, the usual one for worked ground (%s)", target, mark)
	}
	return target
}

func limeNeed(v Values, target float64) (soil.Lime, error) {
	now := v.Num("ph")
	missing := func(field, why string) (soil.Lime, error) {
		return soil.Lime{}, refuse(field, "it is needed: "+why, "")
	}
	switch v.Word("scheme") {
	case "buffer":
		if !v.Given("buffer-ph") {
			return missing("buffer-ph", "the method starts from the pH in Mehlich's buffer")
		}
		return soil.LimeByMehlichBuffer(now, target, soil.MehlichAcidity(v.Num("buffer-ph")), v.Num("credit"))
	case "sikora":
		if !v.Given("buffer-ph") {
			return missing("buffer-ph", "the table starts from the pH in Sikora's buffer")
		}
		return soil.LimeBySikora(now, v.Num("buffer-ph"), target)
	case "grades":
		if !v.Given("texture") {
			return missing("texture", "very light, light, medium or heavy")
		}
		return soil.LimeByWeight(v.Word("texture"), now)
	}
	if !v.Given("texture") {
		return missing("texture", "sand, loam, clay or peat")
	}
	return soil.LimeByFactor(v.Word("texture"), now, target)
}

func runLime(v Values) (Answer, error) {
	var p paper
	l, err := limeNeed(v, limeTarget(&p, v))
	if err != nil {
		if _, own := err.(*Error); own {
			return Answer{}, err
		}
		return Answer{}, plain(err)
	}
	p.line("%s: %s", l.Scheme, l.Step)
	p.line("%v g/m² of %s", 1000*float64(l.Rate), l.Product)
	results := []Result{result("rate", 1000*float64(l.Rate), "g/m²", "of "+l.Product),
		result("mass", float64(l.Rate.Over(v.Area("area"))), "kg", "of it in all")}
	if pure := 1000 * float64(l.Carbonate()); pure > 0 {
		results = append(results, result("carbonate", pure, "g/m²", "as pure calcium carbonate, to lay schemes side by side"))
	}
	if v.Given("product") {
		rate, err := l.Of(v.Num("product"))
		if err != nil {
			return Answer{}, plain(err)
		}
		p.line("product of neutralising value %v: %v × %v/%v = %v g/m²", v.Num("product"), 1000*float64(l.Rate), l.Reference, v.Num("product"), 1000*float64(rate))
		results = append(results, result("product", 1000*float64(rate), "g/m²", "of the product named"))
	}
	cautions := []string{cautionLime, cautionApart, cautionTest}
	if l.Single > 0 && l.Rate > l.Single {
		cautions = append(cautions, fmt.Sprintf("Split it: not more than %s g/m² at a time.", short(1000*float64(l.Single))))
	}
	if l.FromMemory() {
		cautions = append(cautions, "The lime factor of this texture is from memory and was not checked; a laboratory's own advice goes before it.")
	}
	return answered(p, worst(l.Status), []string{l.Source}, cautions, results...)
}

func limeProduct() Calculator {
	return Calculator{
		Name: "lime-product", Subject: "soil", Says: "how strong a liming product is by its carbonate equivalent and fineness",
		Inputs: []Input{
			{Name: "equivalent", Says: "calcium carbonate equivalent, %", Kind: Number, Low: 1, High: 260},
			{Name: "fine", Says: "share that passes 100 mesh (0.15 mm)", Kind: Share, Low: 0, High: 1},
			{Name: "middle", Says: "share that passes 20 mesh (0.85 mm) but not 100", Kind: Share, Low: 0, High: 1},
		},
		Example: map[string]string{"equivalent": "90", "fine": "50 %", "middle": "40 %"},
		Run: func(v Values) (Answer, error) {
			coarse := 1 - v.Num("fine") - v.Num("middle")
			if coarse < -1e-9 {
				return Answer{}, refuse("middle", "the two shares make more than the whole", "give what passes 100 mesh, and what passes 20 only")
			}
			strength, err := soil.EffectiveStrength(v.Num("equivalent"), v.Num("fine"), v.Num("middle"), max(0, coarse))
			if err != nil {
				return Answer{}, plain(err)
			}
			share, err := soil.ProductShare(strength)
			if err != nil {
				return Answer{}, plain(err)
			}
			var p paper
			p.line("%v × (1 × %v + 0.6 × %v + 0 × %v) = %v %%", v.Num("equivalent"), v.Num("fine"), v.Num("middle"), max(0, coarse), strength)
			p.line("100 / %v = %v times the pure carbonate", strength, share)
			return answered(p, "V", []string{"CORNELL-AFS7", "CLEMSON"}, []string{cautionLime},
				result("strength", strength, "%", "of pure calcium carbonate, in the first year"), result("times", share, "", "times the amount of pure carbonate"))
		},
	}
}

func soilTestClass() Calculator {
	var names, nutrients []string
	for _, s := range soil.Schemes() {
		if !slices.Contains(names, s.Name) {
			names = append(names, s.Name)
		}
		if !slices.Contains(nutrients, s.Nutrient) {
			nutrients = append(nutrients, s.Nutrient)
		}
	}
	return Calculator{
		Name: "soil-test-class", Subject: "soil", Says: "the class of a soil test value in its laboratory's own scheme",
		Inputs: []Input{
			{Name: "scheme", Says: "laboratory scheme", Kind: Word, Words: names},
			{Name: "nutrient", Says: "what was tested", Kind: Word, Words: nutrients},
			{Name: "value", Says: "the figure on the sheet", Kind: Number, Low: 0, High: 1e5},
			{Name: "unit", Says: "its unit as the sheet gives it: mg/l, mg/kg, ppm or lb/acre", Kind: Text},
			{Name: "extractant", Says: "the extractant, if the sheet names it", Kind: Text, Optional: true},
		},
		Example: map[string]string{"scheme": "morgan-ireland", "nutrient": "P", "value": "5.2", "unit": "mg/l"},
		Run:     runSoilTest,
	}
}

func runSoilTest(v Values) (Answer, error) {
	s, ok := soil.FindScheme(v.Word("scheme"), v.Word("nutrient"))
	if !ok {
		var has []string
		for _, o := range soil.Schemes() {
			if o.Name == v.Word("scheme") {
				has = append(has, o.Nutrient)
			}
		}
		return Answer{}, refuse("nutrient", v.Word("scheme")+" does not class "+v.Word("nutrient"), "it classes "+strings.Join(has, ", "))
	}
	c, err := s.Classify(soil.Reading{Nutrient: v.Word("nutrient"), Value: v.Num("value"), Unit: v.Text("unit"), Extractant: v.Text("extractant")})
	if err != nil {
		return Answer{}, refuse("unit", err.Error(), "")
	}
	var p paper
	p.line("%s, extractant %s, %s", s.Says, s.Extractant, s.Unit)
	p.line("%v %s is looked up as %v (the table goes in steps of %v, halves up)", v.Num("value"), s.Unit, c.Looked, s.Step)
	p.line("class %q: from %v %s", c.Name, c.Low, s.Unit)
	says := "class " + c.Name
	if s.Target != "" {
		says += map[int]string{-1: ", below the class aimed at (" + s.Target + ")", 0: ", the class aimed at", 1: ", above the class aimed at (" + s.Target + ")"}[c.AtTarget]
	}
	cautions := []string{cautionTest}
	if s.FromMemory() {
		cautions = append(cautions, "The bounds of this scheme are from memory and were not checked: the sheet's own class goes before them.")
	}
	for _, h := range soil.HighPhosphorus() {
		if s.Nutrient == "P" && h.Test == s.Extractant && h.Unit == s.Unit && v.Num("value") > h.Above && !h.FromMemory() {
			cautions = append(cautions, fmt.Sprintf("Above %s %s (%s, %s): farms give no more phosphate here than the crop takes.", short(h.Above), h.Unit, h.Says, h.Mark))
		}
	}
	if s.Nutrient == "P" && c.AtTarget > 0 {
		cautions = append(cautions, "Enough phosphate for years: leave it out, and go easy on compost and manure, which bring it along.", cautionWater)
	}
	return answered(p, worst(s.Status), []string{s.Source}, cautions, result("class", float64(1+slices.Index(s.Classes, c.Name)), fmt.Sprintf("of %d", len(s.Classes)), says))
}
