package garden

import (
	"errors"
	"math"
	"testing"

	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// TestChecks has, for every kind, a record that can be kept and what makes it one that cannot.
func TestChecks(t *testing.T) {
	day := civil.Of(2026, 7, 1)
	p, bed, site := PlantingID(id(4)), BedID(id(2)), SiteID(id(1))
	beds := []BedID{bed}
	plots := []TrialPlot{{Name: "1", Levels: map[string]string{"rows": "close"}}}
	factors := []Factor{{Name: "rows", Levels: []string{"close", "wide"}}}
	for _, c := range []struct {
		good  Record
		bad   []Record
		field []string
	}{
		{Site{Name: "home", Latitude: Some(-34.0)}, []Record{Site{}, Site{Name: "home", Latitude: Some(91.0)}, Site{Name: "home", LastFrost: MonthDay{Month: 13, Day: 1}}}, []string{"site", "latitude", "last frost"}},
		{Garden{Name: "terrace"}, []Record{Garden{Name: " "}, Garden{Name: "a/b"}, Garden{Name: "a", Ground: Some(unit.Area(0))}}, []string{"garden", "garden", "ground"}},
		{Bed{Name: "4", Garden: GardenID(id(1))}, []Record{Bed{Name: "4"}, Bed{Name: "4", Garden: GardenID(id(1)), Outline: []Point{{0, 0}, {1, 0}}}, Bed{Name: "4", Garden: GardenID(id(1)), Length: Some(unit.Length(-1))}}, []string{"garden", "outline", "length"}},
		{Crop{Name: "oca"}, []Record{Crop{}, Crop{Name: "oca", Edible: Some(1.1)}}, []string{"crop", "edible"}},
		{Variety{Name: "red", Crop: "oca"}, []Record{Variety{Name: "red"}}, []string{"crop"}},
		{Planting{Bed: bed, Crop: "oca"}, []Record{Planting{Crop: "oca"}, Planting{Bed: bed, Crop: "oca", Start: "thrown"}, Planting{Bed: bed, Crop: "oca", Part: Part{Share: Some(1.2)}},
			Planting{Bed: bed, Crop: "oca", Part: Part{From: Some(unit.Length(2)), To: Some(unit.Length(1))}}, Planting{Bed: bed, Crop: "oca", Stands: []Stand{{What: Thinned, Plants: Some(-1)}}}},
			[]string{"bed", "start", "share", "part", "plants"}},
		{Harvest{Planting: p, Date: day, Mass: Some(unit.Mass(0))}, []Record{Harvest{Planting: p, Date: day}, Harvest{Date: day, Mass: Some(unit.Mass(1))}, Harvest{Planting: p, Date: day, Mass: Some(unit.Mass(-1))},
			Harvest{Planting: p, Date: day, Mass: Some(unit.Mass(math.NaN()))}, Harvest{Planting: p, Date: day, Gross: Some(unit.Mass(1)), Tare: Some(unit.Mass(2))}, Harvest{Planting: p, Mass: Some(unit.Mass(1))}},
			[]string{"mass", "planting or crop", "mass", "mass", "tare", "date"}},
		{Work{Task: "digging", Time: 60, Date: day}, []Record{Work{Task: "digging", Date: day}, Work{Time: 60, Date: day}}, []string{"time", "task"}},
		{Cultivation{Beds: beds, How: Forked, Date: day}, []Record{Cultivation{Beds: beds, How: "poked", Date: day}, Cultivation{How: Forked, Date: day}}, []string{"how", "beds"}},
		{Amendment{Beds: beds, Material: "m", Mass: Some(unit.Mass(1)), Date: day}, []Record{Amendment{Beds: beds, Material: "m", Date: day}, Amendment{Beds: beds, Material: "m", Mass: Some(unit.Mass(0)), Date: day}}, []string{"amount", "mass"}},
		{Watering{Beds: beds, Depth: Some(unit.Length(0.01)), Date: day}, []Record{Watering{Beds: beds, Date: day}, Watering{Beds: beds, Depth: Some(unit.Length(0.01)), Volume: Some(unit.Volume(1)), Date: day}}, []string{"amount", "amount"}},
		{Cover{Beds: beds, What: "net", On: day}, []Record{Cover{Beds: beds, What: "net", On: day, Off: day.AddDays(-1)}, Cover{Beds: beds, On: day}}, []string{"off", "what"}},
		{Treatment{Product: "soap", Date: day}, []Record{Treatment{Product: "soap", Date: day, DaysToHarvest: Some(-1)}}, []string{"days to harvest"}},
		{Measurement{Bed: bed, What: "w", Date: day}, []Record{Measurement{What: "w", Date: day}, Measurement{Bed: bed, What: "w", Date: day, Value: math.Inf(1)}}, []string{"planting or bed", "value"}},
		{SoilTest{Beds: beds, Date: day, Values: []SoilValue{{What: "pH", Value: 6}}}, []Record{SoilTest{Beds: beds, Date: day}, SoilTest{Date: day, Values: []SoilValue{{What: "pH", Value: 6}}}}, []string{"values", "beds or garden"}},
		{Loss{Planting: p, Cause: "hail", Date: day, Share: 1}, []Record{Loss{Planting: p, Cause: "hail", Date: day, Share: 1.5}}, []string{"share"}},
		{Note{Text: "x", Date: day}, []Record{Note{Text: " ", Date: day}}, []string{"text"}},
		{WeatherDay{Site: site, Date: day}, []Record{WeatherDay{Site: site, Date: day, Min: Some(unit.Temperature(9)), Max: Some(unit.Temperature(8))}, WeatherDay{Site: site, Date: day, Humidity: Some(80.0)}}, []string{"max", "humidity"}},
		{Material{Name: "m"}, []Record{Material{Name: "m", N: Some(8.0)}, Material{Name: "m", CN: Some(0.0)}}, []string{"n", "cn"}},
		{Measure{Name: "barrow", Volume: Some(unit.Volume(0.08))}, []Record{Measure{Name: "barrow"}}, []string{"volume or mass"}},
		{Trial{Name: "t", Factors: factors, Plots: plots}, []Record{Trial{Name: "t"}, Trial{Name: "t", Factors: []Factor{{Name: "rows", Levels: []string{"close"}}}}, Trial{Name: "t", Factors: factors, Plots: []TrialPlot{{Name: "1"}}}}, []string{"factors", "factors", "plots"}},
		{Person{Name: "Ana"}, []Record{Person{}}, []string{"person"}},
		{Device{Name: "phone"}, []Record{Device{Name: "a\nb"}, Device{Name: "a\x1b[2J"}, Device{Name: "a\u202eb"}}, []string{"device", "device", "device"}},
		{Setting{Name: SettingUnits, Value: "us"}, []Record{Setting{Name: "colour"}}, []string{"setting"}},
	} {
		if err := c.good.Check(); err != nil {
			t.Errorf("%s %+v: %v", c.good.Kind(), c.good, err)
		}
		for i, rec := range c.bad {
			var e *Error
			if err := rec.Check(); !errors.As(err, &e) || e.Kind != Invalid || e.Field != c.field[i] || e.Hint == "" {
				t.Errorf("%s %+v: %v, want an error about %s", rec.Kind(), rec, err, c.field[i])
			}
		}
	}
}

// TestNet: a sample of 4 pieces that weighs 1 kg out of 12 makes 3 kg.
func TestNet(t *testing.T) {
	for want, h := range map[unit.Mass]Harvest{
		2:   {Mass: Some(unit.Mass(2)), Gross: Some(unit.Mass(9))},
		1.5: {Gross: Some(unit.Mass(2)), Tare: Some(unit.Mass(0.5))},
		3:   {Mass: Some(unit.Mass(1)), Weighing: BySample, Count: Some(12), SampleCount: Some(4)},
	} {
		if got := h.Net(); !got.Known || got.Value != want {
			t.Errorf("%+v nets %+v, want %v", h, got, want)
		}
	}
	if got := (Harvest{Mass: Some(unit.Mass(1)), Weighing: BySample, Count: Some(12)}).Net(); got.Known {
		t.Errorf("a sample of nobody knows how many nets %v", got.Value)
	}
}

// TestAreaOfAnOutline: a right triangle with legs of 2 m and 1 m has 1 m², whichever way round it is walked.
func TestAreaOfAnOutline(t *testing.T) {
	for _, outline := range [][]Point{{{0, 0}, {2, 0}, {2, 1}}, {{2, 1}, {2, 0}, {0, 0}}} {
		if a := (Bed{Outline: outline}).Area(); a.Value != 1 {
			t.Errorf("%v has %v m²", outline, a.Value)
		}
	}
}
