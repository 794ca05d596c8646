package lmm_test

import (
	"bufio"
	"encoding/json"
	"math"
	"os"
	"testing"

	"fairplot/internal/num/dense"
	. "fairplot/internal/num/lmm"
)

// published is one line of testdata/cases.jsonl: a published or constructed table with its model matrix, and what two
// independent routes in R 4.2.2 make of it: dense REML with Newton steps and the paper's Kenward-Roger formulas written
// out, and lme4 1.1-31 with lmerTest 3.1-3 and pbkrtest 0.5.2 at the same variances. Each line names the data's source.
type published struct {
	ID, Source    string
	Satterthwaite bool
	Y             []float64
	X             [][]float64
	ColumnTerm    []int `json:"column_term"` // -1: the mean
	Terms         []struct {
		Name  string
		F     *float64
		NumDF float64 `json:"num_df"`
		DenDF float64 `json:"den_df"`
	}
	Contains  [][]int // [t][u]: term u contains term t
	Groupings []struct {
		Name   string
		Levels int
		Class  []int32
	}
	Criterion  float64
	Components []struct {
		Name       string
		Variance   float64
		OnBoundary bool `json:"on_boundary"`
	}
}

func (p published) data() Data {
	d := Data{Y: p.Y, X: dense.New(len(p.X), len(p.X[0]))}
	for i, row := range p.X {
		copy(d.X.Row(i), row)
	}
	for _, g := range p.Groupings {
		d.Groupings = append(d.Groupings, Grouping{Name: g.Name, Class: g.Class, Levels: g.Levels})
	}
	return d
}

// hypothesis is the type II hypothesis: the rows of the triangle of X with the containing terms last.
func (p published) hypothesis(term int) dense.Matrix {
	n := len(p.X)
	var order []int
	from, to := 0, 0
	for pass := range 3 {
		for j, t := range p.ColumnTerm {
			place := 0
			if t == term {
				place = 1
			} else if t >= 0 && p.Contains[term][t] == 1 {
				place = 2
			}
			if place == pass {
				order = append(order, j)
			}
		}
		switch pass {
		case 0:
			from = len(order)
		case 1:
			to = len(order)
		}
	}
	columns := dense.New(len(order), n)
	for k, j := range order {
		for i := range n {
			columns.Set(k, i, p.X[i][j])
		}
	}
	r := dense.Factor(columns, 1e-12).R
	l := dense.New(to-from, len(order))
	for i := from; i < to; i++ {
		for k, j := range order {
			l.Set(i-from, j, r.At(i, k))
		}
	}
	return l
}

func readPublished(t testing.TB) []published {
	f, err := os.Open("testdata/cases.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []published
	s := bufio.NewScanner(f)
	s.Buffer(nil, 1<<20)
	for s.Scan() {
		var p published
		if err := json.Unmarshal(s.Bytes(), &p); err != nil {
			t.Fatal(err)
		}
		out = append(out, p)
	}
	if s.Err() != nil || len(out) < 30 {
		t.Fatalf("read %d cases: %v", len(out), s.Err())
	}
	return out
}

func apart(a, b float64) float64 { return math.Abs(a-b) / max(math.Abs(b), 1e-300) }

// TestPublishedCases holds the engine to 1e-7 in the criterion, 1e-6 relative in variances and Kenward-Roger's
// quantities, 1e-4 in Satterthwaite's; a component on its boundary is exactly 0.
func TestPublishedCases(t *testing.T) {
	for _, p := range readPublished(t) {
		t.Run(p.ID, func(t *testing.T) {
			m, err := New(p.data())
			if err != nil {
				t.Fatal(err)
			}
			fit, err := m.Fit()
			if err != nil {
				t.Fatal(err)
			}
			if !fit.Search.Converged || fit.Search.Gradient > 1e-6 {
				t.Errorf("search: %+v", fit.Search)
			}
			if d := fit.Criterion - p.Criterion; !(math.Abs(d) < 1e-7) {
				t.Errorf("criterion %v, want %v", fit.Criterion, p.Criterion)
			}
			for k, c := range p.Components {
				got := fit.Components[k]
				if got.Name != c.Name || got.OnBoundary != c.OnBoundary || c.OnBoundary && got.Variance != 0 ||
					!c.OnBoundary && !(apart(got.Variance, c.Variance) < 1e-6) {
					t.Errorf("component %+v, want %+v", got, c)
				}
			}
			testTerms(t, p, fit)
		})
	}
}

func testTerms(t *testing.T, p published, fit *Fit) {
	method, tight, wide := KenwardRoger, 1e-6, 1e-6
	if p.Satterthwaite {
		method, tight, wide = Satterthwaite, 1e-4, 5e-3 // with several rows the value depends on the basis of the hypothesis
	}
	inf, err := fit.By(method)
	if err != nil {
		t.Fatal(err)
	}
	for k, term := range p.Terms {
		if term.F == nil {
			continue
		}
		got, err := inf.TestRows(p.hypothesis(k))
		if err != nil {
			t.Fatal(err)
		}
		tolerance := tight
		if term.NumDF > 1 {
			tolerance = wide
		}
		if got.NumDF != term.NumDF || !(apart(got.F, *term.F) < tight) || !(apart(got.DenDF, term.DenDF) < tolerance) {
			t.Errorf("%s: %+v, want F %v on %v and %v", term.Name, got, *term.F, term.NumDF, term.DenDF)
		}
	}
}
