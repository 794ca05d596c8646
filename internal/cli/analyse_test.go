package cli

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/evidence"
)

const casesFolder = "../num/analysis/testdata"

// TestAnalyseCases runs every case of the analysis through the command line, file reading and flags included, and compares the JSON with what the analysis
// gives when it is called with the same options; the analysis itself is held to the cases' published values by its own test.
func TestAnalyseCases(t *testing.T) {
	file, err := os.Open(filepath.Join(casesFolder, "cases.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, 1<<24)
	n := 0
	for lines.Scan() {
		var c struct {
			ID, Data string
			Args     []string
		}
		if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
			t.Fatal(err)
		}
		n++
		t.Run(c.ID, func(t *testing.T) {
			dir, err := filepath.Abs(casesFolder)
			if err != nil {
				t.Fatal(err)
			}
			got := inFolder(t, dir, append([]string{"analyse", c.Data, "--json"}, c.Args...)...)
			if want := called(t, filepath.Join(dir, c.Data), c.Args); got != want {
				t.Errorf("the command line gives another answer than the call:\n%.400s\n%.400s", got, want)
			}
		})
	}
	if n < 60 {
		t.Errorf("%d cases, want 60 at least", n)
	}
}

// called is the answer of a call with the options of a case.
func called(t *testing.T, path string, args []string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := make([]int, len(records)-1)
	for i := range at {
		at[i] = i + 2
	}
	p := evidence.Plain{}
	set := map[string]*string{"--response": &p.Response, "--treatments": &p.Treatments, "--blocks": &p.Blocks, "--categories": &p.Categories,
		"--against": &p.Against, "--adjust": &p.Adjust, "--df": &p.DF}
	for i := 0; i < len(args); i++ {
		switch target := set[args[i]]; {
		case args[i] == "--log":
			p.Log = true
			continue
		case args[i] == "--reference":
			p.References = append(p.References, args[i+1])
		case args[i] == "--compare":
			p.Compare = append(p.Compare, args[i+1])
		case args[i] == "--confidence":
			if p.Confidence, err = strconv.ParseFloat(args[i+1], 64); err != nil {
				t.Fatal(err)
			}
		case target == nil:
			t.Fatalf("the case has an option this test does not know: %s", args[i])
		default:
			*target = args[i+1]
		}
		i++
	}
	result, err := evidence.Analyse(records[0], records[1:], at, p)
	if err != nil {
		t.Fatal(err)
	}
	out, err := json.MarshalIndent(result, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return string(out) + "\n"
}

// TestAnalyseReadsOtherFiles: a semicolon, decimal commas, a byte-order mark and CRLF give the same answer as the plain file.
func TestAnalyseReadsOtherFiles(t *testing.T) {
	dir := t.TempDir()
	plain := "block,way,y\n1,a,5.5\n1,b,6.25\n2,a,4.75\n2,b,6\n3,a,5\n3,b,5.5\n"
	other := "\ufeff" + strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(plain, ",", ";"), ".", ","), "\n", "\r\n")
	for name, text := range map[string]string{"plain.csv": plain, "other.csv": other} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	args := []string{"--response", "y", "--treatments", "way", "--blocks", "block", "--json"}
	a, b := inFolder(t, dir, append([]string{"analyse", "plain.csv"}, args...)...), inFolder(t, dir, append([]string{"analyse", "other.csv"}, args...)...)
	if a != b {
		t.Errorf("the answers differ:\n%s\n%s", a, b)
	}
}

// TestAnalyseRefuses: each kind of bad input gets a sentence and exit status 2.
func TestAnalyseRefuses(t *testing.T) {
	dir := t.TempDir()
	files := map[string]string{
		"word.csv":   "way,y\na,1\nb,x\n",
		"twice.csv":  "way,way,y\na,a,1\n",
		"mixed.csv":  "way;y;z\na;1,5;1.5\nb;2,5;2.5\n",
		"zero.csv":   "way,y\na,1\nb,0\n",
		"ragged.csv": "way,y\na,1,2\n",
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct{ args, says string }{
		{"word.csv --response y --treatments way", "line 3"},
		{"twice.csv --response y --treatments way", "same header"},
		{"mixed.csv --response y --treatments way", "decimal comma"},
		{"zero.csv --response y --treatments way --log", "line 3"},
		{"word.csv --response yy --treatments way", "did you mean"},
		{"word.csv --response y --treatments way+", "character"},
		{"word.csv --response y --treatments way --confidence 2", "confidence"},
	} {
		var out, words bytes.Buffer
		env := Env{Args: append([]string{"analyse"}, strings.Fields(c.args)...), Stdin: strings.NewReader(""), Stdout: &out, Stderr: &words, Dir: dir, Now: storyTime}
		status := Main(context.Background(), env)
		if status != wrongUse || !strings.Contains(words.String(), c.says) || out.Len() > 0 {
			t.Errorf("%s: exit status %d, %q; want 2 and %q", c.args, status, words.String(), c.says)
		}
	}
}
