package climate_test

import (
	"math"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/unit"
)

// Table 7 of Zalom and others (1983) as copied into the test data of a degree-day library: lower limit 55 °F, upper 90 °F, horizontal cut-off.
// The double triangle of the first row that crosses the upper limit is listed there as 24.88; by its own formula it is 27.125, and the other
// 47 of 48 values agree with the formulas.
func TestDegreeDaysOfZalom(t *testing.T) {
	l := climate.Limits{Lower: 55, Upper: 90}
	for _, r := range []struct{ min, max, next, st, dt, ss, ds float64 }{
		{96, 110, 91, 35, 35, 35, 35}, {91, 105, 96, 35, 35, 35, 35}, {45, 54, 38, 0, 0, 0, 0}, {38, 50, 45, 0, 0, 0, 0},
		{60, 80, 75, 15, 18.75, 15, 18.75}, {75, 88, 60, 26.5, 22.75, 26.5, 22.75}, {50, 82, 45, 11.39, 10.62, 11.85, 11.31},
		{60, 100, 75, 23.75, 27.125, 22.82, 26.26}, {75, 95, 60, 29.38, 25.76, 28.91, 25.30},
	} {
		h := climate.Heat{Min: unit.Temperature(r.min), Max: unit.Temperature(r.max), NextMin: unit.Temperature(r.next)}
		run(t, []check{
			{"single triangle", climate.DegreeDays(climate.Triangle, h, l), r.st, 0.0051, "ZALOM1983 table 7"},
			{"double triangle", climate.DegreeDays(climate.DoubleTriangle, h, l), r.dt, 0.0065, "ZALOM1983 table 7; one row put right, see above"},
			{"single sine", climate.DegreeDays(climate.Sine, h, l), r.ss, 0.0051, "ZALOM1983 table 7"},
			{"double sine", climate.DegreeDays(climate.DoubleSine, h, l), r.ds, 0.0051, "ZALOM1983 table 7"},
		})
	}
}

func TestDegreeDaysOfMcMaster(t *testing.T) {
	for _, r := range []struct{ max, min, one, two float64 }{
		{20, 10, 15, 15}, {10, 1, 5.5, 5.5}, {8, -2, 3, 4}, {6, 0, 3, 3}, {10, 5, 7.5, 7.5}, {5, -5, 0, 2.5}, {-2, -7, 0, 0}, {-5, -10, 0, 0}, {10, -2, 4, 5}, {15, 2, 8.5, 8.5},
	} {
		h := climate.Heat{Min: unit.Temperature(r.min), Max: unit.Temperature(r.max)}
		none := climate.Limits{Lower: 0, Upper: -1}
		run(t, []check{
			{"method 1", climate.DegreeDays(climate.Average, h, none), r.one, 1e-9, "MCMASTER1997 table 1"},
			{"method 2", climate.DegreeDays(climate.Clamped, h, none), r.two, 1e-9, "MCMASTER1997 table 1"},
		})
	}
}

func TestOtherDegreeDays(t *testing.T) {
	sine := func(low, high, lower, upper unit.Temperature) float64 {
		return climate.DegreeDays(climate.Sine, climate.Heat{Min: low, Max: high}, climate.Limits{Lower: lower, Upper: upper})
	}
	quarters := func(low, high, base unit.Temperature) float64 {
		return climate.DegreeDays(climate.Quarters, climate.Heat{Min: low, Max: high}, climate.Limits{Lower: base})
	}
	run(t, []check{
		{"sine", sine(7, 14, 12, 33), 0.47, 0.005, "documentation of the R package TrenchR"},
		{"triangle", climate.DegreeDays(climate.Triangle, climate.Heat{Min: 7, Max: 14}, climate.Limits{Lower: 12, Upper: 33}), 0.29, 0.005, "documentation of the R package TrenchR"},
		{"sine", sine(5, 15, 10, 0), 5 / math.Pi, 1e-9, "half a sine wave by hand"},
		{"sine", sine(5, 25, 10, 30), 6.0900, 5e-5, "numerical integration"},
		{"sine", sine(2, 12, 4.4, 0), 3.1120, 5e-5, "numerical integration"},
		{"sine", sine(-2, 9, 4.4, 0), 1.3242, 5e-5, "numerical integration"},
		{"quarters", quarters(2, 12, 5), 2.75, 1e-9, "METEIREANN by hand"},
		{"quarters", quarters(0, 8, 5), 0.75, 1e-9, "METEIREANN by hand"},
		{"cucumber at 30 °C (86 °F)", climate.CucumberDay(30), 26, 1e-9, "PERRY1996 by hand"},
		{"cucumber at 35 °C (95 °F)", climate.CucumberDay(35), 25, 1e-9, "PERRY1996 by hand: 90 - 5 - 60"},
	})
}

