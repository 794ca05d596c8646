package garden

import (
	"slices"
	"testing"

	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

func id(n byte) ID { return ID{15: n} }

// terrace is a garden of two beds, with a crop in one and two harvests, one of them not placed.
func terrace() Records {
	return Records{
		Gardens:   []Garden{{ID: GardenID(id(1)), Rev: 1, Name: "Terrace", Ground: Some(unit.Area(20))}},
		Beds:      []Bed{{ID: BedID(id(2)), Rev: 1, Garden: GardenID(id(1)), Name: "4", Length: Some(unit.Length(5)), Width: Some(unit.Length(1))}, {ID: BedID(id(3)), Rev: 1, Garden: GardenID(id(1)), Name: "old bed"}},
		Plantings: []Planting{{ID: PlantingID(id(4)), Rev: 1, Bed: BedID(id(2)), Crop: "parsnip", Date: civil.When{Date: civil.Of(2026, 4, 3)}}},
		Harvests: []Harvest{
			{ID: HarvestID(id(5)), Rev: 1, Planting: PlantingID(id(4)), Date: civil.Of(2026, 7, 1), Mass: Some(unit.Mass(2))},
			{ID: HarvestID(id(6)), Rev: 1, Crop: "leek", Date: civil.Of(2026, 7, 1), Mass: Some(unit.Mass(3))},
		},
	}
}

func TestIndexFindsByIDNameAndBelonging(t *testing.T) {
	x := NewIndex(terrace())
	if b, ok := Find(x, BedID(id(2))); !ok || b.Name != "4" {
		t.Errorf("the bed of id 2 is %+v, %v", b, ok)
	}
	if _, ok := Find(x, PlantingID(id(2))); ok {
		t.Error("a bed was found as a planting")
	}
	for short, want := range map[string]int{"terrace/4": 1, "TERRACE/ 4": 1, "terrace/Old  Bed": 1, "terrace/5": 0, "4": 0, "other/4": 0} {
		if got := x.BedNamed(short); len(got) != want {
			t.Errorf("%q names %d beds, want %d", short, len(got), want)
		}
	}
	if got := x.PlantingName(PlantingID(id(4))); got != "Terrace/4 parsnip 2026-04-03" {
		t.Errorf("the planting is called %q", got)
	}
	if len(x.BedsOf(GardenID(id(1)))) != 2 || len(x.PlantingsIn(BedID(id(2)))) != 1 || len(x.HarvestsOf(PlantingID(id(4)))) != 1 || len(x.Unplaced()) != 1 {
		t.Error("what belongs together was not found")
	}
	if name, ok := x.Grown("PARSNIP"); !ok || name != "parsnip" {
		t.Errorf("parsnip grew as %q, %v", name, ok)
	}
}

// TestIndexKeepsInStep is the property imports rest on: putting and dropping records gives the index of what is left.
func TestIndexKeepsInStep(t *testing.T) {
	x := NewIndex(terrace())
	h, _ := Find(x, HarvestID(id(6)))
	h.Crop, h.Planting = "", PlantingID(id(4))
	x.Put(h)
	if len(x.Unplaced()) != 0 || len(x.HarvestsOf(PlantingID(id(4)))) != 2 || x.Picked(PlantingID(id(4))) != 5 {
		t.Errorf("after placing: %d wait, picked %v", len(x.Unplaced()), x.Picked(PlantingID(id(4))))
	}
	x.Drop(ID(h.ID))
	x.Drop(ID(h.ID))
	if x.Picked(PlantingID(id(4))) != 2 || len(x.All(KindHarvest)) != 1 {
		t.Errorf("after dropping: picked %v, %d harvests", x.Picked(PlantingID(id(4))), len(x.All(KindHarvest)))
	}
	g, _ := Find(x, GardenID(id(1)))
	g.Name = "Upper"
	x.Put(g)
	if len(x.BedNamed("terrace/4")) != 0 || len(x.BedNamed("upper/4")) != 1 || !slices.Equal(x.Names(KindGarden), []string{"Upper"}) {
		t.Error("a renamed garden is still found under its old name")
	}
}

func TestFold(t *testing.T) {
	for in, want := range map[string]string{"": "", "leek": "leek", " Leek ": "leek", "French  Bean": "french bean", "KÜCHE": "küche", "küche": "küche", "a\tb": "a b", "a b": "a b"} {
		if got := Fold(in); got != want {
			t.Errorf("%q folds to %q, want %q", in, got, want)
		}
	}
}

func TestDoubtful(t *testing.T) {
	x := NewIndex(terrace())
	today := civil.Of(2026, 7, 14)
	p := PlantingID(id(4))
	bed := []BedID{BedID(id(2))}
	part := func(from, to unit.Length) Part { return Part{From: Some(from), To: Some(to)} }
	for name, c := range map[string]struct {
		rec  Record
		want int
	}{
		"an ordinary harvest":           {Harvest{Planting: p, Date: today, Mass: Some(unit.Mass(3))}, 0},
		"before its sowing":             {Harvest{Planting: p, Date: civil.Of(2026, 4, 1), Mass: Some(unit.Mass(3))}, 1},
		"in the future":                 {Harvest{Planting: p, Date: today.AddDays(1), Mass: Some(unit.Mass(3))}, 1},
		"a slip in the year":            {Harvest{Planting: p, Date: civil.Of(1926, 7, 1), Mass: Some(unit.Mass(3))}, 2}, // and before its sowing
		"26 kg/m² at once":              {Harvest{Planting: p, Date: today, Mass: Some(unit.Mass(130))}, 1},
		"400 kg from one bed, unplaced": {Harvest{Crop: "leek", Beds: bed, Date: today, Mass: Some(unit.Mass(400))}, 1},
		"a part beyond the bed":         {Planting{Bed: bed[0], Crop: "leek", Part: part(4, 6)}, 1},
		"a part of the bed":             {Planting{Bed: bed[0], Crop: "leek", Part: part(4, 5)}, 0},
		"ended before it began":         {Planting{Bed: bed[0], Crop: "leek", Date: civil.When{Date: today}, Ended: today.AddDays(-1)}, 1},
		"100 plants at 30 by 40 cm":     {Planting{Bed: bed[0], Crop: "leek", Plants: Some(100), InRow: Some(unit.Length(0.3)), BetweenRows: Some(unit.Length(0.4))}, 1},
		"80 plants at 15 by 40 cm":      {Planting{Bed: bed[0], Crop: "leek", Plants: Some(80), InRow: Some(unit.Length(0.15)), BetweenRows: Some(unit.Length(0.4))}, 0},
		"a layer of 40 cm":              {Amendment{Beds: bed, Material: "compost", Volume: Some(unit.Volume(2)), Date: today}, 1},
		"a layer of 4 cm":               {Amendment{Beds: bed, Material: "compost", Volume: Some(unit.Volume(0.2)), Date: today}, 0},
		"pH 64":                         {SoilTest{Beds: bed, Date: today, Values: []SoilValue{{What: "pH", Value: 64}}}, 1},
		"beds larger than the ground":   {Garden{ID: GardenID(id(1)), Name: "Terrace", Ground: Some(unit.Area(4))}, 1},
		"30 hours in a day":             {Work{Date: today, Task: "digging", Time: 30 * unit.Hour}, 1},
	} {
		if got := Doubtful(x, c.rec, today); len(got) != c.want {
			t.Errorf("%s: asks %q, want %d questions", name, got, c.want)
		}
	}
}
