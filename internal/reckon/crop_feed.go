package reckon

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/crop"
	"fairplot/internal/source"
	"fairplot/internal/unit"
)

func nitrogenNeed() Calculator {
	return Calculator{
		Name: "nitrogen-need", Subject: "crop", Says: "nitrogen that a crop needs, by the statutory tables of Germany",
		Inputs: []Input{
			cropInput(false),
			{Name: "basis", Says: "which of its uses, if it has several: topped; bunched; heads", Kind: Text, Optional: true},
			{Name: "own-yield", Says: "your mean yield of five years", Kind: Number, Unit: "kg/m2", Optional: true, Low: 0.01, High: 60},
			{Name: "mineral", Says: "mineral nitrogen found in the soil, kg/ha", Kind: Number, Unit: "kg/ha", Default: "0", Low: 0, High: 1000},
			{Name: "humus", Says: "humus of the soil", Kind: Share, Optional: true, Low: 0.001, High: 0.9},
			{Name: "last-year", Says: "crop of last year", Kind: Word, Words: befores(crop.LastYear()), Default: "other"},
			{Name: "cover", Says: "cover crop", Kind: Word, Words: befores(crop.CoverCrops()), Default: "none"},
			{Name: "earlier", Says: "a crop harvested there earlier this year, its leaves left", Kind: Text, Optional: true},
			{Name: "manure", Says: "total nitrogen of last year's manure", Kind: Number, Unit: "kg/ha", Default: "0", Low: 0, High: 2000},
			{Name: "compost", Says: "total nitrogen of compost given each of the last three years", Kind: Number, Unit: "kg/ha", Default: "0", Low: 0, High: 5000},
			{Name: "fleece", Says: "fleece or film for earliness", Kind: Word, Words: []string{"yes", "no"}, Default: "no"},
		},
		Example: map[string]string{"crop": "white cabbage", "own-yield": "5.6", "mineral": "40", "humus": "5 %"},
		Run:     runNeed,
	}
}

func befores(from []crop.Before) []string {
	var out []string
	for _, b := range from {
		out = append(out, b.Name)
	}
	return out
}

func runNeed(v Values) (Answer, error) {
	c, err := cropOf(v)
	if err != nil {
		return Answer{}, err
	}
	asked := crop.NeedAsked{Basis: v.Text("basis"), OwnYield: v.Num("own-yield"), Mineral: v.Num("mineral"), Humus: 100 * v.Num("humus"),
		LastYear: v.Word("last-year"), Cover: v.Word("cover"), LastDress: v.Num("manure"), Fleece: v.Word("fleece") == "yes"}
	if kg := v.Num("compost"); kg > 0 {
		asked.Composts = []float64{kg, kg, kg}
	}
	var p paper
	if v.Given("earlier") {
		before, err := cropByName("earlier", v.Text("earlier"))
		if err != nil {
			return Answer{}, err
		}
		f, ok := before.Figure(crop.ResidueN)
		if !ok {
			return Answer{}, refuse("earlier", "no source gives what "+before.Name+" leaves behind", "leave it out, or have the soil tested")
		}
		p.line("left by %s: %s", before.Name, f.Cite())
		asked.SameYear = f.Mid()
	}
	n, err := c.NitrogenNeed(asked)
	if err != nil {
		return Answer{}, refuse("crop", err.Error(), "")
	}
	p.line("%s: %s at a yield of %s", c.Name, n.Table.Cite(), n.Yield)
	for _, l := range n.Lines {
		p.line("%s kg/ha  %s", fmt.Sprintf("%+.0f", l.Nitrogen), l.Says)
	}
	p.line("need = %v kg/ha = %v g/m²", n.Total, n.Total/10)
	cautions := []string{cautionWater, cautionLocal}
	if v.Num("mineral") == 0 {
		cautions = append(cautions, fmt.Sprintf("Without a test of mineral nitrogen (to %s) the soil's own supply is not taken off: this is the most it can be.", n.Depth))
	}
	sources := []string{n.Table.Source}
	if most, ok := c.Figure(crop.NitrogenMost); ok {
		p.line("legal limit beside it: %s", most.Cite())
		sources = append(sources, most.Source)
		if n.Total > most.Low {
			cautions = append(cautions, fmt.Sprintf("The need is above the %s that the law of England allows farms in vulnerable zones.", most))
		}
	}
	return answered(p, worst(n.Table.Status), sources, append(cautions, cropCautions(c)...),
		result("need", n.Total/10, "g/m²", "nitrogen"), result("need-hectare", n.Total, "kg/ha", "nitrogen"))
}

func removal() Calculator {
	return Calculator{
		Name: "removal", Subject: "crop", Says: "nitrogen, phosphate and potash that a harvest carries off",
		Inputs: []Input{
			cropInput(false),
			{Name: "mass", Says: "harvest, fresh", Kind: Mass, Unit: "kg", Low: 0.001, High: 1e6},
			{Name: "basis", Says: "which state, if it has several: topped; bunched", Kind: Text, Optional: true},
			{Name: "area", Says: "ground that it grew on", Kind: Area, Unit: "m2", Optional: true, Low: 0.01, High: 1e6},
		},
		Example: map[string]string{"crop": "carrot", "basis": "topped", "mass": "3 kg", "area": "1 m2"},
		Run:     runRemoval,
	}
}

