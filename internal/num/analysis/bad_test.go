package analysis

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairplot/internal/num/lmm"
	"fairplot/internal/num/model"
)

// text builds a table from lines of cells parted by spaces; "." is an empty cell.
func text(t testing.TB, lines string) model.Table {
	t.Helper()
	var rows [][]string
	var at []int
	for i, line := range strings.Split(strings.TrimSpace(lines), "\n") {
		cells := strings.Fields(line)
		for j := range cells {
			if cells[j] == "." {
				cells[j] = ""
			}
		}
		rows, at = append(rows, cells), append(at, i+1)
	}
	table, err := model.NewTable(rows[0], rows[1:], at[1:])
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// sound fails on any number in an answer that is none, and returns the answer as JSON.
func sound(t *testing.T, r Result) map[string]any {
	t.Helper()
	raw, err := json.Marshal(r) // refuses NaN and infinities
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(raw, &out); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(raw), "null") {
		t.Errorf("null in %s", raw)
	}
	return out
}

func doubt(r Result, code string) string {
	for _, d := range r.Doubts {
		if d.Code == code {
			return d.Says
		}
	}
	return ""
}

const halves = `
kg dig rep bed x
5.1 deep 1 b1 1
4.2 none 1 b1 2
5.9 deep 2 b2 3
4.0 none 2 b2 4
6.3 deep 3 b3 6
5.2 none 3 b3 5`

func TestConstantResponse(t *testing.T) {
	table := text(t, "kg dig rep\n0.1 a 1\n0.1 b 1\n0.1 a 2\n0.1 b 2\n0.1 a 3\n0.1 b 3")
	for _, blocks := range []string{"", "rep"} {
		r, err := Run(table, Spec{Response: "kg", Treatments: "dig", Blocks: blocks})
		if err != nil {
			t.Fatal(err)
		}
		sound(t, r)
		if says := doubt(r, PerfectFit); !strings.Contains(says, "every response is 0.1") {
			t.Errorf("blocks %q: doubts %v", blocks, r.Doubts)
		}
		exact(t, r)
		if len(r.Means) != 2 || math.Abs(r.Means[0].Mean-0.1) > 1e-15 {
			t.Errorf("blocks %q: means %v", blocks, r.Means)
		}
	}
}

// exact checks that nothing is claimed about spread.
func exact(t *testing.T, r Result) {
	t.Helper()
	if r.Criterion != nil || r.Components != nil || r.Search != nil {
		t.Errorf("criterion %v, components %v, search %v; want none", r.Criterion, r.Components, r.Search)
	}
	for _, x := range r.Terms {
		if x.F != nil || x.P != nil || x.DenDF != nil {
			t.Errorf("term %+v has a test", x)
		}
	}
	for _, m := range r.Means {
		if m.SE != nil || m.DF != nil || m.Low != nil || m.High != nil {
			t.Errorf("mean %+v has an error", m)
		}
	}
	for _, d := range r.Differences {
		if d.SE != nil || d.DF != nil || d.P != nil || d.Low != nil || d.PAdjusted != nil || d.LowAdjusted != nil {
			t.Errorf("difference %+v has an error", d)
		}
	}
}

func TestPerfectFit(t *testing.T) {
	// Additive in dig and rep without remainder; 1.1 and 2.2 are no exact doubles.
	table := text(t, "kg dig rep\n1.1 a 1\n3.3 b 1\n2.2 a 2\n4.4 b 2\n0.7 a 3\n2.9 b 3")
	for _, s := range []Spec{
		{Response: "kg", Treatments: "dig+rep", Categories: []string{"rep"}},
		{Response: "kg", Treatments: "dig", Blocks: "rep"},
	} {
		r, err := Run(table, s)
		if err != nil {
			t.Fatal(err)
		}
		sound(t, r)
		exact(t, r)
		if !strings.Contains(doubt(r, PerfectFit), "nothing is left over") {
			t.Errorf("%+v: doubts %v", s, r.Doubts)
		}
		if d := r.Differences[0]; math.Abs(d.Estimate+2.2) > 1e-12 {
			t.Errorf("%+v: %s - %s is %g, want -2.2", s, d.A, d.B, d.Estimate)
		}
	}
}