func TestMoreWarmthNeverCountsLess(t *testing.T) {
	for _, m := range climate.Methods() {
		for low := unit.Temperature(-6); low <= 30; low += 1.5 {
			for high := low; high <= 38; high += 1.5 {
				h := climate.Heat{Min: low, Max: high, NextMin: low}
				l := climate.Limits{Lower: 5, Upper: 30}
				now := climate.DegreeDays(m, h, l)
				warmer := climate.DegreeDays(m, climate.Heat{Min: low, Max: high + 1, NextMin: low}, l)
				if now < 0 || now > 25 || m != climate.Quarters && warmer < now-1e-9 {
					t.Fatalf("%s: %v to %v gives %g, a degree warmer %g", m, low, high, now, warmer)
				}
			}
		}
	}
}

func TestFrostLaw(t *testing.T) {
	dates := climate.Frosts{Days: []float64{118, 131, 109, 125, 122, 140, 115, 128, 120, 112}, Years: 10}
	law, err := dates.Law()
	if err != nil {
		t.Fatal(err)
	}
	early, _ := law.SpringDay(0.9)
	middle, _ := law.SpringDay(0.5)
	late, _ := law.SpringDay(0.1)
	run(t, []check{
		{"mean", law.Mean, 122, 1e-9, "by hand"}, {"sd", law.SD, 9.357113, 1e-6, "R sd()"},
		{"day of 90 % risk", early, 110.0084, 1e-4, "R qnorm"}, {"day of 50 %", middle, 122, 1e-9, "R qnorm"}, {"day of 10 %", late, 133.9916, 1e-4, "R qnorm"},
		{"risk after day 131", law.After(131), 0.1680662, 1e-7, "R pnorm"}, {"seen after day 131", dates.SeenAfter(131), 0.1, 1e-9, "counted: one year of ten"},
	})
	for p, z := range map[float64]float64{0.02: -2.053749, 0.05: -1.644854, 0.10: -1.281552, 0.20: -0.841621, 0.25: -0.674490, 0.75: 0.674490, 0.98: 2.053749} {
		day, _ := climate.FrostLaw{Mean: 0, SD: 1, Share: 1, N: 10}.AutumnDay(p)
		run(t, []check{{"quantile", day, z, 6e-7, "R qnorm"}})
	}
	rare := climate.FrostLaw{Mean: 100, SD: 5, Share: 0.3, N: 3}
	if _, ok := rare.SpringDay(0.4); ok {
		t.Error("a frost that three years in ten have cannot come with a risk of 40 %")
	}
	if rare.After(0) > 0.3 {
		t.Error("the risk exceeds the share of years with a frost")
	}
	if _, err := (climate.Frosts{Days: []float64{1, 2}, Years: 2}).Law(); err == nil {
		t.Error("two dates gave a spread")
	}
}

