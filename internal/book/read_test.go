package book_test

import (
	"errors"
	"slices"
	"testing"

	"fairplot/internal/garden"
)

// TestManyRowsComeWholeAndInOrder reads so many harvests that they are decoded beside the database, then damages one of them.
func TestManyRowsComeWholeAndInOrder(t *testing.T) {
	b, s := fresh(t)
	ops := tenYears(t, s, 16000)
	if _, err := b.CopyIn(ctx, ops, nil); err != nil {
		t.Fatal(err)
	}
	want := map[garden.ID]garden.Harvest{}
	for _, op := range ops {
		if op.Kind == garden.KindHarvest {
			rec, err := garden.Decode(op.Kind, op.Record, 1, op.Body)
			if err != nil {
				t.Fatal(err)
			}
			want[op.Record] = rec.(garden.Harvest)
		}
	}
	got := read(t, b, garden.KindHarvest).Harvests
	if len(got) != len(want) || len(got) < 5000 {
		t.Fatalf("%d harvests, want %d", len(got), len(want))
	}
	for _, h := range got {
		w := want[garden.ID(h.ID)]
		if h.Planting != w.Planting || h.Date != w.Date || h.Mass != w.Mass || h.State != w.State {
			t.Fatalf("harvest %v is %+v, want %+v", h.ID, h, w)
		}
	}
	if !slices.IsSortedFunc(got, func(x, y garden.Harvest) int { return x.Date.Compare(y.Date) }) {
		t.Error("the harvests are not in order of their days")
	}
	if err := b.Exec("UPDATE harvest SET body = substr(body, 1, 30) WHERE id = (SELECT id FROM harvest ORDER BY day, id LIMIT 1 OFFSET 3000)"); err != nil {
		t.Fatal(err)
	}
	_, err := b.Read(ctx, garden.Want{Kinds: []garden.Kind{garden.KindHarvest}})
	var e *garden.Error
	if !errors.As(err, &e) || e.Kind != garden.Damaged {
		t.Errorf("a damaged row among many gave %v", err)
	}
}
