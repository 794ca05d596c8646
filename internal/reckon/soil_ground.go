package reckon

import (
	"fmt"

	"fairplot/internal/soil"
	"fairplot/internal/source"
)

func soilMass() Calculator {
	return Calculator{
		Name: "soil-mass", Subject: "soil", Says: "what a content of the soil is per area, by depth and density",
		Inputs: []Input{
			{Name: "content", Says: "content of the dry soil, mg/kg (ppm)", Kind: Number, Unit: "mg/kg", Low: 0, High: 1e6},
			{Name: "depth", Says: "depth of the layer", Kind: Length, Unit: "cm", Low: 1, High: 200},
			{Name: "density", Says: "bulk density of the fine earth", Kind: Density, Unit: "kg/m3", Default: "1300", Low: 100, High: 2000},
			{Name: "stones", Says: "stones, share of the volume", Kind: Share, Default: "0 %", Low: 0, High: 0.95},
		},
		Example: map[string]string{"content": "47.6", "depth": "10 cm", "density": "1500"},
		Run: func(v Values) (Answer, error) {
			kg := soil.PerArea(v.Num("content"), v.Density("density"), v.Length("depth"), v.Num("stones"))
			var p paper
			p.line("kg/ha = mg/kg × g/cm³ × cm × 0.1 × (1 − stones)")
			p.line("%v × %v × %v × 0.1 × (1 − %v) = %v kg/ha", v.Num("content"), float64(v.Density("density"))/1000, 100*float64(v.Length("depth")), v.Num("stones"), kg)
			status := "V"
			if !v.Chosen("density") {
				p.line("density 1.3 g/cm³ is common practice for a worked loam: weigh a core of your own")
				status = worst(source.Read, source.NoPublished)
			}
			return answered(p, status, []string{"MN-VISOCOLOR section 4.2"}, []string{cautionTest},
				result("per-hectare", kg, "kg/ha", "in the layer"), result("per-area", kg/10, "g/m²", "in the layer"))
		},
	}
}

func bulkDensity() Calculator {
	return Calculator{
		Name: "bulk-density", Subject: "soil", Says: "bulk density guessed from organic matter, by three published ways",
		Inputs:  []Input{{Name: "organic-matter", Says: "organic matter of the soil", Kind: Share, Low: 0.001, High: 0.5}},
		Example: map[string]string{"organic-matter": "3 %"},
		Run: func(v Values) (Answer, error) {
			om := 100 * v.Num("organic-matter")
			var p paper
			var results []Result
			var sources []string
			p.line("organic carbon = 0.58 × %v = %v %%", om, soil.CarbonShare*om)
			for i, b := range soil.BulkDensities() {
				at := om
				if i == 0 {
					at = soil.CarbonShare * om
				}
				got := float64(b.Of(at)) / 1000
				p.line("%s: %s %v gives %v g/cm³", b.Name, b.Needs, at, got)
				results = append(results, result(fmt.Sprintf("density-%d", i+1), got, "g/cm³", b.Name))
				sources = append(sources, b.Source)
			}
			return answered(p, "V2", sources, []string{"The three differ: a weighed core of your own soil goes before all of them."}, results...)
		},
	}
}

func stones() Calculator {
	return Calculator{
		Name: "stones", Subject: "soil", Says: "what share of a layer the stones taken out of it were",
		Inputs: []Input{
			{Name: "mass", Says: "stones taken out", Kind: Mass, Unit: "kg", Low: 0, High: 1e6},
			{Name: "area", Says: "ground that they came from", Kind: Area, Unit: "m2", Low: 0.01, High: 1e5},
			{Name: "depth", Says: "depth that they came from", Kind: Length, Unit: "cm", Low: 1, High: 200},
		},
		Example: map[string]string{"mass": "265 kg", "area": "1 m2", "depth": "50 cm"},
		Run: func(v Values) (Answer, error) {
			s, err := soil.StonesIn(v.Mass("mass"), v.Area("area"), v.Length("depth"))
			if err != nil {
				return Answer{}, plain(err)
			}
			var p paper
			p.line("solid stone = %v kg / 2650 kg/m³ = %v L", float64(v.Mass("mass")), 1000*float64(s.Solid))
			p.line("layer = %v m² × %v m = %v L", float64(v.Area("area")), float64(v.Length("depth")), 1000*float64(v.Area("area").Deep(v.Length("depth"))))
			p.line("share = %v %%; per area %v kg/m²", 100*s.Share, float64(s.PerArea))
			return answered(p, "C", nil, diggingCautions(v.Length("depth"))[2:],
				result("share", 100*s.Share, "%", "of the layer by volume"), result("per-area", float64(s.PerArea), "kg/m²", "stones per square metre"))
		},
	}
}

