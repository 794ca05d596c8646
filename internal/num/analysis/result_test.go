package analysis

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"fairplot/internal/num/model"
)

// contract is every field of the answer, by list.
var contract = map[string][]string{
	"":            {"rows", "left_out", "scale", "method", "criterion", "components", "terms", "means", "differences", "aliased", "doubts", "search"},
	"components":  {"name", "variance", "on_boundary"},
	"terms":       {"name", "f", "num_df", "den_df", "p"},
	"means":       {"of", "levels", "mean", "se", "df", "low", "high", "back", "back_low", "back_high"},
	"differences": {"of", "a", "b", "estimate", "se", "df", "low", "high", "p", "p_adjusted", "low_adjusted", "high_adjusted", "ratio", "ratio_low", "ratio_high"},
	"aliased":     {"term", "with"},
	"doubts":      {"code", "says", "number"},
	"search":      {"evaluations", "converged", "gradient"},
}

func fieldsOf(t *testing.T, r Result) map[string]map[string]bool {
	t.Helper()
	raw, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]any
	if err := json.Unmarshal(raw, &all); err != nil {
		t.Fatal(err)
	}
	seen := map[string]map[string]bool{"": {}}
	for field, v := range all {
		seen[""][field] = true
		lists := items(v)
		if one, ok := v.(map[string]any); ok {
			lists = append(lists, one)
		}
		for _, x := range lists {
			if seen[field] == nil {
				seen[field] = map[string]bool{}
			}
			for f := range x {
				seen[field][f] = true
			}
		}
	}
	return seen
}

// Every field of the contract is met in some answer and no other; what has no place in an answer is not in it.
func TestFieldsAreThoseOfTheContract(t *testing.T) {
	met := map[string]map[string]bool{}
	for _, c := range []struct {
		data string
		args []string
		not  map[string][]string
	}{
		{"data/oats.csv", []string{"--response", "yield", "--treatments", "Variety", "--blocks", "Block/Variety"},
			map[string][]string{"": {"aliased", "doubts"}, "means": {"back", "back_low"}, "differences": {"ratio"}}},
		{"data/npk.csv", []string{"--response", "yield", "--treatments", "block+N*P*K", "--categories", "block,N,P,K", "--compare", "N", "--adjust", "none", "--log"},
			map[string][]string{"": {"criterion", "search"}, "differences": {"p_adjusted", "low_adjusted"}}},
		{"data/warpbreaks_missing_cell.csv", []string{"--response", "breaks", "--treatments", "wool*tension", "--adjust", "holm"},
			map[string][]string{"differences": {"low_adjusted", "high_adjusted"}, "aliased": {"with"}}},
		{"data/sleepstudy.csv", []string{"--response", "Reaction", "--treatments", "Days", "--blocks", "Subject"},
			map[string][]string{"": {"means", "differences", "doubts", "aliased"}}},
	} {
		r, err := Run(readTable(t, c.data), readSpec(t, c.args))
		if err != nil {
			t.Fatal(err)
		}
		for list, fields := range fieldsOf(t, r) {
			if met[list] == nil {
				met[list] = map[string]bool{}
			}
			for f := range fields {
				met[list][f] = true
				if !slices.Contains(contract[list], f) {
					t.Errorf("%s: field %s of %q is not in the contract", c.data, f, list)
				}
				if slices.Contains(c.not[list], f) {
					t.Errorf("%s: field %s of %q is there and should not be", c.data, f, list)
				}
			}
		}
	}
	for list, fields := range contract {
		for _, f := range fields {
			if !met[list][f] {
				t.Errorf("field %s of %q was never met", f, list)
			}
		}
	}
}

// M14's first adjusted p by quadrature on the two factors that fit the correlations to 6e-13, stable to 2e-16 when the
// step is halved and equal to a controlled lattice rule within its error (0.01776438 ± 2e-7).
func TestDunnettByTwoFactors(t *testing.T) {
	r, err := Run(readTable(t, "data/orchardsprays_minus5.csv"), Spec{Response: "decrease", Treatments: "treatment", Blocks: "rowpos+colpos", Log: true, Against: "A"})
	if err != nil {
		t.Fatal(err)
	}
	if p := *r.Differences[0].PAdjusted; math.Abs(p-0.0177643928154) > 1e-11 {
		t.Errorf("adjusted p of B - A %.13g, want 0.0177643928154", p)
	}
	if says := doubt(r, model.DunnettError); says != "" {
		t.Errorf("it was sampled: %s", says)
	}
}