func TestFrostsAreReadFromMinima(t *testing.T) {
	var days []climate.Weather
	for d := civil.Of(2022, 1, 1); d.Year() < 2025; d = d.AddDays(1) {
		low := 8.0
		switch {
		case d.YearDay() < 100+d.Year()-2022, d.YearDay() > 300:
			low = -3
		case d == civil.Of(2023, 5, 20):
			low = -0.5
		}
		if d.Year() == 2024 && d.Month() > 6 && d.Day()%2 == 0 {
			continue // half the days of that autumn were not noted
		}
		days = append(days, climate.Weather{Date: d, Min: climate.Some(low), Max: climate.Some(15)})
	}
	spring, autumn, leftOut := climate.FrostsOf(days, 0, false)
	late := float64(civil.Of(2023, 5, 20).YearDay())
	if len(spring.Days) != 3 || spring.Years != 3 || spring.Days[0] != 99 || spring.Days[2] != late {
		t.Errorf("last frosts are %v in %d years", spring.Days, spring.Years)
	}
	if autumn.Years != 2 || autumn.Days[0] != 301 || leftOut != 1 {
		t.Errorf("first frosts are %v in %d years, %d half years left out", autumn.Days, autumn.Years, leftOut)
	}
	_, hard, _ := climate.FrostsOf(days, -5, false)
	if hard.Years != 2 || len(hard.Days) != 0 {
		t.Errorf("no frost of -5 °C came, but %v", hard.Days)
	}
	upside, _, _ := climate.FrostsOf(days, 0, true)
	if len(upside.Days) == 0 || upside.Days[0] != 365 && upside.Days[0] != 366 {
		t.Errorf("in the south the last frost of spring lies in the second half year, not at %v", upside.Days)
	}
}

func TestEmergence(t *testing.T) {
	for _, r := range []struct {
		crop string
		soil unit.Temperature
		days float64
	}{{"onion", 5, 31}, {"carrot", 20, 7}, {"parsnip", 0, 172}, {"tomato", 10, 43}, {"sweetcorn", 35, 3}, {"turnip", 40, 3}, {"okra", 25, 13}} {
		s, err := climate.DaysToEmerge(r.crop, r.soil)
		if err != nil || math.Abs(s.Days-r.days) > 1e-9 {
			t.Errorf("%s at %v °C: %v days (%v), the table of HARRINGTON1954 has %v", r.crop, r.soil, s.Days, err, r.days)
		}
	}
	for _, bad := range []struct {
		crop string
		soil unit.Temperature
	}{{"tomato", 5}, {"lettuce", 40}, {"carrot", 45}, {"salsify", 15}, {"lima bean", 2}} {
		if s, err := climate.DaysToEmerge(bad.crop, bad.soil); err == nil {
			t.Errorf("%s at %v °C came up after %v days", bad.crop, bad.soil, s.Days)
		}
	}
	onion := climate.Thermals("onion")[0]
	warm, _ := onion.Days(22.5)
	cool, _ := onion.Days(7.5)
	run(t, []check{{"onion at 22.5 °C", warm, 4, 1e-9, "BREWSTER-F47 4.7"}, {"onion at 7.5 °C", cool, 16, 1e-9, "BREWSTER figure 4.7"}})
	if _, ok := onion.Days(2); ok {
		t.Error("onion moved below its base temperature")
	}
	steady := make([]unit.Temperature, 30)
	for i := range steady {
		steady[i] = 15
	}
	if n, ok := climate.EmergesOn("carrot", steady); !ok || n != 10 {
		t.Errorf("carrot at 15 °C came up on day %d, the table says 10", n)
	}
	if n, ok := climate.EmergesOn("tomato", make([]unit.Temperature, 60)); ok {
		t.Errorf("tomato came up in frozen ground on day %d", n)
	}
	share, _ := climate.Seedlings("lettuce", 30)
	run(t, []check{{"lettuce at 30 °C", share, 0.12, 1e-9, "HARRINGTON-UCD"}})
	if _, ok := climate.Seedlings("cabbage", 2); !ok {
		t.Error("cabbage has percentages at 0 and 5 °C")
	}
	l, _ := climate.SoilLimitsOf("spinach")
	run(t, []check{{"spinach, lowest", float64(l.Low), 0, 1e-9, "UCCE-GN154: 32 °F"}, {"spinach, highest", float64(l.High), 75*5.0/9 - 160.0/9, 1e-9, "UCCE-GN154: 75 °F"}})
}

