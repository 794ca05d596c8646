package cli

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairplot/internal/demo"
	"fairplot/internal/garden"
)

var update = flag.Bool("update", false, "write golden files anew; read them before you keep them")

// inFolder runs the program in a folder and returns what it printed.
func inFolder(t *testing.T, dir string, args ...string) string {
	t.Helper()
	var out, words bytes.Buffer
	env := Env{Args: args, Stdin: strings.NewReader(""), Stdout: &out, Stderr: &words, Dir: dir, Now: storyTime, Getenv: func(string) string { return "" }}
	if status := Main(context.Background(), env); status != 0 {
		t.Fatalf("fairplot %s: exit status %d: %s", strings.Join(args, " "), status, words.String())
	}
	return out.String()
}

// TestDemoTablesComeFromTheGenerator makes the demo's records anew, exports them and compares them with the tables in the tree.
func TestDemoTablesComeFromTheGenerator(t *testing.T) {
	dir := t.TempDir()
	inFolder(t, dir, "new", "made.fairplot")
	putRecords(t, filepath.Join(dir, "made.fairplot"), demo.Make(demo.Seed, demo.Book(), demo.Usual()))
	inFolder(t, dir, "export", "--all", "tables")
	golden := filepath.Join("..", "demo", "book")
	made, err := filepath.Glob(filepath.Join(dir, "tables", "*.csv"))
	if err != nil || len(made) < 10 {
		t.Fatalf("%d tables, %v", len(made), err)
	}
	for _, file := range made {
		got, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		kept := filepath.Join(golden, filepath.Base(file))
		if *update {
			if err := os.WriteFile(kept, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(kept)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from what the generator makes; write it anew with -update", kept)
		}
	}
}

// putRecords keeps records in a book by the same operations as anybody's.
func putRecords(t testing.TB, path string, r garden.Records) {
	t.Helper()
	a := &app{env: Env{Now: storyTime, Getenv: func(string) string { return "" }}.filled(), ctx: context.Background(), bookFlag: path}
	b, err := a.open()
	if err != nil {
		t.Fatal(err)
	}
	var ops []garden.Operation
	for _, k := range garden.Kinds() {
		for _, rec := range r.List(k) {
			body, err := garden.Encode(rec)
			if err != nil {
				t.Fatal(err)
			}
			ops = append(ops, garden.Operation{ID: a.newID(), Action: garden.Add, Kind: k, Record: rec.Identity(), Body: body, Made: storyTime()})
		}
	}
	if _, err := b.CopyIn(a.ctx, ops, nil); err != nil {
		t.Fatal(err)
	}
	if err := a.close(); err != nil {
		t.Fatal(err)
	}
}
