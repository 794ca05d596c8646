package ceiling

import (
	"fmt"
	"math"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/crop"
	"fairplot/internal/source"
	"fairplot/internal/unit"
	"fairplot/internal/water"
)

type row struct {
	what              string
	got, want, within float64
	origin            string
}

func compare(t *testing.T, rows []row) {
	t.Helper()
	for _, r := range rows {
		if math.IsNaN(r.got) || math.Abs(r.got-r.want) > r.within*(1+1e-9) {
			t.Errorf("%s: %s is %.9g, want %g ± %g", r.origin, r.what, r.got, r.want, r.within)
		}
	}
}

// No published worked example of these methods was found; the figures guard the printed formulas against slips, worked out apart from this program.
func TestLightByHand(t *testing.T) {
	want65 := []float64{0.277473, 0.477954, 0.727468, 0.857726, 0.925726, 0.961226, 0.979758}
	want50 := []float64{0.221199, 0.393469, 0.632121, 0.776870, 0.864665, 0.917915, 0.950213}
	for i, lai := range []float64{0.5, 1, 2, 3, 4, 5, 6} {
		compare(t, []row{{"caught, k 0.65", Caught(0.65, lai), want65[i], 6e-7, "SWAT-THEORY by hand"}, {"caught, k 0.5", Caught(0.5, lai), want50[i], 6e-7, "SWAT-THEORY by hand"}})
	}
	h := ForLeaves(18, 0.65, 4)
	compare(t, []row{
		{"caught MJ", float64(h), 8.331538, 1e-6, "SWAT-THEORY by hand"},
		{"grown kg/m²", float64(Grown(h, 2.5)), 208.288e-4, 1e-7, "SWAT-THEORY by hand"},
		{"root share 1.12", RootShare(1.12), 0.528302, 1e-6, "SWAT-HI by hand"}, {"1.25", RootShare(1.25), 0.555556, 1e-6, "SWAT-HI by hand"}, {"2", RootShare(2), 0.666667, 1e-6, "SWAT-HI by hand"},
		{"a British crop, g/m² a day", float64(Grown(climate.Radiation(0.9*18), 1.4)) * 1000, 22.68, 1e-9, "MONTEITH1977: 1.4 g/MJ of all light caught"},
	})
}

func TestZonesByHand(t *testing.T) {
	f := Clouded(361, 452)
	gross := Gross(f, 65, 228, 427)
	ct := Respiration(25.3, false)
	f2 := Clouded(386.75, 18*calories)
	gross2 := Gross(f2, 20, 254.75, 490.75)
	ct2 := Respiration(16, false)
	compare(t, []row{
		{"clouded", f, 0.46745152, 1e-8, "AEZ, inputs of an R package's example"}, {"gross", gross, 637.760648, 1e-5, "AEZ by hand"}, {"Ct", ct, 0.007907328, 1e-9, "AEZ by hand"},
		{"net", Net(gross, 1, 120, ct), 22268.686, 0.01, "AEZ by hand"}, {"net at LAI 4", Net(gross, LeafShare(4), 120, ct), 20041.817, 0.01, "AEZ by hand"},
		{"yield", 0.4 * Net(gross, LeafShare(4), 120, ct), 8016.727, 0.01, "AEZ by hand"},
		{"clouded at 50 N", f2, 0.55523172, 1e-6, "AEZ by hand"}, {"gross", gross2, 359.715315, 1e-4, "AEZ by hand"}, {"Ct", ct2, 0.00356832, 1e-9, "AEZ by hand"},
		{"net", Net(gross2, LeafShare(5), 120, ct2), 14037.042, 0.05, "AEZ by hand"}, {"fresh", float64(Fresh(unit.Yield(0.6*Net(gross2, 1, 120, ct2)), 0.21)), 40105.8, 0.2, "AEZ by hand"},
		{"legume breath at 30 °C", Respiration(30, true), 0.0283283, 1e-7, "AEZ by hand"}, {"other breath at 30 °C", Respiration(30, false), 0.0108108, 1e-7, "AEZ by hand"},
		{"continuous at Pm 20", Gross(0.3, 20, 200, 400), Gross(0.3, 19.999999, 200, 400), 1e-3, "both printed forms meet at 20"},
		{"leaf share 2.5", LeafShare(2.5), 0.7, 1e-12, "AEZ: straight between 0.6 and 0.8"},
	})
}

