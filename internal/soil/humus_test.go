package soil

import (
	"fmt"
	"math"
	"testing"

	"fairplot/internal/unit"
)

// Worked from REMY1974: K2 at clay and carbonate in g/kg.
func TestMineralisation(t *testing.T) {
	for _, c := range [][3]float64{{100, 0, 0.0200}, {200, 0, 0.0150}, {300, 100, 0.010435}, {250, 300, 0.009195}} {
		near(t, fmt.Sprint(c[:2]), must(Mineralisation(c[0], c[1])), c[2], 6e-7)
	}
	if _, err := Mineralisation(25, -1); err == nil {
		t.Error("negative carbonate was taken")
	}
}

// HENIN1945 from 63 t/ha with 1.25 t/ha of new humus a year, K2 0.015.
func TestOnePool(t *testing.T) {
	p := OnePool{Start: 63, Input: 5, K1: 0.25, K2: 0.015}
	for years, want := range map[float64]float64{1: 63.3027, 10: 65.8323, 50: 73.7285} {
		near(t, fmt.Sprint("after ", years), p.At(years), want, 6e-5)
	}
	near(t, "equilibrium", p.Equilibrium(), 83.333, 0.0005)
	near(t, "far out", p.At(5000), p.Equilibrium(), 1e-9)
	near(t, "at the start", p.At(0), 63, 0)
}

// A teaching exercise: 25 cm at 1.4 t/m³ are 3,500 t/ha, of 1.8 % humus 63 t; at K2 2 % 1.26 t go a year, made good by 6.3 t of straw (K1
// 0.20) or 2.52 t of manure (K1 0.50). And 90 t/ha at 1.7 % lose 1.5.
func TestYearlyBalance(t *testing.T) {
	s := StockOf(1400, 0.25, 0, 1.8)
	near(t, "soil", PerHectare(s.Soil)/1000, 3500, 1e-9)
	near(t, "humus", PerHectare(s.OrganicMatter)/1000, 63, 1e-9)
	gain, loss := OnePool{Start: 63, Input: 6.3, K1: 0.20, K2: 0.02}.Balance()
	near(t, "loss", loss, 1.26, 1e-9)
	near(t, "straw makes it good", gain, loss, 1e-9)
	gain, _ = OnePool{Start: 63, Input: 2.52, K1: 0.50, K2: 0.02}.Balance()
	near(t, "manure makes it good", gain, loss, 1e-9)
	_, loss = OnePool{Start: 90, K1: 0.2, K2: 0.017}.Balance()
	near(t, "90 t at 1.7 %", loss, 1.5, 0.05)
}

// Steps of a thousandth of a year lead where the closed form does.
func TestOnePoolBySteps(t *testing.T) {
	p := OnePool{Start: 40, Input: 8, K1: 0.4, K2: 0.018}
	y, step := p.Start, 1e-3
	for range 30000 {
		middle := y + step/2*(p.K1*p.Input-p.K2*y)
		y += step * (p.K1*p.Input - p.K2*middle)
	}
	near(t, "30 years", p.At(30), y, 1e-6)
}

// ICBM1997, table 1 by the parameters of R's SoilR 1.2.107, totals by closed form and by Runge-Kutta there.
func TestTwoPool(t *testing.T) {
	for _, c := range []struct {
		name string
		p    TwoPool
		want map[float64]float64
	}{
		{"bare fallow", TwoPool{0, 0.13, 1.32, 0.30, 3.96}, map[float64]float64{0: 4.2600, 1: 4.0582, 10: 3.6923, 20: 3.4089, 30: 3.1473}},
		{"N and straw", TwoPool{0.285, 0.125, 1.00, 0.30, 4.11}, map[float64]float64{0: 4.4100, 1: 4.4478, 10: 4.5640, 20: 4.6627, 30: 4.7555}},
		{"straw", TwoPool{0.248, 0.125, 1.22, 0.30, 4.05}, map[float64]float64{0: 4.3500, 1: 4.3261, 10: 4.3201, 20: 4.3297, 30: 4.3385}},
		{"manure", TwoPool{0.272, 0.250, 1.10, 0.30, 3.99}, map[float64]float64{0: 4.2900, 1: 4.3353, 10: 4.6979, 20: 5.0732, 30: 5.4244}},
		{"steady", TwoPool{0.200, 0.125, 1.00, 0.25, 4.16}, map[float64]float64{0: 4.4100, 1: 4.4098, 10: 4.4084, 20: 4.4068, 30: 4.4054}},
	} {
		for years, want := range c.want {
			near(t, fmt.Sprint(c.name, " after ", years), c.p.Total(years), want, 6e-5)
		}
	}
	y, o := TwoPool{Input: 0.2, Humified: 0.125, Climate: 1}.Steady()
	near(t, "young", y, 0.2500, 5e-5)
	near(t, "old", o, 4.1322, 5e-5)
	for name, want := range map[string]float64{"crop residues": 0.125, "manure": 0.25, "sludge": 0.34} {
		near(t, name, must(Humified(name)), want, 0)
	}
}

// Carbon is kept: what comes in less what is lost is what the pools gain. The loss is integrated by small steps beside the closed form.
func TestTwoPoolKeepsCarbon(t *testing.T) {
	p := TwoPool{0.3, 0.2, 1.1, 0.2, 3}
	lost, step := 0.0, 0.01
	for i := range 2000 {
		y, o := p.At((float64(i) + 0.5) * step)
		lost += step * p.Climate * ((1-p.Humified)*youngRate*y + oldRate*o)
	}
	near(t, "20 years", p.Total(20)-p.Total(0), 20*p.Input-lost, 1e-4)
}

