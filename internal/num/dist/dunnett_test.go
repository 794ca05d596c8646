package dist_test

import (
	"math"
	"testing"

	"fairplot/internal/num/dense"
)

func square(t testing.TB, text string) dense.Matrix {
	values := numbers(t, text)
	n := int(math.Sqrt(float64(len(values))))
	return dense.Matrix{Rows: n, Cols: n, Data: values}
}

// The correlations are those of Kenward-Roger's adjusted covariance, computed densely in R 4.2.2 from the formulas of the paper.
func TestFamiliesOfUnbalancedTrials(t *testing.T) {
	for _, r := range read(t, "families.csv") {
		d := dunnett(square(t, r[1]))
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

func TestMultinormalTails(t *testing.T) {
	for _, r := range read(t, "multinormal.csv") {
		d := dunnett(square(t, r[1]))
		got, want := d.Upper(number(t, r[2]), math.Inf(1)), number(t, r[3])
		if !(math.Abs(got-want) <= number(t, r[4])+4*d.Error) {
			t.Errorf("%s, w %s (%s): %.10g ± %.1g, want %.10g ± %s (%s)", r[0], r[2], d.Method(), got, d.Error, want, r[4], r[5])
		}
		t.Logf("%s %s: error %.1e, stated %.1e, yardstick %s", r[0], d.Method(), got-want, d.Error, r[4])
	}
}
