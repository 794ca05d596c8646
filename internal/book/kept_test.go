package book_test

import (
	"flag"
	"path/filepath"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/garden"
)

var keep = flag.Bool("keep", false, "write the book of the present form to testdata/books, if it is not there yet")

// One book of every form that was ever released is kept and must be read by this version. Each holds the same small garden,
// once changed, and one question.
func TestBooksOfOlderVersionsAreRead(t *testing.T) {
	if *keep {
		keepBook(t, filepath.Join("testdata", "books", "form1.book"))
	}
	kept, err := filepath.Glob(filepath.Join("testdata", "books", "*.book"))
	if err != nil || len(kept) == 0 {
		t.Fatalf("no kept books: %v", err)
	}
	for _, path := range kept {
		own := filepath.Join(t.TempDir(), filepath.Base(path))
		put(t, own, bytesOf(t, path))
		b, err := book.Open(ctx, own, options(&serial{n: 1000}))
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		v := newSmall(&serial{n: 1})
		list := read(t, b)
		if len(list.Gardens) != 1 || len(list.Beds) != 1 || len(list.Plantings) != 1 || len(list.Harvests) != 1 {
			t.Fatalf("%s holds %+v", path, list)
		}
		h := list.Harvests[0]
		if h.ID != v.harvest.ID || h.Mass.Value != 4 || h.Rev != 2 || h.Date != v.harvest.Date || list.Plantings[0].Crop != "parsnip" || list.Beds[0].Name != "4" {
			t.Errorf("%s holds the harvest %+v", path, h)
		}
		if past, err := b.History(ctx, book.Look{}); err != nil || len(past) != 5 {
			t.Errorf("%s has %d lines of history, %v", path, len(past), err)
		}
		if list, err := b.Questions(ctx); err != nil || len(list) != 1 {
			t.Errorf("%s has the questions %q, %v", path, list, err)
		}
		if err := b.Check(ctx); err != nil {
			t.Errorf("%s: %v", path, err)
		}
		apply(t, b, []garden.Operation{operation(t, &serial{n: 2000}, garden.Remove, v.harvest, 2)})
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	}
}

func keepBook(t *testing.T, path string) {
	t.Helper()
	s := &serial{}
	b, err := book.Create(ctx, path, options(s))
	if err != nil {
		t.Fatal(err)
	}
	v := newSmall(s)
	apply(t, b, add(t, s, v.records()...))
	v.harvest.Mass = garden.Some(4 * v.harvest.Mass.Value / 3.5)
	apply(t, b, []garden.Operation{operation(t, s, garden.Change, v.harvest, 1)})
	if _, err := b.Asked(ctx, "compare cultivation"); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
}
