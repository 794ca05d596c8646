package reckon

import (
	"fmt"
	"math"

	"fairplot/internal/crop"
	"fairplot/internal/source"
	"fairplot/internal/spacing"
	"fairplot/internal/unit"
)

func plantsPerBed() Calculator {
	return Calculator{
		Name: "plants-per-bed", Subject: "crop", Says: "plants on a bed of real size, with its edges",
		Inputs: []Input{
			cropInput(true),
			{Name: "length", Says: "length of the bed", Kind: Length, Unit: "m", Low: 0.05, High: 500},
			{Name: "width", Says: "width of the bed", Kind: Length, Unit: "m", Low: 0.05, High: 500},
			{Name: "arrangement", Says: "how they stand", Kind: Word, Words: []string{"rows", "square", "triangular"}, Default: "rows"},
			{Name: "in-row", Says: "distance between plants", Kind: Length, Unit: "cm", Optional: true, Low: 0.5, High: 500},
			{Name: "between-rows", Says: "distance between rows", Kind: Length, Unit: "cm", Optional: true, Low: 0.5, High: 500},
			{Name: "edge", Says: "distance kept from the rim; half a spacing if not given", Kind: Length, Unit: "cm", Optional: true, Low: 0.1, High: 200},
			{Name: "rows-run", Says: "rows along or across the bed", Kind: Word, Words: []string{"along", "across"}, Default: "along"},
		},
		Example: map[string]string{"length": "3 ft", "width": "2 ft", "arrangement": "square", "in-row": "3 in"},
		Run:     runPlants,
	}
}

func runPlants(v Values) (Answer, error) {
	var p paper
	l, c, figures, err := layoutOf(&p, v)
	if err != nil {
		return Answer{}, err
	}
	for _, d := range c.Crowdings() {
		p.line("a trial of %s: %s plants/m² for %s (%s)", c.Plural, span(float64(d.Low), float64(d.High)), d.For, d.Status.Behind(d.Source))
	}
	bed := spacing.Bed{Length: v.Length("length"), Width: v.Length("width")}
	plan, err := l.On(bed)
	if err != nil {
		return Answer{}, plain(err)
	}
	cm := func(x unit.Length) float64 { return 100 * float64(x) }
	p.line("rows %v cm apart, plants %v cm apart in the row", cm(plan.Between), cm(l.InRow))
	if len(plan.PerRow) > 0 {
		p.line("rows = floor((room − 2 × edge) / distance) + 1 = %d, with %d plants in the first", len(plan.PerRow), plan.PerRow[0])
	}
	p.line("plants = %d on %v m²", plan.Plants, float64(bed.Area()))
	keys, mark := sourcesOf(figures...)
	cautions := []string{}
	if plan.Plants == 0 {
		cautions = append(cautions, "The bed is too small for one plant with its own room: set them nearer to the rim (edge).")
	}
	share := 0.0
	if plan.Plants > 0 {
		share = 100 * float64(plan.OnEdge) / float64(plan.Plants)
	}
	return answered(p, mark, append(keys, "CSU-713"), cautions,
		result("plants", float64(plan.Plants), "plants", "on the bed"), result("rows", float64(len(plan.PerRow)), "rows", "across the bed, or along it as they run"),
		result("per-area", float64(plan.Crowding), "1/m²", "plants per square metre of this bed"),
		result("endless", float64(plan.Endless), "1/m²", "the same spacing on ground without edges"),
		result("on-edge", share, "%", "of the plants stand on the rim, with more light and root room"),
		result("rectangularity", l.Rectangularity(), "", "longer over shorter distance; 1 is square"))
}

