package soil

import (
	"fmt"
	"strings"
	"testing"
)

func tonnes(l Lime) float64 { return PerHectare(l.Rate) / 1000 }

// DBL-LIME's printed table, arable to pH 6.7 and grass to 6.5 on sand. Grass at pH 6.4 is printed 0.5; the rule gives 0.6.
func TestLimeTable(t *testing.T) {
	arable := []float64{1.8, 2.4, 3.0, 3.6, 4.2, 4.8, 5.4, 6.0, 6.6, 7.2, 7.8}
	grass := []float64{0.6, 1.2, 1.8, 2.4, 3.0, 3.6, 4.2, 4.8, 5.4, 6.0, 6.6}
	for i := range arable {
		ph := 6.4 - 0.1*float64(i)
		near(t, fmt.Sprintf("arable at %.1f", ph), tonnes(must(LimeByFactor("sand", ph, 6.7))), arable[i], 1e-9)
		near(t, fmt.Sprintf("grass at %.1f", ph), tonnes(must(LimeByFactor("sand", ph, 6.5))), grass[i], 1e-9)
	}
}

// 4.2 t/ha at NV 50 is 420 g/m², and 3.0 t/ha of hydrated lime at NV 70.
func ExampleLime_Of() {
	l, _ := LimeByFactor("sand", 6.0, 6.7)
	hydrated, _ := l.Of(70)
	fmt.Printf("%.0f g/m² of limestone, %.0f of hydrated lime\n", 1000*float64(l.Rate), 1000*float64(hydrated))
	// Output: 420 g/m² of limestone, 300 of hydrated lime
}

func TestLimeNeverBelowPresent(t *testing.T) {
	_, err := LimeByFactor("sand", 6.8, 6.5)
	if err == nil || !strings.Contains(err.Error(), "below the present") {
		t.Errorf("a target below the present pH: %v", err)
	}
	if _, err := LimeByMehlichBuffer(6.0, 5.5, 1, 0); err == nil {
		t.Error("the buffer method took it")
	}
	if _, err := LimeByFactor("sand", 65, 67); err == nil {
		t.Error("pH 65 was taken")
	}
	if _, err := LimeByFactor("gravel", 6, 6.5); err == nil {
		t.Error("an unknown texture was taken")
	}
}

// NCDA's example: acidity 1.2, pH 5.0 to 6.0, factor 0.625; it prints 0.76 US tons an acre, the product is 0.75.
func TestMehlichBuffer(t *testing.T) {
	l := must(LimeByMehlichBuffer(5.0, 6.0, 1.2, 0))
	near(t, "US tons an acre", PerHectare(l.Rate)/ShortTonsPerAcre, 0.75, 1e-12)
	near(t, "acidity at buffer 6.3", MehlichAcidity(6.3), 1.2, 1e-12)
	near(t, "credit of 1 after 5 months", LimeCredit(1, 5, false), 0.6, 1e-12)
	near(t, "credit on peat after a year", LimeCredit(1, 12, true), 0, 0)
	if _, err := l.Of(70); err == nil {
		t.Error("the scheme does not say how strong its lime is; another product was reckoned from it")
	}
}

// EM9585: buffer 6.0 to 5.6 is 1.7 US tons an acre; corners of the table; between its rows a straight line.
func TestSikora(t *testing.T) {
	tons := func(buffer, target float64) float64 {
		return PerHectare(must(LimeBySikora(4.5, buffer, target)).Rate) / ShortTonsPerAcre
	}
	for _, c := range [][3]float64{{6.0, 5.6, 1.7}, {6.9, 5.6, 0}, {6.9, 7.2, 1.0}, {4.8, 5.6, 6.1}, {4.8, 7.2, 23.2}, {5.7, 6.8, 7.2}, {5.0, 6.4, 10.7}, {6.5, 6.0, 1.2}} {
		near(t, fmt.Sprint(c[:2]), tons(c[0], c[1]), c[2], 1e-9)
	}
	near(t, "half way in both", tons(5.65, 6.2), (4.0+5.5+4.5+6.2)/4, 1e-9)
	if _, err := LimeBySikora(4.5, 7.2, 6.4); err == nil {
		t.Error("a buffer pH outside the table was taken")
	}
	if _, err := LimeBySikora(4.5, 6.0, 7.5); err == nil {
		t.Error("a target outside the table was taken")
	}
}

