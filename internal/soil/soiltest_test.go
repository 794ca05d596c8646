package soil

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fairplot/internal/source"
)

func class(t *testing.T, scheme, nutrient string, value float64) Class {
	t.Helper()
	s, ok := FindScheme(scheme, nutrient)
	if !ok {
		t.Fatalf("no scheme %s for %s", scheme, nutrient)
	}
	c, err := s.Classify(Reading{Nutrient: nutrient, Value: value, Unit: s.Unit})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The bounds as the sources print them, at their edges and one step beyond.
func TestClasses(t *testing.T) {
	for _, c := range []struct {
		scheme, nutrient string
		value            float64
		want             string
	}{
		{"olsen-ni", "P", 9, "0"}, {"olsen-ni", "P", 10, "1"}, {"olsen-ni", "P", 20, "2-"}, {"olsen-ni", "P", 21, "2+"}, {"olsen-ni", "P", 45, "3"}, {"olsen-ni", "P", 70, "4"},
		{"olsen-ni", "P", 9.4, "0"}, {"olsen-ni", "P", 9.5, "1"}, // integers in print: halves are rounded up, then looked up
		{"morgan-ireland", "P", 3.0, "1"}, {"morgan-ireland", "P", 3.1, "2"}, {"morgan-ireland", "P", 6.0, "2"}, {"morgan-ireland", "P", 10.0, "3"}, {"morgan-ireland", "P", 10.1, "4"},
		{"morgan-ireland-grass", "P", 5.1, "3"}, {"morgan-ireland-grass", "P", 8.1, "4"},
		{"morgan-ireland", "K", 100, "2"}, {"morgan-ireland", "K", 151, "4"},
		{"morgan-ireland", "Mg", 50, "2"}, {"morgan-ireland", "Mg", 51, "3"}, // printed 26-50 and 50-100
		{"mehlich3-nj", "P", 24, "very low"}, {"mehlich3-nj", "P", 72, "high"}, {"mehlich3-nj", "P", 138, "very high"}, {"mehlich3-nj", "K", 145, "medium"},
		{"mehlich3-nj", "Mg", 144, "high"}, {"mehlich3-nj", "Ca", 1008, "medium"},
		{"alberta", "P", 25, "deficient 3"}, {"alberta", "P", 26, "marginal 1"}, {"alberta", "P", 91, "adequate 3"}, {"alberta", "K", 300, "marginal 3"},
		{"alberta", "NO3-N", 10, "deficient 1"}, {"alberta-watered", "NO3-N", 61, "marginal 1"}, {"alberta", "S", 51, "adequate 3"},
		{"oregon-bray", "P", 41, "high"}, {"oregon", "K", 801, "excessive"},
	} {
		if got := class(t, c.scheme, c.nutrient, c.value); got.Name != c.want {
			t.Errorf("%s %s %g: %s, want %s", c.scheme, c.nutrient, c.value, got.Name, c.want)
		}
	}
}

func TestUnitsAndExtractantsAreNeverMixed(t *testing.T) {
	s, _ := FindScheme("morgan-ireland", "P")
	for name, r := range map[string]Reading{
		"ppm against mg/l":   {Nutrient: "P", Value: 5, Unit: "ppm"},
		"lb/acre":            {Nutrient: "P", Value: 5, Unit: "lb/acre"},
		"no unit":            {Nutrient: "P", Value: 5},
		"another extractant": {Nutrient: "P", Value: 5, Unit: "mg/l", Extractant: "Olsen"},
		"another nutrient":   {Nutrient: "K", Value: 5, Unit: "mg/l"},
		"negative":           {Nutrient: "P", Value: -5, Unit: "mg/l"},
		"a unit of no soil":  {Nutrient: "P", Value: 5, Unit: "furlong"},
	} {
		if _, err := s.Classify(r); err == nil || len(strings.Fields(err.Error())) < 6 {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := s.Classify(Reading{Nutrient: "p", Value: 5, Unit: "mg/L"}); err != nil {
		t.Errorf("the sheet's own spelling was refused: %v", err)
	}
	near(t, "by volume", must(ByVolume(50, 1.1)), 55, 1e-9)
	if _, err := ByVolume(50, 1100); err == nil {
		t.Error("a litre of 1,100 kg was taken")
	}
}

// Higher values never fall into lower classes, and class bounds meet without gap or overlap.
func TestSchemesAreInOrder(t *testing.T) {
	for _, s := range Schemes() {
		if len(s.Classes) != len(s.Tops)+1 || s.Extractant == "" || s.Unit == "" || s.Step == 0 {
			t.Errorf("%s %s is incomplete", s.Name, s.Nutrient)
		}
		if _, ok := source.Find(s.Source); !ok {
			t.Errorf("%s: source %q is not registered", s.Name, s.Source)
		}
		before := Class{High: -s.Step}
		for v := 0.0; v < s.Tops[len(s.Tops)-1]*1.1; v += s.Step {
			c := class(t, s.Name, s.Nutrient, v)
			if c.Low > c.Looked+1e-6 || c.High < c.Looked-1e-6 || c.High < before.High {
				t.Fatalf("%s %s at %g: %+v after %+v", s.Name, s.Nutrient, v, c, before)
			}
			before = c
		}
		if !math.IsInf(before.High, 1) {
			t.Errorf("%s %s: the last class ends at %g", s.Name, s.Nutrient, before.High)
		}
	}
}

// What is not read in its source is marked: every RB209 and Oregon bound here is from memory.
func TestUncheckedSchemesSaySo(t *testing.T) {
	for _, s := range Schemes() {
		memory := s.Name == "rb209" || strings.HasPrefix(s.Name, "oregon")
		if s.FromMemory() != memory {
			t.Errorf("%s %s: mark %s", s.Name, s.Nutrient, s.Status)
		}
	}
}

func TestManganese(t *testing.T) { // RUTGERS: 10 ppm at pH 6.5, worked by hand
	near(t, "index", ManganeseIndex(10, 6.5), 40.4, 1e-9)
}

func TestLimitsAndScreens(t *testing.T) {
	for _, l := range Limits() {
		if _, ok := source.Find(l.Source); !ok || l.FromMemory() {
			t.Errorf("%s: %v", l.Name, l.Mark)
		}
	}
	for _, p := range HighPhosphorus() {
		if _, ok := source.Find(p.Source); !ok {
			t.Errorf("%s: %v", p.Says, p.Mark)
		}
	}
	near(t, "137 lb/acre in ppm by the factor of 2", 137.0/2, 68.5, 0) // as RUTGERS' users print it
	if got := Exceeded("lead", 300); len(got) != 2 {
		t.Errorf("300 mg/kg lead is above %v", got)
	}
	if got := Exceeded("lead", 100); len(got) != 0 {
		t.Errorf("100 mg/kg lead is above %v", got)
	}
}

func TestLeafNitrate(t *testing.T) { // EU1258-2011
	for _, c := range []struct {
		leaf          string
		winter, cover bool
		want          float64
	}{{"spinach", true, false, 3500}, {"lettuce", true, true, 5000}, {"lettuce", true, false, 4000}, {"lettuce", false, true, 4000}, {"lettuce", false, false, 3000},
		{"iceberg", false, true, 2500}, {"iceberg", true, false, 2000}, {"rocket", true, false, 7000}, {"rocket", false, true, 6000}, {"baby food", false, false, 200}} {
		near(t, fmt.Sprint(c), must(LeafNitrate(c.leaf, c.winter, c.cover)), c.want, 0)
	}
	if _, err := LeafNitrate("thistle", false, false); err == nil {
		t.Error("a limit for thistles was made up")
	}
}
