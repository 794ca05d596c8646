package diary

import (
	"bytes"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// full gives one record of each kind with every field set, on odd values that a sloppy writer would round.
func full(b *book) []garden.Record {
	site := garden.SiteID(b.id())
	g, bed, bed2, p := garden.GardenID(b.id()), garden.BedID(b.id()), garden.BedID(b.id()), garden.PlantingID(b.id())
	person, pic := garden.PersonID(b.id()), garden.PictureID(b.id())
	day := civil.Of(2026, time.May, 3)
	third := 1.0 / 3
	l, v, m := garden.Some(unit.Length(third)), garden.Some(unit.Volume(third)), garden.Some(unit.Mass(0.125))
	part := garden.Part{From: garden.Some(unit.Length(0)), To: l, Share: garden.Some(third), Plot: "t/1"}
	return []garden.Record{
		garden.Person{ID: person, Rev: 1, Name: "Ana"},
		garden.Device{ID: garden.DeviceID(b.id()), Rev: 1, Name: "phone", Person: person, Since: day, CutOff: day},
		garden.Setting{ID: garden.Ref[garden.Setting](b.id()), Rev: 1, Name: garden.SettingUnits, Value: "us"},
		garden.Site{ID: site, Rev: 1, Name: "home, sweet", Latitude: garden.Some(-third), Longitude: garden.Some(170.125), Elevation: l,
			LastFrost: garden.MonthDay{Month: 4, Day: 25}, FirstFrost: garden.MonthDay{Month: 10, Day: 9}},
		garden.Garden{ID: g, Rev: 1, Site: site, Name: "top field", Ground: garden.Some(unit.Area(third)), Soil: "=loam", Shelter: "s", UseBefore: "lawn",
			From: day, To: day, Nothing: []garden.NothingPeriod{{Kind: garden.KindWatering}, {Kind: garden.KindCultivation, From: day, To: day}, {Kind: garden.KindWork, To: day}}},
		garden.Bed{ID: bed, Rev: 1, Garden: g, Name: "1, left", Length: l, Width: l, At: garden.Some(garden.Point{X: -third, Y: 0.125}), Angle: 12.5, Tunnel: true, From: day, To: day},
		garden.Bed{ID: bed2, Rev: 1, Garden: g, Name: "2-3", Outline: []garden.Point{{X: 0, Y: 0}, {X: third, Y: 0}, {X: 1, Y: 1.125}}, GrewFrom: []garden.BedID{bed}},
		garden.Crop{ID: garden.Ref[garden.Crop](b.id()), Rev: 1, Name: "oca", Family: "f", CountedAs: garden.Topped, Perennial: true, Edible: garden.Some(third),
			Own: []garden.OwnFigure{{What: "w", Value: third, Unit: "d"}}},
		garden.Variety{ID: garden.Ref[garden.Variety](b.id()), Rev: 1, Crop: "oca", Name: "red", Note: "n"},
		garden.Material{ID: garden.Ref[garden.Material](b.id()), Rev: 1, Name: "leaf compost", Density: garden.Some(unit.Density(third)), DryMatter: garden.Some(third),
			N: garden.Some(0.008), P2O5: garden.Some(0.004), K2O: garden.Some(third), CN: garden.Some(third), Price: garden.Some(unit.Money{Hundredths: 1205, Currency: "USD"}),
			PricePer: "m3", Source: "s", Heap: &garden.HeapLog{Started: day, Ingredients: []garden.Ingredient{{Material: "straw", Volume: v}}}},
		garden.Measure{ID: garden.Ref[garden.Measure](b.id()), Rev: 1, Name: "tub", Plural: "tubs", Volume: v, Mass: m, Of: "leaf compost", Loads: 5},
		garden.Trial{ID: garden.TrialID(b.id()), Rev: 1, Name: "t", Question: "q?", Factors: []garden.Factor{{Name: "spacing", Levels: []string{"a", "b"}}}, Crop: "oca",
			Response: "yield", Matters: third, Design: "d", Seed: 1<<63 + 7, Plots: []garden.TrialPlot{{Name: "1", Bed: bed, Block: "A", Levels: map[string]string{"spacing": "a"}}},
			FixedOn: day, Ended: day, Amendments: []garden.Addendum{{Date: day, Text: "hail"}}},
		garden.Planting{ID: p, Rev: 1, Bed: bed, Part: part, Crop: "oca", Variety: "red", SeedLot: "s", Start: garden.SetOut, Date: civil.When{Date: day, Precision: civil.About},
			InRow: l, BetweenRows: l, Plants: garden.Some(0 + 7), Arrangement: garden.Triangular, Ended: day, Failed: true, Why: "w", StrikesAll: garden.Some(false),
			Weighed: garden.SomeMissed, Missed: garden.Some(2), Note: "-n",
			Stands: []garden.Stand{{Date: day, What: garden.GapsFilled, Plants: garden.Some(5)}, {What: garden.Thinned, InRow: l}, {Date: day, What: garden.Resown, Plants: garden.Some(0), InRow: l}}},
		garden.Harvest{ID: garden.HarvestID(b.id()), Rev: 1, Planting: p, Date: day, Mass: m, Gross: m, Tare: garden.Some(unit.Mass(third / 4)), Count: garden.Some(9), SampleCount: garden.Some(3),
			State: garden.Topped, Weighing: garden.BySample, Edge: garden.EdgeOut, Use: garden.ToHeap, Round: "r", Crate: "c", SplitBy: "area", Note: "n"},
		garden.Harvest{ID: garden.HarvestID(b.id()), Rev: 1, Crop: "oca", Beds: []garden.BedID{bed, bed2}, Date: day, Nothing: true},
		garden.Harvest{ID: garden.HarvestID(b.id()), Rev: 1, Crop: "oca", Date: day, Mass: m, Weighing: garden.NotRecorded},
		garden.Work{ID: garden.Ref[garden.Work](b.id()), Rev: 1, Beds: []garden.BedID{bed2}, Garden: g, Place: garden.Heap, Planting: p, Task: "t", Time: unit.Time(100 * third), Who: "w", Date: day, OverYears: 3, Note: "n"},
		garden.Cultivation{ID: garden.Ref[garden.Cultivation](b.id()), Rev: 1, Beds: []garden.BedID{bed}, Part: part, How: garden.DoubleDug, Depth: l, Date: day, MeantFor: p, Note: "n"},
		garden.Amendment{ID: garden.Ref[garden.Amendment](b.id()), Rev: 1, Beds: []garden.BedID{bed}, Part: part, Material: "m", Volume: v, Mass: m, Loads: "2 tubs", Placement: garden.InTrench,
			Depth: l, Date: day, MeantFor: "oca", Note: "n"},
		garden.Watering{ID: garden.Ref[garden.Watering](b.id()), Rev: 1, Beds: []garden.BedID{bed, bed2}, Volume: v, Date: day, Note: "n"},
		garden.Watering{ID: garden.Ref[garden.Watering](b.id()), Rev: 1, Beds: []garden.BedID{bed}, Depth: l, Date: day},
		garden.Cover{ID: garden.Ref[garden.Cover](b.id()), Rev: 1, Beds: []garden.BedID{bed}, What: "w", On: day, Off: day, Note: "n"},
		garden.Treatment{ID: garden.Ref[garden.Treatment](b.id()), Rev: 1, Beds: []garden.BedID{bed}, Planting: p, Product: "p", Dose: "d", Date: day, DaysToHarvest: garden.Some(0), Note: "n"},
		garden.Measurement{ID: garden.Ref[garden.Measurement](b.id()), Rev: 1, Planting: p, Bed: bed, What: "w", Value: -third, Unit: "°Bx", N: garden.Some(3), Date: day, Note: "n"},
		garden.SoilTest{ID: garden.Ref[garden.SoilTest](b.id()), Rev: 1, Beds: []garden.BedID{bed}, Garden: g, Date: day, Depth: l, Cores: garden.Some(12), Laboratory: "l", Extractant: "Mehlich 3",
			Values: []garden.SoilValue{{What: "pH", Value: third}, {What: "organic matter", Value: 4.125, Unit: "% of dry"}}, Note: "n"},
		garden.Loss{ID: garden.Ref[garden.Loss](b.id()), Rev: 1, Planting: p, Share: third, Cause: "c", StrikesAll: garden.Some(true), Date: day, Note: "n"},
		garden.Picture{ID: pic, Rev: 1, Hash: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", Type: "image/png", Width: 3, Height: 4, Size: 5, Date: day},
		garden.Note{ID: garden.Ref[garden.Note](b.id()), Rev: 1, Beds: []garden.BedID{bed}, Garden: g, Planting: p, Text: "two\nlines", Pictures: []garden.PictureID{pic}, Date: day},
		garden.WeatherDay{ID: garden.Ref[garden.WeatherDay](b.id()), Rev: 1, Site: site, Tunnel: g, Date: day, Min: garden.Some(unit.Temperature(-third)), Max: garden.Some(unit.Temperature(third)),
			Rain: l, Sunshine: garden.Some(unit.Time(5400)), Radiation: garden.Some(third), Wind: garden.Some(third), Humidity: garden.Some(third), Normal: true, Source: "s"},
	}
}

// TestWrittenExactlyIsReadBack is what export and import rest on: every field of every kind survives the way out and in.
func TestWrittenExactlyIsReadBack(t *testing.T) {
	b := newBook(t)
	records := full(b)
	for _, rec := range records {
		if err := rec.Check(); err != nil {
			t.Fatalf("%s: %v", rec.Kind(), err)
		}
		b.x.Put(rec)
	}
	w := &Writing{Records: b.x, Exact: true}
	seen := map[garden.Kind]bool{}
	for _, rec := range records {
		seen[rec.Kind()] = true
		given := map[string]string{"id": rec.Identity().String()}
		cells := Cells(w, rec)
		for i, f := range Fields(rec.Kind()) {
			text := cells[i]
			if text != "" && f.Unit != "" && !bytes.ContainsAny([]byte(text), " ") {
				text += " " + f.Unit
			}
			given[f.Name] = text
		}
		c := b.context()
		c.Asks = false
		c.Records = lacking(b.x, records, rec.Identity())
		o, err := Understand(c, Draft{Action: Add, Kind: rec.Kind(), Fields: given})
		if err != nil || len(o.Records) != 1 {
			t.Errorf("%s: %v %+v from %v", rec.Kind(), err, o.Questions, given)
			continue
		}
		want, _ := garden.Encode(rec)
		if !bytes.Equal(o.Operations[0].Body, want) || o.Records[0].Identity() != rec.Identity() {
			t.Errorf("%s came back as\n%s, want\n%s", rec.Kind(), o.Operations[0].Body, want)
		}
	}
	for _, k := range garden.Kinds() {
		if !seen[k] {
			t.Errorf("no %s was tried", k)
		}
	}
}

// lacking gives the records without one, as an import into an empty book would find them.
func lacking(_ *garden.Index, records []garden.Record, id garden.ID) *garden.Index {
	x := garden.NewIndex(garden.Records{})
	for _, rec := range records {
		if rec.Identity() != id {
			x.Put(rec)
		}
	}
	return x
}

func TestEveryFieldHasWordsAndAnExample(t *testing.T) {
	for _, k := range garden.Kinds() {
		names := map[string]bool{}
		for _, f := range Fields(k) {
			if f.Says == "" || f.Type == "" || names[f.Name] {
				t.Errorf("%s %s: says %q, type %q, twice %v", k, f.Name, f.Says, f.Type, names[f.Name])
			}
			names[f.Name] = true
		}
	}
}
