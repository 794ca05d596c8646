package book_test

import (
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/garden"
)

// closed makes a book with a few records and closes it.
func closed(t *testing.T) string {
	t.Helper()
	s := &serial{}
	path := filepath.Join(t.TempDir(), "grower.book")
	b, err := book.Create(ctx, path, options(s))
	if err != nil {
		t.Fatal(err)
	}
	apply(t, b, add(t, s, newSmall(s).records()...))
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

func bytesOf(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func put(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// foreign makes an SQLite file of somebody else.
func foreign(t *testing.T, pragma string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "other.db")
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, q := range []string{"CREATE TABLE harvest (kg REAL)", pragma} {
		if _, err := db.Exec(q); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

func TestFilesThatAreNoBookAreRefusedAndLeftAlone(t *testing.T) {
	good := bytesOf(t, closed(t))
	changed := func(at int, b ...byte) []byte {
		data := append([]byte(nil), good...)
		copy(data[at:], b)
		return data
	}
	for _, c := range []struct {
		name string
		data []byte
		kind garden.ErrorKind
		says string
	}{
		{"text", []byte("bed,date,kg\nterrace/4,2026-11-01,3.5\n" + strings.Repeat("x", 200)), garden.Foreign, "import"},
		{"empty", nil, garden.Foreign, "is empty"},
		{"short text", []byte("SQLite format 3\x00"), garden.Foreign, "not a book"},
		{"half", good[:len(good)/2], garden.Damaged, "cut short"},
		{"one byte short", good[:len(good)-1], garden.Damaged, "cut short"},
		{"newer", changed(60, 0, 0, 0, 99), garden.Newer, "form 99"},
		{"garbled schema", changed(100, []byte(strings.Repeat("\xff", 3000))...), garden.Damaged, "damaged"},
		{"foreign database", bytesOf(t, foreign(t, "PRAGMA user_version = 1")), garden.Foreign, "another program"},
		{"another mark", bytesOf(t, foreign(t, "PRAGMA application_id = 12345")), garden.Foreign, "another program"},
	} {
		folder := t.TempDir()
		path := filepath.Join(folder, "b.book")
		put(t, path, c.data)
		_, err := book.Open(ctx, path, options(&serial{}))
		if e := isKind(t, err, c.kind); !strings.Contains(e.Error(), c.says) {
			t.Errorf("%s: %v, want %q in it", c.name, e, c.says)
		}
		if got := files(t, folder); len(got) != 1 || string(bytesOf(t, path)) != string(c.data) {
			t.Errorf("%s: the file was touched, the folder holds %q", c.name, got)
		}
	}
	_, err := book.Open(ctx, filepath.Join(t.TempDir(), "none.book"), options(&serial{}))
	isKind(t, err, garden.Missing)
	_, err = book.Open(ctx, t.TempDir(), options(&serial{}))
	isKind(t, err, garden.Foreign)
}

func TestDamageDeepInTheFileIsToldWhenItIsMet(t *testing.T) {
	path := closed(t)
	data := bytesOf(t, path)
	for at := 4096; at+64 < len(data); at += 4096 {
		copy(data[at:], strings.Repeat("\xff", 64)) // the head of every page but the first
	}
	put(t, path, data)
	b, err := book.Open(ctx, path, options(&serial{}))
	if err == nil {
		_, err = b.Read(ctx, garden.Want{})
		defer b.Close()
	}
	isKind(t, err, garden.Damaged)
}

func TestMakingABookNeverWritesOverAFile(t *testing.T) {
	path := closed(t)
	before := bytesOf(t, path)
	_, err := book.Create(ctx, path, options(&serial{}))
	isKind(t, err, garden.Refused)
	if string(bytesOf(t, path)) != string(before) {
		t.Error("the file was changed")
	}
	_, err = book.Create(ctx, filepath.Join(t.TempDir(), "no", "such", "folder.book"), options(&serial{}))
	isKind(t, err, garden.ReadOnly)
}

// A full disk is played by a limit on the pages of the file, which gives the same result code.
func TestAFullDiskLosesNothing(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	apply(t, b, add(t, s, v.records()...))
	var pages string
	if err := b.Readers().QueryRow("PRAGMA page_count").Scan(&pages); err != nil {
		t.Fatal(err)
	}
	if err := b.Exec("PRAGMA max_page_count = " + pages); err != nil {
		t.Fatal(err)
	}
	var many []garden.Record
	for range 500 {
		h := v.harvest
		h.ID = garden.HarvestID(s.id())
		many = append(many, h)
	}
	ops := add(t, s, many...)
	_, err := b.Apply(ctx, ops)
	isKind(t, err, garden.Full)
	if n := len(read(t, b, garden.KindHarvest).Harvests); n != 1 {
		t.Errorf("after a full disk the book holds %d harvests, want the 1 from before", n)
	}
	if err := b.Exec("PRAGMA max_page_count = 1000000"); err != nil {
		t.Fatal(err)
	}
	apply(t, b, ops)
	if n := len(read(t, b, garden.KindHarvest).Harvests); n != 501 {
		t.Errorf("after room was made the book holds %d harvests, want 501", n)
	}
}

func TestASecondWriterIsToldToWait(t *testing.T) {
	b, s := fresh(t)
	other, err := book.Open(ctx, b.Path(), options(&serial{}))
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if err := other.Exec("BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	v := newSmall(s)
	ops := add(t, s, v.records()...)
	_, err = b.Apply(ctx, ops)
	isKind(t, err, garden.Busy)
	read(t, b) // readers are not held up
	if err := other.Exec("ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	apply(t, b, ops)
	if n := len(read(t, other).Harvests); n != 1 {
		t.Errorf("the other sees %d harvests, want 1", n)
	}
}

func TestBackupAndRestore(t *testing.T) {
	b, s := fresh(t)
	v := newSmall(s)
	apply(t, b, add(t, s, v.records()...))
	folder := t.TempDir()
	copied := filepath.Join(folder, "backup.book")
	if err := b.Backup(ctx, copied); err != nil {
		t.Fatal(err)
	}
	isKind(t, b.Backup(ctx, copied), garden.Refused)
	isKind(t, b.Backup(ctx, b.Path()), garden.Refused)
	apply(t, b, []garden.Operation{operation(t, s, garden.Remove, v.harvest, 1)})
	restored, err := book.Restore(ctx, copied, filepath.Join(folder, "again.book"), options(s))
	if err != nil {
		t.Fatal(err)
	}
	defer restored.Close()
	if n := len(read(t, restored).Harvests); n != 1 {
		t.Errorf("the restored book holds %d harvests, want 1", n)
	}
	first, err := b.ID(ctx)
	second, err2 := restored.ID(ctx)
	if err != nil || err2 != nil || first.IsZero() || second.IsZero() || first == second {
		t.Errorf("the ids are %v, %v and %v, %v; want two different ones", first, err, second, err2)
	}
	if got := files(t, folder); len(got) != 4 { // backup, the open book, its log and index
		t.Errorf("the folder holds %q", got)
	}
	put(t, copied, []byte("no book"))
	_, err = book.Restore(ctx, copied, filepath.Join(folder, "third.book"), options(s))
	isKind(t, err, garden.Foreign)
}

func TestAClosedBookRefusesAndDoesNotPanic(t *testing.T) {
	b, err := book.Open(ctx, closed(t), options(&serial{}))
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	_, err = b.Read(ctx, garden.Want{})
	isKind(t, err, garden.Refused)
	_, err = b.History(ctx, book.Look{})
	isKind(t, err, garden.Refused)
	_, err = b.Version(ctx)
	isKind(t, err, garden.Refused)
	_, err = b.Asked(ctx, "compare cultivation")
	isKind(t, err, garden.Refused)
	isKind(t, b.Backup(ctx, b.Path()+".copy"), garden.Refused)
}
