package book_test

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

var ctx = context.Background()

// noon is the clock of all tests.
var noon = time.Date(2026, time.April, 3, 12, 0, 0, 0, time.UTC)

// serial makes ids 1, 2, 3 and so on, in order of time as UUIDv7 are.
type serial struct{ n uint64 }

func (s *serial) id() (id garden.ID) {
	s.n++
	binary.BigEndian.PutUint64(id[7:], s.n)
	id[6] = 0x70
	id[15] = 1
	return id
}

func options(s *serial) book.Options {
	return book.Options{Now: func() time.Time { return noon }, NewID: s.id, Wait: 50 * time.Millisecond}
}

// fresh makes an empty book that is closed when the test ends.
func fresh(t testing.TB) (*book.Book, *serial) {
	t.Helper()
	s := &serial{}
	b, err := book.Create(ctx, filepath.Join(t.TempDir(), "grower.book"), options(s))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	})
	return b, s
}

func operation(t testing.TB, s *serial, a garden.Action, rec garden.Record, base int) garden.Operation {
	t.Helper()
	op := garden.Operation{ID: s.id(), Action: a, Kind: rec.Kind(), Record: rec.Identity(), Base: base, Made: noon.Add(-time.Hour)}
	if a != garden.Remove {
		body, err := garden.Encode(rec)
		if err != nil {
			t.Fatal(err)
		}
		op.Body = body
	}
	return op
}

func add(t testing.TB, s *serial, recs ...garden.Record) []garden.Operation {
	t.Helper()
	ops := make([]garden.Operation, len(recs))
	for i, rec := range recs {
		ops[i] = operation(t, s, garden.Add, rec, 0)
	}
	return ops
}

// apply applies and wants the outcomes, in order.
func apply(t testing.TB, b *book.Book, ops []garden.Operation, want ...garden.Outcome) []garden.Receipt {
	t.Helper()
	receipts, err := b.Apply(ctx, ops)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range receipts {
		w := garden.Kept
		if len(want) > 0 {
			w = want[i]
		}
		if r.Outcome != w || r.Operation != ops[i].ID {
			t.Fatalf("operation %d of %d: %+v, want %s", i+1, len(ops), r, w)
		}
	}
	return receipts
}

func read(t testing.TB, b *book.Book, kinds ...garden.Kind) garden.Records {
	t.Helper()
	list, err := b.Read(ctx, garden.Want{Kinds: kinds})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// small is a garden with a bed, a crop and a harvest.
type small struct {
	garden   garden.Garden
	bed      garden.Bed
	planting garden.Planting
	harvest  garden.Harvest
}

func (v small) records() []garden.Record {
	return []garden.Record{v.garden, v.bed, v.planting, v.harvest}
}

func newSmall(s *serial) small {
	v := small{garden: garden.Garden{ID: garden.GardenID(s.id()), Name: "terrace"}}
	v.bed = garden.Bed{ID: garden.BedID(s.id()), Garden: v.garden.ID, Name: "4", Length: garden.Some(unit.Length(5)), Width: garden.Some(unit.Length(0.85))}
	v.planting = garden.Planting{ID: garden.PlantingID(s.id()), Bed: v.bed.ID, Crop: "parsnip", Start: garden.Sown, Date: civil.When{Date: civil.Of(2026, time.March, 20)}}
	v.harvest = garden.Harvest{ID: garden.HarvestID(s.id()), Planting: v.planting.ID, Date: civil.Of(2026, time.November, 1), Mass: garden.Some(unit.Mass(3.5)), State: garden.Topped}
	return v
}

func isKind(t *testing.T, err error, kind garden.ErrorKind) *garden.Error {
	t.Helper()
	var e *garden.Error
	if !errors.As(err, &e) || e.Kind != kind || e.Text == "" || e.Hint == "" {
		t.Fatalf("got %v (%T), want a sentence and a hint of kind %d", err, err, kind)
	}
	return e
}

// tenYears are the operations of a large book: 96 beds, ten seasons, n entries in all.
func tenYears(t testing.TB, s *serial, n int) []garden.Operation {
	r := rand.New(rand.NewPCG(1, 96))
	g := garden.Garden{ID: garden.GardenID(s.id()), Name: "field"}
	recs := []garden.Record{g}
	var beds []garden.BedID
	for i := range 96 {
		bed := garden.Bed{ID: garden.BedID(s.id()), Garden: g.ID, Name: fmt.Sprint(i + 1), Length: garden.Some(unit.Length(5)), Width: garden.Some(unit.Length(1.2))}
		beds, recs = append(beds, bed.ID), append(recs, bed)
	}
	var plantings []garden.PlantingID
	for i := range 96 * 10 * 2 {
		p := garden.Planting{ID: garden.PlantingID(s.id()), Bed: beds[i%96], Crop: []string{"parsnip", "leek", "chard", "bean"}[r.IntN(4)], Start: garden.Sown,
			Date: civil.When{Date: civil.Of(2016+i/192, time.April, 1+r.IntN(60))}, InRow: garden.Some(unit.Length(0.15)), BetweenRows: garden.Some(unit.Length(0.3)),
			Arrangement: garden.InRows, Stands: []garden.Stand{{What: garden.Standing, Plants: garden.Some(r.IntN(200))}}, Weighed: garden.AllWeighed}
		plantings, recs = append(plantings, p.ID), append(recs, p)
	}
	for len(recs) < n {
		day, bed := civil.Of(2016+r.IntN(10), time.May, r.IntN(180)), beds[r.IntN(96)]
		switch k := r.IntN(100); {
		case k < 50:
			recs = append(recs, garden.Harvest{ID: garden.HarvestID(s.id()), Planting: plantings[r.IntN(len(plantings))], Date: day, Mass: garden.Some(unit.Mass(r.Float64() * 5)),
				State: garden.Topped, Weighing: garden.ByScale, Use: garden.Eaten})
		case k < 70:
			recs = append(recs, garden.Work{ID: garden.Ref[garden.Work](s.id()), Beds: []garden.BedID{bed}, Task: "weeding", Time: unit.Time(60 * (1 + r.IntN(60))), Who: "Ada", Date: day})
		case k < 90:
			recs = append(recs, garden.Watering{ID: garden.Ref[garden.Watering](s.id()), Beds: []garden.BedID{bed}, Volume: garden.Some(unit.Volume(0.04)), Date: day})
		case k < 95:
			recs = append(recs, garden.Amendment{ID: garden.Ref[garden.Amendment](s.id()), Beds: []garden.BedID{bed}, Material: "compost", Volume: garden.Some(unit.Volume(0.1)), Loads: "1 barrow", Placement: garden.OnSurface, Date: day})
		default:
			recs = append(recs, garden.Cultivation{ID: garden.Ref[garden.Cultivation](s.id()), Beds: []garden.BedID{bed}, How: garden.Forked, Date: day})
		}
	}
	return add(t, s, recs[:n]...)
}