func TestBadPools(t *testing.T) {
	for _, p := range []OnePool{{63, 5, 25, 0.015}, {63, 5, 0.25, 1.5}, {-1, 5, 0.25, 0.015}} {
		if p.Check() == nil {
			t.Errorf("%+v was taken", p)
		}
	}
	for _, p := range []TwoPool{{0.2, 12.5, 1, 0.3, 4}, {0.2, 0.125, 0, 0.3, 4}, {-1, 0.125, 1, 0.3, 4}} {
		if p.Check() == nil {
			t.Errorf("%+v was taken", p)
		}
	}
}

// ROTHC at three clay contents, as worked from its formula; the three shares are the whole.
func TestRothC(t *testing.T) {
	for _, c := range [][4]float64{{10, 0.81157, 0.08668, 0.10175}, {23.4, 0.77848, 0.10190, 0.11962}, {40, 0.76217, 0.10940, 0.12843}} {
		co2, bio, hum := RothCShares(c[0])
		near(t, "CO2", co2, c[1], 6e-6)
		near(t, "BIO", bio, c[2], 6e-6)
		near(t, "HUM", hum, c[3], 6e-6)
		near(t, "all", co2+bio+hum, 1, 1e-12)
	}
	for celsius, want := range map[float64]float64{0: 0.14387, 5: 0.49713, 9.3: 1.00127, 15: 1.89845, 20: 2.82149, 25: 3.80198} {
		near(t, fmt.Sprint(celsius, " °C"), RothCTemperature(celsius), want, 6e-6)
	}
	near(t, "frost", RothCTemperature(-6), 0, 0)
	near(t, "largest deficit", RothCMaxDeficit(23.4, 23), -44.944, 0.0005)
	d, r, h := RothCManure()
	near(t, "manure split", d+r+h, 1, 1e-12)
}

// The moisture of Rothamsted's table 1, months 1 to 12; the deficits are worked from its inputs.
func TestRothCMoisture(t *testing.T) {
	rain := []float64{74, 59, 62, 51, 52, 57, 34, 55, 58, 56, 75, 71}
	pan := []float64{8, 10, 27, 49, 83, 99, 103, 91, 69, 34, 16, 8}
	deficit, factor := RothCMoisture(rain, pan, 23.4, 23)
	for i, want := range []float64{0, 0, 0, 0, -10.25, -27.50, -44.94, -44.94, -38.69, -8.19, 0, 0} {
		near(t, fmt.Sprint("deficit, month ", i+1), deficit[i], want, 0.0051)
	}
	for i, want := range []float64{1, 1, 1, 1, 1, 0.758, 0.2, 0.2, 0.400, 1, 1, 1} {
		near(t, fmt.Sprint("factor, month ", i+1), factor[i], want, 0.0006)
	}
}

// More input never leaves less humus, in either model.
func TestHumusIsMonotone(t *testing.T) {
	for years := 1.0; years < 100; years += 7 {
		last1, last2 := -1.0, -1.0
		for input := 0.0; input < 10; input++ {
			one := OnePool{50, input, 0.3, 0.02}.At(years)
			two := TwoPool{input / 10, 0.2, 1, 0.3, 4}.Total(years)
			if one < last1 || two < last2 {
				t.Fatalf("%g years, input %g: %g after %g, %g after %g", years, input, one, last1, two, last2)
			}
			last1, last2 = one, two
		}
	}
}

// 50 l of wet compost at 700 kg/m³ weigh 35 kg, above what one person is advised to lift even at best. NIOSH94-110: 23 kg at best.
func TestLifting(t *testing.T) {
	best := must(Lift{Away: 0.25, Height: 0.75, Travel: 0.25}.RecommendedWeight())
	near(t, "at best", float64(best), 23, 1e-9)
	load := unit.Density(700).Of(50 * unit.Litre)
	near(t, "load", float64(load), 35, 1e-9)
	if load <= best {
		t.Error("35 kg passed")
	}
	// 50 cm away halves it; 45° of twist takes 14.4 %; from the floor (0 cm) 22.5 %; a metre of travel leaves 0.865. All from the equation.
	near(t, "away", float64(must(Lift{Away: 0.5, Height: 0.75, Travel: 0.25}.RecommendedWeight())), 11.5, 1e-9)
	near(t, "twist", float64(must(Lift{Height: 0.75, Twist: 45}.RecommendedWeight())), 23*0.856, 1e-9)
	near(t, "floor", float64(must(Lift{}.RecommendedWeight())), 23*0.775, 1e-9)
	near(t, "travel", float64(must(Lift{Height: 0.75, Travel: 1}.RecommendedWeight())), 23*0.865, 1e-9)
	if _, err := (Lift{Away: 1}).RecommendedWeight(); err == nil {
		t.Error("a lift at a metre's reach was taken")
	}
	for perMinute, want := range map[float64]float64{0.5: 0, 1.5: 0.3, 6: 0.5, 13: 0.8} { // INDG143
		near(t, fmt.Sprint(perMinute, " a minute"), LiftReduction(perMinute, 0), want, 1e-12)
	}
	near(t, "twist beyond 90°", LiftReduction(0.4, 100), 0.2, 1e-12)
	near(t, "twist beyond 45°", LiftReduction(0.4, 60), 0.1, 1e-12)
}

// BenchmarkDecades runs both models for 500 beds over 50 years, yearly; the budget is 50 ms.
func BenchmarkDecades(b *testing.B) {
	for b.Loop() {
		sum := 0.0
		for bed := range 500 {
			one := OnePool{50 + float64(bed%7), 5, 0.3, 0.015}
			two := TwoPool{0.25, 0.2, 1 + float64(bed%5)/10, 0.3, 4}
			sum += Path(one.At, 50)[50] + Path(two.Total, 50)[50]
		}
		if math.IsNaN(sum) {
			b.Fatal("lost")
		}
	}
}
