package tally_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/tally"
	"fairplot/internal/unit"
)

// records has one garden with a bed of 10 m², in it leeks of two years and some weights that nobody placed.
func records() garden.Records {
	id := byte(0)
	next := func() garden.ID { id++; return garden.ID{6: 0x70, 15: id} }
	g := garden.Garden{ID: garden.GardenID(next()), Name: "terrace"}
	b := garden.Bed{ID: garden.BedID(next()), Garden: g.ID, Name: "1", Length: garden.Some(unit.Length(10)), Width: garden.Some(unit.Length(1))}
	r := garden.Records{Gardens: []garden.Garden{g}, Beds: []garden.Bed{b}}
	pick := func(p garden.PlantingID, day civil.Date, kg unit.Mass, how garden.Weighing) {
		r.Harvests = append(r.Harvests, garden.Harvest{ID: garden.HarvestID(next()), Planting: p, Crop: "leek", Date: day, Mass: garden.Some(kg), Weighing: how})
	}
	for _, year := range []int{2024, 2025} {
		p := garden.Planting{ID: garden.PlantingID(next()), Bed: b.ID, Crop: "leek", Start: garden.SetOut, Date: civil.When{Date: civil.Of(year, time.April, 1)},
			Ended: civil.Of(year, time.December, 1)}
		r.Plantings = append(r.Plantings, p)
		pick(p.ID, civil.Of(year, time.August, 1), 4, garden.ByScale)
		pick(p.ID, civil.Of(year, time.September, 1), 3, garden.ByEye)
		pick(p.ID, civil.Of(year, time.November, 1), 8, garden.ByScale)
	}
	pick(garden.PlantingID{}, civil.Of(2025, time.July, 1), 0.5, garden.ByScale)
	r.Works = []garden.Work{{ID: garden.Ref[garden.Work](next()), Beds: []garden.BedID{b.ID}, Task: "weeding", Time: 90 * unit.Minute, Date: civil.Of(2025, time.May, 1)}}
	return r
}

func column(t *testing.T, table finding.Table, name string) string {
	t.Helper()
	i := slices.IndexFunc(table.Columns, func(c finding.Column) bool { return c.Name == name })
	if i < 0 || len(table.Rows) != 1 {
		t.Fatalf("%s: no column %q over one row: %v", table.Title, name, table)
	}
	return table.Rows[0][i]
}

// The sums are worked by hand: on 1 October 2025 there are 4 + 3 kg in beds and half a kilogram to sort out; the year before had given
// 7 kg by that day. Pounds are 0.45359237 kg, square feet 0.09290304 m² (NIST SP 811, B.8): 7 kg from 10 m² are
// 15.4324 lb from 107.639 sq ft.
func TestAYearToDate(t *testing.T) {
	for _, c := range []struct {
		system                             unit.System
		says                               []string
		picked, perName, per, before, wait string
	}{
		{unit.Metric, []string{"7.5 kg picked in 2025 from 1 crop in beds; 7.0 kg by the same day", "1 h 30 min of work", "3.0 kg of it was estimated", "0.5 kg wait"},
			"7.0", "per m² of bed", "0.70", "7.0", "0.50"},
		{unit.US, []string{"16.5 lb picked in 2025", "15.4 lb by the same day", "6.6 lb of it", "1.1 lb wait"},
			"15.4", "per 100 sq ft of bed", "14.34", "15.4", "1.10"},
	} {
		f := tally.Of(records(), tally.Wanted{Today: civil.Of(2025, time.October, 1), System: c.system})
		for _, words := range c.says {
			if !strings.Contains(f.Answer, words) {
				t.Errorf("%q lacks %q", f.Answer, words)
			}
		}
		byCrop, waiting := f.Tables[0], f.Tables[len(f.Tables)-1]
		for name, want := range map[string]string{"picked": c.picked, c.perName: c.per, "year before": c.before, "first": "2025-08-01", "last": "2025-09-01"} {
			if got := column(t, byCrop, name); got != want {
				t.Errorf("%s is %s, want %s", name, got, want)
			}
		}
		if got := column(t, waiting, "picked"); got != c.wait {
			t.Errorf("to sort out: %s, want %s", got, c.wait)
		}
	}
}

// A year that is over is set against the whole year before. While nothing was picked in the new one it is also the year that is meant.
func TestAYearThatIsOver(t *testing.T) {
	f := tally.Of(records(), tally.Wanted{Today: civil.Of(2026, time.February, 1)})
	if f.Question != "How did 2025 go?" {
		t.Errorf("asked %q in February 2026", f.Question)
	}
	if got := column(t, f.Tables[0], "year before"); got != "15.0" {
		t.Errorf("the year before gave %s, want 15.0", got)
	}
	if got := column(t, f.Tables[1], "picked"); got != "15.0" {
		t.Errorf("picked %s, want 15.0", got)
	}
}

// A tally describes: it gives no verdict, no interval and no doubts.
func TestATallyIsNoFinding(t *testing.T) {
	f := tally.Of(records(), tally.Wanted{Season: 2025, Today: civil.Of(2026, time.February, 1)})
	if f.Verdict != "" || len(f.Estimates) > 0 || f.Asked != 0 {
		t.Errorf("a tally with verdict %q, %d estimates, asked %d", f.Verdict, len(f.Estimates), f.Asked)
	}
}

func TestCropsAndGardensAreChosen(t *testing.T) {
	for _, want := range []tally.Wanted{{Crops: []string{"carrot"}}, {Gardens: []string{"orchard"}}} {
		want.Season, want.Today = 2025, civil.Of(2026, time.February, 1)
		if f := tally.Of(records(), want); len(f.Tables[0].Rows) != 0 {
			t.Errorf("%v: %v", want, f.Tables[0].Rows)
		}
	}
}
