package book_test

import (
	"database/sql"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/garden"

	"modernc.org/sqlite"
)

func files(t *testing.T, folder string) []string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestThePathIsTakenAsItIs(t *testing.T) {
	for _, name := range []string{"ga rden?#%41 é&;.book", "a=b+c.book", "file:x?mode=memory", "100%.book", `quo"te'.book`} {
		folder := t.TempDir()
		b, err := book.Create(ctx, filepath.Join(folder, name), options(&serial{}))
		if err != nil {
			t.Fatal(err)
		}
		copied := filepath.Join(folder, "copy of "+name)
		if err := b.Backup(ctx, copied); err != nil {
			t.Fatal(err)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
		want := []string{name, "copy of " + name}
		slices.Sort(want)
		if got := files(t, folder); !slices.Equal(got, want) {
			t.Errorf("the folder holds %q, want %q", got, want)
		}
	}
}

func TestOneFileIsLeftAfterClosing(t *testing.T) {
	folder := t.TempDir()
	s := &serial{}
	b, err := book.Create(ctx, filepath.Join(folder, "grower.book"), options(s))
	if err != nil {
		t.Fatal(err)
	}
	apply(t, b, add(t, s, newSmall(s).records()...))
	read(t, b)
	if got := files(t, folder); len(got) != 3 {
		t.Fatalf("an open book should have its log and index beside it, the folder holds %q", got)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	if got := files(t, folder); len(got) != 1 {
		t.Errorf("after closing the folder holds %q", got)
	}
	if err := b.Close(); err != nil {
		t.Errorf("closing twice: %v", err)
	}
	_, err = b.Apply(ctx, nil)
	isKind(t, err, garden.Refused)
}

func TestOptionsTook(t *testing.T) {
	b, _ := fresh(t)
	for _, c := range []struct {
		pool   *sql.DB
		pragma string
		want   string
	}{
		{b.Writers(), "journal_mode", "wal"}, {b.Writers(), "synchronous", "2"}, {b.Writers(), "foreign_keys", "1"}, {b.Writers(), "trusted_schema", "0"},
		{b.Writers(), "fullfsync", "1"}, {b.Writers(), "checkpoint_fullfsync", "1"}, {b.Writers(), "application_id", "1181772916"}, {b.Writers(), "user_version", "1"},
		{b.Readers(), "query_only", "1"}, {b.Readers(), "foreign_keys", "1"}, {b.Readers(), "trusted_schema", "0"},
	} {
		var got string
		if err := c.pool.QueryRow("PRAGMA " + c.pragma).Scan(&got); err != nil || got != c.want {
			t.Errorf("%s is %q, %v; want %q", c.pragma, got, err, c.want)
		}
	}
	var text string
	if err := b.Writers().QueryRow(`SELECT "nosuchcolumn"`).Scan(&text); err == nil {
		t.Errorf("a misspelt column was read as the text %q", text)
	}
	if err := book.ReadBackBare(filepath.Join(t.TempDir(), "bare.db")); err == nil {
		t.Error("a connection without the options passed the look at them")
	}
}

func TestReadersCannotWrite(t *testing.T) {
	b, _ := fresh(t)
	_, err := b.Readers().Exec("INSERT INTO asked (question, first, times) VALUES ('x', 'y', 1)")
	var e *sqlite.Error
	if !errors.As(err, &e) || e.Code()&0xff != 8 {
		t.Errorf("a reader's write gave %v, want result code 8 (read only)", err)
	}
}

func TestTablesAreStrictAndReferencesHold(t *testing.T) {
	b, s := fresh(t)
	var loose int
	if err := b.Readers().QueryRow("SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite_%' AND strict = 0").Scan(&loose); err != nil || loose != 0 {
		t.Errorf("%d tables are not strict, %v", loose, err)
	}
	tables := 0
	if err := b.Readers().QueryRow("SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND strict = 1").Scan(&tables); err != nil || tables != len(garden.Kinds())+4 {
		t.Errorf("%d strict tables, %v; want one for each of %d kinds and four", tables, err, len(garden.Kinds()))
	}
	op := add(t, s, newSmall(s).garden)[0]
	op.Undoes = s.id()
	if r, err := b.Apply(ctx, []garden.Operation{op}); err != nil || r[0].Outcome != garden.RefusedOut {
		t.Errorf("an operation that undoes nothing known: %+v, %v", r, err)
	}
	err := b.Exec("INSERT INTO operation (id, action, kind, record, base, revision, body, hash, received, undoes) VALUES (zeroblob(16), 'add', 'bed', zeroblob(16), 0, 1, x'00', zeroblob(32), '', x'00112233445566778899aabbccddeeff')")
	var e *sqlite.Error
	if !errors.As(err, &e) || e.Code() != 787 {
		t.Errorf("a reference that leads nowhere gave %v, want result code 787 (foreign key)", err)
	}
}

// With deferred transactions this fails at once with SQLITE_BUSY_SNAPSHOT, which waiting does not mend.
func TestReadModifyWriteFromFourSides(t *testing.T) {
	b, _ := fresh(t)
	if err := b.Exec("INSERT INTO book (name, value) VALUES ('n', '0')"); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", book.Address(b.Path(), false))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 25 {
				if err := addOne(db); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	var n int
	if err := b.Readers().QueryRow("SELECT CAST(value AS INTEGER) FROM book WHERE name = 'n'").Scan(&n); err != nil || n != 100 {
		t.Errorf("four sides added 25 each and made %d, %v", n, err)
	}
}

func addOne(db *sql.DB) error {
	tx, err := db.Begin()
	if err != nil {
		return err
	}
	var n int
	if err := tx.QueryRow("SELECT CAST(value AS INTEGER) FROM book WHERE name = 'n'").Scan(&n); err != nil {
		return errors.Join(err, tx.Rollback())
	}
	if _, err := tx.Exec("UPDATE book SET value = CAST(? AS TEXT) WHERE name = 'n'", n+1); err != nil {
		return errors.Join(err, tx.Rollback())
	}
	return tx.Commit()
}

// The driver writes a time.Time as "2026-07-01 12:00:00 +0000 UTC", which sorts and reads badly: only instant's text may be bound.
func TestNoTimeIsBound(t *testing.T) {
	paths, err := filepath.Glob("*.go")
	if err != nil || len(paths) == 0 {
		t.Fatal(paths, err)
	}
	calls := 0
	for _, path := range paths {
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || !takesQuery(call) {
				return true
			}
			calls++
			for _, arg := range call.Args {
				if name := bareTime(arg); name != "" {
					t.Errorf("%s binds a time: %s", path, name)
				}
			}
			return true
		})
	}
	if calls < 20 {
		t.Errorf("only %d queries were looked at", calls)
	}
}

