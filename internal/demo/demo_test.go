package demo_test

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"fairplot/internal/demo"
	"fairplot/internal/garden"
)

func TestTheSameSeedGivesTheSameBook(t *testing.T) {
	a, err := json.Marshal(demo.Make(7, demo.Book(), demo.Usual()))
	if err != nil {
		t.Fatal(err)
	}
	b, _ := json.Marshal(demo.Make(7, demo.Book(), demo.Usual()))
	c, _ := json.Marshal(demo.Make(8, demo.Book(), demo.Usual()))
	if !bytes.Equal(a, b) || bytes.Equal(a, c) {
		t.Error("a seed must fix the book, and another seed must give another")
	}
}

func TestEveryInventedRecordCanBeKept(t *testing.T) {
	r := demo.Make(1, demo.Book(), demo.Usual())
	seen := map[garden.ID]bool{}
	for _, k := range garden.Kinds() {
		for _, rec := range r.List(k) {
			if err := rec.Check(); err != nil {
				t.Errorf("%s: %v", k, err)
			}
			if seen[rec.Identity()] {
				t.Errorf("%s: identity %s twice", k, rec.Identity())
			}
			seen[rec.Identity()] = true
		}
	}
	if n := len(r.Beds); n != 50 {
		t.Errorf("%d beds, want 50", n)
	}
	waiting, failed := 0, 0
	for _, h := range r.Harvests {
		if !h.Placed() {
			waiting++
		}
	}
	for _, p := range r.Plantings {
		if p.Failed {
			failed++
		}
	}
	if waiting == 0 || failed == 0 {
		t.Errorf("%d harvests to sort out and %d failures; the demo should have both", waiting, failed)
	}
}

func TestTheLargeBookHasAboutTwoHundredThousandEntries(t *testing.T) {
	r := demo.Make(1, demo.Large(), demo.Usual())
	n := 0
	for _, k := range garden.Kinds() {
		n += len(r.List(k))
	}
	if n < 180_000 || n > 260_000 {
		t.Errorf("%d entries", n)
	}
}

// TestTheGroundDoesWhatTheTruthSays compares mean logs of dug and undug plantings over many plain books in which digging is drawn by lot.
func TestTheGroundDoesWhatTheTruthSays(t *testing.T) {
	truth := demo.Usual()
	truth.Compost = func(float64) float64 { return 0 }
	plan := demo.Plan{First: 2020, Seasons: 3, Plain: true, Ways: []demo.Way{{Name: "a", Beds: 24, Length: 5, Width: 1, Paths: 1.5, Dig: demo.BySeason, Litres: []float64{10}, Spacing: []float64{1}}}}
	var sum, n [2]float64
	for seed := range uint64(40) {
		r := demo.Make(seed, plan, truth)
		dug := map[garden.BedID]map[int]bool{}
		for _, c := range r.Cultivations {
			if dug[c.Beds[0]] == nil {
				dug[c.Beds[0]] = map[int]bool{}
			}
			if c.How == garden.DoubleDug {
				dug[c.Beds[0]][c.Date.Year()+1] = true
			}
		}
		kg := map[garden.PlantingID]float64{}
		for _, h := range r.Harvests {
			kg[h.Planting] += float64(h.Mass.Value)
		}
		for _, p := range r.Plantings {
			if p.Crop != "carrot" {
				continue
			}
			i := 0
			if dug[p.Bed][p.Date.Date.Year()] {
				i = 1
			}
			sum[i] += math.Log(kg[p.ID])
			n[i]++
		}
	}
	got := sum[1]/n[1] - sum[0]/n[0]
	want := truth.Dug[garden.DoubleDug]
	// spread of one log is about 0.3; the mean difference of so many lies within four standard errors
	if se := 0.3 * math.Sqrt(1/n[0]+1/n[1]); math.Abs(got-want) > 4*se {
		t.Errorf("log ratio %.3f, want %.3f within %.3f", got, want, 4*se)
	}
}
