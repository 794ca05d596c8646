package book_test

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

func TestWhatGoesInComesOut(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	apply(t, b, add(t, s, v.records()...))
	list := read(t, b)
	v.garden.Rev, v.bed.Rev, v.planting.Rev, v.harvest.Rev = 1, 1, 1, 1
	want := garden.Records{Gardens: []garden.Garden{v.garden}, Beds: []garden.Bed{v.bed}, Plantings: []garden.Planting{v.planting}, Harvests: []garden.Harvest{v.harvest}}
	if !reflect.DeepEqual(list, want) {
		t.Errorf("read\n%+v\nwant\n%+v", list, want)
	}
}

func TestListsStandInOrderOfDayAndSpanIsKept(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	recs := v.records()[:3]
	for _, day := range []int{40, -300, 9000, 40, 7, 9001} {
		h := v.harvest
		h.ID, h.Date = garden.HarvestID(s.id()), civil.FromNumber(day)
		recs = append(recs, h)
	}
	apply(t, b, add(t, s, recs...))
	var days []int
	all := read(t, b).Harvests
	for _, h := range all {
		days = append(days, h.Date.Number())
	}
	if !slices.Equal(days, []int{-300, 7, 40, 40, 9000, 9001}) || all[2].ID.String() > all[3].ID.String() {
		t.Errorf("the harvests stand in the order %v", days)
	}
	for _, c := range []struct{ from, to, want int }{{7, 9000, 4}, {41, 0, 2}, {0, 7, 2}, {8, 39, 0}} {
		list, err := b.Read(ctx, garden.Want{Kinds: []garden.Kind{garden.KindHarvest, garden.KindBed}, From: civil.FromNumber(c.from), To: civil.FromNumber(c.to)})
		if err != nil || len(list.Harvests) != c.want || len(list.Beds) != 1 || len(list.Gardens) != 0 {
			t.Errorf("from %d to %d: %d harvests, %d beds, %d gardens, %v; want %d, 1, 0", c.from, c.to, len(list.Harvests), len(list.Beds), len(list.Gardens), err, c.want)
		}
	}
	if _, err := b.Read(ctx, garden.Want{Kinds: []garden.Kind{"tractor"}}); err == nil {
		t.Error("a kind that does not exist was read")
	}
}

func TestTheSameOperationTwiceAndWithOtherBytes(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	ops := add(t, s, v.records()...)
	apply(t, b, ops)
	version := mustVersion(t, b)
	for _, r := range apply(t, b, ops, garden.Had, garden.Had, garden.Had, garden.Had) {
		if r.Revision != 1 {
			t.Errorf("the receipt %+v names another revision", r)
		}
	}
	other := ops[3]
	other.Body = []byte(strings.Replace(string(other.Body), "3.5", "35", 1))
	apply(t, b, []garden.Operation{other}, garden.RefusedOut)
	later := ops[3]
	later.Made = later.Made.Add(1)
	apply(t, b, []garden.Operation{later}, garden.RefusedOut)
	later = ops[3]
	later.Received = noon // is not part of what was sent
	apply(t, b, []garden.Operation{later}, garden.Had)
	if got := read(t, b).Harvests[0].Mass.Value; got != 3.5 {
		t.Errorf("the harvest weighs %v now", got)
	}
	if mustVersion(t, b) != version {
		t.Error("the version grew though nothing was kept")
	}
	change := operation(t, s, garden.Change, v.harvest, 1)
	apply(t, b, []garden.Operation{change, change}, garden.Kept, garden.Had)
}