func takesQuery(call *ast.CallExpr) bool {
	switch f := call.Fun.(type) {
	case *ast.SelectorExpr:
		return slices.Contains([]string{"exec", "row", "Exec", "ExecContext", "Query", "QueryContext", "QueryRow", "QueryRowContext"}, f.Sel.Name)
	case *ast.Ident:
		return f.Name == "pasts" || f.Name == "column"
	}
	return false
}

// bareTime returns the name of a field or call in the argument that is a time.Time and stands outside instant().
func bareTime(arg ast.Expr) (name string) {
	ast.Inspect(arg, func(n ast.Node) bool {
		if call, ok := n.(*ast.CallExpr); ok {
			if f, ok := call.Fun.(*ast.Ident); ok && (f.Name == "instant" || f.Name == "made") {
				return false
			}
		}
		if sel, ok := n.(*ast.SelectorExpr); ok && slices.Contains([]string{"Made", "Received", "Now", "UTC", "Add"}, sel.Sel.Name) {
			name = sel.Sel.Name
		}
		return name == ""
	})
	return name
}

func TestInstantsAreKeptAsText(t *testing.T) {
	b, s := fresh(t)
	apply(t, b, add(t, s, newSmall(s).records()...))
	if _, err := b.Asked(ctx, "compare cultivation"); err != nil {
		t.Fatal(err)
	}
	for _, query := range []string{"SELECT made FROM operation", "SELECT received FROM operation", "SELECT first FROM asked", "SELECT value FROM book WHERE name = 'made'"} {
		var text string
		if err := b.Readers().QueryRow(query).Scan(&text); err != nil || !strings.HasPrefix(text, "2026-04-03T1") || !strings.HasSuffix(text, "Z") {
			t.Errorf("%s: %q, %v", query, text, err)
		}
	}
}
