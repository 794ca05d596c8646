package reckon

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/crop"
	"fairplot/internal/source"
	"fairplot/internal/word"
)

func cropCalculators() []Calculator {
	return []Calculator{
		plantsPerBed(), crowding(), seedNeeded(), germinationTest(),
		nitrogenNeed(), removal(), foodValue(), rotation(), countBack(), cropFigures(), leafNitrate(),
	}
}

// cropInput asks for a crop by name.
func cropInput(optional bool) Input {
	return Input{Name: "crop", Says: "crop, by any common name", Kind: Text, Optional: optional}
}

func cropOf(v Values) (crop.Crop, error) { return cropByName("crop", v.Text("crop")) }

func cropByName(field, name string) (crop.Crop, error) {
	if c, ok := crop.Find(name); ok {
		return c, nil
	}
	hint := "give its figures yourself, or take a crop like it"
	if near := crop.Near(name); len(near) > 0 {
		hint = "did you mean " + word.Or(near) + "?"
	}
	return crop.Crop{}, refuse(field, fmt.Sprintf("no crop is called %q", name), hint)
}

// figureOr returns the input where given, else the crop's preferred figure, written down with its source; it fails with a sentence
// when there is neither.
func figureOr(p *paper, v Values, input string, c crop.Crop, kind crop.Kind, per float64) (float64, crop.Figure, error) {
	if v.Given(input) {
		return v.Num(input), crop.Figure{Source: crop.OwnSource, Status: source.YourOwn}, nil
	}
	f, ok := c.Figure(kind)
	if !ok {
		if c.Name == "" {
			return 0, f, refuse(input, "it is needed", "give it, or name the crop")
		}
		return 0, f, refuse(input, fmt.Sprintf("no source gives the %s of %s", kind, c.Name), "give your own")
	}
	p.line("%s: %s", kind, f.Cite())
	if r, keys, _ := c.Range(kind); len(keys) > 1 && (r.Low != f.Low || r.High != f.High) {
		p.line("  sources differ: %s (%s)", r, strings.Join(keys, ", "))
	}
	return f.Mid() / per, f, nil
}

// sourcesOf returns the keys and the worst mark of the figures used.
func sourcesOf(figures ...crop.Figure) ([]string, string) {
	var keys []string
	marks := []source.Status{source.Recomputed}
	for _, f := range figures {
		marks = append(marks, f.Status)
		if f.Source != "" && f.Source != crop.OwnSource && !slices.Contains(keys, f.Source) {
			keys = append(keys, f.Source)
		}
	}
	return keys, worst(marks...)
}

func cropFigures() Calculator {
	kinds := []string{}
	for _, k := range crop.Kinds() {
		kinds = append(kinds, string(k))
	}
	return Calculator{
		Name: "crop-figures", Subject: "crop", Says: "every published figure of a crop, with its source: spacing, days, yield, keeping and more",
		Inputs:  []Input{cropInput(false), {Name: "kind", Says: "which figure", Kind: Word, Words: kinds, Default: "yield"}},
		Example: map[string]string{"crop": "kale", "kind": "equidistant"},
		Run: func(v Values) (Answer, error) {
			c, err := cropOf(v)
			if err != nil {
				return Answer{}, err
			}
			kind := crop.Kind(v.Word("kind"))
			all := c.Contents(kind)
			if len(all) == 0 {
				return Answer{}, refuse("kind", fmt.Sprintf("no source gives the %s of %s", kind, c.Name), "try another, or give your own")
			}
			var p paper
			p.line("%s (%s), %s, %s, %s", c.Name, c.Botanical, c.Family, c.Life, c.Frost)
			var results []Result
			for i, f := range all {
				p.line("%s", f.Cite())
				results = append(results, between(fmt.Sprintf("figure-%d", i+1), f.Mid(), f.Low, f.High, f.Unit, strings.TrimSpace(f.Basis+" "+f.Source)))
			}
			keys, mark := sourcesOf(all...)
			return answered(p, mark, keys, cropCautions(c), results...)
		},
	}
}

