package reckon

import (
	"fairplot/internal/soil"
	"fairplot/internal/unit"
)

func soilCalculators() []Calculator {
	return []Calculator{
		compostDepth(), compostShare(), nutrientsBrought(), nitrogenRelease(), greenManure(), productRate(),
		lime(), limeProduct(), soilTestClass(), soilMass(), bulkDensity(), stones(),
		compostRecipe(), compostHeat(), organicMatter(), soilMetal(), lifting(), workTime(), animalManure(),
		nutrientLimits(), phosphateOverload(),
	}
}

// dressingInputs are how much of something was spread on how much ground.
func dressingInputs() []Input {
	return []Input{
		{Name: "area", Says: "ground that it is spread on", Kind: Area, Unit: "m2", Low: 0.01, High: 1e5},
		{Name: "volume", Says: "how much, as a volume", Kind: Volume, Unit: "L", Optional: true, Low: 1e-6, High: 1e6},
		{Name: "layer", Says: "or how thick the layer is, or L/m2", Kind: Length, Unit: "cm", Optional: true, Low: 1e-6, High: 100},
		{Name: "mass", Says: "or how much, as fresh mass", Kind: Mass, Unit: "kg", Optional: true, Low: 1e-6, High: 1e6},
		{Name: "density", Says: "fresh mass of a volume; weigh a bucket", Kind: Density, Unit: "kg/m3", Optional: true, Low: 10, High: 3000},
		{Name: "dry-matter", Says: "dry matter, share of the fresh mass", Kind: Share, Optional: true, Low: 0.01, High: 1},
	}
}

func dressingOf(v Values, density unit.Density, dry float64) (soil.Dressing, error) {
	if v.Given("density") {
		density = v.Density("density")
	}
	if v.Given("dry-matter") {
		dry = v.Num("dry-matter")
	}
	d, err := soil.Spread(soil.Amount{Volume: v.Volume("volume"), Depth: v.Length("layer"), Mass: v.Mass("mass"), Density: density, DryMatter: dry}, v.Area("area"))
	if err != nil {
		return d, plain(err)
	}
	return d, nil
}

func compostDepth() Calculator {
	return Calculator{
		Name: "compost-depth", Subject: "soil", Says: "how thick a dressing lies, and how much it is per square metre",
		Inputs:  dressingInputs(),
		Example: map[string]string{"area": "4.25 m2", "volume": "0.2 m3"},
		Run: func(v Values) (Answer, error) {
			d, err := dressingOf(v, 0, 0)
			if err != nil {
				return Answer{}, err
			}
			if d.Volume == 0 {
				return Answer{}, refuse("density", "a depth from a mass needs the density", "weigh a full bucket, or give about 600 kg/m3 for garden compost")
			}
			var p paper
			p.line("depth = volume / area = %v L / %v m² = %v cm", float64(d.Volume)*1000, float64(d.Area), float64(d.Depth)*100)
			p.line("1 L on 1 m² is 1 mm")
			results := []Result{
				result("depth", float64(d.Depth)*100, "cm", "thickness of the layer"),
				result("per-area", float64(d.Depth)*1000, "L/m²", "volume per square metre"),
				result("volume", float64(d.Volume)*1000, "L", "volume in all"),
			}
			results = append(results, massResults(&p, d)...)
			return answered(p, "C", nil, []string{cautionResidue, cautionDust}, results...)
		},
	}
}

func massResults(p *paper, d soil.Dressing) []Result {
	var out []Result
	if d.MassKnown {
		p.line("fresh mass = %v kg, %v kg/m²", float64(d.Mass), float64(d.Mass.Per(d.Area)))
		out = append(out, result("mass", float64(d.Mass), "kg", "fresh mass in all"))
	}
	if d.DryKnown {
		p.line("dry matter = %v kg, %v kg/m²", float64(d.Dry), float64(d.Dry.Per(d.Area)))
		out = append(out, result("dry-matter", float64(d.Dry.Per(d.Area)), "kg/m²", "dry matter per square metre"))
	}
	return out
}

