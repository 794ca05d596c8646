package intake

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"fairplot/internal/garden"
)

const plain = "date,crop,mass\n2026-07-01,pâtisson,\"1,5 kg\"\n\n2026-07-02,leek,2 kg\n"

func utf16(t *testing.T, s string) []byte {
	t.Helper()
	out, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes([]byte(s))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func windows(t *testing.T, s string) []byte {
	t.Helper()
	out, err := charmap.Windows1252.NewEncoder().Bytes([]byte(s))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestOneTableInEveryDress: whatever wrote the file, the same table comes in.
func TestOneTableInEveryDress(t *testing.T) {
	semicolons := strings.NewReplacer(",", ";", "\"1,5 kg\"", "1,5 kg").Replace(strings.Replace(plain, "1,5", "1@5", 1))
	semicolons = strings.ReplaceAll(semicolons, "@", ",")
	for dress, data := range map[string][]byte{
		"plain":         []byte(plain),
		"BOM":           []byte("\xEF\xBB\xBF" + plain),
		"BOM and quote": []byte("\xEF\xBB\xBF" + strings.Replace(plain, "date,", "\"date\",", 1)),
		"CRLF":          []byte(strings.ReplaceAll(plain, "\n", "\r\n")),
		"CR alone":      []byte(strings.ReplaceAll(plain, "\n", "\r")),
		"semicolons":    []byte(semicolons),
		"sep line":      []byte("sep=;\n" + semicolons),
		"tabs":          []byte(strings.ReplaceAll(strings.ReplaceAll(semicolons, ";", "\t"), "\"", "")),
		"UTF-16":        utf16(t, plain),
		"Windows-1252":  windows(t, plain),
	} {
		got, err := ReadTable("harvest.csv", data, Options{})
		if err != nil {
			t.Errorf("%s: %v", dress, err)
			continue
		}
		if strings.Join(got.Header, "|") != "date|crop|mass" || len(got.Rows) != 2 || strings.Join(got.Rows[0], "|") != "2026-07-01|pâtisson|1,5 kg" {
			t.Errorf("%s: %q %q", dress, got.Header, got.Rows)
			continue
		}
		want := []int{2, 4}
		if dress == "sep line" {
			want = []int{3, 5}
		}
		if got.Lines[0] != want[0] || got.Lines[1] != want[1] {
			t.Errorf("%s: lines %v, want %v", dress, got.Lines, want)
		}
	}
}

func sheet(t *testing.T, fill func(f *excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	fill(f)
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSpreadsheet(t *testing.T) {
	data := sheet(t, func(f *excelize.File) {
		f.NewSheet("harvests")
		f.SetSheetRow("harvests", "A1", &[]any{"date", "crop", "mass (kg)"})
		f.SetSheetRow("harvests", "A2", &[]any{46204, "leek", 1.5})
	})
	got, err := ReadTable("h.xlsx", data, Options{})
	if err != nil {
		t.Fatal(err)
	}
	// Serial 46204 is 1 July 2026: 43831 is 1 January 2020 in every spreadsheet, and 2373 days later is 1 July 2026.
	if d := got.Day(got.Rows[0][0]); d != "2026-07-01" || got.Rows[0][2] != "1.5" || got.Lines[0] != 2 {
		t.Errorf("%q, day %s, lines %v", got.Rows, d, got.Lines)
	}
	if _, err := ReadTable("h.xlsx", data, Options{Sheet: "harvest"}); err == nil || !strings.Contains(err.Error(), "did you mean harvests") {
		t.Errorf("a wrong sheet: %v", err)
	}
	text, _ := ReadTable("h.csv", []byte("date\n46204\n"), Options{})
	if d := text.Day("46204"); d != "46204" {
		t.Errorf("a number in a text file became %s", d)
	}
}

func TestWhatIsNoTableIsRefused(t *testing.T) {
	corner := sheet(t, func(f *excelize.File) {
		f.SetCellValue("Sheet1", "A1", "date")
		f.SetCellValue("Sheet1", "A1048576", "x")
	})
	wide := sheet(t, func(f *excelize.File) { f.SetCellValue("Sheet1", "XFD1", "x") })
	for name, data := range map[string][]byte{
		"empty": nil, "blank lines": []byte("\n\n"), "old": {0xD0, 0xCF, 0x11, 0xE0, 1}, "book": []byte("SQLite format 3\x00..."),
		"binary": {1, 0, 2, 0}, "open quote": []byte("a,b\n\"x,1\n"), "zip": []byte("PK\x03\x04rubbish"), "corner": corner, "wide": wide,
		"half": corner[:len(corner)/2],
	} {
		_, err := ReadTable(name, data, Options{})
		var e *garden.Error
		if !errors.As(err, &e) || e.Kind != garden.Invalid || e.Hint == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzReadTable(f *testing.F) {
	f.Add([]byte(plain))
	f.Add([]byte("sep=;\na;b\n1;2"))
	f.Add([]byte{0xFF, 0xFE, 'a', 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := ReadTable("f", data, Options{})
		if err != nil {
			return
		}
		if len(got.Rows) != len(got.Lines) {
			t.Fatalf("%d rows, %d lines", len(got.Rows), len(got.Lines))
		}
		for _, row := range got.Rows {
			if len(row) < len(got.Header) {
				t.Fatalf("a row of %d under a header of %d", len(row), len(got.Header))
			}
		}
	})
}

func BenchmarkReadTable(b *testing.B) {
	var text bytes.Buffer
	text.WriteString("date,bed,crop,mass\n")
	for range 200_000 {
		text.WriteString("2026-07-01,terrace/4,parsnip,1.5 kg\n")
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReadTable("b.csv", text.Bytes(), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