func runRemoval(v Values) (Answer, error) {
	c, err := cropOf(v)
	if err != nil {
		return Answer{}, err
	}
	r, err := c.Removal(v.Mass("mass"), v.Text("basis"))
	if err != nil {
		return Answer{}, refuse("basis", err.Error(), "")
	}
	var p paper
	var results []Result
	var used []crop.Figure
	for _, n := range []struct {
		name, says string
		got        crop.Carried
	}{{"nitrogen", "N", r.Nitrogen}, {"phosphate", "P2O5", r.Phosphate}, {"potash", "K2O", r.Potash}} {
		if !n.got.Known {
			p.line("%s: no published content of %s, so not known", n.says, c.Name)
			continue
		}
		g, low, high := 1000*float64(n.got.Mass), 1000*float64(n.got.Low), 1000*float64(n.got.High)
		p.line("%s: %v kg × %s = %v g; by other sources %v to %v", n.says, float64(v.Mass("mass")), n.got.Content.Cite(), g, low, high)
		results = append(results, between(n.name, g, low, high, "g", n.says+" carried off"))
		if v.Given("area") {
			a := float64(v.Area("area"))
			results = append(results, between(n.name+"-area", g/a, low/a, high/a, "g/m²", n.says+" per square metre"))
		}
		used = append(used, n.got.Content)
	}
	if len(results) == 0 {
		return Answer{}, refuse("crop", "no source gives what "+c.Name+" carries off", "take a crop like it, or have a sample analysed")
	}
	keys, mark := sourcesOf(used...)
	return answered(p, mark, keys, nil, results...)
}

func foodValue() Calculator {
	return Calculator{
		Name: "food-value", Subject: "crop", Says: "what a harvest holds to eat: energy, protein, vitamins",
		Inputs: []Input{
			cropInput(false),
			{Name: "mass", Says: "harvest as it comes into the kitchen", Kind: Mass, Unit: "kg", Low: 0.001, High: 1e6},
			{Name: "edible", Says: "share that is eaten; the table's if not given", Kind: Share, Optional: true, Low: 0.01, High: 1},
			{Name: "entry", Says: "which entry of the food table, if it has several: butterhead; red", Kind: Text, Optional: true},
		},
		Example: map[string]string{"crop": "carrot", "mass": "2.5 kg"},
		Run:     runFood,
	}
}

func foodOf(c crop.Crop, entry string) (crop.Food, error) {
	all := c.Foods()
	if len(all) == 0 {
		return crop.Food{}, refuse("crop", "the food table has no "+c.Name, "take a crop like it")
	}
	at := slices.IndexFunc(all, func(f crop.Food) bool { return strings.Contains(strings.ToLower(f.Entry), strings.ToLower(entry)) })
	if at < 0 {
		var names []string
		for _, f := range all {
			names = append(names, f.Entry)
		}
		return crop.Food{}, refuse("entry", fmt.Sprintf("%s has no entry with %q", c.Name, entry), "it has "+strings.Join(names, "; "))
	}
	return all[at], nil
}

func runFood(v Values) (Answer, error) {
	c, err := cropOf(v)
	if err != nil {
		return Answer{}, err
	}
	f, err := foodOf(c, v.Text("entry"))
	if err != nil {
		return Answer{}, err
	}
	share := f.EdibleShare()
	if v.Given("edible") {
		share = v.Num("edible")
	}
	edible := float64(v.Mass("mass")) * share
	got := f.Of(unit.Mass(edible))
	var p paper
	p.line("%s: %s", c.Name, f.Entry)
	p.line("eaten = %v kg × %v = %v kg (left: %s)", float64(v.Mass("mass")), share, edible, f.RefuseIs)
	p.line("energy = %v kcal/100 g × %v = %v kcal", f.Energy, edible*10, got.Energy)
	cautions := cropCautions(c)
	if c.Name == "potato" && !v.Given("edible") {
		cautions = append(cautions, "The 25 % left is for peeled potatoes: give edible 100 % if you eat the skin.")
	}
	return answered(p, worst(f.Status, source.Computed), []string{f.Source}, cautions,
		result("edible", edible, "kg", "eaten"), result("energy", got.Energy, "kcal", "food energy"), result("protein", got.Protein, "g", "protein"),
		result("fibre", got.Fibre, "g", "fibre"), result("vitamin-c", got.VitaminC, "mg", "vitamin C"), result("vitamin-a", got.VitaminA, "µg", "vitamin A, retinol activity"),
		result("folate", got.Folate, "µg", "folate"), result("iron", got.Iron, "mg", "iron"), result("calcium", got.Calcium, "mg", "calcium"),
		result("potassium", got.Potassium, "mg", "potassium"))
}
