package analysis_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"fairplot/internal/num/analysis"
	"fairplot/internal/num/model"
)

// pairs lays differences out as pairs of plots, one treated and one not.
func pairs(t *testing.T, differences []float64) model.Table {
	t.Helper()
	var rows [][]string
	var lines []int
	for i, d := range differences {
		for k, way := range []string{"crossed", "selfed"} {
			rows = append(rows, []string{fmt.Sprint("pair", i), way, fmt.Sprint(100 + d*float64(1-k))})
			lines = append(lines, len(lines)+2)
		}
	}
	table, err := model.NewTable([]string{"pair", "way", "y"}, rows, lines)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// TestRandomisation repeats published randomisation tests of pairs. Darwin's fifteen pairs of maize: Fisher (1935), The Design of Experiments, section 21, 1726
// of 32768 sign patterns. Shoes: Box, Hunter & Hunter (1978), boys' shoes, 7 of 1024 patterns at or beyond the sum in one direction.
func TestRandomisation(t *testing.T) {
	for _, c := range []struct {
		name         string
		differences  []float64
		p, patterns  float64
		smallestPair float64
	}{
		{"darwin", []float64{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48}, 1726.0 / 32768, 32768, 2.0 / 32768},
		{"shoes", []float64{0.8, 0.6, 0.3, -0.1, 1.1, -0.2, 0.3, 0.5, 0.5, 0.3}, 14.0 / 1024, 1024, 2.0 / 1024},
		{"three pairs are never below 0.25", []float64{5, 6, 7}, 0.25, 8, 0.25},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := analysis.Run(pairs(t, c.differences), analysis.Spec{Response: "y", Treatments: "way", Blocks: "pair", Randomisation: true})
			if err != nil {
				t.Fatal(err)
			}
			if len(r.Randomisation) != 1 {
				t.Fatalf("%d tests; doubts %v", len(r.Randomisation), r.Doubts)
			}
			got := r.Randomisation[0]
			if math.Abs(got.P-c.p) > 1e-12 || !got.Exact || got.Arrangements == nil || *got.Arrangements != c.patterns || math.Abs(got.Smallest-c.smallestPair) > 1e-12 {
				t.Errorf("got %+v with %v arrangements, want p %v of %v", got, got.Arrangements, c.p, c.patterns)
			}
		})
	}
}

func TestRandomisationIsAbsentUnlessAsked(t *testing.T) {
	r, err := analysis.Run(pairs(t, []float64{1, 2, 4}), analysis.Spec{Response: "y", Treatments: "way", Blocks: "pair"})
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(r)
	if err != nil || strings.Contains(string(text), "randomisation") {
		t.Errorf("%v %s", err, text)
	}
}
