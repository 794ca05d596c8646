package analysis

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/model"
)

// design draws a small table with what can go wrong in one: few rows, empty cells, confounded columns, constant columns,
// responses on wild scales or with hardly a remainder.
func drawn(t *testing.T, r *rand.Rand) model.Table {
	t.Helper()
	n := 2 + r.IntN(28)
	scale := []float64{1, 1, 1, 1e-9, 1e9, 1e-60, 1e60}[r.IntN(7)]
	far := []float64{0, 10, 1e9}[r.IntN(3)]
	spread := []float64{1, 1, 1, 1e-6, 0}[r.IntN(5)]
	y, x, z := make([]float64, n), make([]float64, n), make([]float64, n)
	labels := make([][]string, 4)
	levels := []int{1 + r.IntN(4), 1 + r.IntN(5), 1 + r.IntN(6), 1 + r.IntN(n)}
	for i := range n {
		y[i] = far
		for k, m := range levels {
			l := r.IntN(m)
			if r.IntN(3) == 0 {
				l = i % m
			}
			if k == 3 && r.IntN(2) == 0 {
				l = i / 2 % m
			}
			labels[k] = append(labels[k], fmt.Sprint(string("abcd"[k]), l))
			y[i] += math.Sin(float64(7*k + 3*l))
		}
		x[i] = float64(r.IntN(5))
		z[i] = 1e9*x[i] + float64(r.IntN(2))
		y[i] = (y[i] + spread*r.NormFloat64()) * scale
		if r.IntN(12) == 0 {
			y[i] = math.NaN()
		}
	}
	table, err := model.Of(model.Numbers("y", y), model.Numbers("x", x), model.Numbers("z", z),
		model.Text("a", labels[0]), model.Text("b", labels[1]), model.Text("c", labels[2]), model.Text("d", labels[3]))
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// Whatever the table, the answer is a refusal in a sentence or numbers that can be: errors above zero, p between 0 and 1
// and not smaller when adjusted, limits around the estimate.
func TestDrawnTables(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	treatments := []string{"a", "a*b", "a+b+x", "a*x", "b/a", "x+z", "a*b*c", "a:b", "1", "z*a+x"}
	blocks := []string{"", "", "d", "c/d", "c*d", "d/c", "a/d", "c+d+b:c", "x/z"}
	adjust := []model.Adjust{"", model.None, model.Holm}
	answered, mixed := 0, 0
	for i := range 3000 {
		s := Spec{
			Response: "y", Treatments: treatments[r.IntN(len(treatments))], Blocks: blocks[r.IntN(len(blocks))],
			Adjust: adjust[min(r.IntN(12), 2)%3], DF: []DF{KenwardRoger, Satterthwaite}[r.IntN(2)],
		}
		if i%20 == 0 {
			s.Adjust = model.Tukey
		} else if s.Adjust == "" {
			s.Adjust = model.Holm
		}
		got, err := Run(drawn(t, r), s)
		if err != nil {
			var e *model.Error
			if !errors.As(err, &e) || e.Text == "" {
				t.Fatalf("%+v: %v", s, err)
			}
			continue
		}
		answered++
		if got.Method == REML {
			mixed++
		}
		sound(t, got)
		possible(t, i, s, got)
	}
	if answered < 1500 || mixed < 500 {
		t.Errorf("%d answered, %d of them mixed", answered, mixed)
	}
}

func possible(t *testing.T, i int, s Spec, r Result) {
	t.Helper()
	fail := func(what string, v any) { t.Errorf("table %d, %+v: %s %+v", i, s, what, v) }
	share := func(p *float64) bool { return p == nil || *p >= 0 && *p <= 1 }
	for _, c := range r.Components {
		if c.Variance < 0 || c.OnBoundary != (c.Variance == 0) {
			fail("component", c)
		}
	}
	for _, x := range r.Terms {
		if !share(x.P) || x.NumDF < 1 || x.DenDF != nil && *x.DenDF <= 0 || x.F != nil && *x.F < 0 {
			fail("term", x)
		}
	}
	for _, m := range r.Means {
		if m.SE != nil && (*m.SE < 0 || *m.DF <= 0 || m.Low != nil && (*m.Low > m.Mean || *m.High < m.Mean)) {
			fail("mean", m)
		}
	}
	for _, d := range r.Differences {
		if !share(d.P) || !share(d.PAdjusted) || d.SE != nil && *d.SE < 0 || d.Low != nil && (*d.Low > d.Estimate || *d.High < d.Estimate) {
			fail("difference", d)
		}
		if d.PAdjusted != nil && *d.PAdjusted < *d.P*(1-1e-9)-1e-12 {
			fail("adjusted p", d)
		}
		if d.LowAdjusted != nil && *d.LowAdjusted > *d.Low+1e-9**d.SE {
			fail("adjusted limits", d)
		}
	}
}
