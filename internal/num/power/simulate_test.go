package power_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/lmm"
	"fairplot/internal/num/power"
)

// splitPlot is blocks of whole plots split among levels, coded 0/1 against the first level; the hypothesis is that the split factor does nothing.
func splitPlot(s power.SplitPlot, effect float64) power.Simulation {
	n := s.Whole * s.Split * s.Blocks
	p := s.Whole + s.Split - 1
	out := power.Simulation{X: dense.New(n, p), Means: make([]float64, n), Level: 0.05, Method: lmm.KenwardRoger}
	block, whole := make([]int32, n), make([]int32, n)
	for i := range n {
		b, a, l := i/(s.Whole*s.Split), i/s.Split%s.Whole, i%s.Split
		block[i], whole[i] = int32(b), int32(b*s.Whole+a)
		out.X.Set(i, 0, 1)
		if a > 0 {
			out.X.Set(i, a, 1)
		}
		if l > 0 {
			out.X.Set(i, s.Whole-1+l, 1)
		}
		if l == s.Split-1 {
			out.Means[i] = effect
		}
	}
	out.Groupings = []lmm.Grouping{{Name: "block", Class: block, Levels: s.Blocks}, {Name: "block:whole", Class: whole, Levels: s.Blocks * s.Whole}}
	out.Variances = []float64{0.3, s.WholeVariance, s.SplitVariance}
	out.Hypothesis = dense.New(s.Split-1, p)
	for i := range s.Split - 1 {
		out.Hypothesis.Set(i, s.Whole+i, 1)
	}
	return out
}

var seventyTwo = power.SplitPlot{Whole: 3, Split: 4, Blocks: 6, WholeVariance: 0.6, SplitVariance: 1}

// In a balanced split plot the test of the split factor is exact, but for the degrees of freedom: the model without the interaction has
// (Split-1)(Whole-1) more below than the factor's own stratum. So simulation must come to the noncentral F within its error.
func TestSimulationComesToTheFormula(t *testing.T) {
	const effect = 1.2
	_, e := seventyTwo.SplitFactor()
	e.DenDF += float64((seventyTwo.Split - 1) * (seventyTwo.Whole - 1))
	want := e.Power([]float64{0, 0, 0, effect}, 0.05)
	got, err := splitPlot(seventyTwo, effect).Run(2000, rand.New(rand.NewPCG(5, 6)))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Power-want) > 4*got.Error || got.Unfitted > 0 {
		t.Errorf("%+v, want %v", got, want)
	}
}

func TestSimulationRepeats(t *testing.T) {
	s := splitPlot(seventyTwo, 1)
	a, _ := s.Run(120, rand.New(rand.NewPCG(1, 2)))
	b, _ := s.Run(120, rand.New(rand.NewPCG(1, 2)))
	if a != b || a.Runs != 120 {
		t.Errorf("%+v and %+v", a, b)
	}
}

func TestSimulationSaysWhatDoesNotAgree(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for what, spoil := range map[string]func(s *power.Simulation){
		"means":      func(s *power.Simulation) { s.Means = s.Means[1:] },
		"variances":  func(s *power.Simulation) { s.Variances = s.Variances[1:] },
		"hypothesis": func(s *power.Simulation) { s.Hypothesis = dense.New(1, 2) },
		"negative":   func(s *power.Simulation) { s.Variances = []float64{1, -1, 1} },
	} {
		s := splitPlot(seventyTwo, 1)
		spoil(&s)
		if _, err := s.Run(10, random); err == nil {
			t.Errorf("%s: no error", what)
		}
	}
	if _, err := splitPlot(seventyTwo, 1).Run(0, random); err == nil {
		t.Error("no runs: no error")
	}
}

// BenchmarkSimulated is a point of a power curve: 10,000 responses of a split plot of 72 rows, fitted and tested.
func BenchmarkSimulated(b *testing.B) {
	s := splitPlot(seventyTwo, 1)
	for b.Loop() {
		if _, err := s.Run(10_000, rand.New(rand.NewPCG(5, 6))); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkF(b *testing.B) {
	for b.Loop() {
		power.F(3, 15, 9, 0.05)
	}
}

func BenchmarkAveraged(b *testing.B) {
	for b.Loop() {
		power.Averaged(0.04, 15, func(v float64) float64 { p, _ := power.Blocks(4, 6, v); return p.Power(0.3, 0.05) })
	}
}
