package book_test

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

func BenchmarkCopyIn(b *testing.B) {
	for _, n := range []int{3000, 20000, 200000} {
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

func BenchmarkRead(b *testing.B) {
	for _, n := range []int{3000, 20000, 200000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			bk, s := fresh(b)
			if _, err := bk.CopyIn(ctx, tenYears(b, s, n), nil); err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				list := read(b, bk)
				if got := len(list.Harvests) + len(list.Works) + len(list.Waterings) + len(list.Amendments) + len(list.Cultivations) + len(list.Plantings); got != n-97 {
					b.Fatalf("read %d entries, want %d", got, n-97)
				}
			}
		})
	}
}

// BenchmarkEntries keeps single harvests durably, each a transaction; beside it stands the bare transaction of one row
// through the same driver and settings.
func BenchmarkEntries(b *testing.B) {
	b.Run("apply", func(b *testing.B) {
		bk, s := fresh(b)
		v := newSmall(s)
		apply(b, bk, add(b, s, v.records()...))
		for b.Loop() {
			h := v.harvest
			h.ID, h.Mass = garden.HarvestID(s.id()), garden.Some(unit.Mass(1.5))
			apply(b, bk, add(b, s, h))
		}
	})
	b.Run("bare", func(b *testing.B) {
		db, err := sql.Open("sqlite", book.Address(filepath.Join(b.TempDir(), "bare.db"), true))
		if err != nil {
			b.Fatal(err)
		}
		defer db.Close()
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
		s := &serial{}
		v := newSmall(s)
		op := operation(b, s, garden.Add, v.harvest, 0)
		for b.Loop() {
			id := s.id()
			tx, err := db.Begin()
			if err != nil {
				b.Fatal(err)
			}
			if _, err := tx.Stmt(insert).Exec(id[:], 9000, op.Body); err != nil {
				b.Fatal(err)
			}
			if err := tx.Commit(); err != nil {
				b.Fatal(err)
			}
		}
	})
}