// layoutOf reads the layout; distances that are not given are the crop's, by arrangement.
func layoutOf(p *paper, v Values) (spacing.Layout, crop.Crop, []crop.Figure, error) {
	l := spacing.Layout{Arrangement: spacing.Arrangement(v.Word("arrangement")), InRow: v.Length("in-row"), Between: v.Length("between-rows"),
		Edge: v.Length("edge"), AcrossBed: v.Word("rows-run") == "across"}
	var c crop.Crop
	var err error
	if v.Given("crop") {
		if c, err = cropOf(v); err != nil {
			return l, c, nil, err
		}
	}
	kind := crop.Equidistant
	if l.Arrangement == spacing.Rows {
		kind = crop.InRow
	}
	in, f, err := figureOr(p, v, "in-row", c, kind, 1)
	if err != nil {
		return l, c, nil, err
	}
	l.InRow = unit.Length(in) * unit.Centimetre
	figures := []crop.Figure{f}
	if l.Arrangement == spacing.Rows {
		between, g, err := figureOr(p, v, "between-rows", c, crop.BetweenRows, 1)
		if err != nil {
			return l, c, nil, err
		}
		l.Between = unit.Length(between) * unit.Centimetre
		figures = append(figures, g)
	}
	return l, c, figures, nil
}

func crowding() Calculator {
	return Calculator{
		Name: "crowding", Subject: "crop", Says: "yield at another spacing, from two plots of your own at different spacings",
		Inputs: []Input{
			{Name: "plants-1", Says: "plants per m² of the wider plot", Kind: Number, Unit: "1/m2", Low: 0.01, High: 5000},
			{Name: "yield-1", Says: "its yield", Kind: Number, Unit: "kg/m2", Low: 0.001, High: 100},
			{Name: "plants-2", Says: "plants per m² of the closer plot", Kind: Number, Unit: "1/m2", Low: 0.01, High: 5000},
			{Name: "yield-2", Says: "its yield", Kind: Number, Unit: "kg/m2", Low: 0.001, High: 100},
			{Name: "plants", Says: "plants per m² asked about", Kind: Number, Unit: "1/m2", Low: 0.01, High: 5000},
		},
		Example: map[string]string{"plants-1": "20", "yield-1": "2.05", "plants-2": "80", "yield-2": "3.28", "plants": "60"},
		Run: func(v Values) (Answer, error) {
			w1, w2 := v.Num("yield-1")/v.Num("plants-1"), v.Num("yield-2")/v.Num("plants-2")
			l, err := spacing.ThroughTwo(v.Num("plants-1"), w1, v.Num("plants-2"), w2)
			if err != nil {
				return Answer{}, plain(err)
			}
			at := v.Num("plants")
			var p paper
			p.line("mean weights: %v and %v g a plant", 1000*w1, 1000*w2)
			p.line("1/w = a + b × plants/m²: a = %v, b = %v (w in kg)", l.A, l.B)
			p.line("at %v plants/m²: w = %v g, yield %v kg/m²", at, 1000*l.Weight(at), spacing.YieldAt(l, at))
			_, ceiling, _ := l.Optimum()
			cautions := []string{"The form of the law is from memory, as trials with carrots used it. Two plots leave no error: this is arithmetic, not a finding. A fair trial of several spacings tells how sure it is."}
			if low, high := min(v.Num("plants-1"), v.Num("plants-2")), max(v.Num("plants-1"), v.Num("plants-2")); at < low || at > high {
				cautions = append(cautions, "The spacing asked about lies outside the two plots.")
			}
			return answered(p, worst(source.Computed, source.FromMemory), []string{"KIRA1956"}, cautions,
				result("yield", spacing.YieldAt(l, at), "kg/m²", "at the spacing asked about"), result("weight", 1000*l.Weight(at), "g", "a plant"),
				result("ceiling", ceiling, "kg/m²", "that closer spacing nears and never passes"))
		},
	}
}

func seedNeeded() Calculator {
	return Calculator{
		Name: "seed-needed", Subject: "crop", Says: "seeds and grams to buy for so many plants",
		Inputs: []Input{
			cropInput(true),
			{Name: "plants", Says: "plants wanted", Kind: Number, Low: 1, High: 1e7},
			{Name: "germination", Says: "by the packet; the legal minimum of the crop if not given", Kind: Share, Optional: true, Low: 0.01, High: 1},
			{Name: "field", Says: "share of the germinated that come up and live", Kind: Share, Default: "90 %", Low: 0.01, High: 1},
			{Name: "per-station", Says: "seeds at each place, thinned to one", Kind: Number, Default: "1", Low: 1, High: 20},
			{Name: "seeds-per-gram", Says: "by the packet; the crop's if not given", Kind: Number, Optional: true, Low: 0.1, High: 100000},
		},
		Example: map[string]string{"plants": "100", "germination": "85 %", "field": "100 %"},
		Run:     runSeed,
	}
}

