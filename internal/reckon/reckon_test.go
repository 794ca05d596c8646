package reckon

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

// Worked examples of the sources, through the calculators as a grower would ask.
func TestClimateAndWaterWorkedElsewhere(t *testing.T) {
	for _, c := range []struct {
		origin, calculator string
		inputs             map[string]string
		result             string
		want, within       float64
	}{
		{"FAO56 ex. 9", "day-length", map[string]string{"latitude": "20 S", "date": "3 Sep 2025"}, "day-length", 11.7, 0.05},
		{"FAO56 ex. 8", "radiation", map[string]string{"latitude": "-20", "date": "2025-09-03"}, "above-air", 32.2, 0.05},
		{"FAO56 ex. 10", "radiation", map[string]string{"latitude": "22.9 S", "date": "15 May", "sunshine": "7h6"}, "ground", 14.5, 0.05},
		{"FAO56 ex. 11", "radiation", map[string]string{"latitude": "22.9 S", "date": "15 May"}, "clear-sky", 18.8, 0.05},
		{"FAO56 ex. 15", "radiation", map[string]string{"latitude": "45.7167", "date": "15 July", "elevation": "200", "min": "14.8", "max": "26.6"}, "ground", 22.3, 0.05},
		{"FAO56 ex. 18", "evaporation", map[string]string{"latitude": "50.8 N", "date": "6 July", "elevation": "100 m", "min": "12.3", "max": "21.5", "sunshine": "9.25 h", "humidity": "70.52 %", "wind": "2.778", "wind-height": "10 m"}, "evaporation", 3.9, 0.05},
		{"FAO56 ex. 20", "evaporation", map[string]string{"latitude": "45.7167", "date": "15 July", "elevation": "200 m", "min": "14.8", "max": "26.6"}, "evaporation", 4.6, 0.05},
		{"FAO56 ex. 20", "evaporation", map[string]string{"latitude": "45.7167", "date": "15 July", "elevation": "200 m", "min": "14.8", "max": "26.6"}, "hargreaves", 5.0, 0.05},
		{"ZALOM1983 table 7", "degree-days", map[string]string{"min": "50 F", "max": "82 F", "base": "55 F", "upper": "90 F", "method": "sine"}, "degree-days-f", 11.85, 0.0051},
		{"ZALOM1983 table 7", "degree-days", map[string]string{"min": "75 °F", "max": "95 °F", "next-min": "60 °F", "base": "55 °F", "upper": "90 °F", "method": "double sine"}, "degree-days-f", 25.30, 0.0051},
		{"MCMASTER1997 table 1", "degree-days", map[string]string{"min": "-2", "max": "8", "base": "0", "method": "clamped average"}, "degree-days", 4, 1e-9},
		{"R qnorm", "frost-risk", map[string]string{"frosts": "118,131,109,125,122,140,115,128,120,112"}, "day", 133.9916, 1e-4},
		{"R pnorm", "frost-risk", map[string]string{"frosts": "118,131,109,125,122,140,115,128,120,112", "date": "11 May"}, "risk", 16.80662, 1e-4},
		{"HARRINGTON1954", "emergence", map[string]string{"crop": "carrots", "soil": "59 F"}, "days", 10, 1e-9},
		{"HARRINGTON1954", "emergence", map[string]string{"crop": "sweet corn", "soil": "25"}, "days", 4, 1e-9},
		{"FAO56 table 12 times 5", "water-need", map[string]string{"crop": "cabbage", "evaporation": "5"}, "use", 5.25, 1e-9},
		{"FAO56 tables 12 and 19 by hand", "watering", map[string]string{"crop": "tomato", "soil": "sandy loam", "dry-days": "6", "evaporation": "5", "area": "3"}, "litres", 6 * 5 * 1.15 * 3, 1e-9},
		{"FAO56 table 19 by hand", "soil-water", map[string]string{"soil": "silt loam", "depth": "60 cm"}, "held", 96, 1e-9},
		{"FAO56 ex. 44 the other way", "water-shortage", map[string]string{"crop": "French bean", "used": "66.18357 %"}, "yield", 100 * 1100.0 / 1800, 1e-4},
		{"FAO56 eq. 89 by hand", "salt-loss", map[string]string{"crop": "onion", "salinity": "2.2 dS/m"}, "yield", 84, 1e-9},
	} {
		if got := resultOf(t, c.calculator, c.result, c.inputs); !(math.Abs(got-c.want) <= c.within) {
			t.Errorf("%s (%s): %s = %.6g, want %g ± %g", c.calculator, c.origin, c.result, got, c.want, c.within)
		}
	}
}