func compostShare() Calculator {
	inputs := append(dressingInputs(), Input{Name: "worked", Says: "depth that it is worked in to", Kind: Length, Unit: "cm", Low: 1, High: 150})
	return Calculator{
		Name: "compost-share", Subject: "soil", Says: "what share of the worked soil a dressing makes up by volume",
		Inputs:  inputs,
		Example: map[string]string{"area": "4.25 m2", "volume": "0.2 m3", "worked": "50 cm"},
		Run: func(v Values) (Answer, error) {
			d, err := dressingOf(v, 0, 0)
			if err != nil {
				return Answer{}, err
			}
			s, err := soil.ShareWhenWorked(d.Depth, v.Length("worked"))
			if err != nil {
				return Answer{}, plain(err)
			}
			cm, deep := float64(d.Depth)*100, float64(v.Length("worked"))*100
			var p paper
			p.line("layer = %v L / %v m² = %v cm", float64(d.Volume)*1000, float64(d.Area), cm)
			p.line("depth of the finished mixture: share = %v / %v = %v %%", cm, deep, 100*s.OfWorked)
			p.line("depth of the soil before: share = %v / (%v + %v) = %v %%", cm, deep, cm, 100*s.OnTop)
			return answered(p, "C", nil, diggingCautions(v.Length("worked")),
				result("share", 100*s.OfWorked, "%", "of the worked soil by volume, the depth taken when finished"),
				result("share-on-top", 100*s.OnTop, "%", "the same if the depth is that of the soil before"))
		},
	}
}

func diggingCautions(depth unit.Length) []string {
	out := []string{cautionResidue, cautionDust}
	if depth > 30*unit.Centimetre {
		out = append(out, cautionPipes, cautionGround)
	}
	return out
}

func nutrientsBrought() Calculator {
	var names []string
	for _, m := range soil.Materials() {
		names = append(names, m.Name)
	}
	inputs := append([]Input{{Name: "material", Says: "what is spread", Kind: Word, Words: names}}, dressingInputs()...)
	inputs = append(inputs,
		Input{Name: "n", Says: "nitrogen of the fresh stuff by its label or analysis", Kind: Number, Unit: "kg/t", Optional: true, Low: 0, High: 500},
		Input{Name: "p2o5", Says: "phosphate by its label", Kind: Number, Unit: "kg/t", Optional: true, Low: 0, High: 600},
		Input{Name: "k2o", Says: "potash by its label", Kind: Number, Unit: "kg/t", Optional: true, Low: 0, High: 700})
	return Calculator{
		Name: "nutrients-brought", Subject: "soil", Says: "nitrogen, phosphate and potash that a dressing brings",
		Inputs:  inputs,
		Example: map[string]string{"material": "garden compost", "area": "10 m2", "layer": "25 mm", "density": "600 kg/m3", "dry-matter": "60 %"},
		Run:     runNutrients,
	}
}

func runNutrients(v Values) (Answer, error) {
	m, _ := soil.FindMaterial(v.Word("material"))
	for name, what := range map[string]soil.What{"n": soil.NitrogenFresh, "p2o5": soil.PhosphateFresh, "k2o": soil.PotashFresh} {
		if v.Given(name) {
			m = m.Labelled(soil.Value{What: what, Range: soil.Range{Low: v.Num(name), High: v.Num(name)}})
		}
	}
	density, dry := usual(m)
	d, err := dressingOf(v, density, dry)
	if err != nil {
		return Answer{}, err
	}
	b, err := soil.Brings(d, m)
	if err != nil {
		return Answer{}, plain(err)
	}
	var p paper
	if density > 0 && !v.Given("density") && !v.Given("mass") {
		p.line("density: the table's %v kg/m³, weigh your own", float64(density))
	}
	if dry > 0 && !v.Given("dry-matter") {
		p.line("dry matter: the table's %v %%, dry a sample of your own", 100*dry)
	}
	status, sources, results := nutrientResults(&p, m, d, b)
	cautions := append(materialCautions(m), limitCautions(m, b, d)...)
	return answered(p, status, sources, append(cautions, cautionLocal), results...)
}

// usual returns the density and dry matter of the table, taken where the grower gives none.
func usual(m soil.Material) (unit.Density, float64) {
	var density unit.Density
	dry := 0.0
	if v, ok := m.Value(soil.DensityOf); ok {
		density = unit.Density(v.Mid())
	}
	if wet, ok := m.Moisture(); ok {
		dry = 1 - wet/100
	}
	return density, dry
}