func mustVersion(t *testing.T, b *book.Book) int64 {
	t.Helper()
	v, err := b.Version(ctx)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestAPhoneThatOffersOldEntriesAgainRevivesNothing(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	ops := add(t, s, v.records()...)
	apply(t, b, ops)
	apply(t, b, []garden.Operation{operation(t, s, garden.Remove, v.harvest, 1)})
	apply(t, b, ops[3:], garden.Had)
	anew := add(t, s, v.harvest) // the same record under an operation of another id
	apply(t, b, anew, garden.RefusedOut)
	apply(t, b, []garden.Operation{operation(t, s, garden.Remove, v.harvest, 2)}, garden.RefusedOut)
	if n := len(read(t, b).Harvests); n != 0 {
		t.Errorf("%d harvests came back", n)
	}
}

func TestOperationsThatCannotBeAreRefusedAndHoldUpNoOthers(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	good := add(t, s, v.records()...)
	lost := v.harvest
	lost.ID, lost.Planting = garden.HarvestID(s.id()), garden.PlantingID(s.id())
	heavy := v.harvest
	heavy.ID, heavy.Mass = garden.HarvestID(s.id()), garden.Some(unit.Mass(-1))
	bad := map[string]garden.Operation{
		"never had":                add(t, s, lost)[0],
		"below zero":               add(t, s, heavy)[0],
		"no id":                    {Action: garden.Add, Kind: garden.KindBed},
		"nothing that":             {ID: s.id(), Record: s.id(), Action: "burn", Kind: garden.KindBed},
		"no kind":                  {ID: s.id(), Record: s.id(), Action: garden.Remove, Kind: "tractor", Base: 1},
		"cannot be read":           {ID: s.id(), Record: s.id(), Action: garden.Add, Kind: garden.KindBed, Body: []byte(`{"name":"5","colour":"red"}`)},
		"has never had the record": operation(t, s, garden.Change, lost, 1),
		"a bed, not a harvest":     {ID: s.id(), Record: garden.ID(v.bed.ID), Action: garden.Change, Kind: garden.KindHarvest, Base: 1, Body: good[3].Body},
		"builds on a change":       operation(t, s, garden.Change, v.bed, 7),
		"build on":                 operation(t, s, garden.Change, v.bed, 0),
		"belong to it":             operation(t, s, garden.Remove, v.planting, 1),
	}
	short := add(t, s, v.harvest)[0]
	short.Sent = []byte("abc")
	bad["hash of what was written"] = short
	apply(t, b, good)
	for says, op := range bad {
		next := v.harvest
		next.ID = garden.HarvestID(s.id())
		receipts := apply(t, b, append([]garden.Operation{op}, add(t, s, next)...), garden.RefusedOut, garden.Kept)
		if !strings.Contains(receipts[0].Says, says) {
			t.Errorf("the receipt says %q, want %q in it", receipts[0].Says, says)
		}
	}
	if n := len(read(t, b).Harvests); n != 1+len(bad) {
		t.Errorf("the book holds %d harvests, want %d", n, 1+len(bad))
	}
}

func TestAFactAboutSomethingRemovedMeanwhileIsKept(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	apply(t, b, add(t, s, v.garden, v.bed, v.planting))
	apply(t, b, []garden.Operation{operation(t, s, garden.Remove, v.planting, 1)})
	r := apply(t, b, add(t, s, v.harvest))
	if !strings.Contains(r[0].Says, "has been removed") || len(read(t, b).Harvests) != 1 {
		t.Errorf("the harvest of a removed planting: %+v", r[0])
	}
}

func TestTwoPhonesChangeOneEntry(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	apply(t, b, add(t, s, v.records()...))
	one, two, three := v.harvest, v.harvest, v.harvest
	one.Mass = garden.Some(unit.Mass(4))
	two.Note, two.Use = "from the north end", garden.Given
	three.Mass = garden.Some(unit.Mass(5))
	apply(t, b, []garden.Operation{operation(t, s, garden.Change, one, 1)})
	r := apply(t, b, []garden.Operation{operation(t, s, garden.Change, two, 1)})
	if r[0].Revision != 3 || !strings.Contains(r[0].Says, "put together") {
		t.Errorf("the receipt of the second phone: %+v", r[0])
	}
	h := read(t, b).Harvests[0]
	if h.Mass.Value != 4 || h.Note != two.Note || h.Use != garden.Given || h.State != garden.Topped || h.Rev != 3 {
		t.Errorf("the two changes made %+v", h)
	}
	clash := operation(t, s, garden.Change, three, 1)
	r = apply(t, b, []garden.Operation{clash, clash}, garden.Clashed, garden.Had)
	if !strings.Contains(r[0].Says, "mass") || !strings.Contains(r[1].Says, "clashed") {
		t.Errorf("the receipts of the third phone: %+v", r)
	}
	if got := read(t, b).Harvests[0]; got.Mass.Value != 4 {
		t.Errorf("a clash changed the harvest to %+v", got)
	}
	open, err := b.Clashes(ctx)
	if err != nil || len(open) != 1 || open[0].After.(garden.Harvest).Mass.Value != 5 || open[0].Before.(garden.Harvest).Mass.Value != 4 {
		t.Fatalf("the clashes are %+v, %v", open, err)
	}
	four := v.harvest
	four.Crate = "A"
	apply(t, b, []garden.Operation{operation(t, s, garden.Change, four, 1)}) // a fourth phone, which knows nothing of it
	if open, err = b.Clashes(ctx); err != nil || len(open) != 1 {
		t.Errorf("a change by somebody who could not know settled the clash: %+v, %v", open, err)
	}
	h.Mass = garden.Some(unit.Mass(4.5))
	apply(t, b, []garden.Operation{operation(t, s, garden.Change, h, 3)})
	if open, err = b.Clashes(ctx); err != nil || len(open) != 0 {
		t.Errorf("after somebody settled it the clashes are %+v, %v", open, err)
	}
	apply(t, b, []garden.Operation{operation(t, s, garden.Remove, v.harvest, 1)}, garden.Clashed)
	apply(t, b, []garden.Operation{operation(t, s, garden.Remove, v.harvest, 5)})
	apply(t, b, []garden.Operation{operation(t, s, garden.Change, three, 5)}, garden.Clashed)
	past, err := b.History(ctx, book.Look{Record: garden.ID(v.harvest.ID)})
	if err != nil || len(past) != 6 {
		t.Errorf("the history has %d lines, %v; want the six that were applied", len(past), err)
	}
}

func TestCopyInIsAllOrNothing(t *testing.T) {
	b, s := fresh(t)
	ops := tenYears(t, s, 2500)
	bad := append(slices.Clone(ops), add(t, s, garden.Bed{ID: garden.BedID(s.id()), Garden: garden.GardenID(s.id()), Name: "9"})...)
	receipts, err := b.CopyIn(ctx, bad, nil)
	isKind(t, err, garden.Refused)
	if len(receipts) != len(bad) || receipts[len(bad)-1].Outcome != garden.RefusedOut {
		t.Errorf("%d receipts, the last %+v", len(receipts), receipts[len(receipts)-1])
	}
	if v := mustVersion(t, b); v != 0 {
		t.Errorf("%d operations stayed in the book", v)
	}
	var told []int
	if _, err := b.CopyIn(ctx, ops, func(done int) { told = append(told, done) }); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(told, []int{1000, 2000, 2500}) {
		t.Errorf("progress told %v", told)
	}
	if receipts, err = b.CopyIn(ctx, ops, nil); err != nil || receipts[0].Outcome != garden.Had {
		t.Errorf("copied in again: %+v, %v", receipts[0], err)
	}
	if err := b.Check(ctx); err != nil {
		t.Error(err)
	}
	stopped, stop := context.WithCancel(ctx)
	more := tenYears(t, s, 3000)
	if _, err := b.CopyIn(stopped, more, func(int) { stop() }); !errors.Is(err, context.Canceled) {
		t.Errorf("a stopped import gave %v", err)
	}
	if v := mustVersion(t, b); v != int64(len(ops)) {
		t.Errorf("a stopped import left %d operations, want %d", v, len(ops))
	}
}

func TestQuestionsAreCountedOnce(t *testing.T) {
	b, _ := fresh(t)
	for i, c := range []struct {
		question string
		want     int
	}{{"compare cultivation", 1}, {"compare compost", 2}, {"compare cultivation", 2}, {"explain", 3}} {
		if n, err := b.Asked(ctx, c.question); err != nil || n != c.want {
			t.Errorf("question %d: %d asked, %v; want %d", i+1, n, err, c.want)
		}
	}
	list, err := b.Questions(ctx)
	if err != nil || len(list) != 3 {
		t.Errorf("the questions are %q, %v", list, err)
	}
}

func TestPicturesAreKeptUnderTheirHash(t *testing.T) {
	b, _ := fresh(t)
	hash, err := b.PutPicture(ctx, []byte("abc"))
	// SHA-256 of "abc": FIPS 180-2, appendix B.1.
	if err != nil || hash != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Fatalf("hash %s, %v", hash, err)
	}
	if again, err := b.PutPicture(ctx, []byte("abc")); err != nil || again != hash {
		t.Errorf("kept again under %s, %v", again, err)
	}
	if data, err := b.Picture(ctx, hash); err != nil || string(data) != "abc" {
		t.Errorf("read back %q, %v", data, err)
	}
	_, err = b.Picture(ctx, strings.Repeat("0", 64))
	isKind(t, err, garden.Missing)
}

