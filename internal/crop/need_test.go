package crop

import (
	"fmt"
	"testing"

	"fairplot/internal/unit"
)

// White cabbage, fresh market: table 260 at 7 kg/m²; own yield 5.6; mineral N 40; humus 5 %. Worked from DUV-A4 by hand.
func ExampleCrop_NitrogenNeed() {
	c, _ := Find("white cabbage")
	n, _ := c.NitrogenNeed(NeedAsked{OwnYield: 5.6, Mineral: 40, Humus: 5})
	for _, l := range n.Lines {
		fmt.Printf("%+4.0f %s\n", l.Nitrogen, l.Says)
	}
	fmt.Printf("%.0f kg N/ha, soil sampled to %s\n", n.Total, n.Depth)
	// Output:
	// +260 the table's need
	//  -40 own yield 5.6 kg/m² against 7
	//  -40 mineral nitrogen in the soil
	//  -20 humus above 4 %
	// 160 kg N/ha, soil sampled to 60 cm
}

func TestNeedRules(t *testing.T) {
	total := func(name string, a NeedAsked) float64 {
		t.Helper()
		n, err := need(t, name).NitrogenNeed(a)
		if err != nil {
			t.Fatal(err)
		}
		return n.Total
	}
	near(t, "plain", total("lettuce", NeedAsked{}), 150, 0)
	near(t, "20 % more yield, 20 kg more", total("lettuce", NeedAsked{OwnYield: 6}), 170, 1e-9)
	near(t, "a part step adds nothing", total("lettuce", NeedAsked{OwnYield: 5.9}), 150, 0)
	near(t, "a part step takes off its share", total("lettuce", NeedAsked{OwnYield: 4.5}), 140, 1e-9)
	near(t, "leek counts 40", total("leek", NeedAsked{OwnYield: 7.2}), 290, 1e-9)
	near(t, "fleece", total("lettuce", NeedAsked{Fleece: true}), 170, 0)
	near(t, "clover cover", total("lettuce", NeedAsked{Cover: "legume-spring", LastYear: "grass"}), 90, 0)
	near(t, "humus of just 4 %", total("lettuce", NeedAsked{Humus: 4}), 150, 0)
	near(t, "manure and compost of the years before", total("lettuce", NeedAsked{LastDress: 100, Composts: []float64{100, 100, 100}}), 130, 1e-9)
	near(t, "never below nothing", total("lettuce", NeedAsked{Mineral: 900}), 0, 0)
	if _, err := need(t, "lettuce").NitrogenNeed(NeedAsked{Cover: "moss"}); err == nil {
		t.Error("an unknown cover crop was taken")
	}
	if _, err := need(t, "okra").NitrogenNeed(NeedAsked{}); err == nil {
		t.Error("a need was made up for okra")
	}
}

// More nitrogen in the soil never raises the need.
func TestNeedFallsWithMineralNitrogen(t *testing.T) {
	for _, c := range All() {
		last := 1e9
		for mineral := 0.0; mineral <= 400; mineral += 25 {
			n, err := c.NitrogenNeed(NeedAsked{Mineral: mineral})
			if err != nil {
				break
			}
			if n.Total > last {
				t.Fatalf("%s: %g after %g", c.Name, n.Total, last)
			}
			last = n.Total
		}
	}
}

// 30 t of carrots take off 39 kg N and 24 kg P2O5. Worked from DUV-A7.
func TestRemoval(t *testing.T) {
	r, err := need(t, "carrot").Removal(30*unit.Tonne, "topped")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "N", float64(r.Nitrogen.Mass), 39, 1e-9)
	near(t, "P2O5", float64(r.Phosphate.Mass), 24, 1e-9)
	cabbage, _ := need(t, "cabbage").Removal(50*unit.Tonne, "")
	near(t, "cabbage P2O5 at 50 t", float64(cabbage.Phosphate.Mass), 36.5, 1e-9)
	potato, _ := need(t, "potato").Removal(unit.Tonne, "")
	near(t, "potato N", float64(potato.Nitrogen.Mass), 3.5, 1e-9)
	if _, err := need(t, "carrot").Removal(1, "candied"); err == nil {
		t.Error("an unknown basis was taken")
	}
	if _, err := need(t, "carrot").Removal(-1, ""); err == nil {
		t.Error("a negative harvest was taken")
	}
}

