package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fairplot/internal/reckon"
)

// ran is what one run of the program said.
func ran(t *testing.T, args ...string) (out, words string, status int) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	status = Main(context.Background(), Env{Args: args, Stdin: strings.NewReader(""), Stdout: &stdout, Stderr: &stderr, Dir: t.TempDir(),
		Getenv: func(string) string { return "" }})
	return stdout.String(), stderr.String(), status
}

// asTyped takes a command line apart as a shell would, as far as shellQuoted writes it.
func asTyped(line string) []string {
	var out []string
	quote := rune(0)
	inWord := false
	for _, c := range line {
		switch {
		case quote == 0 && (c == '\'' || c == '"'):
			quote = c
			if !inWord {
				out, inWord = append(out, ""), true
			}
		case c == quote:
			quote = 0
		case c == ' ' && quote == 0:
			inWord = false
		default:
			if !inWord {
				out, inWord = append(out, ""), true
			}
			out[len(out)-1] += string(c)
		}
	}
	return out
}

// Every calculator shows an example in its help, and that line, run as it is printed, is answered in full.
func TestExamplesOfCalculatorsRunAsPrinted(t *testing.T) {
	for _, calc := range reckon.All() {
		help, _, _ := ran(t, "reckon", calc.Name, "--help")
		_, rest, found := strings.Cut(help, "Examples:\n")
		line, _, _ := strings.Cut(strings.TrimSpace(rest), "\n")
		words := asTyped(line)
		if !found || len(words) < 3 || words[0] != "fairplot" {
			t.Errorf("%s: its help has no example: %q", calc.Name, line)
			continue
		}
		for _, in := range calc.Inputs {
			if !strings.Contains(help, "--"+in.Name+" ") {
				t.Errorf("%s: its help does not show --%s", calc.Name, in.Name)
			}
		}
		text, complaint, status := ran(t, words[1:]...)
		if status != 0 || !strings.Contains(text, "\nSource: ") && !strings.Contains(text, "\nChecked: ") {
			t.Errorf("%s: status %d: %s%s", line, status, text, complaint)
		}
		checkReckoned(t, line, append(words[1:], "--json"))
	}
}

// checkReckoned holds the JSON of an answer to the fields that everybody may rely on.
func checkReckoned(t *testing.T, line string, args []string) {
	t.Helper()
	out, _, _ := ran(t, args...)
	var got struct {
		Name    string
		Inputs  map[string]string
		Results []struct {
			Value      *float64
			Unit, Says *string
		}
		Steps, Source   []string
		Status, Checked *string
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Errorf("%s: %v", line, err)
		return
	}
	if got.Name != args[1] || len(got.Inputs) == 0 || len(got.Results) == 0 || len(got.Steps) == 0 || got.Source == nil || got.Status == nil || *got.Checked == "" {
		t.Errorf("%s: %s", line, out)
	}
	for _, r := range got.Results {
		if r.Value == nil || r.Unit == nil || r.Says == nil {
			t.Errorf("%s: a result lacks value, unit or says: %s", line, out)
		}
	}
}

// BenchmarkReckon is the time of a whole process that works out one number; the aim is under 30 ms.
func BenchmarkReckon(b *testing.B) {
	self, err := os.Executable()
	if err != nil {
		b.Fatal(err)
	}
	name := filepath.Join(b.TempDir(), "fairplot") // as BenchmarkHelp does
	if err := os.Symlink(self, name); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		out, err := exec.CommandContext(context.Background(), name, "reckon", "day-length", "--latitude", "51.3", "--date", "2026-06-21").CombinedOutput()
		if err != nil {
			b.Fatalf("%v\n%s", err, out)
		}
	}
}