// The fits of table 6.4 are least squares of 1/days on temperature; this repeats them from table 6.1.
func TestHeatSumsFollowFromTheTable(t *testing.T) {
	for _, crop := range []string{"asparagus", "cabbage", "carrot", "lettuce", "onion", "radish", "spinach", "tomato", "watermelon"} {
		for _, h := range climate.Thermals(crop) {
			if h.Status != "D" {
				continue
			}
			var n, sx, sy, sxx, sxy float64
			for c := h.From; c <= h.To; c += 5 {
				s, err := climate.DaysToEmerge(crop, c)
				if err != nil {
					t.Fatal(err)
				}
				x, y := float64(c), 1/s.Days
				n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
			}
			slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
			base := -(sy - slope*sx) / n / slope
			run(t, []check{{crop + " base", base, float64(h.Base), 0.011, "least squares"}, {crop + " sum", 1 / slope, h.Sum, 0.06, "least squares"}})
		}
	}
}

func TestPolarDayAndNight(t *testing.T) {
	winter, summer := climate.SunOn(70, 355), climate.SunOn(70, 172)
	if !winter.PolarNight() || winter.DayLength() != 0 || winter.Above() != 0 {
		t.Errorf("midwinter at 70 N has %g h and %g MJ", winter.DayLength(), winter.Above())
	}
	if !summer.PolarDay() || summer.DayLength() != 24 || summer.Above() < 40 {
		t.Errorf("midsummer at 70 N has %g h and %g MJ", summer.DayLength(), summer.Above())
	}
	e, err := climate.Place{Latitude: 70}.Evaporation(climate.Weather{Date: civil.Of(2025, time.December, 21), Min: climate.Some(-12), Max: climate.Some(-6), Sunshine: climate.Some(0)})
	if err != nil || math.IsNaN(float64(e.ET0)) || e.ET0 < 0 || e.ET0 > 0.5 {
		t.Errorf("evaporation in polar night is %v, %v", e.ET0, err)
	}
	if len(e.Gaps) == 0 || e.Gaps[len(e.Gaps)-1] != climate.GapSun {
		t.Errorf("the polar night is not named among %q", e.Gaps)
	}
	for day := 1; day <= 366; day++ {
		for lat := -90.0; lat <= 90; lat += 7.5 {
			north, south := climate.SunOn(lat, day), climate.SunOn(-lat, day)
			if sum := north.DayLength() + south.DayLength(); math.Abs(sum-24) > 1e-9 || math.IsNaN(float64(north.Above())) {
				t.Fatalf("day %d: north and south at %g° have %g h together", day, lat, sum)
			}
		}
	}
}

func TestImpossibleWeatherIsRefused(t *testing.T) {
	good := climate.Weather{Date: civil.Of(2025, 7, 6), Min: climate.Some(12), Max: climate.Some(21)}
	swapped, wet, empty := good, good, good
	swapped.Min = climate.Some(30)
	wet.Humidity = climate.Some(80)
	empty.Max = climate.Reading{}
	for name, w := range map[string]climate.Weather{"swapped": swapped, "humidity": wet, "empty": empty} {
		if _, err := (climate.Place{Latitude: 50}).Evaporation(w); err == nil {
			t.Errorf("%s: no refusal", name)
		}
	}
	if _, err := (climate.Place{Latitude: 95}).Evaporation(good); err == nil {
		t.Error("latitude 95 was taken")
	}
}

func TestEvaporationRisesWithSunWindAndDryness(t *testing.T) {
	p := climate.Place{Latitude: 51, Elevation: 50}
	at := func(vapour climate.Pressure, wind float64, sun climate.Radiation) climate.MM {
		return p.Penman(190, 12, 24, vapour, wind, sun).ET0
	}
	for _, k := range []float64{0.5, 1, 2, 3, 5} {
		if at(1.3, k+0.5, 18) <= at(1.3, k, 18) || at(1.3, 2, climate.Radiation(5*k)+1) <= at(1.3, 2, climate.Radiation(5*k)) {
			t.Errorf("at step %g more wind or sun dried less", k)
		}
	}
	for v := climate.Pressure(0.6); v < 1.8; v += 0.1 {
		if at(v+0.1, 2, 18) >= at(v, 2, 18) {
			t.Errorf("moister air than %g kPa dried more", float64(v))
		}
	}
}

