package reckon

import (
	"fmt"
	"slices"

	"fairplot/internal/soil"
)

func nutrientLimits() Calculator {
	return Calculator{
		Name: "nutrient-limits", Subject: "soil", Says: "a yearly dressing beside the legal limits of farms",
		Inputs: []Input{
			{Name: "counts", Says: "what is counted: nitrogen of manure, of all organic stuff, of compost; or dry matter of compost", Kind: Word, Words: []string{"manure", "organic", "compost", "compost-dry"}},
			{Name: "amount", Says: "given every year", Kind: Number, Unit: "g/m2", Low: 0, High: 50000},
		},
		Example: map[string]string{"counts": "compost", "amount": "135"},
		Run: func(v Values) (Answer, error) {
			what := map[string]soil.Counts{"manure": soil.ManureN, "organic": soil.OrganicN, "compost": soil.CompostN, "compost-dry": soil.CompostD}[v.Word("counts")]
			var p paper
			var results []Result
			var sources []string
			p.line("%v g/m² = %v kg/ha a year", v.Num("amount"), 10*v.Num("amount"))
			for _, b := range soil.BesideLimits(what, 10*v.Num("amount")) {
				p.line("%s", b.String())
				results = append(results, result(b.Name, b.Times, "", fmt.Sprintf("times the limit: %s", b.Says)))
				if !slices.Contains(sources, b.Source) {
					sources = append(sources, b.Source)
				}
			}
			return answered(p, "V", sources, []string{cautionLocal, cautionWater}, results...)
		},
	}
}

func phosphateOverload() Calculator {
	return Calculator{
		Name: "phosphate-overload", Subject: "soil", Says: "phosphate that comes along when a material is spread for its nitrogen",
		Inputs: []Input{
			{Name: "wanted", Says: "nitrogen that the crop is to find", Kind: Number, Unit: "g/m2", Low: 0, High: 100},
			{Name: "share", Says: "share of the material's nitrogen that counts in the first year", Kind: Share, Low: 0.005, High: 1},
			{Name: "n", Says: "total nitrogen of the fresh material", Kind: Number, Unit: "kg/t", Low: 0.1, High: 500},
			{Name: "p2o5", Says: "phosphate of it", Kind: Number, Unit: "kg/t", Low: 0, High: 600},
			{Name: "removed", Says: "phosphate that the crop carries off", Kind: Number, Unit: "g/m2", Low: 0.01, High: 100},
		},
		Example: map[string]string{"wanted": "10", "share": "3 %", "n": "7.5", "p2o5": "3.0", "removed": "3.65"},
		Run: func(v Values) (Answer, error) {
			tonnes, brought, times, err := soil.PhosphateOverload(10*v.Num("wanted"), v.Num("share"), v.Num("n"), v.Num("p2o5"), 10*v.Num("removed"))
			if err != nil {
				return Answer{}, plain(err)
			}
			var p paper
			p.line("material = %v g/m² / %v / %v kg/t = %v kg/m²", v.Num("wanted"), v.Num("share"), v.Num("n"), tonnes/10)
			p.line("phosphate = %v kg/m² × %v kg/t = %v g/m²", tonnes/10, v.Num("p2o5"), brought/10)
			p.line("carried off %v g/m²: %v times as much is brought", v.Num("removed"), times)
			return answered(p, "C", nil, []string{cautionWater, cautionLocal},
				result("material", tonnes/10, "kg/m²", "of the fresh material"), result("phosphate", brought/10, "g/m²", "brought along"),
				result("times", times, "", "what the crop carries off"))
		},
	}
}

func leafNitrate() Calculator {
	return Calculator{
		Name: "leaf-nitrate", Subject: "crop", Says: "nitrate found in leaves beside the limit for sold ones",
		Inputs: []Input{
			{Name: "leaf", Says: "which", Kind: Word, Words: []string{"spinach", "lettuce", "iceberg", "rocket", "baby food"}},
			{Name: "season", Says: "winter is October to March", Kind: Word, Words: []string{"winter", "summer"}},
			{Name: "cover", Says: "grown under glass or film", Kind: Word, Words: []string{"yes", "no"}, Default: "no"},
			{Name: "value", Says: "nitrate found in the fresh leaf", Kind: Number, Unit: "mg/kg", Low: 0, High: 20000},
		},
		Example: map[string]string{"leaf": "lettuce", "season": "summer", "value": "2400"},
		Run: func(v Values) (Answer, error) {
			limit, err := soil.LeafNitrate(v.Word("leaf"), v.Word("season") == "winter", v.Word("cover") == "yes")
			if err != nil {
				return Answer{}, plain(err)
			}
			var p paper
			p.line("limit for %s, %s: %v mg/kg; found %v", v.Word("leaf"), v.Word("season"), limit, v.Num("value"))
			return answered(p, "V", []string{"EU1258-2011"}, []string{cautionLeaves, cautionLocal},
				result("share", v.Num("value")/limit, "", "of the limit"), result("limit", limit, "mg/kg", "NO3 of the fresh leaf, of the regulation of 2011"))
		},
	}
}
