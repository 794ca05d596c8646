package power_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/num/dist"
	"fairplot/internal/num/power"
)

const level = 0.05

// calls are the calculations that testdata/power.csv names.
var calls = map[string]func(a []float64) float64{
	"two groups: power": func(a []float64) float64 { return twoGroups(a[0], a[1]) },
	"two groups: size": func(a []float64) float64 {
		return power.Size(1.5, a[1], func(n float64) float64 { return twoGroups(n, a[0]) })
	},
	"two groups: size one-sided": func(a []float64) float64 {
		return power.Size(1.5, a[1], func(n float64) float64 {
			return power.OneSidedT(2*(n-1), a[0]*math.Sqrt(n/2), level)
		})
	},
	"pairs: power": func(a []float64) float64 { return power.Pairs(int(a[0]), 1).Power(a[1], level) },
	"pairs: size": func(a []float64) float64 {
		return power.Size(2, a[1], func(n float64) float64 { return power.T(n-1, a[0]*math.Sqrt(n), level) })
	},
	"one way: power": func(a []float64) float64 {
		_, e := power.Randomised(int(a[0]), int(a[1]), 1)
		return power.F(e.NumDF, e.DenDF, a[0]*a[1]*a[2]*a[2], level)
	},
	"one way: size": func(a []float64) float64 {
		return power.Size(1.5, a[2], func(n float64) float64 { return power.F(a[0]-1, a[0]*(n-1), a[0]*n*a[1]*a[1], level) })
	},
	"one way: power between": func(a []float64) float64 {
		return power.F(a[0]-1, a[0]*(a[1]-1), (a[0]-1)*a[1]*a[2]/a[3], level)
	},
	"one way: size between": func(a []float64) float64 {
		return power.Size(1.5, a[3], func(n float64) float64 { return power.F(a[0]-1, a[0]*(n-1), (a[0]-1)*n*a[1]/a[2], level) })
	},
	"blocks: power": func(a []float64) float64 {
		_, e := power.Blocks(int(a[0]), int(a[1]), 1)
		return e.Power(power.Extremes(int(a[0]), a[2]), level)
	},
	"blocks: least": func(a []float64) float64 {
		n, ok := power.Least(2, 1000, a[3], func(r int) float64 { return blockPair(int(a[0]), r, a[1], a[2]) })
		if !ok {
			return math.NaN()
		}
		return float64(n)
	},
	"blocks: pair power": func(a []float64) float64 { return blockPair(int(a[0]), int(a[3]), a[1], a[2]) },
	"split plot: split factor": func(a []float64) float64 {
		p, _ := power.SplitPlot{Whole: int(a[0]), Split: int(a[1]), Blocks: int(a[2]), SplitVariance: 1}.SplitFactor()
		return p.Power(a[3], level)
	},
	"split plot: whole factor": func(a []float64) float64 {
		p, _ := power.SplitPlot{Whole: int(a[0]), Split: int(a[1]), Blocks: int(a[2]), SplitVariance: 1, WholeVariance: a[4]}.WholeFactor()
		return p.Power(a[3], level)
	},
}

func twoGroups(n, d float64) float64 { return power.T(2*(n-1), d*math.Sqrt(n/2), level) }

func blockPair(treatments, blocks int, cv, difference float64) float64 {
	p, _ := power.Blocks(treatments, blocks, cv*cv)
	return p.Power(difference, level)
}

