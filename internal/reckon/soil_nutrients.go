package reckon

import (
	"fmt"
	"slices"

	"fairplot/internal/soil"
	"fairplot/internal/source"
)

// nutrientResults writes what a dressing brings, nutrient by nutrient; a nutrient without a content is left out, not zero.
func nutrientResults(p *paper, m soil.Material, d soil.Dressing, b soil.Brought) (string, []string, []Result) {
	p.line("fresh mass = %v kg on %v m²", float64(d.Mass), float64(d.Area))
	if d.DryKnown {
		p.line("dry matter = %v kg", float64(d.Dry))
	}
	var results []Result
	var sources []string
	marks := []source.Status{"C"}
	for _, n := range []struct {
		name, says string
		got        soil.Nutrient
	}{{"nitrogen", "total nitrogen", b.Nitrogen}, {"phosphate", "P2O5", b.Phosphate}, {"potash", "K2O", b.Potash}} {
		if !n.got.Known {
			p.line("%s: no published content, so not known", n.says)
			continue
		}
		unitOf := "kg/t fresh"
		if n.got.Content.What == soil.NitrogenDry {
			unitOf = "% of dry matter"
		}
		p.line("%s: content %s %s (%s) gives %s g/m²", n.says, span(n.got.Content.Low, n.got.Content.High), unitOf, n.got.Content.Mark,
			span(1000*float64(n.got.Low), 1000*float64(n.got.High)))
		results = append(results,
			between(n.name, 1000*float64(n.got.Mid()), 1000*float64(n.got.Low), 1000*float64(n.got.High), "g/m²", n.says+" per square metre"),
			between(n.name+"-hectare", soil.PerHectare(n.got.Mid()), soil.PerHectare(n.got.Low), soil.PerHectare(n.got.High), "kg/ha", n.says+" as laws count it"))
		marks = append(marks, n.got.Content.Status)
		if n.got.Content.Source != "own" && !slices.Contains(sources, n.got.Content.Source) {
			sources = append(sources, n.got.Content.Source)
		}
	}
	spread(p, m)
	return worst(marks...), sources, results
}

// spread writes the other published contents, so that nobody takes one analysis for the truth.
func spread(p *paper, m soil.Material) {
	for _, w := range []soil.What{soil.NitrogenFresh, soil.NitrogenDry, soil.PhosphateFresh, soil.PotashFresh} {
		if all := m.All(w); len(all) > 1 {
			line := fmt.Sprintf("published %s of %s:", w, m.Name)
			for _, v := range all {
				line += fmt.Sprintf(" %s (%s)", span(v.Low, v.High), v.Mark)
			}
			p.line("%s", line)
		}
	}
}

func span(low, high float64) string {
	if low == high {
		return short(low)
	}
	return short(low) + " to " + short(high)
}

// limitCautions lays the dressing beside the legal limits on what it is.
func limitCautions(m soil.Material, b soil.Brought, d soil.Dressing) []string {
	counts := map[soil.Use]soil.Counts{soil.Manure: soil.ManureN, soil.Compost: soil.CompostN}[m.Use]
	var beside []soil.Beside
	if counts != "" && b.Nitrogen.Known {
		beside = soil.BesideLimits(counts, soil.PerHectare(b.Nitrogen.Mid()))
	}
	if m.Use == soil.Compost && d.DryKnown {
		beside = append(beside, soil.BesideLimits(soil.CompostD, soil.PerHectare(d.Dry.Per(d.Area)))...)
	}
	var out []string
	for _, l := range beside {
		if l.Times > 1 && l.Name != "compost-orchard" {
			out = append(out, "Given every year: "+l.String())
		}
	}
	return out
}

func nitrogenRelease() Calculator {
	var names []string
	for _, s := range soil.AllSeries() {
		names = append(names, s.Name)
	}
	return Calculator{
		Name: "nitrogen-release", Subject: "soil", Says: "nitrogen that a dressing gives off, year by year",
		Inputs: []Input{
			{Name: "series", Says: "published series, by material", Kind: Word, Words: names},
			{Name: "n", Says: "total nitrogen spread", Kind: Number, Unit: "g/m2", Low: 0, High: 2000},
			{Name: "ammonium", Says: "of it ammonium, at hand at once", Kind: Number, Unit: "g/m2", Default: "0", Low: 0, High: 2000},
		},
		Example: map[string]string{"series": "green-compost", "n": "7.5"},
		Run:     runRelease,
	}
}

