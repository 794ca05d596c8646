package analysis

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/num/model"
)

// testdata/cases.jsonl holds analyses with the answers of R 4.2.2 (lme4 1.1-31, lmerTest 3.1-3, pbkrtest 0.5.2, emmeans
// 1.8.4-1, mvtnorm), each found by two independent routes; every case carries its source and a letter for how far the
// source was checked. V: printed source read and equal to every printed digit; 2: two independent routes besides;
// M: printed value remembered and equal; R: computed in R only; K: constructed.
type testCase struct {
	ID, Data, Source, Status string
	Args                     []string
	Expect                   map[string]any
	Extra                    map[string]any
}

// explained are quantities in which the file's value is the one in error. M14's adjusted p were sampled in R; the file
// states 9.6e-6 for them. By quadrature on two factors that fit the correlations to 6e-13 the first is 0.0177643928154,
// 1.15e-6 from the file's 0.01776324, and far in the tail the sampled values are off by up to 40 % of themselves.
var explained = map[string]float64{"M14_orchard_crossed_unbalanced_log": 9.56802190776616e-06}

func readCases(t testing.TB) []testCase {
	t.Helper()
	file, err := os.Open("testdata/cases.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var out []testCase
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, 1<<24)
	for lines.Scan() {
		var c testCase
		if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
			t.Fatal(err)
		}
		out = append(out, c)
	}
	return out
}