func TestClosedFormByHand(t *testing.T) {
	clear, overcast := closedC3(18)
	p := Closed(40, 0.45, 18, false)
	compare(t, []row{
		{"cTc", clear, 1.040416, 1e-6, "BARBIERI1992 by hand"}, {"cTn", overcast, 1.101040, 1e-6, "BARBIERI1992 by hand"}, {"a day", p, 357.300161, 1e-5, "FAO33 by hand"},
		{"leaf 4", ClosedLeaf(4), 0.4693, 1e-9, "BARBIERI1992 by hand"}, {"120 days fresh", p * 120 * ClosedLeaf(4) * breath(18) * 0.60 / (1 - 0.79), 34494.37, 0.01, "FAO33 by hand"},
	})
}

func TestTablesAreReadAtTheirLines(t *testing.T) {
	for _, r := range []struct{ latitude, month, light, clear, overcast float64 }{
		{50, 5, 418, 522, 273}, {0, 0, 343, 413, 219}, {40, 8, 298, 390, 200}, {70, 0, 0, 0, 0}, {-50, 11, 418, 522, 273}, {80, 6, 380, 575, 273}, {45, 5, 420, 514, 270.5},
	} {
		l, c, o := standard(r.latitude, r.month)
		compare(t, []row{{"light", l, r.light, 1e-9, "DEWIT1965 tables"}, {"clear", c, r.clear, 1e-9, "DEWIT1965 tables"}, {"overcast", o, r.overcast, 1e-9, "DEWIT1965 tables"}})
	}
	if l := leaves("cool", 30); l.Low != 5 || l.High != 5 {
		t.Errorf("cool crops at 30 °C have %v in the printed scheme", l)
	}
}

// summer is an English growing season made by rule: it is invented.
func summer(n int, sun, shift float64) []climate.Weather {
	out := make([]climate.Weather, n)
	for i := range out {
		d := civil.Of(2025, time.April, 20).AddDays(i)
		mid := 10 + shift + 7*math.Sin(math.Pi*float64(d.YearDay()-105)/180)
		out[i] = climate.Weather{Date: d, Min: climate.Some(mid - 5), Max: climate.Some(mid + 5), Radiation: climate.Some(sun)}
	}
	return out
}

func TestYieldIsARangeWithItsMethods(t *testing.T) {
	place := climate.Place{Latitude: 52}
	for _, name := range []string{"potato", "carrot", "cabbage", "tomato", "onion", "leek", "beetroot", "runner bean", "winter squash", "sweetcorn"} {
		c, err := Yield(Season{Crop: name, Place: place, Days: summer(130, 17, 0)})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(c.Estimates) < 3 || c.Fresh.Low <= 0 && name != "tomato" || c.Fresh.High <= c.Fresh.Low || c.Fresh.High > 60 || c.Spread < 1 {
			t.Errorf("%s: %d methods, %.2f to %.2f kg/m², spread %.2f", name, len(c.Estimates), c.Fresh.Low, c.Fresh.High, c.Spread)
		}
		for _, e := range c.Estimates {
			if e.Biomass.Low > e.Biomass.High || e.Status == "" || len(e.Sources) == 0 {
				t.Errorf("%s by %s: %+v", name, e.Method, e)
			}
		}
		if proxied := c.Estimates[0].Proxy != ""; proxied != (name == "leek" || name == "beetroot" || name == "runner bean" || name == "winter squash") {
			t.Errorf("%s: proxy is %q", name, c.Estimates[0].Proxy)
		} else if proxied && len(c.Notes) == 0 {
			t.Errorf("%s: nothing says that a relative stands in", name)
		}
	}
}