// Every calculator answers its own example in full, and its answer is JSON with the agreed fields.
func TestEveryExampleIsAnswered(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range All() {
		if seen[c.Name] || c.Name != plainName(c.Name) || c.Says == "" || c.Subject == "" {
			t.Errorf("%q occurs twice, is not plain, or is not described", c.Name)
		}
		seen[c.Name] = true
		for name := range c.Example {
			if _, err := c.named(map[string]string{name: "1"}); err != nil {
				t.Errorf("%s: its example gives %s: %v", c.Name, name, err)
			}
		}
		a, err := Run(c.Name, c.Example)
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		if len(a.Results) == 0 || len(a.Steps) == 0 || a.Name != c.Name {
			t.Errorf("%s: %d results, %d steps", c.Name, len(a.Results), len(a.Steps))
		}
		for _, s := range a.Steps {
			if strings.Contains(s, "%!") {
				t.Errorf("%s: step %q", c.Name, s)
			}
		}
		for _, r := range a.Results {
			if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || r.Name == "" {
				t.Errorf("%s: %+v", c.Name, r)
			}
		}
		if text, err := json.Marshal(a); err != nil || !strings.Contains(string(text), `"results"`) {
			t.Errorf("%s: %v", c.Name, err)
		}
	}
	for _, want := range strings.Fields("day-length radiation evaporation degree-days frost-risk emergence water-need watering yield-ceiling") {
		if !seen[want] {
			t.Errorf("there is no %s", want)
		}
	}
}

// What cannot be is refused, and what could be two things is asked about, in a sentence about the input.
func TestBadInputGetsASentence(t *testing.T) {
	weather := func(change ...string) map[string]string {
		out := map[string]string{"latitude": "52", "date": "2025-07-01", "min": "12", "max": "22"}
		for i := 0; i < len(change); i += 2 {
			out[change[i]] = change[i+1]
		}
		return out
	}
	for _, c := range []struct {
		calculator string
		inputs     map[string]string
		field      string
		says       string
	}{
		{"day-length", map[string]string{"latitude": "95", "date": "2025-06-21"}, "latitude", "-90"},
		{"evaporation", weather("max", "5"), "max", "below the minimum"},
		{"evaporation", weather("humidity", "80"), "humidity", "did you mean 80 %?"},
		{"evaporation", weather("humidity", "0.8 %"), "humidity", "outside"},
		{"evaporation", weather("humidity", "180 %"), "humidity", "outside"},
		{"evaporation", map[string]string{"latitude": "72", "date": "2025-12-21", "min": "-20", "max": "-12"}, "date", "does not rise"},
		{"evaporation", weather("radiation", "300"), "radiation", "outside"},
		{"evaporation", weather("radiation", "48"), "radiation", "above the air"},
		{"evaporation", weather("min", "1.2.3"), "min", ""},
		{"evaporation", weather("min", "12 kg"), "min", ""},
		{"evaporation", weather("date", "31 February 2025"), "date", ""},
		{"radiation", map[string]string{"latitude": "52", "date": "2025-12-21", "sunshine": "11"}, "sunshine", "do not fit"},
		{"water-need", map[string]string{"crop": "potato", "evaporation": "4", "rain": "1000"}, "rain", "outside"},
		{"watering", map[string]string{"crop": "potato", "dry-days": "3", "evaporation": "4", "rain": "1000 mm"}, "rain", "outside"},
		{"water-need", map[string]string{"crop": "potatoe", "evaporation": "4"}, "crop", "potato"},
		{"watering", map[string]string{"crop": "potato", "dry-days": "3", "evaporation": "4", "soil": "sandy lome"}, "soil", "sandy loam"},
		{"degree-days", map[string]string{"min": "12", "max": "2", "base": "5"}, "max", "below"},
		{"degree-days", map[string]string{"min": "2", "max": "12", "base": "5", "upper": "4"}, "upper", "above the base"},
		{"frost-risk", map[string]string{"frosts": "120, 130"}, "frosts", "at least three"},
		{"frost-risk", map[string]string{"frosts": "120, 130, 400"}, "frosts", "366"},
		{"emergence", map[string]string{"crop": "tomato", "soil": "4"}, "soil", "come up"},
		{"yield-ceiling", map[string]string{"crop": "potato", "latitude": "52", "from": "2025-05-01", "to": "2025-05-05", "min": "9", "max": "19"}, "to", "14 to 366"},
		{"yield-ceiling", map[string]string{"crop": "rhubarb", "latitude": "52", "from": "2025-05-01", "to": "2025-08-05", "min": "9", "max": "19"}, "crop", "rhubarb"},
		{"day-length", map[string]string{"latitud": "52", "date": "2025-06-21"}, "latitud", "did you mean latitude?"},
		{"day-length", map[string]string{"latitude": "52"}, "date", "needed"},
		{"day-lenth", nil, "", "did you mean day-length"},
		{"zzz", nil, "", "there are "},
	} {
		_, err := Run(c.calculator, c.inputs)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%s %v: %v, want a refusal", c.calculator, c.inputs, err)
			continue
		}
		if e.Field != c.field || !strings.Contains(e.Error(), c.says) || e.Text == "" {
			t.Errorf("%s %v: field %q says %q; want field %q and %q", c.calculator, c.inputs, e.Field, e.Error(), c.field, c.says)
		}
	}
}

