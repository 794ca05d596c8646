package reckon

import (
	"fmt"
	"strings"

	"fairplot/internal/soil"
	"fairplot/internal/source"
	"fairplot/internal/unit"
)

func compostRecipe() Calculator {
	return Calculator{
		Name: "compost-recipe", Subject: "soil", Says: "carbon to nitrogen and moisture of a heap, and how to mend both",
		Inputs: []Input{
			{Name: "heap", Says: "what goes on it: grass cuttings, loose 10 kg; leaves, loose 40 L; hay 5 kg 15 % 1.4 % 25 (moisture, nitrogen of dry matter, C:N)", Kind: Text},
			{Name: "cn", Says: "C:N aimed at", Kind: Number, Default: "30", Low: 5, High: 200},
			{Name: "moisture", Says: "moisture aimed at", Kind: Share, Default: "57 %", Low: 0.2, High: 0.9},
		},
		Example: map[string]string{"heap": "grass 10 kg 77 % 2.4 % 18.75; leaves 3.474 kg 35 % 0.75 % 66.67", "cn": "30", "moisture": "60 %"},
		Run:     runRecipe,
	}
}

// heapOf reads a heap: ingredients between semicolons, each a name, an amount and, for a stuff that the table lacks, its moisture,
// its nitrogen of dry matter and its C:N.
func heapOf(text string) ([]soil.Ingredient, source.Status, error) {
	var out []soil.Ingredient
	mark := source.Computed
	for part := range strings.SplitSeq(text, ";") {
		if strings.TrimSpace(part) == "" {
			continue
		}
		i, known, err := ingredientOf(strings.TrimSpace(part))
		if err != nil {
			return nil, "", refuse("heap", err.Error(), "write for example: straw 5 kg; horse manure 40 kg")
		}
		if known {
			mark = source.Status(worst(mark, source.Reprinted))
		}
		out = append(out, i)
	}
	if len(out) == 0 {
		return nil, "", refuse("heap", "it names no ingredient", "write for example: straw 5 kg; horse manure 40 kg")
	}
	return out, mark, nil
}

// ingredientOf reads one ingredient; known tells that its make-up is the table's.
func ingredientOf(part string) (soil.Ingredient, bool, error) {
	words := strings.Fields(strings.ReplaceAll(part, "%", " % "))
	at := 0
	for at < len(words) && !strings.ContainsAny(words[at][:1], "0123456789") {
		at++
	}
	name := strings.Join(words[:at], " ")
	if name == "" || at == len(words) {
		return soil.Ingredient{}, false, fmt.Errorf("%q needs a name and an amount", part)
	}
	amount, rest := words[at], words[at+1:]
	if len(rest) > 0 && rest[0] != "%" && !strings.ContainsAny(rest[0][:1], "0123456789") {
		amount, rest = amount+" "+rest[0], rest[1:]
	}
	if len(rest) > 0 {
		i, err := ownIngredient(name, amount, rest)
		return i, false, err
	}
	m, ok := soil.FindMaterial(name)
	if !ok {
		return soil.Ingredient{}, false, fmt.Errorf("%q is not in the table%s; give its moisture, nitrogen of dry matter and C:N behind the amount", name, offering(soil.NearMaterial(name)))
	}
	i, err := soil.HeapIngredient(m, 0)
	if err != nil {
		return i, true, err
	}
	i.Mass, err = heapMass(amount, i.Density, name)
	return i, true, err
}

func offering(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return " (it has " + strings.Join(names, "; ") + ")"
}

func ownIngredient(name, amount string, rest []string) (soil.Ingredient, error) {
	var figures []float64
	for _, w := range rest {
		if w == "%" {
			continue
		}
		x, err := unit.ParseNumber(w)
		if err != nil {
			return soil.Ingredient{}, fmt.Errorf("%s: %q is not a number", name, w)
		}
		figures = append(figures, x)
	}
	if len(figures) != 3 {
		return soil.Ingredient{}, fmt.Errorf("%s: behind the amount stand three figures: moisture in %%, nitrogen of dry matter in %% and C:N", name)
	}
	mass, err := heapMass(amount, 0, name)
	return soil.Ingredient{Name: name, Mass: mass, Moisture: figures[0], Nitrogen: figures[1], CarbonNitrogen: figures[2]}, err
}

// heapMass reads an amount as a mass, or as a volume where the density is known.
func heapMass(amount string, density unit.Density, name string) (unit.Mass, error) {
	if m, err := unit.ParseMass(amount, "kg"); err == nil {
		return m, nil
	}
	vol, err := unit.ParseVolume(amount, unit.NoDefault)
	if err != nil {
		return 0, fmt.Errorf("%s: %q is neither a mass nor a volume", name, amount)
	}
	if density == 0 {
		return 0, fmt.Errorf("%s: a volume needs the density, which is not known: give the mass", name)
	}
	return density.Of(vol), nil
}

