package book

import (
	"context"
	"database/sql"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fairplot/internal/garden"
)

func pool(t *testing.T) *sql.DB {
	t.Helper()
	if err := ofd(); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", Address(filepath.Join(t.TempDir(), "m.db"), true))
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	t.Cleanup(func() { db.Close() })
	return db
}

func tables(t *testing.T, db *sql.DB) string {
	t.Helper()
	names, err := column(context.Background(), db, "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
	if err != nil {
		t.Fatal(err)
	}
	version, err := column(context.Background(), db, "PRAGMA user_version")
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(names, " ") + " at " + version[0]
}

func TestStepsAreTakenOneByOneEachWholeOrNotAtAll(t *testing.T) {
	ctx, db := context.Background(), pool(t)
	one, two := "CREATE TABLE a (x INTEGER PRIMARY KEY) STRICT;", "CREATE TABLE b (y INTEGER REFERENCES a (x)) STRICT; INSERT INTO b (y) VALUES (NULL);"
	for _, c := range []struct {
		steps []string
		fails string
		want  string
	}{
		{[]string{one}, "", "a at 1"},
		{[]string{one, two + "nonsense;"}, "nonsense", "a at 1"},
		{[]string{one, "PRAGMA defer_foreign_keys = 1;" + two + "INSERT INTO b (y) VALUES (7);"}, "lead nowhere", "a at 1"},
		{[]string{one, two}, "", "a b at 2"},
		{[]string{one, two}, "", "a b at 2"},
		{[]string{one}, "newer version", "a b at 2"},
	} {
		err := migrate(ctx, db, "m.db", c.steps)
		if (err == nil) != (c.fails == "") || err != nil && !strings.Contains(err.Error(), c.fails) {
			t.Errorf("%q: %v, want %q", c.steps, err, c.fails)
		}
		if got := tables(t, db); got != c.want {
			t.Errorf("after %q the file holds %s, want %s", c.steps, got, c.want)
		}
	}
}

func TestTheCheckFindsDamage(t *testing.T) {
	ctx, db := context.Background(), pool(t)
	for _, q := range []string{"CREATE TABLE a (x INTEGER CHECK (x > 0))", "PRAGMA ignore_check_constraints = 1", "INSERT INTO a VALUES (-1)", "PRAGMA ignore_check_constraints = 0"} {
		if _, err := db.ExecContext(ctx, q); err != nil {
			t.Fatal(err)
		}
	}
	var e *garden.Error
	if err := sound(ctx, db); !errors.As(err, &e) || e.Kind != garden.Damaged {
		t.Errorf("a broken rule gave %v", err)
	}
}

func TestOptionsThatDoNotTakeAreMet(t *testing.T) {
	address := address("/x y", true, 5*time.Second)
	for _, want := range []string{"file:/x%20y?", "mode=ro", "_dqs=0", "_pragma=query_only(1)", "_pragma=busy_timeout(5000)"} {
		if !strings.Contains(address, want) {
			t.Errorf("%s lacks %s", address, want)
		}
	}
	if !strings.Contains(Address("/x", false), "_txlock=immediate") {
		t.Error("the writer does not begin immediately")
	}
}