func TestPublishedPowersAndSizes(t *testing.T) {
	f, err := os.Open("testdata/power.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		var a []float64
		for _, text := range strings.Fields(r[1]) {
			a = append(a, number(t, text))
		}
		got := calls[r[0]](a)
		if !(math.Abs(got-number(t, r[2])) <= number(t, r[3])) {
			t.Errorf("%s (%s) = %.12g, want %s within %s: %s", r[0], r[1], got, r[2], r[3], r[4])
		}
	}
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestATestIsTheSquareRootOfAnother(t *testing.T) {
	for _, df := range []float64{1, 2, 7.5, 40} {
		for _, delta := range []float64{0, 0.3, 2, 6} {
			if a, b := power.T(df, delta, 0.05), power.F(1, df, delta*delta, 0.05); math.Abs(a-b) > 1e-11 {
				t.Errorf("df %v, delta %v: t %v, F %v", df, delta, a, b)
			}
		}
	}
}

func TestPowerWithoutADifferenceIsTheLevel(t *testing.T) {
	_, e := power.LatinSquares(5, 1, 3)
	if got := e.Power(make([]float64, 5), 0.01); math.Abs(got-0.01) > 1e-12 {
		t.Errorf("F: %v", got)
	}
	if got := power.T(4, 0, 0.1); math.Abs(got-0.1) > 1e-12 {
		t.Errorf("t: %v", got)
	}
}

func TestDegreesOfFreedomAddUp(t *testing.T) {
	// Plots less one, less blocks or rows and columns, less treatments: Cochran & Cox (1957), chapters 4 and 7.
	if p, _ := power.LatinSquares(5, 1, 1); p.DF != 12 {
		t.Errorf("5 x 5 square: %v", p.DF)
	}
	if p, _ := power.LatinSquares(4, 3, 1); p.DF != 48-1-2-3*6-3 {
		t.Errorf("three 4 x 4 squares: %v", p.DF)
	}
	if p, e := power.Blocks(3, 6, 1); p.DF != 10 || e.NumDF != 2 {
		t.Errorf("blocks: %v, %v", p.DF, e.NumDF)
	}
	s := power.SplitPlot{Whole: 3, Split: 4, Blocks: 6, WholeVariance: 0.6, SplitVariance: 1}
	whole, _ := s.WholeFactor()
	split, _ := s.SplitFactor()
	if whole.DF != 10 || split.DF != 45 {
		t.Errorf("split plot: %v, %v", whole.DF, split.DF)
	}
	if w := s.WholeWithin(); !(w.DF > whole.DF && w.DF < whole.DF+split.DF) {
		t.Errorf("mixed error on %v", w.DF)
	}
}

func TestDetectableIsWhatHasThePower(t *testing.T) {
	p, _ := power.Blocks(4, 5, 0.04)
	d := p.Detectable(0.8, 0.05)
	if got := p.Power(d, 0.05); math.Abs(got-0.8) > 1e-10 {
		t.Errorf("power at the detectable difference: %v", got)
	}
	if lambda := power.Noncentrality(3, 12, 0.9, 0.05); math.Abs(power.F(3, 12, lambda, 0.05)-0.9) > 1e-10 {
		t.Errorf("lambda %v", lambda)
	}
}

func TestNoDegreesOfFreedomShowNothing(t *testing.T) {
	if p := power.Pairs(1, 1); p.Power(5, 0.05) != 0 || !math.IsInf(p.Detectable(0.8, 0.05), 1) {
		t.Error("one pair shows something")
	}
}

func TestLeastGivesUp(t *testing.T) {
	if n, ok := power.Least(2, 50, 0.9, func(int) float64 { return 0.5 }); ok {
		t.Errorf("found %d", n)
	}
	for _, want := range []int{2, 3, 17, 50} {
		if n, ok := power.Least(2, 50, 0.5, func(n int) float64 { return float64(n-want) + 0.5 }); !ok || n != want {
			t.Errorf("%d, want %d", n, want)
		}
	}
}

// The mean over the variance against plain sums over 20,000 slices of equal probability, whose own error is about 1e-7.
func TestAveragedOverTheVariance(t *testing.T) {
	at := func(v float64) float64 { p, _ := power.Blocks(4, 6, v); return p.Power(0.3, 0.05) }
	if got := power.Averaged(0.04, math.Inf(1), at); got != at(0.04) {
		t.Errorf("known: %v, want %v", got, at(0.04))
	}
	const slices = 20000
	for _, df := range []float64{3, 12, 80} {
		want := 0.0
		for i := range slices {
			want += at(0.04*df/dist.ChiSquaredQuantile((float64(i)+0.5)/slices, df)) / slices
		}
		if got := power.Averaged(0.04, df, at); math.Abs(got-want) > 1e-6 {
			t.Errorf("df %v: %v, want %v", df, got, want)
		}
	}
}