func runRecipe(v Values) (Answer, error) {
	heap, mark, err := heapOf(v.Text("heap"))
	if err != nil {
		return Answer{}, err
	}
	m, err := soil.Put(heap)
	if err != nil {
		return Answer{}, refuse("heap", err.Error(), "")
	}
	var p paper
	for _, i := range heap {
		p.line("%s: %v kg, moisture %v %%, N %v %% of dry matter, C:N %v", i.Name, float64(i.Mass), i.Moisture, i.Nitrogen, i.CarbonNitrogen)
	}
	p.line("moisture = Σ mass × moisture / Σ mass = %v %%", m.Moisture)
	p.line("C:N = Σ mass × (100 − moisture) × C / Σ mass × (100 − moisture) × N = %v", m.CarbonNitrogen)
	results := []Result{result("cn", m.CarbonNitrogen, "", "carbon to nitrogen of the heap"), result("moisture", m.Moisture, "%", "moisture of the heap"),
		result("mass", float64(m.Mass), "kg", "fresh mass")}
	cautions := []string{cautionHeat, cautionDust, cautionResidue}
	cautions = append(cautions, m.Judge(soil.UsualGoal())...)
	if len(heap) == 2 {
		more, words, err := mended(&p, heap[0], heap[1], v.Num("cn"), 100*v.Num("moisture"))
		if err != nil && (v.Chosen("cn") || v.Chosen("moisture")) {
			return Answer{}, refuse("cn", err.Error(), "")
		}
		results, cautions = append(results, more...), append(cautions, words...)
	}
	return answered(p, string(mark), []string{"RYNK1992", "CWMI", "MISSOURI-ST"}, cautions, results...)
}

// mended says how much of the second material meets either goal, and what the other is then; an error if it can meet neither.
func mended(p *paper, first, second soil.Ingredient, ratio, moisture float64) ([]Result, []string, error) {
	r, err := soil.TwoFor(first, second, ratio, moisture)
	if err != nil {
		return nil, nil, err
	}
	var out []Result
	var words []string
	if r.CNError == nil {
		p.line("for C:N %v: %v kg of %s to %v kg of %s; moisture is then %v %%", ratio, float64(r.ByCN), second.Name, float64(first.Mass), first.Name, r.MixByCN.Moisture)
		out = append(out, result("for-cn", float64(r.ByCN), "kg", fmt.Sprintf("of %s for C:N %s, moisture then %s %%", second.Name, short(ratio), short(r.MixByCN.Moisture))))
	} else {
		words = append(words, r.CNError.Error()+".")
	}
	if r.MoistureError == nil {
		p.line("for moisture %v %%: %v kg of %s; C:N is then %v", moisture, float64(r.ByMoisture), second.Name, r.MixByMoisture.CarbonNitrogen)
		out = append(out, result("for-moisture", float64(r.ByMoisture), "kg", fmt.Sprintf("of %s for moisture %s %%, C:N then %s", second.Name, short(moisture), short(r.MixByMoisture.CarbonNitrogen))))
	} else {
		words = append(words, "The "+r.MoistureError.Error()+".")
	}
	if r.CNError == nil && r.MoistureError == nil {
		words = append(words, "The two goals ask for different amounts: mend the C:N with stuff and the moisture with water or dry stuff, or take a third material.")
	}
	return out, words, nil
}

func compostHeat() Calculator {
	return Calculator{
		Name: "compost-heat", Subject: "soil", Says: "whether a heap's log of temperatures meets a published rule",
		Inputs: []Input{
			{Name: "days", Says: "the coolest place of each day, °C, in a row: 52 57 61 63", Kind: Text},
			{Name: "turnings", Says: "times turned in these days", Kind: Number, Default: "0", Low: 0, High: 100},
			{Name: "cn", Says: "C:N at the start", Kind: Number, Optional: true, Low: 1, High: 500},
			{Name: "moisture", Says: "water content", Kind: Share, Optional: true, Low: 0.01, High: 0.99},
		},
		Example: map[string]string{"days": "56 57 58 60 61 60 59 58 57 57 56 56 56 56 56", "turnings": "5", "cn": "30", "moisture": "55 %"},
		Run:     runHeat,
	}
}

func runHeat(v Values) (Answer, error) {
	log := soil.HeatLog{Turnings: int(v.Num("turnings")), CarbonNitrogen: v.Num("cn"), Moisture: 100 * v.Num("moisture")}
	for _, w := range strings.FieldsFunc(v.Text("days"), func(r rune) bool { return r == ' ' || r == ';' }) {
		t, err := unit.ParseTemperature(w, "°C")
		if err != nil || t < -20 || t > 100 {
			return Answer{}, refuse("days", fmt.Sprintf("%q is no temperature of a heap", w), "write one for each day in °C, a space between")
		}
		log.Days = append(log.Days, t)
	}
	var p paper
	var sources []string
	met := 0
	for _, r := range soil.HeatRules() {
		if r.FromMemory() {
			p.line("%s: not judged, the rule is from memory", r.Says)
			continue
		}
		ok, why := r.Met(log)
		if ok {
			met++
			p.line("%s: met", r.Says)
		} else {
			p.line("%s: not met, %s", r.Says, why)
		}
		if len(sources) == 0 || sources[len(sources)-1] != r.Source {
			sources = append(sources, r.Source)
		}
	}
	p.line("raw manure to harvest: %d days where the eaten part touches the ground, else %d", soil.RawManureDays(true), soil.RawManureDays(false))
	return answered(p, "V2", sources, []string{cautionHeat, cautionManure, cautionDust}, result("rules-met", float64(met), "", "of the rules judged"))
}
