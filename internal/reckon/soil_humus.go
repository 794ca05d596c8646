package reckon

import (
	"fmt"

	"fairplot/internal/soil"
	"fairplot/internal/source"
	"fairplot/internal/unit"
)

func organicMatter() Calculator {
	var kinds []string
	for _, k := range soil.IsohumicShares() {
		kinds = append(kinds, k.Name)
	}
	return Calculator{
		Name: "organic-matter", Subject: "soil", Says: "where the soil's organic matter goes over decades, by two models",
		Inputs: []Input{
			{Name: "organic-matter", Says: "of the soil now", Kind: Share, Low: 0.001, High: 0.3},
			{Name: "input", Says: "organic dry matter brought a year, roots and leaves too", Kind: Number, Unit: "kg/m2", Low: 0, High: 20},
			{Name: "kind", Says: "what it mostly is", Kind: Word, Words: kinds, Default: "compost"},
			{Name: "k1", Says: "share of it that becomes humus, if you know better", Kind: Number, Optional: true, Low: 0.01, High: 1},
			{Name: "clay", Says: "clay of the soil", Kind: Share, Default: "20 %", Low: 0, High: 0.8},
			{Name: "carbonate", Says: "carbonate of the soil", Kind: Share, Default: "0 %", Low: 0, High: 0.9},
			{Name: "depth", Says: "depth of the layer", Kind: Length, Unit: "cm", Default: "25", Low: 5, High: 60},
			{Name: "density", Says: "bulk density of the fine earth", Kind: Density, Unit: "kg/m3", Default: "1300", Low: 300, High: 1900},
			{Name: "climate", Says: "for the two-pool model: warmth and wetness, central Sweden is 1", Kind: Number, Default: "1", Low: 0.1, High: 6},
			{Name: "years", Says: "how far", Kind: Number, Default: "20", Low: 1, High: 200},
		},
		Example: map[string]string{"organic-matter": "1.8 %", "input": "0.63", "kind": "straw", "k1": "0.20", "depth": "25", "density": "1400", "years": "20"},
		Run:     runHumus,
	}
}

func runHumus(v Values) (Answer, error) {
	k1, mark := isohumic(v)
	k2, err := soil.Mineralisation(1000*v.Num("clay"), 1000*v.Num("carbonate"))
	if err != nil {
		return Answer{}, plain(err)
	}
	stock := soil.StockOf(v.Density("density"), v.Length("depth"), 0, 100*v.Num("organic-matter"))
	one := soil.OnePool{Start: float64(stock.OrganicMatter), Input: v.Num("input"), K1: k1.Mid(), K2: k2}
	low, high := one, one
	low.K1, high.K1 = k1.Low, k1.High
	two := soil.TwoPool{Input: soil.InputCarbon * v.Num("input"), Humified: humified(v.Word("kind")), Climate: v.Num("climate")}
	two.Young = min(0.3, float64(stock.Carbon)) // the young pool of ICBM1997's plots
	two.Old = float64(stock.Carbon) - two.Young
	for _, err := range []error{one.Check(), two.Check()} {
		if err != nil {
			return Answer{}, plain(err)
		}
	}
	t := v.Num("years")
	var p paper
	for _, name := range []string{"clay", "carbonate", "density", "climate"} {
		if !v.Chosen(name) {
			p.line("%s: taken as %s, give your own", name, v.Said(name))
		}
	}
	p.line("layer = %v kg/m²; organic matter %v kg/m², carbon %v kg/m²", float64(stock.Soil), one.Start, float64(stock.Carbon))
	p.line("K2 = 1200 / ((%v + 200) × (0.3 × %v + 200)) = %v a year", 1000*v.Num("clay"), 1000*v.Num("carbonate"), k2)
	gain, loss := one.Balance()
	p.line("first year: K1 × input = %v × %v = %v kg/m², K2 × humus = %v kg/m²", one.K1, one.Input, gain, loss)
	p.line("one pool after %v years: %v × e^(−%v × %v) + %v × (1 − e^(−%v × %v))/%v = %v kg/m²", t, one.Start, k2, t, gain, k2, t, k2, one.At(t))
	p.line("two pools: input 0.42 × %v = %v kg C/m², h %v, climate %v: carbon %v, organic matter %v kg/m²", one.Input, two.Input, two.Humified, two.Climate, two.Total(t), two.Total(t)/soil.CarbonShare)
	asShare := func(om float64) float64 { return 100 * om / float64(stock.Soil) }
	a, b := asShare(one.At(t)), asShare(two.Total(t)/soil.CarbonShare)
	return answered(p, mark, []string{"HENIN1945", "REMY1974", "ICBM1997", "HENIN-K1", "ONTARIO2025"}, humusCautions(v, mark),
		between("one-pool", a, asShare(low.At(t)), asShare(high.At(t)), "%", fmt.Sprintf("organic matter after %s years, one-pool model", short(t))),
		result("two-pool", b, "%", "the same by the two-pool model"),
		result("equilibrium", asShare(one.Equilibrium()), "%", "where the one-pool model ends"),
		result("to-hold", loss/one.K1, "kg/m²", "input a year that only holds what is there"))
}

// isohumic returns K1 with its range, the grower's own where given.
func isohumic(v Values) (soil.Range, string) {
	if v.Given("k1") {
		return soil.Range{Low: v.Num("k1"), High: v.Num("k1")}, worst(source.SecondHand, source.YourOwn)
	}
	for _, k := range soil.IsohumicShares() {
		if k.Name == v.Word("kind") {
			return k.Range, worst(k.Status)
		}
	}
	return soil.Range{}, ""
}

// humified returns the two-pool model's h for the kind: manure for what has rotted already, crop residues for the rest.
func humified(kind string) float64 {
	name := "crop residues"
	switch kind {
	case "manure", "fresh-manure", "compost", "peat":
		name = "manure"
	}
	h, _ := soil.Humified(name)
	return h
}

func humusCautions(v Values, mark string) []string {
	out := []string{"Two models, two answers: the spread is part of the result. The one-pool coefficients are of northern France, the two-pool ones of Uppsala.", cautionWater}
	if mark == "M" {
		out = append(out, "The share that becomes humus is from memory and was not checked: its range is shown, and your own figure goes before it.")
	}
	if v.Length("depth") > 30*unit.Centimetre {
		out = append(out, "Both models were made for the topsoil, to 25 or 30 cm.")
	}
	return out
}