func soilMetal() Calculator {
	return Calculator{
		Name: "soil-metal", Subject: "soil", Says: "how a metal in the soil stands beside published levels",
		Inputs: []Input{
			{Name: "metal", Says: "which", Kind: Word, Words: []string{"lead", "arsenic", "cadmium", "mercury"}},
			{Name: "value", Says: "found in the dry soil", Kind: Number, Unit: "mg/kg", Low: 0, High: 1e5},
		},
		Example: map[string]string{"metal": "lead", "value": "300"},
		Run: func(v Values) (Answer, error) {
			var p paper
			var sources []string
			above := 0
			for _, s := range soil.Screens() {
				if s.Metal != v.Word("metal") {
					continue
				}
				beside := "not above"
				if v.Num("value") > s.Above {
					beside, above = "above", above+1
				}
				p.line("%v mg/kg is %s %v: %s", v.Num("value"), beside, s.Above, s.Says)
				if len(sources) == 0 || sources[len(sources)-1] != s.Source {
					sources = append(sources, s.Source)
				}
			}
			return answered(p, "V", sources, []string{cautionGround, "A level is not a line between safe and unsafe. Ask the health office or a licensed adviser before you grow food in such soil."},
				result("levels-exceeded", float64(above), "", "of the published levels"))
		},
	}
}

func lifting() Calculator {
	return Calculator{
		Name: "lifting", Subject: "soil", Says: "whether a load is more than one person is advised to lift",
		Inputs: []Input{
			{Name: "mass", Says: "the load", Kind: Mass, Unit: "kg", Optional: true, Low: 0.1, High: 500},
			{Name: "volume", Says: "or its volume, with the density", Kind: Volume, Unit: "L", Optional: true, Low: 0.1, High: 500},
			{Name: "density", Says: "its density; wet compost about 700", Kind: Density, Unit: "kg/m3", Default: "700", Low: 50, High: 2500},
			{Name: "away", Says: "hands from the ankles", Kind: Length, Unit: "cm", Default: "30", Low: 0, High: 63},
			{Name: "height", Says: "hands above the ground at the start", Kind: Length, Unit: "cm", Default: "30", Low: 0, High: 175},
			{Name: "travel", Says: "how far it is lifted", Kind: Length, Unit: "cm", Default: "50", Low: 0, High: 175},
			{Name: "twist", Says: "twist of the body, degrees", Kind: Number, Default: "0", Low: 0, High: 135},
			{Name: "per-minute", Says: "lifts a minute", Kind: Number, Default: "0.2", Low: 0, High: 30},
		},
		Example: map[string]string{"volume": "50 L", "density": "700 kg/m3"},
		Run:     runLifting,
	}
}

func runLifting(v Values) (Answer, error) {
	var p paper
	load := v.Mass("mass")
	switch {
	case v.Given("mass") == v.Given("volume"):
		return Answer{}, refuse("mass", "give the mass of the load, or its volume", "one of them")
	case v.Given("volume"):
		load = v.Density("density").Of(v.Volume("volume"))
		p.line("load = %v L × %v kg/m³ = %v kg", 1000*float64(v.Volume("volume")), float64(v.Density("density")), float64(load))
	}
	most, err := soil.Lift{Away: v.Length("away"), Height: v.Length("height"), Travel: v.Length("travel"), Twist: v.Num("twist")}.RecommendedWeight()
	if err != nil {
		return Answer{}, plain(err)
	}
	p.line("23 × 25/max(25, %v) × (1 − 0.003 |%v − 75|) × (0.82 + 4.5/max(25, %v)) × (1 − 0.0032 × %v) = %v kg",
		100*float64(v.Length("away")), 100*float64(v.Length("height")), 100*float64(v.Length("travel")), v.Num("twist"), float64(most))
	off := soil.LiftReduction(v.Num("per-minute"), v.Num("twist"))
	cautions := []string{cautionLift}
	if off > 0 {
		p.line("%v lifts a minute, twist %v°: the UK's guide takes %v %% off its own base figures", v.Num("per-minute"), v.Num("twist"), 100*off)
		cautions = append(cautions, fmt.Sprintf("So often or so twisted, the UK's guide takes %s %% off what it allows at best; the figure here is for single lifts.", short(100*off)))
	}
	man, mark := soil.GuideWeight(false)
	woman, _ := soil.GuideWeight(true)
	p.line("base figures of the UK at best, %s: %v kg for men, %v kg for women", mark, float64(man), float64(woman))
	says := "within what is advised"
	if load > most {
		says = "more than is advised: split it or take a barrow"
	}
	return answered(p, "V", []string{"NIOSH94-110", "INDG143"}, cautions,
		result("load", float64(load), "kg", says), result("advised", float64(most), "kg", "most that is advised for single lifts so"),
		result("times", float64(load/most), "", "of what is advised"))
}
