package analysis

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"fairplot/internal/num/model"
)

// raw is a table as it stands in its file, so that a test can turn it about.
func raw(t testing.TB, name string) (header []string, rows [][]string) {
	t.Helper()
	file, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return records[0], records[1:]
}

func run(t testing.TB, header []string, rows [][]string, s Spec) Result {
	t.Helper()
	table, err := model.NewTable(header, rows, nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(table, s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// close compares two numbers that both may be absent.
func near(t *testing.T, where string, got, want *float64, rel float64) {
	t.Helper()
	if (got == nil) != (want == nil) {
		t.Errorf("%s: %v and %v", where, got, want)
		return
	}
	if got != nil && !(math.Abs(*got-*want) <= rel*math.Abs(*want)) {
		t.Errorf("%s: %.15g, want %.15g (relative %.1e)", where, *got, *want, math.Abs(*got-*want)/math.Abs(*want))
	}
}

// same compares two answers of which the second's response was scaled by k: means and errors by k, variances by k².
func same(t *testing.T, got, want Result, k, rel float64) {
	t.Helper()
	scaled := func(v *float64) *float64 {
		if v == nil {
			return nil
		}
		return model.Finite(*v * k)
	}
	if len(got.Terms) != len(want.Terms) || len(got.Means) != len(want.Means) || len(got.Differences) != len(want.Differences) {
		t.Fatalf("%d terms, %d means, %d differences; want %d, %d, %d", len(got.Terms), len(got.Means), len(got.Differences), len(want.Terms), len(want.Means), len(want.Differences))
	}
	for i, w := range want.Components {
		near(t, "component "+w.Name, &got.Components[i].Variance, model.Finite(w.Variance*k*k), rel)
	}
	for i, w := range want.Terms {
		near(t, w.Name+" F", got.Terms[i].F, w.F, rel)
		near(t, w.Name+" df", got.Terms[i].DenDF, w.DenDF, rel)
		near(t, w.Name+" p", got.Terms[i].P, w.P, 100*rel)
	}
	for i, w := range want.Means {
		near(t, w.Levels.String()+" mean", &got.Means[i].Mean, scaled(&w.Mean), rel)
		near(t, w.Levels.String()+" se", got.Means[i].SE, scaled(w.SE), rel)
		near(t, w.Levels.String()+" df", got.Means[i].DF, w.DF, rel)
	}
	for i, w := range want.Differences {
		name := fmt.Sprintf("%s %s - %s ", w.Of, w.A, w.B)
		if math.Abs(got.Differences[i].Estimate-k*w.Estimate) > rel*k**w.SE {
			t.Errorf("%s %g, want %g", name, got.Differences[i].Estimate, k*w.Estimate)
		}
		near(t, name+"se", got.Differences[i].SE, scaled(w.SE), rel)
		near(t, name+"df", got.Differences[i].DF, w.DF, rel)
		if w.PAdjusted != nil && math.Abs(*got.Differences[i].PAdjusted-*w.PAdjusted) > 1e-9 {
			t.Errorf("%sadjusted p %g, want %g", name, *got.Differences[i].PAdjusted, *w.PAdjusted)
		}
	}
}

// turned are analyses of several kinds on which the properties are tried.
var turned = []struct {
	data string
	spec Spec
}{
	{"data/oats_minus9.csv", Spec{Response: "yield", Treatments: "Variety*nitro", Blocks: "Block/Variety", Categories: []string{"nitro"}}},
	{"data/oats_minus9.csv", Spec{Response: "yield", Treatments: "Variety*nitro", Blocks: "Block/Variety"}},
	{"data/immer_minus8.csv", Spec{Response: "yield", Treatments: "Var", Blocks: "Loc*Year"}},
	{"data/foster.csv", Spec{Response: "weight", Treatments: "litgen*motgen", Adjust: model.Holm}},
	{"data/machines_minus10.csv", Spec{Response: "score", Treatments: "Machine", Blocks: "Worker/Machine", DF: Satterthwaite}},
	{"data/cabbages.csv", Spec{Response: "VitC", Treatments: "Cult*Date+HeadWt", Compare: []string{"Cult", "Cult:Date"}}},
}

// tolerance of REML answers found twice on different roads: what the search leaves of the components.
const twice = 1e-7

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, c := range turned {
		header, rows := raw(t, c.data)
		want := run(t, header, rows, c.spec)
		mixed := make([][]string, len(rows))
		for i, k := range r.Perm(len(rows)) {
			mixed[k] = rows[i]
		}
		same(t, run(t, header, mixed, c.spec), want, 1, twice)
	}
}

func TestScaleOfTheResponse(t *testing.T) {
	for _, c := range turned {
		header, rows := raw(t, c.data)
		want := run(t, header, rows, c.spec)
		for _, k := range []struct {
			text string
			k    float64
		}{{"e-9", 1e-9}, {"e9", 1e9}} {
			same(t, run(t, header, edit(header, rows, c.spec.Response, func(s string) string { return s + k.text }), c.spec), want, k.k, twice)
		}
	}
}

// edit changes the cells of one column.
func edit(header []string, rows [][]string, column string, change func(string) string) [][]string {
	var out [][]string
	for _, r := range rows {
		n := append([]string(nil), r...)
		for j, h := range header {
			if h == column {
				n[j] = change(n[j])
			}
		}
		out = append(out, n)
	}
	return out
}

// Names that sort in the same order change nothing; the last level made the reference changes what is set against what,
// but no mean, no test, no criterion and no size of a difference.
func TestNamesOfLevels(t *testing.T) {
	spec := Spec{Response: "yield", Treatments: "Variety*nitro", Blocks: "Block/Variety", Categories: []string{"nitro"}}
	header, rows := raw(t, "data/oats_minus9.csv")
	want := run(t, header, rows, spec)
	renamed := edit(header, rows, "Variety", func(s string) string { return "Sorte " + strings.ToUpper(s) + " ü" })
	same(t, run(t, header, renamed, spec), want, 1, twice)

	spec.References = []model.Setting{{Factor: "Variety", Level: "Victory"}, {Factor: "nitro", Level: "0.4"}}
	got := run(t, header, rows, spec)
	if math.Abs(*got.Criterion-*want.Criterion) > 1e-7 {
		t.Errorf("criterion %.12g, want %.12g", *got.Criterion, *want.Criterion)
	}
	for i, w := range want.Terms {
		near(t, w.Name, got.Terms[i].F, w.F, twice)
	}
	for _, w := range want.Differences {
		found := false
		for _, g := range got.Differences {
			forth := g.A.String() == w.A.String() && g.B.String() == w.B.String()
			back := g.A.String() == w.B.String() && g.B.String() == w.A.String()
			if g.Of == w.Of && (forth || back) {
				found = true
				near(t, "difference", model.Finite(math.Abs(g.Estimate)), model.Finite(math.Abs(w.Estimate)), 1e-6)
				near(t, "se", g.SE, w.SE, twice)
			}
		}
		if !found {
			t.Errorf("%s - %s is gone", w.A, w.B)
		}
	}
}

// A covariate counted from another zero changes no test, mean or difference where its margins are in the model.
func TestShiftOfACovariate(t *testing.T) {
	for _, c := range []struct {
		data, column string
		spec         Spec
	}{
		{"data/oats_minus9.csv", "nitro", Spec{Response: "yield", Treatments: "Variety*nitro", Blocks: "Block/Variety"}},
		{"data/cabbages.csv", "HeadWt", Spec{Response: "VitC", Treatments: "Cult*Date+HeadWt"}},
		{"data/sleepstudy.csv", "Days", Spec{Response: "Reaction", Treatments: "Days", Blocks: "Subject"}},
	} {
		header, rows := raw(t, c.data)
		want := run(t, header, rows, c.spec)
		shifted := run(t, header, edit(header, rows, c.column, func(s string) string {
			var v float64
			if _, err := fmt.Sscan(s, &v); err != nil {
				t.Fatal(err)
			}
			return fmt.Sprintf("%.1f", v+2000)
		}), c.spec)
		same(t, shifted, want, 1, twice)
		if want.Criterion != nil && math.Abs(*shifted.Criterion-*want.Criterion) > 1e-7 {
			t.Errorf("%s: criterion %.12g, want %.12g", c.data, *shifted.Criterion, *want.Criterion)
		}
	}
}

// Equal weights are no weights; a row of weight two is the row written twice, as far as estimates go.
func TestWeights(t *testing.T) {
	header, rows := raw(t, "data/foster.csv")
	spec := Spec{Response: "weight", Treatments: "litgen+motgen"}
	want := run(t, header, rows, spec)
	var once, doubled [][]string
	for i, r := range rows {
		w := "1"
		doubled = append(doubled, append(append([]string(nil), r...), "1"))
		if i%3 == 0 {
			w = "2"
			doubled = append(doubled, doubled[len(doubled)-1])
		}
		once = append(once, append(append([]string(nil), r...), w))
	}
	header = append(append([]string(nil), header...), "w")
	weighted := spec
	weighted.Weights = "w"
	same(t, run(t, header, edit(header, once, "w", func(string) string { return "1" }), weighted), want, 1, 1e-12)
	got, twofold := run(t, header, once, weighted), run(t, header, doubled, spec)
	for i, m := range twofold.Means {
		near(t, m.Levels.String(), &got.Means[i].Mean, &m.Mean, 1e-12)
	}
}

// splitPlot draws a balanced split plot: r blocks, a whole plots of them, b subplots of those.
func splitPlot(seed uint64, r, a, b int) (table model.Table, y [][][]float64, err error) {
	g := rand.New(rand.NewPCG(seed, 8))
	var kg []float64
	var block, whole, sub []string
	for i := range r {
		y = append(y, make([][]float64, a))
		shift := 3 * g.NormFloat64()
		for j := range a {
			plot := 2 * g.NormFloat64()
			for k := range b {
				v := 20 + shift + plot + float64(j*k) + g.NormFloat64()
				y[i][j] = append(y[i][j], v)
				kg, block, whole, sub = append(kg, v), append(block, fmt.Sprint("b", i)), append(whole, fmt.Sprint("w", j)), append(sub, fmt.Sprint("s", k))
			}
		}
	}
	table, err = model.Of(model.Numbers("kg", kg), model.Text("block", block), model.Text("whole", whole), model.Text("sub", sub))
	return table, y, err
}

// Balanced data give the textbook analysis of a split plot (Cochran & Cox 1957, Experimental Designs, ch. 7): both F from
// their own strata, with the error mean squares reckoned here from sums of squares.
func TestBalancedSplitPlotIsTheTextbooks(t *testing.T) {
	const r, a, b = 5, 3, 4
	for seed := range uint64(4) {
		table, y, err := splitPlot(seed, r, a, b)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Run(table, Spec{Response: "kg", Treatments: "whole*sub", Blocks: "block/whole"})
		if err != nil {
			t.Fatal(err)
		}
		ss := textbook(y, r, a, b)
		whole, plots := ss["whole"]/(a-1), ss["plots"]/((r-1)*(a-1))
		rest := ss["rest"] / (a * (r - 1) * (b - 1))
		if plots < rest || ss["block"]/(r-1) < plots {
			continue // a component would be negative: not the textbook's case
		}
		for i, want := range []struct{ f, den float64 }{
			{whole / plots, (r - 1) * (a - 1)},
			{ss["sub"] / (b - 1) / rest, a * (r - 1) * (b - 1)},
			{ss["both"] / ((a - 1) * (b - 1)) / rest, a * (r - 1) * (b - 1)},
		} {
			near(t, got.Terms[i].Name+" F", got.Terms[i].F, &want.f, 1e-10)
			near(t, got.Terms[i].Name+" df", got.Terms[i].DenDF, &want.den, 1e-10)
		}
		near(t, "residual", &got.Components[2].Variance, &rest, 1e-10)
		near(t, "block:whole", &got.Components[1].Variance, model.Finite((plots-rest)/b), 1e-9)
		near(t, "se of whole", got.Differences[0].SE, model.Finite(math.Sqrt(2*plots/(r*b))), 1e-10)
	}
}

// textbook returns the sums of squares of a balanced split plot.
func textbook(y [][][]float64, r, a, b int) map[string]float64 {
	mean := func(pick func(i, j, k int) bool) float64 {
		s, n := 0.0, 0.0
		for i := range r {
			for j := range a {
				for k := range b {
					if pick(i, j, k) {
						s, n = s+y[i][j][k], n+1
					}
				}
			}
		}
		return s / n
	}
	m := mean(func(i, j, k int) bool { return true })
	ss := map[string]float64{}
	for i := range r {
		for j := range a {
			for k := range b {
				mi := mean(func(x, _, _ int) bool { return x == i })
				mj := mean(func(_, x, _ int) bool { return x == j })
				mk := mean(func(_, _, x int) bool { return x == k })
				mij := mean(func(x, z, _ int) bool { return x == i && z == j })
				mjk := mean(func(_, x, z int) bool { return x == j && z == k })
				ss["block"] += (mi - m) * (mi - m)
				ss["whole"] += (mj - m) * (mj - m)
				ss["sub"] += (mk - m) * (mk - m)
				ss["plots"] += (mij - mi - mj + m) * (mij - mi - mj + m)
				ss["both"] += (mjk - mj - mk + m) * (mjk - mj - mk + m)
				e := y[i][j][k] - mij - mjk + mj
				ss["rest"] += e * e
			}
		}
	}
	return ss
}

func TestCommandLineRepeatsTheAnalysis(t *testing.T) {
	s := Spec{
		Response: "yield kg", Treatments: "a*b", Blocks: "rep/`plot no`", Categories: []string{"a", "x,y"},
		References: []model.Setting{{Factor: "a", Level: "it's"}}, Log: true, Compare: []string{"a:b"}, Against: "no dig", Adjust: model.Holm,
		DF: Satterthwaite, Confidence: 0.9, Seed: 7, Weights: "w",
	}
	want := `fairplot analyse plots.csv --response 'yield kg' --treatments 'a*b' --blocks 'rep/` + "`plot no`" + `' --categories 'a,"x,y"' --reference 'a=it'\''s' --log` +
		` --compare a:b --against 'no dig' --adjust holm --df satterthwaite --confidence 0.9 --seed 7 --weights w`
	if got := s.CommandLine("plots.csv"); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if got := (Spec{Response: "y", Treatments: "a"}).CommandLine("-x.csv"); got != "fairplot analyse ./-x.csv --response y --treatments a" {
		t.Errorf("got %s", got)
	}
}