func runRelease(v Values) (Answer, error) {
	s, _ := soil.FindSeries(v.Word("series"))
	years, err := s.Release(v.Num("n"), v.Num("ammonium"))
	if err != nil {
		return Answer{}, plain(err)
	}
	var p paper
	p.line("%s: shares %s", s.Says, s.Basis)
	var results []Result
	sum := 0.0
	for i, y := range years {
		sum += y.Released
		p.line("year %d: share %v, released %v g/m², left %v", i+1, s.Shares[i], y.Released, y.Left)
		results = append(results, result(fmt.Sprintf("year-%d", i+1), y.Released, "g/m²", fmt.Sprintf("released in year %d", i+1)))
	}
	results = append(results, result("released", sum, "g/m²", "released in these years"),
		result("left", years[len(years)-1].Left, "g/m²", "still in the ground, given off slowly or lost"))
	p.line("spread %v = released %v + left %v g/m²", v.Num("n"), sum, years[len(years)-1].Left)
	cautions := []string{cautionWater}
	if s.FromMemory() {
		cautions = append(cautions, "This series is from memory and was not checked: take one of the others to decide by.")
	}
	return answered(p, worst(s.Status), []string{s.Source}, cautions, results...)
}

func greenManure() Calculator {
	return Calculator{
		Name: "green-manure", Subject: "soil", Says: "nitrogen that worked-in green stuff gives the next crop",
		Inputs: []Input{
			{Name: "dry", Says: "dry matter worked in", Kind: Number, Unit: "kg/m2", Low: 0, High: 5},
			{Name: "n", Says: "nitrogen of the dry matter", Kind: Share, Low: 0.001, High: 0.08},
		},
		Example: map[string]string{"dry": "0.5", "n": "3 %"},
		Run: func(v Values) (Answer, error) {
			perTonne, beyond := soil.GreenManureN(100 * v.Num("n"))
			got := v.Num("dry") * perTonne
			var p paper
			p.line("8.75 × (%v − 1.5) = %v kg N per tonne of dry matter, between 1.5 and 3.5 %% N", 100*v.Num("n"), perTonne)
			p.line("%v kg/m² × %v g/kg = %v g N/m²", v.Num("dry"), perTonne, got)
			cautions := []string{cautionWater}
			if beyond {
				cautions = append(cautions, "The nitrogen content lies beyond the published line, whose end is taken: straw-like stuff can tie nitrogen up.")
			}
			return answered(p, "C", []string{"PNW636"}, cautions, result("nitrogen", got, "g/m²", "at hand within about six weeks"))
		},
	}
}

func productRate() Calculator {
	return Calculator{
		Name: "product-rate", Subject: "soil", Says: "how much of a fertiliser brings the nutrient wanted",
		Inputs: []Input{
			{Name: "wanted", Says: "nutrient wanted", Kind: Number, Unit: "g/m2", Low: 0, High: 200},
			{Name: "content", Says: "content of it on the label", Kind: Share, Low: 0.0001, High: 1},
			{Name: "area", Says: "ground", Kind: Area, Unit: "m2", Default: "1", Low: 0.01, High: 1e5},
		},
		Example: map[string]string{"wanted": "20", "content": "20 %", "area": "10 m2"},
		Run: func(v Values) (Answer, error) {
			rate := v.Num("wanted") / v.Num("content")
			var p paper
			p.line("%v g/m² / %v = %v g/m²", v.Num("wanted"), v.Num("content"), rate)
			p.line("on %v m²: %v kg", float64(v.Area("area")), rate*float64(v.Area("area"))/1000)
			return answered(p, "V", []string{"PENHALLEGON2008"}, []string{cautionWater},
				result("rate", rate, "g/m²", "of the product"), result("mass", rate*float64(v.Area("area"))/1000, "kg", "of the product in all"))
		},
	}
}
