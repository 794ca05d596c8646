package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fairplot/internal/garden"

	"github.com/xuri/excelize/v2"
)

// TestSpreadsheetComesIn: dates are counts of days there, and heads bear the units of bare numbers.
func TestSpreadsheetComesIn(t *testing.T) {
	dir := t.TempDir()
	f := excelize.NewFile()
	for i, row := range [][]any{{"Date", "Bed", "Crop", "Mass (g)"}, {time.Date(2026, 7, 1, 0, 0, 0, 0, time.UTC), "kitchen/1", "carrot", 1500}, {"2026-07-02", "kitchen/1", "carrot", 2.5}} {
		cell, err := excelize.CoordinatesToCellName(1, i+1)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.SetSheetRow("Sheet1", cell, &row); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.SaveAs(filepath.Join(dir, "h.xlsx")); err != nil {
		t.Fatal(err)
	}
	run(t, dir, "new", "g")
	run(t, dir, "import", "harvest", "h.xlsx")
	list := readBook(t, filepath.Join(dir, "g.fairplot")).Harvests
	if len(list) != 2 || list[0].Date.String() != "2026-07-01" || list[0].Mass.Value != 1.5 || list[1].Mass.Value != 0.0025 {
		t.Errorf("came in as %+v", list)
	}
}

// TestProgressIsShownPastOneSecond runs an import by a clock that goes on two seconds each time it is looked at.
func TestProgressIsShownPastOneSecond(t *testing.T) {
	dir := t.TempDir()
	if generate([]string{filepath.Join(dir, "h.csv"), "2000"}) != 0 {
		t.Fatal("the file was not made")
	}
	run(t, dir, "new", "g")
	now := storyTime()
	var words bytes.Buffer
	code := Main(context.Background(), Env{Args: []string{"import", "harvest", "h.csv"}, Stdin: &bytes.Buffer{}, Stdout: &bytes.Buffer{}, Stderr: &words,
		Now: func() time.Time { now = now.Add(2 * time.Second); return now }, Dir: dir, Getenv: func(string) string { return "" }})
	if code != 0 || !strings.Contains(words.String(), "of 2 000 lines read") || !strings.Contains(words.String(), "1 000 of 2 007 entries written") {
		t.Errorf("exit %d\n%s", code, words.String())
	}
}

// TestLinesAreKnownByWhatTheyHold: the order of columns and empty cells make no other line; any other cell does.
func TestLinesAreKnownByWhatTheyHold(t *testing.T) {
	line := map[string]string{"date": "2026-07-01", "bed": "kitchen/1", "mass": "2 kg"}
	id := makerOf(garden.KindHarvest, line).id("record", 0)
	if other := makerOf(garden.KindHarvest, map[string]string{"mass": "2 kg", "note": "", "bed": "kitchen/1", "date": "2026-07-01"}).id("record", 0); other != id {
		t.Error("an empty cell makes another line")
	}
	for name, other := range map[string]garden.ID{
		"kind": makerOf(garden.KindWork, line).id("record", 0), "number": makerOf(garden.KindHarvest, line).id("record", 1),
		"cell": makerOf(garden.KindHarvest, map[string]string{"date": "2026-07-01", "bed": "kitchen/1", "mass": "3 kg"}).id("record", 0),
	} {
		if other == id {
			t.Errorf("another %s gives the same id", name)
		}
	}
	// RFC 9562: the version stands in the high bits of octet 6, the variant 10 in those of octet 8.
	if id[6]>>4 != 8 || id[8]>>6 != 2 {
		t.Errorf("%s is no UUID of version 8", id)
	}
}

// TestEverySourceIsReadBeforeAnythingIsWritten: one table with a wrong head keeps the others of its folder out.
func TestEverySourceIsReadBeforeAnythingIsWritten(t *testing.T) {
	dir := t.TempDir()
	run(t, dir, "new", "g")
	if err := os.Mkdir(filepath.Join(dir, "tables"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"bed.csv": "bed,size\nterrace/1,4 x 1 m\n", "note.csv": "date,text,colour\n2026-07-01,x,red\n"} {
		if err := os.WriteFile(filepath.Join(dir, "tables", name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var words bytes.Buffer
	code := Main(context.Background(), Env{Args: []string{"import", "tables"}, Stdin: &bytes.Buffer{}, Stdout: &bytes.Buffer{}, Stderr: &words, Now: storyTime,
		Dir: dir, Getenv: func(string) string { return "" }})
	if code != wrongUse || !strings.Contains(words.String(), "“colour” is no field of a note") {
		t.Errorf("exit %d\n%s", code, words.String())
	}
	if n := len(readBook(t, filepath.Join(dir, "g.fairplot")).Beds); n != 0 {
		t.Errorf("%d beds came in all the same", n)
	}
}
