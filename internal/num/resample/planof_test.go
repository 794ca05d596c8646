package resample_test

import (
	"slices"
	"testing"

	. "fairplot/internal/num/resample"
)

func TestPlanOf(t *testing.T) {
	oats := table(t, "oats.csv")
	block, variety, nitro := codes(oats["Block"]), codes(oats["Variety"]), codes(oats["nitro"])
	whole := codes(joined(oats["Block"], oats["Variety"]))
	row := make([]int32, len(whole))
	for i := range row {
		row[i] = int32(i)
	}
	orchard := table(t, "orchardsprays.csv")
	r, c := codes(orchard["rowpos"]), codes(orchard["colpos"])
	for what, x := range map[string]struct {
		treatment []int32
		groupings [][]int32
		want      Plan
	}{
		"varieties were drawn among whole plots": {variety, [][]int32{block, whole, row}, Plan{Unit: whole, Block: block}},
		"nitrogen within them":                   {nitro, [][]int32{block, whole}, Plan{Block: whole}},
		"a treatment of whole blocks":            {block, [][]int32{block, whole}, Plan{Unit: block}},
		"no groupings":                           {nitro, nil, Plan{}},
		"a Latin square":                         {codes(orchard["treatment"]), [][]int32{r, c}, Plan{Row: r, Column: c}},
	} {
		got, err := PlanOf(x.treatment, x.groupings...)
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		if !slices.Equal(got.Unit, x.want.Unit) || !slices.Equal(got.Block, x.want.Block) ||
			!slices.Equal(got.Row, x.want.Row) && !slices.Equal(got.Row, x.want.Column) {
			t.Errorf("%s: got unit %v, block %v, row %v", what, got.Unit, got.Block, got.Row)
		}
	}
	crossed := []int32{0, 1, 0, 1, 0, 1}
	if _, err := PlanOf([]int32{0, 1, 1, 0, 0, 1}, crossed, []int32{0, 0, 0, 1, 1, 1}); err == nil {
		t.Error("groupings that cross without a square were accepted")
	}
}
