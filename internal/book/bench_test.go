package book_test

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

var sizes = []int{3000, 20000, 200000}

func BenchmarkCopyIn(b *testing.B) {
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for range b.N {
				b.StopTimer()
				bk, s := fresh(b)
				ops := tenYears(b, s, n)
				b.StartTimer()
				if _, err := bk.CopyIn(ctx, ops, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkFilled reads a book of ten years, and asks for the removal of a planting that harvests belong to, for which every table
// that may name it is searched.
func BenchmarkFilled(b *testing.B) {
	for _, n := range sizes {
		bk, s := fresh(b)
		if _, err := bk.CopyIn(ctx, tenYears(b, s, n), nil); err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("read/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				list := read(b, bk)
				if got := len(list.Harvests) + len(list.Works) + len(list.Waterings) + len(list.Amendments) + len(list.Cultivations) + len(list.Plantings); got != n-97 {
					b.Fatalf("read %d entries, want %d", got, n-97)
				}
			}
		})
		list := read(b, bk, garden.KindHarvest, garden.KindPlanting)
		harvested := operation(b, s, garden.Remove, garden.Planting{ID: list.Harvests[0].Planting}, 1)
		b.Run(fmt.Sprintf("removal/%d", n), func(b *testing.B) {
			for b.Loop() {
				apply(b, bk, []garden.Operation{harvested}, garden.RefusedOut)
			}
		})
	}
}

// BenchmarkEntries takes single harvests as a grower types them through the diary and keeps them durably, each a transaction, in turn
// with bare transactions of one row through the same driver and settings. The metric bare/entry is how much of the bare speed is left
// with reading, history and receipts: 0.5 or more is asked for over 5,000 entries (-benchtime 5000x).
func BenchmarkEntries(b *testing.B) {
	bk, s := fresh(b)
	v := newSmall(s)
	apply(b, bk, add(b, s, v.records()...))
	bare := bareTable(b)
	body := operation(b, s, garden.Add, v.harvest, 0).Body
	list := read(b, bk)
	c := diary.Context{Records: garden.NewIndex(list), Today: v.harvest.Date, NewID: s.id, Now: noon, Asks: true}
	draft := diary.Draft{Action: diary.Add, Kind: garden.KindHarvest,
		Fields: map[string]string{"planting": v.planting.ID.String(), "mass": "1,5 kg", "state": "topped"}}
	var entries, rows time.Duration
	for b.Loop() {
		start := time.Now()
		out, err := diary.Understand(c, draft)
		if err != nil || len(out.Operations) != 1 {
			b.Fatalf("%d operations, %v", len(out.Operations), err)
		}
		apply(b, bk, out.Operations)
		diary.Follow(c.Records, out)
		between := time.Now()
		if err := bare(s.id(), body); err != nil {
			b.Fatal(err)
		}
		entries += between.Sub(start)
		rows += time.Since(between)
	}
	b.ReportMetric(rows.Seconds()/entries.Seconds(), "bare/entry")
	b.ReportMetric(float64(b.N)/entries.Seconds(), "entries/s")
}

// bareTable returns a function that puts one row into a plain table in a transaction of its own.
func bareTable(b *testing.B) func(id garden.ID, body []byte) error {
	b.Helper()
	db, err := sql.Open("sqlite", book.Address(filepath.Join(b.TempDir(), "bare.db"), true))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	db.SetMaxOpenConns(1)
	for _, q := range []string{"PRAGMA journal_mode = wal", "CREATE TABLE entry (id BLOB PRIMARY KEY, day INTEGER NOT NULL, body BLOB NOT NULL) STRICT"} {
		if _, err := db.Exec(q); err != nil {
			b.Fatal(err)
		}
	}
	insert, err := db.Prepare("INSERT INTO entry (id, day, body) VALUES (?, ?, ?)")
	if err != nil {
		b.Fatal(err)
	}
	return func(id garden.ID, body []byte) error {
		tx, err := db.Begin()
		if err != nil {
			return err
		}
		if _, err := tx.Stmt(insert).Exec(id[:], 9000, body); err != nil {
			return err
		}
		return tx.Commit()
	}
}