func readTable(t testing.TB, name string) model.Table {
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
	lines := make([]int, len(records)-1)
	for i := range lines {
		lines[i] = i + 2
	}
	table, err := model.NewTable(records[0], records[1:], lines)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// readSpec reads the options of the command line that the cases use.
func readSpec(t testing.TB, args []string) Spec {
	t.Helper()
	var s Spec
	for i := 0; i < len(args); i++ {
		if args[i] == "--log" {
			s.Log = true
			continue
		}
		option, value := args[i], args[i+1]
		i++
		switch option {
		case "--response":
			s.Response = value
		case "--treatments":
			s.Treatments = value
		case "--blocks":
			s.Blocks = value
		case "--categories":
			s.Categories = strings.Split(value, ",")
		case "--reference":
			column, level, _ := strings.Cut(value, "=")
			s.References = append(s.References, model.Setting{Factor: column, Level: level})
		case "--compare":
			s.Compare = append(s.Compare, value)
		case "--against":
			s.Against = value
		case "--adjust":
			s.Adjust = model.Adjust(value)
		case "--df":
			s.DF = DF(value)
		case "--confidence":
			c, err := strconv.ParseFloat(value, 64)
			if err != nil {
				t.Fatal(err)
			}
			s.Confidence = c
		default:
			t.Fatalf("unknown option %s", option)
		}
	}
	return s
}

func TestCases(t *testing.T) {
	for _, c := range readCases(t) {
		t.Run(c.ID, func(t *testing.T) {
			r, err := Run(readTable(t, c.Data), readSpec(t, c.Args))
			if err != nil {
				t.Fatal(err)
			}
			raw, err := json.Marshal(r)
			if err != nil {
				t.Fatal(err)
			}
			var got map[string]any
			if err := json.Unmarshal(raw, &got); err != nil {
				t.Fatal(err)
			}
			check(t, c, got)
		})
	}
}

// checker compares one answer with one case by the tolerances of the contract.
type checker struct {
	*testing.T
	c     testCase
	rel   float64
	scale float64 // of the means, for limits near zero
	satt  bool
	reml  bool
	error float64 // of the case's adjusted p, as the case states it
}

func (k *checker) near(where string, got, want any, rel, abs float64) {
	k.Helper()
	g, isNumber := got.(float64)
	w := want.(float64)
	if !isNumber || !(math.Abs(g-w) <= abs+rel*math.Abs(w)) {
		k.Errorf("%s: got %v, want %v (%.1e apart, relative %.1e)", where, got, want, math.Abs(g-w), math.Abs(g-w)/math.Abs(w))
	}
}

// items are the objects of a list.
func items(v any) []map[string]any {
	var out []map[string]any
	list, _ := v.([]any)
	for _, x := range list {
		out = append(out, x.(map[string]any))
	}
	return out
}

// sorted writes a term with its names in order, so that A:B is B:A.
func sorted(term any) string {
	parts := strings.Split(fmt.Sprint(term), ":")
	sort.Strings(parts)
	return strings.Join(parts, ":")
}

func find(list []map[string]any, field string, want any) map[string]any {
	for _, x := range list {
		if sorted(x[field]) == sorted(want) {
			return x
		}
	}
	return nil
}

func check(t *testing.T, c testCase, got map[string]any) {
	k := &checker{T: t, c: c, rel: 1e-8, scale: 1e-300, reml: c.Expect["method"] == "REML", satt: slices.Contains(c.Args, "satterthwaite")}
	if k.reml {
		k.rel = 1e-6
	}
	if k.satt {
		k.rel = 1e-4
	}
	for _, m := range items(c.Expect["means"]) {
		k.scale = max(k.scale, math.Abs(m["mean"].(float64)))
	}
	for _, d := range items(c.Expect["differences"]) {
		k.scale = max(k.scale, d["se"].(float64))
	}
	k.error = explained[c.ID]
	for _, f := range []string{"rows", "left_out", "scale", "method"} {
		if got[f] != c.Expect[f] {
			t.Errorf("%s: got %v, want %v", f, got[f], c.Expect[f])
		}
	}
	if want, ok := c.Expect["criterion"]; ok {
		k.near("criterion", got["criterion"], want, 0, 1e-7)
	} else if g, ok := got["criterion"]; ok {
		k.near("criterion", g, c.Extra["criterion_if_reported"], 0, 1e-7)
	}
	k.components(items(got["components"]))
	k.terms(items(got["terms"]))
	k.means(items(got["means"]))
	k.differences(items(got["differences"]))
	k.aliased(items(got["aliased"]))
}

func (k *checker) components(got []map[string]any) {
	want := items(k.c.Expect["components"])
	if len(got) != len(want) {
		k.Errorf("%d components, want %d", len(got), len(want))
		return
	}
	if got[len(got)-1]["name"] != "residual" {
		k.Errorf("the last component is %v", got[len(got)-1]["name"])
	}
	rel := 1e-8
	if k.reml {
		rel = 1e-6
	}
	for _, w := range want {
		g := find(got, "name", w["name"])
		if g == nil {
			k.Errorf("no component %v", w["name"])
			continue
		}
		if g["on_boundary"] != w["on_boundary"] || w["on_boundary"] == true && g["variance"] != 0.0 {
			k.Errorf("component %v: %v, on the boundary %v; want %v, %v", w["name"], g["variance"], g["on_boundary"], w["variance"], w["on_boundary"])
		}
		k.near(fmt.Sprint("component ", w["name"]), g["variance"], w["variance"], rel, 0)
	}
}

func (k *checker) terms(got []map[string]any) {
	want := items(k.c.Expect["terms"])
	if len(got) != len(want) {
		k.Errorf("%d terms, want %d", len(got), len(want))
	}
	for _, w := range want {
		g := find(got, "name", w["name"])
		if g == nil {
			k.Errorf("no term %v", w["name"])
			continue
		}
		// Satterthwaite with several numerator df depends on the basis of the hypothesis: ANALYSE's 5e-3.
		rel := k.rel
		if k.satt && w["num_df"].(float64) > 1 {
			rel = 5e-3
		}
		where := fmt.Sprintf("term %v ", w["name"])
		k.near(where+"f", g["f"], w["f"], k.rel, 1e-9)
		k.near(where+"num_df", g["num_df"], w["num_df"], 0, 0)
		k.near(where+"den_df", g["den_df"], w["den_df"], rel, 0)
		k.near(where+"p", g["p"], w["p"], max(10*rel, 1e-6), 1e-12)
	}
}

func (k *checker) means(got []map[string]any) {
	want := items(k.c.Expect["means"])
	if len(got) != len(want) {
		k.Errorf("%d means, want %d", len(got), len(want))
	}
	for _, w := range want {
		where := fmt.Sprintf("mean %v %v ", w["of"], w["levels"])
		i := slices.IndexFunc(got, func(g map[string]any) bool {
			return sorted(g["of"]) == sorted(w["of"]) && fmt.Sprint(g["levels"]) == fmt.Sprint(w["levels"])
		})
		if i < 0 {
			k.Errorf("%sis not there", where)
			continue
		}
		g := got[i]
		k.near(where, g["mean"], w["mean"], k.rel, 1e-10*k.scale)
		k.near(where+"se", g["se"], w["se"], k.rel, 0)
		k.near(where+"df", g["df"], w["df"], k.rel, 0)
		k.near(where+"low", g["low"], w["low"], k.rel, k.rel*k.scale)
		k.near(where+"high", g["high"], w["high"], k.rel, k.rel*k.scale)
		if back, ok := w["back"]; ok {
			k.near(where+"back", g["back"], back, 10*k.rel, 0)
		}
	}
}

func (k *checker) differences(got []map[string]any) {
	want := items(k.c.Expect["differences"])
	if len(got) != len(want) {
		k.Errorf("%d differences, want %d", len(got), len(want))
	}
	for _, w := range want {
		where := fmt.Sprintf("difference %v %v - %v ", w["of"], w["a"], w["b"])
		i := slices.IndexFunc(got, func(g map[string]any) bool {
			return sorted(g["of"]) == sorted(w["of"]) && fmt.Sprint(g["a"]) == fmt.Sprint(w["a"]) && fmt.Sprint(g["b"]) == fmt.Sprint(w["b"])
		})
		if i < 0 {
			k.Errorf("%sis not there", where)
			continue
		}
		k.difference(where, got[i], w)
	}
}

func (k *checker) difference(where string, g, w map[string]any) {
	se := w["se"].(float64)
	k.near(where+"estimate", g["estimate"], w["estimate"], k.rel, k.rel*se)
	k.near(where+"se", g["se"], w["se"], k.rel, 0)
	k.near(where+"df", g["df"], w["df"], k.rel, 0)
	k.near(where+"p", g["p"], w["p"], max(10*k.rel, 1e-6), 1e-12)
	for _, f := range []string{"low", "high"} {
		k.near(where+f, g[f], w[f], k.rel, 5*k.rel*se)
		tol := max(1e-6, k.rel)
		if limit, ok := w[f+"_adjusted"]; ok {
			k.near(where+f+"_adjusted", g[f+"_adjusted"], limit, tol, 5*tol*se)
		} else if _, sampled := w["p_adjusted"]; g[f+"_adjusted"] != nil && (!sampled || slices.Contains(k.c.Args, "holm")) {
			// The file has no limits where R could only sample Dunnett's law; elsewhere none means none.
			k.Errorf("%s%s_adjusted is there, want none", where, f)
		}
	}
	if p, ok := w["p_adjusted"]; ok {
		abs := 1e-6 + k.error
		if k.satt {
			abs += 1e-4
		}
		k.near(where+"p_adjusted", g["p_adjusted"], p, k.rel, abs)
	} else if g["p_adjusted"] != nil {
		k.Errorf("%sp_adjusted is there, want none", where)
	}
	for _, f := range []string{"ratio", "ratio_low", "ratio_high"} {
		if v, ok := w[f]; ok {
			k.near(where+f, g[f], v, 10*k.rel, 0)
		}
	}
}

func (k *checker) aliased(got []map[string]any) {
	want := items(k.c.Expect["aliased"])
	if len(got) != len(want) {
		k.Errorf("aliased: %v, want %v", got, want)
		return
	}
	for _, w := range want {
		if g := find(got, "term", w["term"]); g == nil || g["with"] != w["with"] {
			k.Errorf("aliased: %v, want %v", g, w)
		}
	}
}