// While somebody adds a bed with its planting in one go, a reader never sees the one without the other.
func TestAReaderSeesOneMoment(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	apply(t, b, add(t, s, v.garden))
	done := make(chan error)
	go func() {
		var err error
		for range 150 {
			bed, planting := v.bed, v.planting
			bed.ID, planting.ID = garden.BedID(s.id()), garden.PlantingID(s.id())
			planting.Bed = bed.ID
			if _, e := b.Apply(ctx, add(t, s, bed, planting)); e != nil {
				err = e
			}
		}
		done <- err
	}()
	for reads := 0; ; reads++ {
		select {
		case err := <-done:
			if err != nil || reads == 0 {
				t.Errorf("%d reads, %v", reads, err)
			}
			return
		default:
			if list := read(t, b); len(list.Beds) != len(list.Plantings) {
				t.Fatalf("a reader saw %d beds and %d plantings", len(list.Beds), len(list.Plantings))
			}
		}
	}
}

// Each of two changes may be right and both together wrong: then the later one is kept aside.
func TestTwoChangesThatCannotBeBoth(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	v.harvest.Mass, v.harvest.Gross, v.harvest.Tare = garden.Maybe[unit.Mass]{}, garden.Some(unit.Mass(5)), garden.Some(unit.Mass(1))
	apply(t, b, add(t, s, v.records()...))
	one, two := v.harvest, v.harvest
	one.Gross, two.Tare = garden.Some(unit.Mass(2)), garden.Some(unit.Mass(4))
	apply(t, b, []garden.Operation{operation(t, s, garden.Change, one, 1)})
	r := apply(t, b, []garden.Operation{operation(t, s, garden.Change, two, 1)}, garden.Clashed)
	if !strings.Contains(r[0].Says, "cannot be") || read(t, b).Harvests[0].Tare.Value != 1 {
		t.Errorf("the receipt says %+v, the book holds %+v", r[0], read(t, b).Harvests[0])
	}
}
