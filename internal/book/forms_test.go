package book

import (
	"context"
	"database/sql"
	"fmt"
	"testing"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// BenchmarkForms reads the same harvests from three forms of table: the compact rows, JSON, and a typed column for each field.
// It is why the compact rows are there.
func BenchmarkForms(b *testing.B) {
	for _, n := range []int{1000, 5000, 20000} {
		db := forms(b, n)
		for name, read := range map[string]func(*sql.DB, int) (int, error){"compact": readCompact, "json": readJSON, "columns": readColumns} {
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if got, err := read(db, n); err != nil || got != n {
						b.Fatalf("read %d of %d: %v", got, n, err)
					}
				}
			})
		}
	}
}

func forms(b *testing.B, n int) *sql.DB {
	b.Helper()
	if err := ofd(); err != nil {
		b.Fatal(err)
	}
	db, err := sql.Open("sqlite", Address(b.TempDir()+"/forms.db", true))
	if err != nil {
		b.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	b.Cleanup(func() { db.Close() })
	tx, err := db.Begin()
	if err != nil {
		b.Fatal(err)
	}
	run := func(query string, args ...any) {
		if _, err := tx.Exec(query, args...); err != nil {
			b.Fatal(err)
		}
	}
	for _, name := range []string{"compact", "json"} {
		run("CREATE TABLE " + name + " (day INTEGER, id BLOB, body BLOB, PRIMARY KEY (day, id)) STRICT, WITHOUT ROWID")
	}
	run(`CREATE TABLE columns (day INTEGER, id BLOB, rev INTEGER, planting BLOB, crop TEXT, beds BLOB, mass REAL, gross REAL, tare REAL, count INTEGER, sample INTEGER,
state TEXT, weighing TEXT, edge TEXT, usage TEXT, round TEXT, crate TEXT, split TEXT, none INTEGER, note TEXT, PRIMARY KEY (day, id)) STRICT, WITHOUT ROWID`)
	c := &coder{}
	for i := range n {
		h := garden.Harvest{ID: garden.HarvestID{byte(i >> 16), byte(i >> 8), byte(i)}, Rev: 1, Planting: garden.PlantingID{byte(i % 200), 1}, Date: civil.FromNumber(9000 + i%3000),
			Mass: garden.Some(unit.Mass(1.5)), State: garden.Topped, Weighing: garden.ByScale, Use: garden.Eaten}
		row, err := c.row(h)
		if err != nil {
			b.Fatal(err)
		}
		body, err := garden.Encode(h)
		if err != nil {
			b.Fatal(err)
		}
		run("INSERT INTO compact VALUES (?, ?, ?)", h.Date.Number(), h.ID[:], row)
		run("INSERT INTO json VALUES (?, ?, ?)", h.Date.Number(), h.ID[:], body)
		run("INSERT INTO columns (day, id, rev, planting, mass, state, weighing, usage) VALUES (?, ?, 1, ?, ?, ?, ?, ?)",
			h.Date.Number(), h.ID[:], h.Planting[:], float64(h.Mass.Value), string(h.State), string(h.Weighing), string(h.Use))
	}
	if err := tx.Commit(); err != nil {
		b.Fatal(err)
	}
	return db
}

func readCompact(db *sql.DB, n int) (int, error) {
	c, list, row := &coder{}, garden.Records{Harvests: make([]garden.Harvest, 0, n)}, sql.RawBytes(nil)
	err := each(db, "SELECT body FROM compact ORDER BY day, id", func(rows *sql.Rows) error {
		if err := rows.Scan(&row); err != nil {
			return err
		}
		return c.into(&list, garden.KindHarvest, row)
	})
	return len(list.Harvests), err
}

func readJSON(db *sql.DB, n int) (int, error) {
	list := garden.Records{Harvests: make([]garden.Harvest, 0, n)}
	err := each(db, "SELECT id, body FROM json ORDER BY day, id", func(rows *sql.Rows) error {
		var id, body sql.RawBytes
		if err := rows.Scan(&id, &body); err != nil {
			return err
		}
		rec, err := garden.Decode(garden.KindHarvest, garden.ID(id), 1, body)
		if err == nil {
			list.Put(rec)
		}
		return err
	})
	return len(list.Harvests), err
}

func readColumns(db *sql.DB, n int) (int, error) {
	list := make([]garden.Harvest, 0, n)
	err := each(db, "SELECT * FROM columns ORDER BY day, id", func(rows *sql.Rows) error {
		var day, rev int
		var id, planting, beds sql.RawBytes
		var crop, state, weighing, edge, use, round, crate, split, note sql.NullString
		var mass, gross, tare sql.NullFloat64
		var count, sample, nothing sql.NullInt64
		if err := rows.Scan(&day, &id, &rev, &planting, &crop, &beds, &mass, &gross, &tare, &count, &sample, &state, &weighing, &edge, &use, &round, &crate, &split, &nothing, &note); err != nil {
			return err
		}
		list = append(list, garden.Harvest{ID: garden.HarvestID(id), Rev: rev, Planting: garden.PlantingID(planting), Date: civil.FromNumber(day),
			Mass: garden.Maybe[unit.Mass]{Value: unit.Mass(mass.Float64), Known: mass.Valid}, State: garden.State(state.String),
			Weighing: garden.Weighing(weighing.String), Use: garden.Use(use.String), Note: note.String})
		return nil
	})
	return len(list), err
}

func each(db *sql.DB, query string, do func(*sql.Rows) error) error {
	rows, err := db.QueryContext(context.Background(), query)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := do(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}