func rotation() Calculator {
	return Calculator{
		Name: "rotation", Subject: "crop", Says: "whether a crop comes back too soon after another, disease by disease",
		Inputs: []Input{
			cropInput(false),
			{Name: "before", Says: "what stood there", Kind: Text},
			{Name: "years", Says: "years ago", Kind: Number, Low: 0, High: 60},
		},
		Example: map[string]string{"crop": "turnip", "before": "cabbage", "years": "2"},
		Run: func(v Values) (Answer, error) {
			c, err := cropOf(v)
			if err != nil {
				return Answer{}, err
			}
			before, err := cropByName("before", v.Text("before"))
			if err != nil {
				return Answer{}, err
			}
			var p paper
			p.line("%s: %s; %s: %s", c.Name, c.Family, before.Name, before.Family)
			short := c.After(before, v.Num("years"))
			longest := 0.0
			var used []crop.Figure
			for _, b := range short {
				p.line("%s: %s (%s)", b.Disease, b.Years.String(), b.Years.Status.Behind(b.Years.Source))
				longest = max(longest, b.Years.High)
				used = append(used, b.Years)
			}
			if len(short) == 0 {
				p.line("no published break is cut short")
			}
			keys, mark := sourcesOf(used...)
			return answered(p, mark, keys, nil, result("breaks-cut-short", float64(len(short)), "", "published breaks that this cuts short"),
				result("longest", longest, "years", "the longest of them"))
		},
	}
}

func countBack() Calculator {
	return Calculator{
		Name: "count-back", Subject: "crop", Says: "how many days before the first autumn frost a crop is sown",
		Inputs: []Input{
			cropInput(true),
			{Name: "raising", Says: "days from sowing to setting out, 0 if sown in place", Kind: Number, Default: "0", Low: 0, High: 150},
			{Name: "maturity", Says: "days to maturity, by the packet", Kind: Number, Optional: true, Low: 10, High: 400},
			{Name: "harvest", Says: "days of harvest", Kind: Number, Default: "14", Low: 0, High: 120},
			{Name: "shortening", Says: "days more for shortening days", Kind: Number, Default: "14", Low: 0, High: 40},
			{Name: "bears-frost", Says: "whether it bears frost", Kind: Word, Words: []string{"yes", "no"}, Optional: true},
		},
		Example: map[string]string{"maturity": "48", "raising": "28", "harvest": "15", "shortening": "10", "bears-frost": "yes"},
		Run:     runCountBack,
	}
}

func runCountBack(v Values) (Answer, error) {
	var c crop.Crop
	var err error
	if v.Given("crop") {
		if c, err = cropOf(v); err != nil {
			return Answer{}, err
		}
	}
	var p paper
	days, f, err := figureOr(&p, v, "maturity", c, crop.Days, 1)
	if err != nil {
		return Answer{}, err
	}
	frost := c.Frost
	switch v.Word("bears-frost") {
	case "yes":
		frost = crop.Hardy
	case "no":
		frost = crop.Tender
	}
	if frost == "" {
		return Answer{}, refuse("bears-frost", "it is needed", "yes or no, or name the crop")
	}
	before, err := crop.CountBack(v.Num("raising"), days, v.Num("harvest"), v.Num("shortening"), frost)
	if err != nil {
		return Answer{}, plain(err)
	}
	more := before - v.Num("raising") - days - v.Num("harvest") - v.Num("shortening")
	p.line("raising %v + maturity %v + harvest %v + shortening days %v + tender %v = %v days", v.Num("raising"), days, v.Num("harvest"), v.Num("shortening"), more, before)
	keys, mark := sourcesOf(f)
	return answered(p, mark, append([]string{"VCE-FALL"}, keys...), nil, result("days", before, "d", "before the average first frost of autumn"))
}