func TestNormalsKeepTheirMonths(t *testing.T) {
	var normals [12]climate.Month
	low := []float64{1, 1, 3, 5, 8, 11, 13, 13, 10, 7, 4, 2}
	rain := []float64{60, 45, 40, 48, 50, 0, 2, 55, 50, 70, 62, 58}
	for i := range normals {
		normals[i] = climate.Month{Min: climate.Some(low[i]), Max: climate.Some(low[i] + 8), Rain: climate.Some(rain[i]), Sunshine: climate.Some(60 + 10*low[i])}
	}
	days := climate.Days(normals, civil.Of(2025, 1, 1), civil.Of(2025, 12, 31))
	var count, sumLow, sumRain, sumSun [12]float64
	for _, d := range days {
		m := d.Date.Month() - 1
		count[m]++
		sumLow[m] += d.Min.Value
		sumRain[m] += d.Rain.Value
		sumSun[m] += d.Sunshine.Value
		if !d.Normal || d.Wind.Known {
			t.Fatalf("%s is not marked as a normal, or has wind from nowhere", d.Date)
		}
	}
	for m := range normals {
		run(t, []check{
			{"mean minimum", sumLow[m] / count[m], low[m], 1e-6, "its own normal"},
			{"rain", sumRain[m], rain[m], 1e-9, "its own normal"},
			{"sunshine", sumSun[m], 60 + 10*low[m], 1e-5, "its own normal"},
		})
	}
	leap := climate.Days(normals, civil.Of(2024, 2, 1), civil.Of(2024, 2, 29))
	wet := 0.0
	for _, d := range leap {
		wet += d.Rain.Value
	}
	run(t, []check{{"rain of a leap February", wet, 45, 1e-9, "its own normal"}})
}

func TestGapsAreFilledByTheRuleAndCounted(t *testing.T) {
	var days []climate.Weather
	for d := civil.Of(2023, 1, 1); d.Year() < 2026; d = d.AddDays(1) {
		if d.Year() == 2025 && (d.Month() == 6 && d.Day() >= 10 && d.Day() <= 13 || d.Month() >= 8 && d.Month() <= 9) {
			continue
		}
		days = append(days, climate.Weather{Date: d, Min: climate.Some(float64(d.Day()) / 10), Max: climate.Some(20), Rain: climate.Some(2)})
	}
	out, filled := climate.Fill(days, civil.Of(2025, 1, 1), civil.Of(2025, 12, 31))
	if len(out) != 365 || filled.Days != 365 || filled.Joined != 4 || filled.OtherYears != 61 || filled.StillEmpty != 0 {
		t.Fatalf("%d days, %+v", len(out), filled)
	}
	if filled.Rain != 4+30 || filled.RainOthers != 31 {
		t.Errorf("rain filled: %+v", filled)
	}
	june := out[civil.Of(2025, 6, 11).YearDay()-1]
	run(t, []check{{"minimum on a line between 0.9 and 1.4", june.Min.Value, 1.1, 1e-9, "by hand"}})
	for i, d := range out {
		if d.Date != civil.Of(2025, 1, 1).AddDays(i) || !d.Min.Known || !d.Rain.Known {
			t.Fatalf("day %d is %s, known %v", i, d.Date, d.Min.Known)
		}
	}
	_, bare := climate.Fill(nil, civil.Of(2025, 1, 1), civil.Of(2025, 1, 31))
	if bare.StillEmpty != 31 || bare.StillNoRain != 31 {
		t.Errorf("nothing to fill from, but %+v", bare)
	}
}
