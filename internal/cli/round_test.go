package cli

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/demo"
	"fairplot/internal/garden"

	"github.com/google/uuid"
)

// run calls the program in a folder.
func run(t testing.TB, dir string, args ...string) string {
	t.Helper()
	var out, words bytes.Buffer
	code := Main(context.Background(), Env{Args: args, Stdin: &bytes.Buffer{}, Stdout: &out, Stderr: &words, Now: storyTime,
		Dir: dir, Getenv: func(string) string { return "" }})
	if code != 0 {
		t.Fatalf("fairplot %q: exit %d\n%s", args, code, words.String())
	}
	return out.String()
}

// bookOf writes the records into a new book.
func bookOf(t testing.TB, path string, records garden.Records) {
	t.Helper()
	ctx := context.Background()
	b, err := book.Create(ctx, path, book.Options{Now: storyTime})
	if err != nil {
		t.Fatal(err)
	}
	var ops []garden.Operation
	for _, k := range garden.Kinds() {
		for _, rec := range records.List(k) {
			body, err := garden.Encode(rec)
			if err != nil {
				t.Fatal(err)
			}
			ops = append(ops, garden.Operation{ID: garden.ID(uuid.Must(uuid.NewV7())), Action: garden.Add, Kind: k, Record: rec.Identity(), Body: body, Made: storyTime()})
		}
	}
	if _, err := b.CopyIn(ctx, ops, nil); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
}

func readBook(t testing.TB, path string) garden.Records {
	t.Helper()
	b, err := book.Open(context.Background(), path, book.Options{Now: storyTime})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	records, err := b.Read(context.Background(), garden.Want{})
	if err != nil {
		t.Fatal(err)
	}
	return records
}

// bodies are the records as text, by id.
func bodies(t testing.TB, records garden.Records) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, k := range garden.Kinds() {
		for _, rec := range records.List(k) {
			body, err := garden.Encode(rec)
			if err != nil {
				t.Fatal(err)
			}
			out[fmt.Sprintf("%s %s", k, rec.Identity())] = string(body)
		}
	}
	return out
}

// TestExportThenImportGivesTheSameBook: same records, same ids, on the invented grower's whole book; and the tables brought in once
// more add nothing.
func TestExportThenImportGivesTheSameBook(t *testing.T) {
	dir := t.TempDir()
	records := demo.Make(7, demo.Book(), demo.Usual())
	bookOf(t, filepath.Join(dir, "first.fairplot"), records)
	run(t, dir, "--book", "first.fairplot", "export", "--all", "tables")
	run(t, dir, "new", "second.fairplot")
	run(t, dir, "--book", "second.fairplot", "import", "tables")
	want, got := bodies(t, records), bodies(t, readBook(t, filepath.Join(dir, "second.fairplot")))
	if len(want) == 0 || len(got) != len(want) {
		t.Fatalf("%d records came back, want %d", len(got), len(want))
	}
	for id, body := range want {
		if got[id] != body {
			t.Fatalf("%s came back as\n%s, want\n%s", id, got[id], body)
		}
	}
	before, err := os.ReadFile(filepath.Join(dir, "tables", "harvest.csv"))
	if err != nil {
		t.Fatal(err)
	}
	run(t, dir, "--book", "second.fairplot", "import", "tables")
	run(t, dir, "--book", "second.fairplot", "export", "--all", "again")
	after, err := os.ReadFile(filepath.Join(dir, "again", "harvest.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(sorted(before), sorted(after)) {
		t.Error("the tables brought in twice are not the tables that went out")
	}
}

func sorted(text []byte) []byte {
	lines := bytes.Split(text, []byte("\n"))
	slices.SortFunc(lines, bytes.Compare)
	return bytes.Join(lines, []byte("\n"))
}
