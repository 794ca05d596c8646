package plan_test

import (
	"math"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	. "fairplot/internal/plan"
	"fairplot/internal/unit"
)

func TestFreeBedsAreThoseThatStayAndHoldNoPerennial(t *testing.T) {
	after := civil.Of(2026, time.January, 1)
	id := func(n byte) garden.ID { return garden.ID{15: n} }
	bed := func(n byte, in garden.GardenID, name string, to civil.Date) garden.Bed {
		return garden.Bed{ID: garden.BedID(id(n)), Garden: in, Name: name, Length: garden.Some(unit.Length(4)), Width: garden.Some(unit.Length(1.5)), To: to}
	}
	in, gone := garden.GardenID(id(1)), garden.GardenID(id(2))
	r := garden.Records{
		Gardens: []garden.Garden{{ID: in, Name: "terrace"}, {ID: gone, Name: "sold", To: after.AddDays(-40)}},
		Beds: []garden.Bed{bed(3, in, "1", civil.Date{}), bed(4, in, "2", after.AddDays(-10)), bed(5, in, "3", civil.Date{}), bed(6, in, "4", civil.Date{}),
			bed(7, gone, "1", civil.Date{})},
		Plantings: []garden.Planting{{Bed: garden.BedID(id(5)), Crop: "rhubarb"}, {Bed: garden.BedID(id(6)), Crop: "rhubarb", Ended: after.AddDays(-30)},
			{Bed: garden.BedID(id(3)), Crop: "leek"}},
	}
	got := Free(r, after, func(crop string) bool { return crop == "rhubarb" })
	if len(got) != 1 || got[0].Garden != "terrace" || len(got[0].Beds) != 2 || got[0].Beds[0].Name != "1" || got[0].Beds[1].Name != "4" {
		t.Fatalf("%+v", got)
	}
	if a := got[0].Beds[0].Area; math.Abs(a-6) > 1e-12 {
		t.Errorf("a bed of 4 m by 1.5 m has %g m²", a)
	}
}

// TestBorrowedSpreads: residual coefficients of variation of Moore & Darroch 1956, Washington, as the help of R package agridat quotes them; Smith's law takes them to
// other areas.
func TestBorrowedSpreads(t *testing.T) {
	for _, c := range []struct {
		crop     string
		cv, area float64
	}{{"pole bean", 6.73, 4.65}, {"bush bean", 10.8, 1.39}, {"sweet corn", 13.6, 2.79}, {"carrot", 27.6, 0.70}, {"cauliflower", 19.5, 4.18}} {
		s := Borrowed(c.crop, 0)
		// the variance of a logarithm whose antilog has that coefficient of variation
		if cv := 100 * math.Sqrt(math.Expm1(s.Variance)); math.Abs(cv-c.cv) > 1e-9 || s.Area != c.area || s.Source != "MOORE1956" || s.DF != LeastDF {
			t.Errorf("%s: %.3f %% on %g m² by %s with %g df", c.crop, cv, s.Area, s.Source, s.DF)
		}
		if big := Borrowed(c.crop, 4*c.area); math.Abs(big.Variance-s.Variance/2) > 1e-12 {
			t.Errorf("%s on four times the area: %g, want half of %g", c.crop, big.Variance, s.Variance)
		}
	}
	if Borrowed("skirret", 0).Variance != Borrowed("carrot", 0).Variance {
		t.Error("a crop without a figure must get that of the most variable one")
	}
}

func TestSmallBedsAreNotCut(t *testing.T) {
	g := ground("terrace", 30)
	for i := range g.Beds {
		g.Beds[i].Area = 1.5
	}
	w := wanted(0.02)
	w.Halves = known(0.001) // halves would be far better, were there room
	trial, ok := Find([]Ground{g}, w)
	if !ok || trial.Design != Blocks {
		t.Errorf("%v %s", ok, trial.Design)
	}
}
