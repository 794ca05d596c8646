package analysis

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// What the file of cases leaves out: weights, and terms without their margins. Values from R 4.2.2, lme4 1.1-31 (optimiser
// bobyqa to rhoend 1e-12) and emmeans 1.8.4-1, on the same tables, row i of which (from 0) weighs 1 + i mod 3. lme4's search
// leaves about 1e-7 of a variance; its criterion is flat there.
func TestMixedModelsOfR(t *testing.T) {
	header, rows := raw(t, "data/oats_minus9.csv")
	header, rows = weigh(header, rows)
	for _, c := range []struct {
		treatments, weights string
		categories          []string
		criterion           float64
		variances           [3]float64 // Block, Block:Variety, residual
	}{
		{"Variety+nitro", "w", []string{"nitro"}, 501.2914912129, [3]float64{148.1300316686, 85.8084654629, 362.5383224580}},
		{"Variety/nitro", "", []string{"nitro"}, 455.99560342767, [3]float64{195.2949929616, 69.7921567937, 206.0122197791}},
		{"Variety:nitro", "", []string{"nitro"}, 455.99560342767, [3]float64{195.2949934809, 69.7921592539, 206.0122187256}},
		{"Variety:nitro", "", nil, 505.04475996189, [3]float64{234.5233521828, 79.6131057025, 184.0750158750}},
		{"Variety*nitro", "", nil, 489.91929716435, [3]float64{210.4783654684, 71.9316880794, 184.8000793922}},
	} {
		r := run(t, header, rows, Spec{Response: "yield", Treatments: c.treatments, Blocks: "Block/Variety", Categories: c.categories, Weights: c.weights})
		where := fmt.Sprintf("%s, categories %v, weights %q: ", c.treatments, c.categories, c.weights)
		if math.Abs(*r.Criterion-c.criterion) > 1e-7 {
			t.Errorf("%scriterion %.11f, want %.11f", where, *r.Criterion, c.criterion)
		}
		for i, want := range c.variances {
			near(t, where+r.Components[i].Name, &r.Components[i].Variance, &want, 1e-6)
		}
		if r.Aliased != nil {
			t.Errorf("%saliased %v", where, r.Aliased)
		}
	}
	// Means of the first by emmeans; their plain standard errors are Satterthwaite's.
	r := run(t, header, rows, Spec{Response: "yield", Treatments: "Variety+nitro", Blocks: "Block/Variety", Categories: []string{"nitro"}, Weights: "w", DF: Satterthwaite})
	for i, want := range [][2]float64{{106.188803640361, 6.9050573022598}, {108.987836685300, 6.8922114188207}, {96.882032538368, 7.1237378627752}} {
		near(t, r.Means[i].Levels.String(), &r.Means[i].Mean, &want[0], 1e-7)
		near(t, r.Means[i].Levels.String()+" se", r.Means[i].SE, &want[1], 1e-6)
	}
}

func weigh(header []string, rows [][]string) ([]string, [][]string) {
	header = append(append([]string(nil), header...), "w")
	var out [][]string
	for i, r := range rows {
		out = append(out, append(append([]string(nil), r...), fmt.Sprint(1+i%3)))
	}
	return header, out
}

// The same for least squares: lm with weights, emmeans, and the type II sum of squares as a difference of two fits.
func TestWeightedLeastSquaresOfR(t *testing.T) {
	header, rows := raw(t, "data/foster.csv")
	header, rows = weigh(header, rows)
	r := run(t, header, rows, Spec{Response: "weight", Treatments: "litgen*motgen", Weights: "w", Compare: []string{"litgen"}})
	variance, f := 106.237345679012, 0.94967676563497
	near(t, "residual", &r.Components[0].Variance, &variance, 1e-12)
	near(t, "F of litgen", r.Terms[0].F, &f, 1e-11)
	for i, want := range [][2]float64{{55.616666666667, 1.8220639540008}, {52.980555555555, 2.1039382286462}, {51.978333333333, 1.9959710576466}, {52.937083333333, 1.9254196188339}} {
		near(t, r.Means[i].Levels.String(), &r.Means[i].Mean, &want[0], 1e-12)
		near(t, r.Means[i].Levels.String()+" se", r.Means[i].SE, &want[1], 1e-12)
	}
	for i, p := range []float64{0.7797, 0.5390, 0.7440, 0.9856, 1.0000, 0.9856} {
		if math.Abs(*r.Differences[i].PAdjusted-p) > 5.1e-5 { // printed to four digits
			t.Errorf("%s - %s: adjusted p %g, want %.4f", r.Differences[i].A, r.Differences[i].B, *r.Differences[i].PAdjusted, p)
		}
	}
	if strings.Contains(r.Method, "REML") {
		t.Errorf("method %s", r.Method)
	}
}