func TestNoResidualDegreesOfFreedom(t *testing.T) {
	for _, s := range []Spec{
		{Response: "kg", Treatments: "dig*rep", Categories: []string{"rep"}},
		{Response: "kg", Treatments: "bed+dig+x+rep", Blocks: "", Categories: []string{"x"}},
	} {
		r, err := Run(text(t, halves), s)
		if err != nil {
			t.Fatal(err)
		}
		sound(t, r)
		exact(t, r)
		if !strings.Contains(doubt(r, NoResidual), "as many") {
			t.Errorf("%+v: doubts %v", s, r.Doubts)
		}
	}
}

// Blocks and treatments together can leave nothing over although neither does alone.
func TestBlocksThatSaturate(t *testing.T) {
	r, err := Run(text(t, "kg dig pair\n1 a 1\n2 b 1\n5 a 2\n4 c 2"), Spec{Response: "kg", Treatments: "dig", Blocks: "pair"})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, r)
	exact(t, r)
	if doubt(r, NoResidual) == "" {
		t.Errorf("doubts %v", r.Doubts)
	}
}

func TestOneLevel(t *testing.T) {
	r, err := Run(text(t, "kg dig\n1 a\n2 a\n4 a"), Spec{Response: "kg", Treatments: "dig"})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, r)
	if !strings.Contains(doubt(r, model.OneLevel), `dig has one level in the analysed rows, "a"`) {
		t.Errorf("doubts %v", r.Doubts)
	}
	if len(r.Terms) != 0 || len(r.Differences) != 0 || fmt.Sprint(r.Aliased) != "[{dig 1}]" {
		t.Errorf("terms %v, differences %v, aliased %v", r.Terms, r.Differences, r.Aliased)
	}
}

func TestOneRow(t *testing.T) {
	r, err := Run(text(t, "kg dig\n1 a"), Spec{Response: "kg", Treatments: "1"})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, r)
	exact(t, r)
}

func TestEmptyCells(t *testing.T) {
	table := text(t, "kg dig feed\n1 a x\n2 a x\n3 a y\n5 a y\n4 b x\n4.5 b x\n7 c y\n8 c y")
	r, err := Run(table, Spec{Response: "kg", Treatments: "dig*feed", Compare: []string{"dig:feed", "dig"}})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, r)
	if says := doubt(r, model.NotEstimable); !strings.Contains(says, "these rows cannot estimate the mean of dig:feed b:y and c:x") {
		t.Errorf("doubts %v", r.Doubts)
	}
	cells := 0
	for _, m := range r.Means {
		if m.Of == "dig:feed" {
			cells++
		}
	}
	if cells != 4 {
		t.Errorf("%d cell means, want the 4 that were grown", cells)
	}
}

func TestCollinearCovariatesOnWildScales(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	n := 30
	y, x, small, large, far := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range y {
		x[i] = r.Float64()
		y[i] = 3 + 2*x[i] + r.NormFloat64()
		small[i], large[i], far[i] = 1e-9*x[i], 1e9*x[i], 1e9+x[i]
	}
	table, err := model.Of(model.Numbers("y", y), model.Numbers("x", x), model.Numbers("small", small), model.Numbers("large", large), model.Numbers("far", far))
	if err != nil {
		t.Fatal(err)
	}
	var f []float64
	for _, formula := range []string{"x", "small", "large", "small+large", "large+small+x"} {
		got, err := Run(table, Spec{Response: "y", Treatments: formula})
		if err != nil {
			t.Fatal(err)
		}
		sound(t, got)
		if len(got.Terms) != 1 || len(got.Aliased) != strings.Count(formula, "+") {
			t.Errorf("%s: terms %v, aliased %v", formula, got.Terms, got.Aliased)
		}
		f = append(f, *got.Terms[0].F)
	}
	for _, v := range f {
		if math.Abs(v-f[0]) > 1e-11*f[0] {
			t.Errorf("F differs between scales: %v", f)
		}
	}
	got, err := Run(table, Spec{Response: "y", Treatments: "far"})
	if err != nil {
		t.Fatal(err)
	}
	// 1e9 + x holds x to 1.2e-7 alone.
	if v := *got.Terms[0].F; math.Abs(v-f[0]) > 1e-5*f[0] {
		t.Errorf("F %g far from zero, %g near", v, f[0])
	}
}

