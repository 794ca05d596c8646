package evidence_test

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fairplot/internal/evidence"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// change is something done to a book that must not change what it answers.
type change struct {
	name string
	to   func(*garden.Records)
}

var changes = []change{
	{"rows in another order", func(r *garden.Records) {
		rng := rand.New(rand.NewPCG(8, 9))
		shuffle(rng, r.Plantings)
		shuffle(rng, r.Harvests)
		shuffle(rng, r.Cultivations)
		shuffle(rng, r.Amendments)
		shuffle(rng, r.Beds)
	}},
	{"all weights twice what they were", func(r *garden.Records) {
		r.Harvests = slices.Clone(r.Harvests)
		for i := range r.Harvests {
			r.Harvests[i].Mass.Value *= unit.Mass(2) // a power of two, so that no digit changes
		}
	}},
	{"gardens by other names", func(r *garden.Records) {
		r.Gardens = slices.Clone(r.Gardens)
		for i := range r.Gardens {
			r.Gardens[i].Name = "Z" + r.Gardens[i].Name + "s"
		}
	}},
}

func shuffle[T any](rng *rand.Rand, list []T) {
	rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}

// TestAnswersDoNotHangOnOrderScaleOrNames changes books of every kind in ways that do not matter: verdicts and ratios must stay. Searches for variances end within 1e-6 of
// each other, not at the same bits.
func TestAnswersDoNotHangOnOrderScaleOrNames(t *testing.T) {
	files, err := filepath.Glob("testdata/*/*.book")
	if err != nil || len(files) < 60 {
		t.Fatalf("%d books, %v", len(files), err)
	}
	for i, file := range files {
		tr := readTrap(t, file)
		if len(tr.question.Gardens) > 0 || strings.HasPrefix(tr.question.Response, evidence.Measured) || tr.question.What == evidence.Gardens || i%4 != 0 {
			continue // asked by name, not weighed, named by what changes; of the rest every fourth
		}
		before, _, err := evidence.Compare(tr.records, tr.question, setup(0))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range changes {
			after, _, err := evidence.Compare(changed(tr.records, c), tr.question, setup(0))
			if err != nil {
				t.Fatalf("%s, %s: %v", file, c.name, err)
			}
			if after.Verdict != before.Verdict || len(after.Estimates) != len(before.Estimates) {
				t.Errorf("%s, %s: %q with %d estimates, was %q with %d", file, c.name, after.Verdict, len(after.Estimates), before.Verdict, len(before.Estimates))
				continue
			}
			same(t, file+", "+c.name, before.Estimates, after.Estimates)
		}
	}
}

// same compares ratios; intervals by resampling are drawn anew where rows stand in another order and are compared as far as two such draws agree.
func same(t *testing.T, where string, before, after []finding.Estimate) {
	t.Helper()
	for _, e := range before {
		i := slices.IndexFunc(after, func(f finding.Estimate) bool { return f.Of == e.Of && f.A == e.A && f.B == e.B })
		if i < 0 {
			t.Errorf("%s: no estimate of %s, %s over %s", where, e.Of, e.A, e.B)
			continue
		}
		f := after[i]
		within := 1e-6
		if strings.HasPrefix(e.Method, "resampling") {
			within = 0.1
		}
		if !near(e.Value, f.Value, 1e-6) || !near(*e.Low, *f.Low, within) || !near(*e.High, *f.High, within) {
			t.Errorf("%s: %s %.8g (%.8g to %.8g), was %.8g (%.8g to %.8g)", where, e.Of, f.Value, *f.Low, *f.High, e.Value, *e.Low, *e.High)
		}
	}
}

func near(a, b, within float64) bool {
	return math.Abs(a-b) <= within*math.Max(1, math.Max(math.Abs(a), math.Abs(b)))
}

// changed returns the records with their lists copied and the change made.
func changed(r garden.Records, c change) garden.Records {
	r.Plantings, r.Harvests = slices.Clone(r.Plantings), slices.Clone(r.Harvests)
	r.Cultivations, r.Amendments, r.Beds = slices.Clone(r.Cultivations), slices.Clone(r.Amendments), slices.Clone(r.Beds)
	c.to(&r)
	return r
}

// TestEveryOpenAnswerNamesWhatWouldSettleIt: each book whose answer is open says what would tell, in one sentence that can be read aloud, and no other book does.
func TestEveryOpenAnswerNamesWhatWouldSettleIt(t *testing.T) {
	files, err := filepath.Glob("testdata/*/*.book")
	if err != nil || len(files) < 60 {
		t.Fatalf("%d books, %v", len(files), err)
	}
	open, trials := 0, 0
	for _, file := range files {
		tr := readTrap(t, file)
		f, _, err := evidence.Compare(tr.records, tr.question, setup(0))
		if err != nil {
			t.Fatal(err)
		}
		if f.Verdict != finding.NotYet && f.Verdict != finding.Never {
			if f.WouldSettle != nil {
				t.Errorf("%s: %q, and yet it would be settled by %q", file, f.Verdict, f.WouldSettle.Says)
			}
			continue
		}
		open++
		s := f.WouldSettle
		if s == nil || len(s.Says) < 40 || strings.Contains(s.Says, "NaN") || strings.Contains(s.Says, "%!") {
			t.Fatalf("%s: %q would be settled by %v", file, f.Verdict, s)
		}
		t.Logf("%s: %s", filepath.Base(file), s.Says)
		if s.Plots > 0 {
			trials++
			if s.Power < 0.8 || s.Seasons < 1 || s.Plots > len(tr.records.Beds)*2 {
				t.Errorf("%s: %+v on %d beds", file, *s, len(tr.records.Beds))
			}
		}
	}
	if open < 15 || trials < 8 {
		t.Errorf("only %d open answers, %d with a trial", open, trials)
	}
}