func runSeed(v Values) (Answer, error) {
	var c crop.Crop
	var err error
	if v.Given("crop") {
		if c, err = cropOf(v); err != nil {
			return Answer{}, err
		}
	}
	var p paper
	germination, f, err := figureOr(&p, v, "germination", c, crop.Germination, 100)
	if err != nil {
		return Answer{}, err
	}
	s := spacing.Sowing{Plants: v.Num("plants"), Germination: germination, Field: v.Num("field"), PerStation: v.Num("per-station")}
	figures := []crop.Figure{f}
	if perGram, g, err := figureOr(&p, v, "seeds-per-gram", c, crop.Seeds, 1); err == nil {
		s.PerGram = perGram
		figures = append(figures, g)
	}
	got, err := s.Seed()
	if err != nil {
		return Answer{}, plain(err)
	}
	if s.PerStation > 1 {
		p.line("%v places × %v seeds = %v; a place stays empty in %v %% of cases", math.Ceil(s.Plants), s.PerStation, got.Seeds, 100*s.Empty())
	} else {
		p.line("%v plants / (%v × %v) = %v seeds", s.Plants, s.Germination, s.Field, got.Seeds)
	}
	results := []Result{result("seeds", got.Seeds, "seeds", "to sow")}
	if got.Mass > 0 {
		p.line("%v seeds / %v per gram = %v g", got.Seeds, s.PerGram, 1000*float64(got.Mass))
		results = append(results, result("mass", 1000*float64(got.Mass), "g", "of seed"))
	}
	keys, mark := sourcesOf(figures...)
	cautions := []string{"Dressed seed is poisonous: gloves, and never into kitchen or feed. The share that comes up in the ground is your own to find out: 90 % is a good onion seedbed."}
	if life, ok := c.Figure(crop.SeedLife); ok {
		cautions = append(cautions, fmt.Sprintf("Kept well the seed lasts about %s (%s).", life, life.Source))
	}
	return answered(p, mark, append(keys, "TIGANI"), cautions, results...)
}

func germinationTest() Calculator {
	return Calculator{
		Name: "germination-test", Subject: "crop", Says: "how much a germination test of your own can tell",
		Inputs: []Input{
			{Name: "seeds", Says: "seeds tested", Kind: Number, Low: 1, High: 10000},
			{Name: "came-up", Says: "of them germinated", Kind: Number, Low: 0, High: 10000},
		},
		Example: map[string]string{"seeds": "20", "came-up": "17"},
		Run: func(v Values) (Answer, error) {
			if v.Num("came-up") > v.Num("seeds") {
				return Answer{}, refuse("came-up", "more came up than were tested", "swap the two?")
			}
			n := v.Num("seeds")
			share := v.Num("came-up") / n
			se, err := spacing.HomeTest(share, int(n))
			if err != nil {
				return Answer{}, plain(err)
			}
			low, high := wilson(share, n)
			var p paper
			p.line("germination = %v / %v = %v %%", v.Num("came-up"), n, 100*share)
			p.line("standard error = √(%v × %v / %v) = %v points", share, 1-share, n, 100*se)
			p.line("between %v and %v %% (Wilson's interval, 95 %%)", 100*low, 100*high)
			p.line("a laboratory's 400 seeds may lie %v points below the label", spacing.LabelTolerance(100*share))
			return answered(p, "C", []string{"WILSON1927", "CFR201.63"}, nil, between("germination", 100*share, 100*low, 100*high, "%", "of this seed"))
		},
	}
}

// wilson returns the 95 % score interval of a share, which holds for few seeds and for none or all germinated. WILSON1927.
func wilson(share, n float64) (low, high float64) {
	const z = 1.959963984540054
	middle := share + z*z/(2*n)
	half := z * math.Sqrt(share*(1-share)/n+z*z/(4*n*n))
	scale := 1 + z*z/n
	return max(0, (middle-half)/scale), min(1, (middle+half)/scale)
}
