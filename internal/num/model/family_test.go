package model

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"fairplot/internal/num/dense"
)

// fixed is an estimator with known coefficients and covariance.
type fixed struct {
	coef []float64
	cov  dense.Matrix
	df   float64
}

func (f fixed) Coef() []float64      { return f.coef }
func (f fixed) Cov() dense.Matrix    { return f.cov }
func (f fixed) DF([]float64) float64 { return f.df }
func (f fixed) Test(dense.Matrix) (stat, numDF, denDF float64, err error) {
	return 0, 0, 0, nil
}

// three is a one-way layout of three levels, four plots each of residual variance 1: the covariance of 0/1 coded
// coefficients is known by hand.
func three(t *testing.T) (Cells, fixed) {
	t.Helper()
	d := design(t, grid(1, 4, 3), Request{Response: "kg", Treatments: "a"})
	cells, err := d.Cells([]string{"a"})
	if err != nil {
		t.Fatal(err)
	}
	cov := dense.Matrix{Rows: 3, Cols: 3, Data: []float64{0.25, -0.25, -0.25, -0.25, 0.5, 0.25, -0.25, 0.25, 0.5}}
	return cells, fixed{coef: []float64{2, 1, 3}, cov: cov, df: 9}
}

func TestMeansAndDifferencesByHand(t *testing.T) {
	cells, e := three(t)
	means, doubts := cells.Means(e, Scale{Confidence: 0.95})
	if len(doubts) != 0 || len(means) != 3 {
		t.Fatalf("%d means, doubts %v", len(means), doubts)
	}
	// 2.262157 is the 97.5 % point of t on 9 df (Fisher & Yates, table III).
	for i, want := range []float64{2, 3, 5} {
		m := means[i]
		if math.Abs(m.Mean-want) > 1e-14 || math.Abs(*m.SE-0.5) > 1e-14 || math.Abs(*m.High-want-0.5*2.262157) > 1e-6 || m.Back != nil {
			t.Errorf("mean %+v, want %g with se 0.5", m, want)
		}
	}
	differences, _, err := cells.Differences(e, Comparison{Scale: Scale{Confidence: 0.95}, Adjust: Tukey})
	if err != nil || len(differences) != 3 {
		t.Fatalf("%d differences, %v", len(differences), err)
	}
	d := differences[1] // a1 - a3
	// 3.948 is the 5 % point of the studentised range of 3 on 9 df (Harter 1960, Annals of Mathematical Statistics 31:1122).
	half := 3.948 / math.Sqrt2 * math.Sqrt(0.5)
	if d.A.String() != "a1" || d.B.String() != "a3" || d.Estimate != -3 || math.Abs(*d.SE-math.Sqrt(0.5)) > 1e-14 || math.Abs(*d.HighAdjusted+3-half) > 5e-4 {
		t.Errorf("difference %+v", d)
	}
	against, _, err := cells.Differences(e, Comparison{Scale: Scale{Confidence: 0.95}, Adjust: Dunnett, Against: "a1"})
	if err != nil || len(against) != 2 {
		t.Fatalf("%d differences, %v", len(against), err)
	}
	// 2.61 is Dunnett's two-sided 5 % point for two comparisons of equal size on 9 df (Dunnett 1964, Biometrics 20:482).
	if w := (*against[0].HighAdjusted - against[0].Estimate) / *against[0].SE; math.Abs(w-2.61) > 0.005 || against[0].Estimate != 1 {
		t.Errorf("half width %g standard errors, want 2.61; %+v", w, against[0])
	}
	if _, _, err := cells.Differences(e, Comparison{Scale: Scale{Confidence: 0.95}, Against: "b1"}); err == nil {
		t.Error("a level that is not there was taken")
	}
}

func TestWithoutCovarianceThereAreEstimatesAlone(t *testing.T) {
	cells, e := three(t)
	e.cov = dense.Matrix{}
	differences, _, err := cells.Differences(e, Comparison{Scale: Scale{Confidence: 0.95, Log: true}, Adjust: Tukey})
	if err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(differences[0])
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"of":"a","a":"a1","b":"a2","estimate":-1,"ratio":0.36787944117144233}`; string(raw) != want {
		t.Errorf("got %s, want %s", raw, want)
	}
}

// Holm (1979) by hand: 0.01 · 4, then 0.02 · 3, then 0.021 · 2 held up by the one before, then 0.5.
func TestHolm(t *testing.T) {
	p := []float64{0.5, 0.01, 0.021, 0.02}
	want := []float64{0.5, 0.04, 0.06, 0.06}
	out := make([]Difference, 4)
	for i := range p {
		out[i].P = &p[i]
	}
	holm(out)
	for i, d := range out {
		if math.Abs(*d.PAdjusted-want[i]) > 1e-15 {
			t.Errorf("p %g adjusted to %g, want %g", p[i], *d.PAdjusted, want[i])
		}
	}
	all := []float64{0.9, 0.8}
	out = []Difference{{P: &all[0]}, {P: &all[1]}}
	holm(out)
	if *out[0].PAdjusted != 1 || *out[1].PAdjusted != 1 {
		t.Errorf("%g and %g, want 1 and 1", *out[0].PAdjusted, *out[1].PAdjusted)
	}
}

func TestSidesAndLevelsAsJSON(t *testing.T) {
	m := Mean{Of: "dig:feed", Levels: Settings{{"feed", `"x"`}, {"dig", "no dig"}}, Mean: 1}
	raw, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"of":"dig:feed","levels":{"feed":"\"x\"","dig":"no dig"},"mean":1}`; string(raw) != want {
		t.Errorf("got %s, want %s", raw, want)
	}
	raw, err = json.Marshal(Difference{A: Side{{"a", "1"}, {"b", "2"}}, B: Side{{"a", "1"}, {"b", "3"}}})
	if err != nil || !strings.Contains(string(raw), `"a":{"a":"1","b":"2"},"b":{"a":"1","b":"3"}`) {
		t.Errorf("%s, %v", raw, err)
	}
}

// b2 was never grown with a1: three cells have means, so three pairs exist, and the family is one of three.
func TestAFamilyIsTheCellsThatExist(t *testing.T) {
	d := design(t, "kg a b\n1 a1 b1\n2 a1 b1\n3 a2 b1\n4 a2 b1\n5 a2 b2\n7 a2 b2", Request{Response: "kg", Treatments: "a*b"})
	cells, err := d.Cells([]string{"a", "b"})
	if err != nil {
		t.Fatal(err)
	}
	pairs, lost, err := cells.pairs("")
	if err != nil {
		t.Fatal(err)
	}
	if len(pairs) != 3 || len(lost) != 3 {
		t.Errorf("%d pairs, without %q; want 3 and the three with a1:b2", len(pairs), lost)
	}
	if compared(pairs) != 3 {
		t.Errorf("a family of %d, want 3", compared(pairs))
	}
}