// Good commercial yields of potatoes in the temperate zone are 25 to 35 t/ha (FAO 33, from memory); a ceiling lies above that.
func TestPotatoCeilingIsOfTheRightSize(t *testing.T) {
	c, err := Yield(Season{Crop: "potato", Place: climate.Place{Latitude: 52}, Days: summer(130, 17, 0)})
	if err != nil {
		t.Fatal(err)
	}
	if c.Fresh.High < 3.5 || c.Fresh.High > 15 {
		t.Errorf("the ceiling of potatoes is %.1f to %.1f kg/m²", c.Fresh.Low, c.Fresh.High)
	}
}

// The usual yields of the tables of crops come from other works than the methods here; a ceiling that lay below them would be wrong.
func TestCeilingsLieAboveUsualYields(t *testing.T) {
	compared := 0
	for _, c := range crop.All() {
		usual, ok := c.Figure(crop.UsualYield)
		y, err := Yield(Season{Crop: c.Name, Place: climate.Place{Latitude: 50}, Days: summer(130, 17, 2)})
		if !ok || err != nil {
			continue
		}
		compared++
		if float64(y.Fresh.High) < usual.Low {
			t.Errorf("%s: ceiling %.1f to %.1f kg/m², but %s is usual (%s)", c.Name, y.Fresh.Low, y.Fresh.High, usual, usual.Source)
		}
	}
	if compared < 30 {
		t.Errorf("only %d crops were compared", compared)
	}
}

func TestMoreLightAndLongerSeasonsNeverLowerTheCeiling(t *testing.T) {
	place := climate.Place{Latitude: 52}
	yield := func(days int, sun float64) Ceiling {
		c, err := Yield(Season{Crop: "carrot", Place: place, Days: summer(days, sun, 0)})
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	for _, sun := range []float64{8, 12, 16, 20} {
		less, more := yield(120, sun), yield(120, sun+2)
		for i := range less.Estimates {
			if more.Estimates[i].Biomass.High < less.Estimates[i].Biomass.High-1e-9 {
				t.Errorf("%s: %g MJ gives more than %g MJ", less.Estimates[i].Method, sun, sun+2)
			}
		}
	}
	for _, n := range []int{80, 100, 120, 140} {
		if yield(n, 15).Fresh.High > yield(n+10, 15).Fresh.High {
			t.Errorf("%d days give more than %d", n, n+10)
		}
	}
}

func TestWaterLowersTheCeiling(t *testing.T) {
	s := Season{Crop: "potato", Place: climate.Place{Latitude: 52}, Days: summer(130, 17, 0), Used: 0.8}
	c, err := Yield(s)
	if err != nil {
		t.Fatal(err)
	}
	k := water.ResponseOf("potato").Ky
	compare(t, []row{{"with 80 % of its water", float64(c.WithWater.High / c.Fresh.High), 1 - k*0.2, 1e-9, "FAO56 eq. 90"}})
	if _, err := Yield(Season{Crop: "potato", Place: s.Place, Days: s.Days[:5]}); err == nil {
		t.Error("five days gave a ceiling")
	}
	if _, err := Yield(Season{Crop: "oak", Place: s.Place, Days: s.Days}); err == nil {
		t.Error("oak gave a ceiling")
	}
}

func TestTablesNameCrops(t *testing.T) {
	for _, file := range []string{"crops", "field", "simple"} {
		for _, r := range source.Table(data, file) {
			if c, ok := crop.Find(r[0]); !ok || c.Name != r[0] {
				t.Errorf("table %s names %q, which is no crop's own name", file, r[0])
			}
		}
	}
	without := map[string]bool{"artichoke": true, "asparagus": true, "rhubarb": true, "cowpea": true} // no figures that can be stood behind
	for _, c := range crop.All() {
		if _, err := factsOf(c.Name); (err != nil) != without[c.Name] {
			t.Errorf("%s: %v", c.Name, err)
		}
	}
}

func ExampleNet() {
	gross := Gross(Clouded(361, 452), 65, 228, 427)
	fmt.Printf("%.0f kg/ha of dry matter, maize at 11° N in 120 days\n", Net(gross, LeafShare(4), 120, Respiration(25.3, false)))
	// Output: 20042 kg/ha of dry matter, maize at 11° N in 120 days
}