func TestTwoHundredLevels(t *testing.T) {
	r, err := Run(levels(t, 200, 3), Spec{Response: "kg", Treatments: "sort"})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, r)
	if len(r.Means) != 200 || len(r.Differences) != 19900 || r.Terms[0].NumDF != 199 {
		t.Errorf("%d means, %d differences, %g df", len(r.Means), len(r.Differences), r.Terms[0].NumDF)
	}
	for _, d := range r.Differences {
		if d.PAdjusted == nil || *d.PAdjusted < *d.P {
			t.Fatalf("%s - %s: p %v, adjusted %v", d.A, d.B, d.P, d.PAdjusted)
		}
	}
	r, err = Run(levels(t, 600, 2), Spec{Response: "kg", Treatments: "sort"})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Means) != 600 || len(r.Differences) != 0 || !strings.Contains(doubt(r, model.TooManyPairs), "sort has 600 levels or cells and so 179700 pairs") {
		t.Errorf("%d means, %d differences, doubts %v", len(r.Means), len(r.Differences), r.Doubts)
	}
	_, err = Run(levels(t, 4000, 1), Spec{Response: "kg", Treatments: "sort"})
	if err == nil || !strings.Contains(err.Error(), "effects or more to fit to 4000 rows, which is too many") {
		t.Errorf("4000 levels: %v", err)
	}
}

// levels is a table of so many sorts in each of some reps.
func levels(t testing.TB, sorts, reps int) model.Table {
	r := rand.New(rand.NewPCG(5, 6))
	var kg []float64
	var sort, rep []string
	for b := range reps {
		for s := range sorts {
			kg = append(kg, 10+r.NormFloat64()+float64(b))
			sort, rep = append(sort, fmt.Sprint("s", s)), append(rep, fmt.Sprint("r", b))
		}
	}
	table, err := model.Of(model.Numbers("kg", kg), model.Text("sort", sort), model.Text("rep", rep))
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func TestGroupingUpsideDown(t *testing.T) {
	table := text(t, "kg dig garden bed\n1 a g1 b1\n2 b g1 b1\n3 a g1 b2\n5 b g1 b2\n4 a g2 b3\n4.5 b g2 b3\n7 a g2 b4\n8.1 b g2 b4")
	r, err := Run(table, Spec{Response: "kg", Treatments: "dig", Blocks: "bed/garden"})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, r)
	if says := doubt(r, model.NestedTurned); !strings.Contains(says, "every bed lies in one garden") || !strings.Contains(says, "write garden/bed") {
		t.Errorf("doubts %v", r.Doubts)
	}
	if fmt.Sprint(r.Aliased) != "[{bed:garden bed}]" {
		t.Errorf("aliased %v", r.Aliased)
	}
}

// Where Kenward and Roger's method cannot be had Satterthwaite's is used and named; where neither can, that is an error.
func TestSatterthwaiteStandsIn(t *testing.T) {
	large := &lmm.Error{Kind: lmm.TooLarge, Text: "it would need 9000 groups to be worked out together"}
	stand := &lmm.Inference{}
	got, doubts, err := infer(func(m lmm.Method) (*lmm.Inference, error) {
		if m == lmm.KenwardRoger {
			return nil, large
		}
		return stand, nil
	}, KenwardRoger)
	if err != nil || got != stand || len(doubts) != 1 || doubts[0].Code != OtherDF ||
		doubts[0].Says != "it would need 9000 groups to be worked out together; Satterthwaite's degrees of freedom were used in its place" {
		t.Errorf("%v, %v, %v", got, doubts, err)
	}
	if _, _, err := infer(func(lmm.Method) (*lmm.Inference, error) { return nil, large }, KenwardRoger); !errors.Is(err, lmm.ErrTooLarge) {
		t.Errorf("neither method: %v", err)
	}
}

