package dist_test

import (
	"flag"
	"math"
	"testing"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/dist"
)

func square(t testing.TB, text string) dense.Matrix {
	values := numbers(t, text)
	n := int(math.Sqrt(float64(len(values))))
	return dense.Matrix{Rows: n, Cols: n, Data: values}
}

// The correlations are those of Kenward-Roger's adjusted covariance, computed densely in R 4.2.2 from the formulas of the paper.
func TestFamiliesOfUnbalancedTrials(t *testing.T) {
	laws := map[string]*dist.Dunnett{}
	for _, r := range read(t, "families.csv") {
		if laws[r[0]] == nil {
			laws[r[0]] = dunnett(square(t, r[1]))
		}
		d := laws[r[0]]
		got := d.Upper(number(t, r[2]), number(t, r[3]))
		if !(math.Abs(got-number(t, r[4])) <= number(t, r[5])) {
			t.Errorf("%s, t %s (%s): %.12g, want %s (%s)", r[0], r[2], d.Method(), got, r[4], r[6])
		}
	}
}

// Seven comparisons of the crossed trial: 0.0177643928154 stands for halved steps and agrees with a lattice rule of another make; the printed
// 0.0177632 carries an error of 9.6e-6.
func TestTwoFactorsGiveFullPrecision(t *testing.T) {
	r := read(t, "families.csv")[0]
	d := dunnett(square(t, r[1]))
	if got := d.Upper(number(t, r[2]), number(t, r[3])); math.Abs(got-0.0177643928154) > 1e-11 || d.Method() != "quadrature over two factors" {
		t.Errorf("%s: %.14g", d.Method(), got)
	}
}

var long = flag.Bool("long", false, "also run what takes many seconds")

// Tables on wide panels, for laws that are dear, are good to 1e-9; 4 standard errors bound what was sampled.
func TestMultinormalTails(t *testing.T) {
	laws := map[string]*dist.Dunnett{}
	for _, r := range read(t, "multinormal.csv") {
		if r[0] == "nine" && !*long {
			continue
		}
		if laws[r[1]] == nil {
			laws[r[1]] = dunnett(square(t, r[1]))
		}
		d := laws[r[1]]
		got, want := d.Upper(number(t, r[2]), math.Inf(1)), number(t, r[3])
		if !(math.Abs(got-want) <= number(t, r[4])+1e-9+4*d.Error) {
			t.Errorf("%s, w %s (%s): %.10g ± %.1g, want %.10g ± %s (%s)", r[0], r[2], d.Method(), got, d.Error, want, r[4], r[5])
		}
		t.Logf("%s %s: error %.1e, stated %.1e, yardstick %s", r[0], d.Method(), got-want, d.Error, r[4])
	}
}

func TestDunnettGoesBack(t *testing.T) {
	for _, d := range []*dist.Dunnett{dunnett(equal(1, 1)), dunnett(equal(6, 0.5)), dunnett(four)} {
		for _, df := range []float64{2, 9.3, 1e4, math.Inf(1)} {
			for _, p := range []float64{1e-9, 0.01, 0.05, 0.6} {
				if got := d.Upper(d.UpperQuantile(p, df), df); relative(got, p) > 1e-10 {
					t.Errorf("%s, df %v: %v, want %v", d.Method(), df, got, p)
				}
			}
		}
	}
}

// Differences that are the same, or the negative of one another, change no maximum; neither does their order.
func TestTwinsCountOnce(t *testing.T) {
	twins := dense.Matrix{Rows: 3, Cols: 3, Data: []float64{1, 0.3, -1, 0.3, 1, -0.3, -1, -0.3, 1}}
	if a, b := dunnett(twins).Upper(2, 11), dunnett(equal(2, 0.3)).Upper(2, 11); a != b {
		t.Errorf("%v, want %v", a, b)
	}
	order := []int{2, 0, 3, 1}
	mixed := dense.New(4, 4)
	for i, a := range order {
		for j, b := range order {
			mixed.Set(i, j, four.At(a, b))
		}
	}
	if a, b := dunnett(mixed).Upper(2.1, 8), dunnett(four).Upper(2.1, 8); math.Abs(a-b) > 1e-9 {
		t.Errorf("%v, want %v", a, b)
	}
}

// Independent differences: 1 - (1 - p)^m with the normal tail.
func TestIndependentDifferences(t *testing.T) {
	p := 2 * dist.NormalUpper(2.2)
	if got, want := dunnett(equal(5, 0)).Upper(2.2, math.Inf(1)), 1-math.Pow(1-p, 5); relative(got, want) > 1e-10 {
		t.Errorf("%v, want %v", got, want)
	}
}

func TestBadCorrelationsAreNamed(t *testing.T) {
	for what, m := range map[string]dense.Matrix{
		"empty":        dense.New(0, 0),
		"not square":   dense.New(2, 3),
		"no diagonal":  dense.New(2, 2),
		"asymmetric":   {Rows: 2, Cols: 2, Data: []float64{1, 0.3, 0.2, 1}},
		"beyond 1":     {Rows: 2, Cols: 2, Data: []float64{1, 1.3, 1.3, 1}},
		"NaN":          {Rows: 2, Cols: 2, Data: []float64{1, math.NaN(), math.NaN(), 1}},
		"contradicted": {Rows: 3, Cols: 3, Data: []float64{1, 0.9, -0.9, 0.9, 1, 0.9, -0.9, 0.9, 1}},
	} {
		if _, err := dist.NewDunnett(m, 1); err == nil {
			t.Errorf("%s: no error", what)
		}
	}
}

func BenchmarkDunnettCold(b *testing.B) {
	for name, m := range map[string]dense.Matrix{"product 3": equal(3, 0.5), "product 9": equal(9, 0.5), "four": four} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				dunnett(m).Quantile(0.95, 20)
			}
		})
	}
}

func BenchmarkDunnettTwoFactors(b *testing.B) {
	m := square(b, read(b, "families.csv")[0][1])
	for b.Loop() {
		dunnett(m).Upper(3.15, 38.3)
	}
}

func BenchmarkDunnettWarm(b *testing.B) {
	d := dunnett(equal(3, 0.5))
	d.Upper(2.5, 20)
	for b.Loop() {
		d.Upper(2.5, 20)
	}
}
