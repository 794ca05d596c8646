package evidence_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/evidence"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// years makes a book of bed-years by hand: crops with their dates, shares and weights.
type years struct {
	booker
	t *testing.T
}

func (y *years) crop(bed, name string, start, end civil.Date, kg float64, share float64) garden.Planting {
	b := y.bed(bed, 4)
	p := garden.Planting{ID: garden.PlantingID(y.id()), Bed: b.ID, Crop: name, Start: garden.Sown, Date: civil.When{Date: start}, Ended: end, Weighed: garden.AllWeighed}
	if share > 0 {
		p.Part.Share = garden.Some(share)
	}
	y.Plantings = append(y.Plantings, p)
	y.Harvests = append(y.Harvests, garden.Harvest{ID: garden.HarvestID(y.id()), Planting: p.ID, Date: end.AddDays(-5), Mass: garden.Some(unit.Mass(kg)), Weighing: garden.ByScale})
	return p
}

func (y *years) dig(bed string, day civil.Date) {
	y.Cultivations = append(y.Cultivations, garden.Cultivation{ID: garden.Ref[garden.Cultivation](y.id()), Beds: []garden.BedID{y.bed(bed, 4).ID}, How: garden.DoubleDug, Date: day})
}

func newYears(t *testing.T) *years {
	return &years{booker: booker{beds: map[string]garden.Bed{}, gardens: map[string]garden.GardenID{}}, t: t}
}

func day(year int, month time.Month, d int) civil.Date { return civil.Of(year, month, d) }

// twoCrops is one garden of eight beds with lettuce and then spinach in a year; half of the beds are dug and give more of both.
func twoCrops(t *testing.T) garden.Records {
	y := newYears(t)
	for i := range 8 {
		bed := fmt.Sprintf("hill/%d", i+1)
		kg := 8 + 0.3*float64(i%3)
		if i%2 == 0 {
			y.dig(bed, day(2025, time.March, 1))
			kg *= 1.5
		}
		y.crop(bed, "lettuce", day(2025, time.March, 20), day(2025, time.June, 20), kg, 0)
		y.crop(bed, "spinach", day(2025, time.July, 1), day(2025, time.September, 20), kg/2, 0)
	}
	return y.Records
}

func TestAWholeYearIsTheSumOfItsCrops(t *testing.T) {
	s := setup(0)
	s.Food = func(crop string) (float64, bool) {
		return map[string]float64{"lettuce": 150, "spinach": 230}[crop], true
	}
	s.Price = func(crop string) (float64, bool) { return map[string]float64{"lettuce": 4, "spinach": 6}[crop], true }
	f, plots, err := evidence.Compare(twoCrops(t), evidence.Question{What: practice.Cultivation, WholeYear: true}, s)
	if err != nil {
		t.Fatal(err)
	}
	if len(plots.Rows) != 8 || f.RestsOn.Plantings != 8 {
		t.Fatalf("%d rows, want one for each bed: %s", len(plots.Rows), f.Answer)
	}
	// bed 1: lettuce 12 kg and spinach 6 kg on 4 m²
	if y := plots.Rows[0][5]; y != "4.5" {
		t.Errorf("the first bed's year is %s kg/m², want 18/4", y)
	}
	if f.Verdict != finding.Better || !strings.Contains(f.Answer, "With all crops of a bed's year together, in this garden") {
		t.Errorf("%s: %s", f.Verdict, f.Answer)
	}
	// both crops gain alike, so weight, food energy and worth must show one ratio; there are no hours in the book
	of := map[string]float64{}
	for _, e := range f.Estimates {
		of[e.Of] = e.Value
	}
	for _, name := range []string{"food energy (table values)", "worth at your prices"} {
		if math.Abs(of[name]-of["all"]) > 1e-9 {
			t.Errorf("%s: %.6f, want %.6f", name, of[name], of["all"])
		}
	}
	if _, has := of["hours of work"]; has {
		t.Error("there are no hours, and yet a ratio of them")
	}
}

