package soil

import (
	"testing"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// WEATHERS1913: 8 to 15 square rods a day are 202 to 379 m²; JEAVONS: 2 to 6 h per 100 sq ft are 0.215 to 0.646 h/m². His first double
// dig is 2.2 to 6.5 times trenching at 0.099 h/m².
func TestRates(t *testing.T) {
	of := func(name string) Rate {
		for _, r := range Rates() {
			if r.Work == name {
				return r
			}
		}
		t.Fatalf("no rate %s", name)
		return Rate{}
	}
	near(t, "8 rods", dayHours/of("single-dig").High, 202, 0.5)
	near(t, "15 rods", dayHours/of("single-dig").Low, 379, 0.5)
	near(t, "single dig, quick", of("single-dig").Low, 0.026, 0.0005)
	near(t, "single dig, slow", of("single-dig").High, 0.049, 0.0006)
	near(t, "trenching", of("trench").Mid(), 0.099, 0.0005)
	near(t, "double dig, quick", of("double-dig").Low, 0.215, 0.0005)
	near(t, "double dig, slow", of("double-dig").High, 0.646, 0.0005)
	near(t, "against trenching, low", of("double-dig").Low/of("trench").Mid(), 2.2, 0.05)
	near(t, "against trenching, high", of("double-dig").High/of("trench").Mid(), 6.5, 0.05)
	near(t, "hours on 10 m²", of("double-dig").Hours(10).High, 6.46, 0.005)
	for _, r := range Rates() {
		if _, ok := source.Find(r.Source); !ok || r.Low > r.High {
			t.Errorf("%+v", r)
		}
	}
}

// 70 kg for an hour at 5.0 are 350 kcal.
func TestEfforts(t *testing.T) {
	for _, e := range Efforts() {
		if _, ok := source.Find(e.Source); !ok {
			t.Errorf("%+v", e)
		}
		if e.Says == "digging" {
			near(t, "kcal", e.Energy(70, 1), 350, 1e-9)
		}
	}
}

// The ewe's 33 g of nitrogen a day, which one print gives as 3.
func TestEwe(t *testing.T) {
	for _, a := range Animals() {
		if a.Name == "ewe above 60 kg" {
			near(t, "N", a.Nitrogen, 33, 0)
		}
		if a.Nitrogen < a.Phosphate {
			t.Errorf("%s: droppings hold more nitrogen than phosphate", a.Name)
		}
	}
}

// The trench of a 5-ft bed holds 5 cu ft; a handbook prints seven five-gallon buckets, exactly 7.48.
func TestTrenchSoil(t *testing.T) {
	v := TrenchSoil(5*unit.Foot, unit.Foot, unit.Foot)
	near(t, "cubic feet", float64(v/unit.CubicFoot), 5, 1e-9)
	near(t, "buckets", float64(v/(5*unit.Gallon)), 7.48, 0.005)
}

// Water as a dressing: an inch on 100 sq ft is 62.34 US gallons, on 6 × 9 ft 33.66, on 15 × 25 ft 233.8 (a page prints 225); an inch, as
// 25.4 L/m². Three beds of 350 sq ft in all: 218.2.
func TestWaterAsADressing(t *testing.T) {
	gallons := func(sqft float64) float64 {
		d := must(Spread(Amount{Depth: unit.Inch}, unit.Area(sqft)*unit.SquareFoot))
		return float64(d.Volume / unit.Gallon)
	}
	near(t, "100 sq ft", gallons(100), 62.34, 0.005)
	near(t, "1 sq ft", gallons(1), 0.62, 0.005)
	near(t, "6 × 9", gallons(54), 33.66, 0.005)
	near(t, "15 × 25", gallons(375), 233.8, 0.05)
	near(t, "350 sq ft", gallons(350), 218.2, 0.05)
	near(t, "an inch", float64(must(Spread(Amount{Depth: unit.Inch}, 1)).Volume/unit.Litre), 25.4, 1e-9)
}

// Loads as trade pages print them: 2, 3 and 6 cu ft barrows to the cubic yard, and bulk weights in kg/m³.
func TestBarrows(t *testing.T) {
	for cuft, loads := range map[float64]float64{2: 13.5, 3: 9, 6: 4.5} {
		near(t, "loads", float64(unit.CubicYard)/(cuft*float64(unit.CubicFoot)), loads, 1e-9)
	}
	near(t, "compost, 800 lb a cubic yard", 800*PoundsPerCubicYard, 475, 0.5)
	near(t, "planting mix, 2,000 lb", 2000*PoundsPerCubicYard, 1187, 0.5)
	near(t, "topsoil, 1.3 short tons", 2600*PoundsPerCubicYard, 1542, 0.6)
}

// Densities that stop roots lie above the ideal ones.
func TestDensityLimits(t *testing.T) {
	for _, l := range DensityLimits() {
		if l.Ideal >= l.Restrict {
			t.Errorf("%+v", l)
		}
		if _, ok := source.Find(l.Source); !ok {
			t.Errorf("%+v", l)
		}
	}
}