// More acid never needs less lime, in every scheme.
func TestLimeIsMonotone(t *testing.T) {
	for _, c := range []string{"very light", "light", "medium", "heavy"} {
		last := -1.0
		for ph := 7.5; ph >= 4; ph -= 0.1 {
			got := tonnes(must(LimeByWeight(c, ph)))
			if got < last {
				t.Errorf("%s at %.1f: %g after %g", c, ph, got, last)
			}
			last = got
		}
	}
	for _, target := range []float64{5.6, 5.9, 6.4, 7.0, 7.2} {
		last := -1.0
		for b := 6.9; b >= 4.85; b -= 0.05 {
			if got := tonnes(must(LimeBySikora(4.5, b, target))); got < last-1e-9 {
				t.Errorf("buffer %.2f to %g: %g after %g", b, target, got, last)
			} else {
				last = got
			}
		}
	}
}

// Medium soil at pH 5.3: "needed", 3.0 t CaO/ha, 5.35 t CaCO3/ha, 535 g/m². IUNG.
func TestPolishGrades(t *testing.T) {
	l := must(LimeByWeight("medium", 5.3))
	near(t, "t CaO/ha", tonnes(l), 3.0, 1e-12)
	near(t, "carbonate, g/m²", 1000*float64(l.Carbonate()), 535, 0.5)
	if !strings.Contains(l.Scheme, "needed") {
		t.Error(l.Scheme)
	}
	heavy := must(LimeByWeight("heavy", 5.2))
	near(t, "largest at once", PerHectare(heavy.Single)/1000, 4.0, 1e-9)
	near(t, "very light, limited: no dose", tonnes(must(LimeByWeight("very light", 5.5))), 0, 0)
	near(t, "bound of 4.5 on light soil", tonnes(must(LimeByWeight("light", 4.5))), 3.5, 1e-12)
}

// UNL-LIME: a pure compound's strength beside carbonate is the ratio of molecular weights, and a short ton over it the amount.
func TestBases(t *testing.T) {
	for _, b := range Bases() {
		near(t, b.Formula, 100/b.Molecular*100, b.Strength, 0.6)
		near(t, b.Formula+", lb", 2000*b.Molecular/100, b.PoundsEach, 1e-9)
	}
}

// 90 % equivalent, half through 100 mesh, 40 % between, 10 % coarse: 66.6. CORNELL-AFS7.
func TestFineness(t *testing.T) {
	near(t, "effective", must(EffectiveStrength(90, 0.5, 0.4, 0.1)), 66.6, 1e-9)
	if _, err := EffectiveStrength(90, 0.5, 0.4, 0.4); err == nil {
		t.Error("shares above the whole were taken")
	}
	near(t, "equivalent 50", must(ProductShare(50)), 2, 0) // CLEMSON: 1 ton becomes 2; at 150 it is 67 %
	near(t, "equivalent 150", must(ProductShare(150)), 0.67, 0.005)
}

// The popular garden tables bound the UK's factor: loam from pH 6.0 to 6.5 is 4 lb per 100 sq ft there, 195 g/m².
func TestGardenTablesBoundTheFactor(t *testing.T) {
	texture := []string{"sand", "loam", "clay"}
	for _, row := range GardenLime() {
		for i, name := range texture {
			popular := row[i+1] * PoundsPer100SqFt
			ours := float64(must(LimeByFactor(name, row[0], 6.5)).Rate)
			if ours < popular/3 || ours > popular*3 {
				t.Errorf("%s from %g: %.3g kg/m² beside a popular %.3g", name, row[0], ours, popular)
			}
		}
	}
}

func TestTargets(t *testing.T) { // RB209-LIME: 6.5 (6.7) on mineral soil, 5.8 (6.0) on peat
	if o, a, _ := TargetPH(false); o != 6.5 || a != 6.7 {
		t.Error(o, a)
	}
	if o, a, _ := TargetPH(true); o != 5.8 || a != 6.0 {
		t.Error(o, a)
	}
}
