package cli

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"fairplot/internal/finding"
)

// TestAnswersAreRepeatable asks the demo's book, writes the table behind each answer and runs the call that the answer prints: the same ratio and
// limits must come out to the last digits that a ratio taken the other way round leaves.
func TestAnswersAreRepeatable(t *testing.T) {
	dir := t.TempDir()
	inFolder(t, dir, "demo", "demo.fairplot")
	for _, ask := range [][]string{
		{"compare", "cultivation"},
		{"compare", "compost"},
		{"compare", "compost", "--against", "under 10 L/m²"},
		{"compare", "spacing", "--gardens", "terrace,orchard"},
		{"compare", "gardens", "--per", "ground"},
		{"compare", "variety", "--crop", "lettuce"},
		{"compare", "cultivation", "--response", "first harvest"},
	} {
		t.Run(strings.Join(ask, " "), func(t *testing.T) { repeat(t, dir, ask) })
	}
}

func repeat(t *testing.T, dir string, ask []string) {
	var f finding.Finding
	if err := json.Unmarshal([]byte(inFolder(t, dir, append(ask, "--table", "plots.csv", "--json")...)), &f); err != nil {
		t.Fatal(err)
	}
	if f.Model == nil {
		t.Fatalf("nothing was fitted: %s", f.Answer)
	}
	defer func() { _ = os.Remove(dir + "/plots.csv") }()
	var plain struct {
		Criterion   *float64
		Differences []struct {
			A, B                      string
			Estimate, Low, High       float64
			LowAdjusted, HighAdjusted *float64
		}
	}
	call := posixWords(strings.TrimPrefix(f.Model.Analyse, "fairplot "))
	text := strings.NewReplacer("low_adjusted", "lowadjusted", "high_adjusted", "highadjusted").Replace(inFolder(t, dir, append(call, "--json")...))
	if err := json.Unmarshal([]byte(text), &plain); err != nil {
		t.Fatal(err)
	}
	if f.Model.Criterion != nil && (plain.Criterion == nil || *plain.Criterion != *f.Model.Criterion) {
		t.Errorf("criterion %v, the answer has %v", plain.Criterion, *f.Model.Criterion)
	}
	found := 0
	for _, e := range f.Estimates {
		for _, d := range plain.Differences {
			low, high := d.Low, d.High
			if d.LowAdjusted != nil {
				low, high = *d.LowAdjusted, *d.HighAdjusted
			}
			estimate := d.Estimate
			switch {
			case e.Of != "all":
				continue
			case d.A == e.B && d.B == e.A:
				estimate, low, high = -estimate, -high, -low
			case d.A != e.A || d.B != e.B:
				continue
			}
			found++
			for _, pair := range [][2]float64{{math.Exp(estimate), e.Value}, {math.Exp(low), *e.Low}, {math.Exp(high), *e.High}} {
				if pair[0] != pair[1] {
					t.Errorf("%s over %s: %v, the answer has %v", e.A, e.B, pair[0], pair[1])
				}
			}
		}
	}
	if found == 0 {
		t.Error("no estimate of the answer was found in the analysis")
	}
}

// posixWords splits a line as a POSIX shell does with single quotes and escaped ones.
func posixWords(line string) []string {
	var out []string
	var word []byte
	quoted, begun := false, false
	for i := 0; i < len(line); i++ {
		switch c := line[i]; {
		case c == '\'':
			quoted, begun = !quoted, true
		case c == '\\' && !quoted:
			i++
			word = append(word, line[i])
			begun = true
		case c == ' ' && !quoted:
			if begun {
				out = append(out, string(word))
			}
			word, begun = nil, false
		default:
			word = append(word, c)
			begun = true
		}
	}
	if begun {
		out = append(out, string(word))
	}
	return out
}