// Every refusal is a sentence that says where and what to do.
func TestRefusals(t *testing.T) {
	good := Spec{Response: "kg", Treatments: "dig", Blocks: "rep"}
	for _, c := range []struct {
		change func(*Spec)
		says   string
	}{
		{func(s *Spec) { s.Treatments = "digg" }, `treatments, character 1: there is no column "digg"; did you mean dig?`},
		{func(s *Spec) { s.Treatments = "dig+" }, "treatments, character 5: the formula ends too soon"},
		{func(s *Spec) { s.Blocks = "rep/(bed" }, "blocks, character 5: this bracket is never closed; add a )"},
		{func(s *Spec) { s.Blocks = "dig" }, "the treatments account for every difference between the groups of dig"},
		{func(s *Spec) { s.Confidence = 95 }, "a confidence of 95 is none; give a share above 0 and below 1, such as 0.95"},
		{func(s *Spec) { s.Confidence = math.NaN() }, "a confidence of NaN is none"},
		{func(s *Spec) { s.Adjust = "tuckey" }, `"tuckey" is no adjustment; choose tukey, dunnett, holm or none`},
		{func(s *Spec) { s.DF = "kr" }, `"kr" is no method for degrees of freedom; choose kenward-roger or satterthwaite`},
		{func(s *Spec) { s.Adjust = model.Dunnett }, "the dunnett adjustment needs a level"},
		{func(s *Spec) { s.Against = "dep" }, `column dig: it has no level "dep" in the analysed rows; did you mean deep?`},
		{func(s *Spec) { s.Treatments, s.Against, s.Blocks = "dig+bed", "deep", "" }, "one level is given, but 2 factors are compared; name the one factor to compare"},
		{func(s *Spec) {
			s.Treatments, s.Compare, s.Against, s.Blocks = "dig+bed", []string{"dig:bed"}, "deep", ""
		}, "dig:bed has cells, and one level is no cell"},
		{func(s *Spec) { s.Compare = []string{"bed"} }, "compare: bed is not in the treatment formula; "},
		{func(s *Spec) { s.Compare = []string{"dig+bed"} }, `compare: "dig+bed" is not one term`},
		{func(s *Spec) { s.Treatments, s.Compare = "dig+x", []string{"x"} }, "compare: x is a column of numbers and has no levels to compare; name it among the categories"},
		{func(s *Spec) { s.Treatments, s.Against = "x", "1" }, "one level is given, but 0 factors are compared"},
		{func(s *Spec) { s.Response = "yield" }, `there is no column "yield"; the columns are kg, dig, rep, bed and x`},
		{func(s *Spec) { s.Response = "dig"; s.Treatments = "rep" }, `line 2, column dig: "deep" is not a number`},
		{func(s *Spec) { s.Weights = "dig" }, `line 2, column dig: the weight "deep" is not a number above zero`},
	} {
		s := good
		c.change(&s)
		_, err := Run(text(t, halves), s)
		var e *model.Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: got %v, want %q", s, err, c.says)
		}
	}
}

// FuzzRun: no table and no formula makes it panic or answer with a number that is none.
func FuzzRun(f *testing.F) {
	f.Add(halves, "dig", "rep")
	f.Add("kg a b\n1 1 1\n2 1 2\n3 2 1\n4 2 2\n5 1 1", "a*b", "")
	f.Add("kg a b\n1 1 1\n1 1 2\n1 2 1\n1 2 2", "a:b", "b/a")
	f.Add("kg a b\n1e9 1e-9 1\n2e9 1e9 2\n3e9 2 1\n7e9 2 2\n. 1 1\n5e9 9 2", "a*b", "b")
	f.Fuzz(func(t *testing.T, lines, treatments, blocks string) {
		if len(lines) > 400 || len(treatments)+len(blocks) > 30 {
			return
		}
		rows := strings.Split(strings.TrimSpace(lines), "\n")
		var cells [][]string
		for _, r := range rows {
			cells = append(cells, strings.Fields(r))
		}
		table, err := model.NewTable(cells[0], cells[1:], nil)
		if err != nil {
			return
		}
		r, err := Run(table, Spec{Response: "kg", Treatments: treatments, Blocks: blocks})
		if err != nil {
			return
		}
		sound(t, r)
	})
}
