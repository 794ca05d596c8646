package book_test

import (
	"errors"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

func undo(s *serial) garden.Operation { return garden.Operation{ID: s.id(), Made: noon} }

func mustUndo(t *testing.T, b *book.Book, s *serial, op garden.Operation) garden.Operation {
	t.Helper()
	by := undo(s)
	r, err := b.Undo(ctx, op.ID, by)
	if err != nil || r.Outcome != garden.Kept {
		t.Fatalf("undo: %+v, %v", r, err)
	}
	return by
}

func refusedWith(t *testing.T, b *book.Book, s *serial, op garden.Operation, want ...garden.Operation) {
	t.Helper()
	version := mustVersion(t, b)
	_, err := b.Undo(ctx, op.ID, undo(s))
	isKind(t, err, garden.Refused)
	var d *book.Depends
	if !errors.As(err, &d) || len(d.Later) != len(want) {
		t.Fatalf("undo gave %v, want a list of %d later changes", err, len(want))
	}
	for i, p := range d.Later {
		if p.Operation.ID != want[i].ID {
			t.Errorf("the %d. later change is %v, want %v", i+1, p.Operation.ID, want[i].ID)
		}
	}
	if mustVersion(t, b) != version {
		t.Error("a refused undo left an operation behind")
	}
}

func TestAddChangeRemoveAreUndoneAndUndoneAgain(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	adds := add(t, s, v.records()...)
	apply(t, b, adds)
	heavier := v.harvest
	heavier.Mass = garden.Some(unit.Mass(4))
	change := operation(t, s, garden.Change, heavier, 1)
	apply(t, b, []garden.Operation{change})
	mass := func() float64 { return float64(read(t, b).Harvests[0].Mass.Value) }
	first := mustUndo(t, b, s, change)
	if mass() != 3.5 {
		t.Errorf("after undo it weighs %v", mass())
	}
	mustUndo(t, b, s, first)
	if mass() != 4 {
		t.Errorf("after undo of the undo it weighs %v", mass())
	}
	remove := operation(t, s, garden.Remove, v.harvest, 4)
	apply(t, b, []garden.Operation{remove})
	sly := operation(t, s, garden.Add, heavier, 5)
	sly.Undoes = change.ID
	apply(t, b, []garden.Operation{sly}, garden.RefusedOut) // only the undoing of the removal itself brings it back
	back := mustUndo(t, b, s, remove)
	if mass() != 4 || read(t, b).Harvests[0].Rev != 6 {
		t.Errorf("after undo of the removal: %+v", read(t, b).Harvests[0])
	}
	if _, err := b.Undo(ctx, remove.ID, undo(s)); err == nil {
		t.Error("a removal was undone twice")
	}
	mustUndo(t, b, s, back)
	if n := len(read(t, b).Harvests); n != 0 {
		t.Errorf("%d harvests after the undo of the undone removal", n)
	}
	past, err := b.History(ctx, book.Look{Record: garden.ID(v.harvest.ID)})
	if err != nil || len(past) != 7 || past[0].After != nil || past[6].Before != nil || past[1].Operation.Undoes != remove.ID {
		t.Fatalf("the history is %+v, %v", past, err)
	}
	for i := 1; i < len(past); i++ {
		if !reflect.DeepEqual(past[i-1].Before, past[i].After) {
			t.Errorf("line %d ends with %+v, the next begins with %+v", i, past[i].After, past[i-1].Before)
		}
	}
	if op := past[6].Operation; !op.Made.Equal(adds[3].Made) || !op.Received.Equal(noon) || string(op.Body) != string(adds[3].Body) {
		t.Errorf("the first operation is kept as %+v", op)
	}
	page, err := b.History(ctx, book.Look{Before: past[2].Operation.ID, Limit: 2})
	if err != nil || len(page) != 2 || page[0].Operation.ID != past[3].Operation.ID {
		t.Errorf("the next page is %+v, %v", page, err)
	}
}

func TestUndoIsRefusedWithTheChangesThatDependOnIt(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	ops := add(t, s, v.records()...)
	apply(t, b, ops)
	refusedWith(t, b, s, ops[2], ops[3]) // the planting has a harvest
	refusedWith(t, b, s, ops[1], ops[2]) // the bed has a planting
	refusedWith(t, b, s, ops[0], ops[1]) // the garden has a bed
	one, two, three := v.harvest, v.harvest, v.harvest
	one.Mass = garden.Some(unit.Mass(4))
	two.Mass, two.Note = one.Mass, "north end"
	three.Mass, three.Note = garden.Some(unit.Mass(5)), two.Note
	changes := []garden.Operation{operation(t, s, garden.Change, one, 1), operation(t, s, garden.Change, two, 2), operation(t, s, garden.Change, three, 3)}
	apply(t, b, changes[:2])
	mustUndo(t, b, s, changes[0]) // the later change touched another field
	if h := read(t, b).Harvests[0]; h.Mass.Value != 3.5 || h.Note != "north end" {
		t.Errorf("undo below another change made %+v", h)
	}
	changes[2].Base = 4
	apply(t, b, changes[2:])
	later, err := b.History(ctx, book.Look{Record: garden.ID(v.harvest.ID), Limit: 3})
	if err != nil {
		t.Fatal(err)
	}
	refusedWith(t, b, s, changes[0], later[2].Operation, later[1].Operation, later[0].Operation)
	refusedWith(t, b, s, ops[3], changes[0], changes[1], later[1].Operation, later[0].Operation)
	_, err = b.Undo(ctx, s.id(), undo(s))
	isKind(t, err, garden.Missing)
}

// The tables of records are what the operations made: replaying the history of random changes gives the same lists.
func TestTheHistoryTellsTheWholeBook(t *testing.T) {
	b, s := fresh(t)
	r := rand.New(rand.NewPCG(9, 9))
	v := newSmall(s)
	apply(t, b, add(t, s, v.garden, v.bed, v.planting))
	live := map[garden.HarvestID]garden.Harvest{}
	for range 400 {
		h := v.harvest
		h.Mass, h.Rev = garden.Some(unit.Mass(r.IntN(50))), 1
		if len(live) == 0 || r.IntN(3) == 0 {
			h.ID = garden.HarvestID(s.id())
			apply(t, b, add(t, s, h))
			live[h.ID] = h
			continue
		}
		for id, was := range live { // any one of them
			h.ID, h.Rev, h.Date = id, was.Rev+1, h.Date.AddDays(r.IntN(100))
			break
		}
		if r.IntN(4) == 0 {
			apply(t, b, []garden.Operation{operation(t, s, garden.Remove, h, h.Rev-1)})
			delete(live, h.ID)
			continue
		}
		apply(t, b, []garden.Operation{operation(t, s, garden.Change, h, h.Rev-1)})
		live[h.ID] = h
	}
	list := read(t, b).Harvests
	if len(list) != len(live) {
		t.Fatalf("the book holds %d harvests, want %d", len(list), len(live))
	}
	for _, h := range list {
		if !reflect.DeepEqual(h, live[h.ID]) {
			t.Fatalf("the book holds %+v, want %+v", h, live[h.ID])
		}
	}
	past, err := b.History(ctx, book.Look{})
	if err != nil || len(past) != 403 {
		t.Fatalf("%d lines of history, %v", len(past), err)
	}
	last := map[garden.ID]garden.Record{}
	for i := len(past) - 1; i >= 0; i-- {
		p := past[i]
		if was, met := last[p.Operation.Record]; met && !reflect.DeepEqual(was, p.Before) {
			t.Fatalf("line %d begins with %+v, but the record was %+v", i, p.Before, was)
		}
		last[p.Operation.Record] = p.After
	}
	for _, h := range list {
		if !reflect.DeepEqual(last[garden.ID(h.ID)], garden.Record(h)) {
			t.Fatalf("the history ends with %+v, the book holds %+v", last[garden.ID(h.ID)], h)
		}
	}
	if past[0].Operation.Received.Location() != time.UTC {
		t.Error("instants are not in UTC")
	}
}

// TestUndoAllIsAllOrNothing: where the last of several cannot be undone, the others stay too.
func TestUndoAllIsAllOrNothing(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	ops := add(t, s, v.records()...)
	apply(t, b, ops)
	by := func() garden.Operation { return garden.Operation{ID: s.id(), Made: noon} }
	var newestFirst []garden.ID
	for i := len(ops) - 1; i >= 0; i-- {
		newestFirst = append(newestFirst, ops[i].ID)
	}
	before := read(t, b)
	if err := b.UndoAll(ctx, append([]garden.ID{newestFirst[0]}, s.id()), by); err == nil {
		t.Error("a change that the book never had was undone")
	}
	if !reflect.DeepEqual(read(t, b), before) {
		t.Error("of a refused undo, a part was kept")
	}
	if err := b.UndoAll(ctx, newestFirst, by); err != nil {
		t.Fatal(err)
	}
	if left := read(t, b); !reflect.DeepEqual(left, garden.Records{}) {
		t.Errorf("left: %+v", left)
	}
}