func TestPolarNightIsSaid(t *testing.T) {
	a, err := Run("day-length", map[string]string{"latitude": "72 N", "date": "2025-12-21"})
	if err != nil || a.Results[0].Value != 0 || len(a.Cautions) == 0 || !strings.Contains(a.Cautions[0], "does not rise") {
		t.Errorf("%+v, %v", a, err)
	}
}

func TestInputsAreUnderstoodAlike(t *testing.T) {
	want := resultOf(t, "water-need", "litres", map[string]string{"crop": "potato", "evaporation": "4.5 mm", "area": "5 m2"})
	for _, in := range []map[string]string{
		{"Crop": "Potatoes", "EVAPORATION": "4,5", "Area": "5"},
		{"crop": "potato", "evaporation": "4.5 L/m²", "area": "0,0005 ha"},
		{"crop": "potato", "evaporation": "0.45 cm", "area": "53.819552 sq ft"},
	} {
		if got := resultOf(t, "Water Need", "litres", in); math.Abs(got-want) > 1e-6 {
			t.Errorf("%v: %g L, want %g", in, got, want)
		}
	}
	a, err := Run("evaporation", map[string]string{"latitude": "52", "date": "1 July", "min": "53.6 F", "max": "22 °C", "humidity": "0.8"})
	if err != nil || a.Inputs["min"] != "12 °C" || a.Inputs["humidity"] != "80 %" || !strings.Contains(a.Inputs["date"], "2025-07-01") {
		t.Errorf("understood as %v, %v", a.Inputs, err)
	}
	if len(a.Cautions) != 2 { // sunshine and wind were not given
		t.Errorf("the gaps named are %q", a.Cautions)
	}
}

// An answer that leans on memory or on a relative says so.
func TestMemoryAndProxiesAreTold(t *testing.T) {
	leek, err := Run("yield-ceiling", map[string]string{"crop": "leek", "latitude": "52", "from": "2025-05-01", "to": "2025-10-05", "min": "9", "max": "19", "radiation": "16"})
	if err != nil || leek.Status != "M" || !strings.Contains(strings.Join(leek.Cautions, " "), "Proxy") || leek.Results[0].High <= leek.Results[0].Low {
		t.Errorf("%+v, %v", leek, err)
	}
	kale, err := Run("emergence", map[string]string{"crop": "kale", "soil": "12"})
	if err != nil || kale.Status != "M" || !strings.Contains(kale.Results[0].Says, "from memory") {
		t.Errorf("%+v, %v", kale, err)
	}
	carrot, err := Run("emergence", map[string]string{"crop": "carrot", "soil": "12"})
	if err != nil || carrot.Status == "M" {
		t.Errorf("a figure from memory crept into %+v, %v", carrot, err)
	}
}

func TestShortNumbers(t *testing.T) {
	for x, want := range map[float64]string{0: "0", 12345.6: "12346", 0.054367: "0.05437", 3.88026: "3.88", -7.5: "-7.5", 1e-7: "0.0000001"} {
		if got := short(x); got != want {
			t.Errorf("%g is written %s, want %s", x, got, want)
		}
	}
}

func BenchmarkEvaporation(b *testing.B) {
	c, _ := Find("evaporation")
	for b.Loop() {
		if _, err := Run("evaporation", c.Example); err != nil {
			b.Fatal(err)
		}
	}
}
