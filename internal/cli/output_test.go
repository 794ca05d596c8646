package cli

import (
	"bytes"
	"strings"
	"testing"
)

// TestNoCellIsAFormula: whatever a text begins with, a spreadsheet that opens the file runs nothing, and an import gives the text back.
func TestNoCellIsAFormula(t *testing.T) {
	for _, cell := range []string{"", "leek", "=1+1", "+1+1", "-2+cmd", "@x", "'=1", "''=1", "'tis", "-2.5", "2.5", "-", "--5", "-1.2.3", "\tx", "=", "'"} {
		out := guarded([]string{cell})[0]
		if back := unguarded(out); back != cell {
			t.Errorf("%q went out as %q and came back as %q", cell, out, back)
		}
		if strings.ContainsAny(out[:min(1, len(out))], "=+@-\t\r") && !number(out) {
			t.Errorf("%q goes out as %q, which a spreadsheet would run", cell, out)
		}
	}
}

func FuzzGuard(f *testing.F) {
	f.Add("=1+1")
	f.Add("'-5")
	f.Fuzz(func(t *testing.T, cell string) {
		if back := unguarded(guarded([]string{cell})[0]); back != cell {
			t.Errorf("%q came back as %q", cell, back)
		}
	})
}

func TestOneTableThreeWays(t *testing.T) {
	tab := table{head: []string{"bed", "kg"}, rows: [][]string{{"küche/1", "2"}, {"terrace/12", "10,5"}}}
	for _, c := range []struct {
		f    format
		want string
	}{
		{format{}, "bed         kg\nküche/1     2\nterrace/12  10,5\n"},
		{format{csv: true}, "bed,kg\nküche/1,2\nterrace/12,\"10,5\"\n"},
		{format{json: true}, "[\n  {\n    \"bed\": \"küche/1\",\n    \"kg\": \"2\"\n  },\n  {\n    \"bed\": \"terrace/12\",\n    \"kg\": \"10,5\"\n  }\n]\n"},
	} {
		var out bytes.Buffer
		a := &app{env: Env{Stdout: &out}}
		if err := a.print(tab, c.f); err != nil || out.String() != c.want {
			t.Errorf("%+v: %v\n%s, want\n%s", c.f, err, out.String(), c.want)
		}
	}
	var out bytes.Buffer
	if err := (&app{env: Env{Stdout: &out}}).print(table{head: []string{"bed"}}, format{json: true}); err != nil || out.String() != "[]\n" {
		t.Errorf("no rows are %q, %v", out.String(), err)
	}
}

func TestGrouped(t *testing.T) {
	for n, want := range map[int]string{0: "0", 999: "999", 1000: "1 000", 10000: "10 000", 1234567: "1 234 567"} {
		if got := grouped(n); got != want {
			t.Errorf("%d is written %q, want %q", n, got, want)
		}
	}
}
