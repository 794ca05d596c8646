package analysis

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/model"
)

func benchmark(b *testing.B, table model.Table, s Spec) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(table, s); err != nil {
			b.Fatal(err)
		}
	}
}

// The whole analysis of Yates's oats, 72 rows: fit, Kenward-Roger tests, 7 means, 9 differences by Tukey.
func BenchmarkSplitPlot72(b *testing.B) {
	benchmark(b, readTable(b, "data/oats.csv"), Spec{Response: "yield", Treatments: "Variety*nitro", Blocks: "Block/Variety", Categories: []string{"nitro"}})
}

// The same with nine rows missing.
func BenchmarkSplitPlot63(b *testing.B) {
	benchmark(b, readTable(b, "data/oats_minus9.csv"), Spec{Response: "yield", Treatments: "Variety*nitro", Blocks: "Block/Variety", Categories: []string{"nitro"}})
}

// farm draws 2,000 rows: 6 gardens, 96 beds in them, 10 seasons, 20 crops, crossed; three methods, one garden one method
// a season, and one covariate.
func farm(b *testing.B) model.Table {
	r := rand.New(rand.NewPCG(21, 22))
	effect := func(n int, sd float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = sd * r.NormFloat64()
		}
		return out
	}
	gardens, beds, seasons, crops := effect(6, 0.2), effect(96, 0.15), effect(10, 0.2), effect(20, 0.5)
	methods := []string{"undug", "single", "double"}
	var kg, compost []float64
	var garden, bed, season, crop, method []string
	for range 2000 {
		k, s, c := r.IntN(96), r.IntN(10), r.IntN(20)
		m, x := (k/3+s)%3, r.Float64()
		kg = append(kg, 1+0.1*float64(m)+0.1*x+gardens[k%6]+beds[k]+seasons[s]+crops[c]+0.3*r.NormFloat64())
		compost = append(compost, x)
		garden, bed = append(garden, fmt.Sprint("g", k%6)), append(bed, fmt.Sprint("b", k))
		season, crop = append(season, fmt.Sprint("s", s)), append(crop, fmt.Sprint("c", c))
		method = append(method, methods[m])
	}
	table, err := model.Of(model.Numbers("kg", kg), model.Numbers("compost", compost), model.Text("garden", garden),
		model.Text("bed", bed), model.Text("season", season), model.Text("crop", crop), model.Text("method", method))
	if err != nil {
		b.Fatal(err)
	}
	return table
}

func BenchmarkFarm2000(b *testing.B) {
	benchmark(b, farm(b), Spec{Response: "kg", Treatments: "method+compost", Blocks: "garden/bed + season + crop"})
}

// A network of growers, 60,000 rows: 800 gardens, 9,000 beds in them, 12 seasons.
func BenchmarkNetwork60000(b *testing.B) {
	r := rand.New(rand.NewPCG(23, 24))
	const n = 60000
	kg, x := make([]float64, n), make([]float64, n)
	garden, bed, season, method, crop := make([]string, n), make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	effect := make([]float64, 9000)
	for i := range effect {
		effect[i] = 0.2 * r.NormFloat64()
	}
	for i := range n {
		k, s := r.IntN(9000), r.IntN(12)
		garden[i], bed[i], season[i] = fmt.Sprint("g", k%800), fmt.Sprint("b", k), fmt.Sprint("s", s)
		method[i], crop[i] = fmt.Sprint("m", (k+s)%3), fmt.Sprint("c", r.IntN(20))
		x[i] = float64(r.IntN(50))
		kg[i] = 2 + effect[k] + effect[k%800] + 0.1*float64(s%5) + 0.3*r.NormFloat64()
	}
	table, err := model.Of(model.Numbers("kg", kg), model.Numbers("x", x), model.Text("garden", garden), model.Text("bed", bed),
		model.Text("season", season), model.Text("method", method), model.Text("crop", crop))
	if err != nil {
		b.Fatal(err)
	}
	benchmark(b, table, Spec{Response: "kg", Treatments: "crop+method+x", Blocks: "garden/bed+season", Compare: []string{"method"}})
}

func BenchmarkLevels200(b *testing.B) {
	benchmark(b, levels(b, 200, 3), Spec{Response: "kg", Treatments: "sort", Blocks: "rep"})
}

// Sixty columns without blocks, every row of the coding different.
func BenchmarkLeastSquares2000(b *testing.B) {
	benchmark(b, farm(b), Spec{Response: "kg", Treatments: "method*crop+compost", Compare: []string{"method"}})
}