func TestAWholeYearNeedsAllItsCrops(t *testing.T) {
	r := twoCrops(t)
	r.Plantings[1].Ended = civil.Date{} // the first bed's spinach stands yet
	f, _, err := evidence.Compare(r, evidence.Question{What: practice.Cultivation, WholeYear: true}, setup(0))
	if err != nil {
		t.Fatal(err)
	}
	if f.RestsOn.Plantings != 7 || len(f.RestsOn.LeftOut) != 1 || f.RestsOn.LeftOut[0].Reason != "not ended yet" {
		t.Errorf("%d bed-years, left out %v", f.RestsOn.Plantings, f.RestsOn.LeftOut)
	}
}

// TestAnOverwinteringCropCountsWhereItIsFirstPicked: leeks set in June and first picked in February belong to the later year.
func TestAnOverwinteringCropCountsWhereItIsFirstPicked(t *testing.T) {
	y := newYears(t)
	for i := range 6 {
		bed := fmt.Sprintf("hill/%d", i+1)
		if i%2 == 0 {
			y.dig(bed, day(2024, time.March, 1))
			y.dig(bed, day(2025, time.March, 1))
		}
		y.crop(bed, "lettuce", day(2024, time.March, 20), day(2024, time.May, 20), 8+0.2*float64(i), 0)
		y.crop(bed, "leek", day(2024, time.June, 1), day(2025, time.February, 20), 12+0.3*float64(i), 0)
		y.crop(bed, "beetroot", day(2025, time.April, 1), day(2025, time.August, 20), 10-0.4*float64(i), 0)
	}
	_, plots, err := evidence.Compare(y.Records, evidence.Question{What: practice.Cultivation, WholeYear: true}, setup(0))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, r := range plots.Rows {
		got[r[2]+" "+r[1]] = r[5]
	}
	if got["hill/1 2024"] != "2" || got["hill/1 2025"] != "5.5" {
		t.Errorf("2024 %s kg/m², want 8/4; 2025 %s, want (12+10)/4", got["hill/1 2024"], got["hill/1 2025"])
	}
}

// TestLandEquivalentRatio: carrot and onion halve a bed of 4 m²; alone they gave 3 and 2 kg/m². Together 8 and 5 kg make 8/4/3 + 5/4/2 = 1.29.
func TestLandEquivalentRatio(t *testing.T) {
	y := newYears(t)
	start, end := day(2025, time.April, 1), day(2025, time.September, 1)
	for i, kg := range []float64{12, 12.001, 11.999, 12.002} {
		bed := fmt.Sprintf("hill/%d", i+1)
		if i%2 == 0 {
			y.dig(bed, day(2025, time.March, 1))
		}
		y.crop(bed, "carrot", start, end, kg, 0)
	}
	for i := range 4 {
		bed := fmt.Sprintf("hill/%d", i+5)
		if i%2 == 0 {
			y.dig(bed, day(2025, time.March, 1))
		}
		y.crop(bed, "onion", start, end, 8, 0)
	}
	y.crop("hill/9", "carrot", start, end, 8, 0.5)
	y.crop("hill/9", "onion", start, end, 5, 0.5)
	y.crop("vale/1", "carrot", start, end, 8, 0.5) // in a garden where neither stood alone
	y.crop("vale/1", "onion", start, end, 5, 0.5)
	f, _, err := evidence.Compare(y.Records, evidence.Question{What: practice.Cultivation, WholeYear: true}, setup(0))
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for _, tab := range f.Tables {
		if strings.HasPrefix(tab.Title, "Ground that crops sharing") {
			rows = tab.Rows
		}
	}
	if len(rows) != 1 || rows[0][0] != "hill/9" || rows[0][2] != "carrot + onion" || rows[0][3] != "1.29" {
		t.Errorf("%v", rows)
	}
}

func TestWhatAWholeYearHasNoSumOf(t *testing.T) {
	for _, q := range []evidence.Question{
		{What: practice.Cultivation, WholeYear: true, Response: evidence.FirstHarvest},
		{What: practice.Cultivation, WholeYear: true, Response: "count forked"},
		{What: practice.Cultivation, WholeYear: true, Crops: []string{"lettuce"}},
	} {
		_, _, err := evidence.Compare(twoCrops(t), q, setup(0))
		var e *garden.Error
		if !errors.As(err, &e) || e.Hint == "" {
			t.Errorf("%s: %v", q.Canonical(), err)
		}
	}
}
