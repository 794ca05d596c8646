package evidence_test

import (
	"testing"

	"fairplot/internal/demo"
	"fairplot/internal/evidence"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
)

// BenchmarkCompare answers one question of a small book, of the demo's and of one with 200,000 entries; the aims are 150 ms and 500 ms for the whole process,
// reading included.
func BenchmarkCompare(b *testing.B) {
	small := demo.Book()
	small.Ways, small.Seasons, small.Weather = small.Ways[:2], 2, false
	for _, size := range []struct {
		name string
		plan demo.Plan
	}{{"small", small}, {"demo", demo.Book()}, {"large", demo.Large()}} {
		r := demo.Make(demo.Seed, size.plan, demo.Usual())
		for _, what := range []practice.Name{practice.Cultivation, practice.Compost} {
			b.Run(size.name+"/"+string(what), func(b *testing.B) { answer(b, r, what) })
		}
	}
}

func answer(b *testing.B, r garden.Records, what practice.Name) {
	for b.Loop() {
		f, _, err := evidence.Compare(r, evidence.Question{What: what}, setup(0))
		if err != nil || len(f.Estimates) == 0 {
			b.Fatalf("%d estimates, %v", len(f.Estimates), err)
		}
	}
}

// BenchmarkPractices derives what every planting got.
func BenchmarkPractices(b *testing.B) {
	r := demo.Make(demo.Seed, demo.Large(), demo.Usual())
	for b.Loop() {
		if len(practice.Of(r, practice.Options{})) == 0 {
			b.Fatal("nothing was derived")
		}
	}
}