// The contents worked from the food table (kg/t of the edible part) beside the statutory ones, as two independent sources.
func TestFoodTableAgainstStatute(t *testing.T) {
	for _, c := range []struct {
		name               string
		n, p, k            float64 // from SR28
		statuteN, statuteP float64
	}{{"cabbage", 2.05, 0.60, 2.05, 2.0, 0.73}, {"carrot", 1.49, 0.80, 3.85, 1.3, 0.80}, {"broccoli", 4.51, 1.51, 3.81, 4.5, 1.49},
		{"leek", 2.40, 0.80, 2.17, 2.5, 0.80}, {"potato", 3.28, 1.31, 5.12, 3.5, 1.4}} {
		f, _ := need(t, c.name).Food()
		near(t, c.name+" N", f.nitrogen(), c.n, 0.005)
		near(t, c.name+" P2O5", f.phosphate(), c.p, 0.006)
		near(t, c.name+" K2O", f.potash(), c.k, 0.006)
		n, _ := need(t, c.name).Figure(NitrogenIn)
		p, _ := need(t, c.name).Figure(PhosphateIn)
		near(t, c.name+" N by statute", n.Mid(), c.statuteN, 1e-9)
		near(t, c.name+" P2O5 by statute", p.Mid(), c.statuteP, 1e-9)
	}
}

// IPNI TX-55: 13.8 short tons of sweet onions per acre took off 61 lb N.
func TestOnionRemovalBesideAFieldTrial(t *testing.T) {
	trial := 61.0 / 13.8 * 0.5
	near(t, "kg N/t", trial, 2.21, 0.005)
	r, _ := need(t, "onion").Removal(unit.Tonne, "")
	if float64(r.Nitrogen.Low) > trial || float64(r.Nitrogen.High) < trial {
		t.Errorf("the range %g-%g kg/t leaves out the trial's %g", r.Nitrogen.Low, r.Nitrogen.High, trial)
	}
}

// 2.5 kg of carrots without tops: 2.225 kg edible, 912 kcal, 131 mg vitamin C.
func TestFoodValue(t *testing.T) {
	f, _ := need(t, "carrot").Food()
	edible := unit.Mass(2.5 * f.EdibleShare())
	near(t, "edible", float64(edible), 2.225, 1e-9)
	got := f.Of(edible)
	near(t, "kcal", got.Energy, 912, 0.5)
	near(t, "vitamin C", got.VitaminC, 131, 0.5)
	if f.Energy != 41 {
		t.Error("Of changed the table")
	}
}

// Entries that tell one release of the food table from another.
func TestFoodRelease(t *testing.T) {
	food := func(name, entry string) Food {
		for _, f := range need(t, name).Foods() {
			if f.Entry[:5] == entry {
				return f
			}
		}
		t.Fatalf("%s has no entry %s", name, entry)
		return Food{}
	}
	near(t, "carrots", food("carrot", "11124").Energy, 41, 0)
	near(t, "tomato", food("tomato", "11529").Energy, 18, 0)
	near(t, "potato", food("potato", "11352").Energy, 77, 0)
	near(t, "garlic", food("garlic", "11215").Energy, 149, 0)
	near(t, "peas, protein", food("pea", "11304").Protein, 5.42, 0)
	near(t, "red pepper, vitamin C", food("pepper", "11821").VitaminC, 127.7, 0)
}

// The guide of New England prints 34 lb K2O for 16 tons of aubergine, a tenth of the likely figure: it is not shipped.
func TestAubergineMisprintIsNotShipped(t *testing.T) {
	for _, f := range need(t, "eggplant").Contents(PotashIn) {
		if f.Mid() < 1.5 {
			t.Errorf("aubergine potash %v (%s)", f, f.Source)
		}
	}
}
