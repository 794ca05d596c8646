package dist_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/dist"
)

// calls are the functions that testdata names, by their arguments in the order of the package's own.
var calls = map[string]func(a []float64) float64{
	"NormalUpper":               func(a []float64) float64 { return dist.NormalUpper(a[0]) },
	"TUpper":                    func(a []float64) float64 { return dist.TUpper(a[0], a[1]) },
	"TDensity":                  func(a []float64) float64 { return dist.TDensity(a[0], a[1]) },
	"TQuantile":                 func(a []float64) float64 { return dist.TQuantile(a[0], a[1]) },
	"FUpper":                    func(a []float64) float64 { return dist.FUpper(a[0], a[1], a[2]) },
	"FLower":                    func(a []float64) float64 { return dist.FLower(a[0], a[1], a[2]) },
	"FQuantile":                 func(a []float64) float64 { return dist.FQuantile(a[0], a[1], a[2]) },
	"ChiSquaredUpper":           func(a []float64) float64 { return dist.ChiSquaredUpper(a[0], a[1]) },
	"ChiSquaredLower":           func(a []float64) float64 { return dist.ChiSquaredLower(a[0], a[1]) },
	"BetaUpper":                 func(a []float64) float64 { return dist.BetaUpper(a[0], a[1], a[2]) },
	"BetaLower":                 func(a []float64) float64 { return dist.BetaLower(a[0], a[1], a[2]) },
	"BinomialUpper":             func(a []float64) float64 { return dist.BinomialUpper(int(a[0]), int(a[1]), a[2]) },
	"BinomialLower":             func(a []float64) float64 { return dist.BinomialLower(int(a[0]), int(a[1]), a[2]) },
	"BinomialProbability":       func(a []float64) float64 { return dist.BinomialProbability(int(a[0]), int(a[1]), a[2]) },
	"NoncentralTUpper":          func(a []float64) float64 { return dist.NoncentralTUpper(a[0], a[1], a[2]) },
	"NoncentralTLower":          func(a []float64) float64 { return dist.NoncentralTLower(a[0], a[1], a[2]) },
	"NoncentralFUpper":          func(a []float64) float64 { return dist.NoncentralFUpper(a[0], a[1], a[2], a[3]) },
	"NoncentralFLower":          func(a []float64) float64 { return dist.NoncentralFLower(a[0], a[1], a[2], a[3]) },
	"NoncentralChiSquaredUpper": func(a []float64) float64 { return dist.NoncentralChiSquaredUpper(a[0], a[1], a[2]) },
	"NoncentralChiSquaredLower": func(a []float64) float64 { return dist.NoncentralChiSquaredLower(a[0], a[1], a[2]) },
	"NormalUpperQuantile":       func(a []float64) float64 { return dist.NormalUpperQuantile(a[0]) },
	"TUpperQuantile":            func(a []float64) float64 { return dist.TUpperQuantile(a[0], a[1]) },
	"ChiSquaredUpperQuantile":   func(a []float64) float64 { return dist.ChiSquaredUpperQuantile(a[0], a[1]) },
	"ChiSquaredQuantile":        func(a []float64) float64 { return dist.ChiSquaredQuantile(a[0], a[1]) },
	"FUpperQuantile":            func(a []float64) float64 { return dist.FUpperQuantile(a[0], a[1], a[2]) },
	"BetaQuantile":              func(a []float64) float64 { return dist.BetaQuantile(a[0], a[1], a[2]) },
	"RangeQuantile":             func(a []float64) float64 { return dist.NewRange(int(a[1])).Quantile(a[0], a[2]) },
	"RangeLower":                func(a []float64) float64 { return 1 - dist.NewRange(int(a[1])).Upper(a[0], a[2]) },
	"RangeUpper":                func(a []float64) float64 { return dist.NewRange(int(a[1])).Upper(a[0], a[2]) },
	"DunnettQuantile":           func(a []float64) float64 { return dunnett(equal(int(a[1]), a[3])).Quantile(a[0], a[2]) },
	"DunnettProduct":            func(a []float64) float64 { return dunnett(product(a[2:])).Upper(a[0], a[1]) },
	"DunnettFour":               func(a []float64) float64 { return dunnett(four).Upper(a[0], a[1]) },
}

// four has no product form.
var four = dense.Matrix{Rows: 4, Cols: 4, Data: []float64{1, .5, .4, .3, .5, 1, .6, .2, .4, .6, 1, .45, .3, .2, .45, 1}}

func equal(m int, rho float64) dense.Matrix {
	r := make([]float64, m)
	for i := range r {
		r[i] = rho
	}
	return product(r)
}

// product is the matrix of correlations sqrt(r_i r_j).
func product(r []float64) dense.Matrix {
	out := dense.New(len(r), len(r))
	for i := range r {
		for j := range r {
			out.Set(i, j, math.Sqrt(r[i]*r[j]))
		}
		out.Set(i, i, 1)
	}
	return out
}

func dunnett(corr dense.Matrix) *dist.Dunnett {
	d, err := dist.NewDunnett(corr, 1)
	if err != nil {
		panic(err)
	}
	return d
}

// read returns the rows of a file of testdata below its header.
func read(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func numbers(t testing.TB, text string) []float64 {
	t.Helper()
	var out []float64
	for _, f := range strings.Fields(text) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

func number(t testing.TB, text string) float64 { t.Helper(); return numbers(t, text)[0] }

func relative(got, want float64) float64 {
	if got == want {
		return 0
	}
	return math.Abs(got-want) / math.Abs(want)
}

// withinRelative checks every row of a file of calls, arguments, values and sources, and logs the worst error of each call.
func withinRelative(t *testing.T, name string, limit float64) {
	t.Helper()
	worst, where := map[string]float64{}, map[string]string{}
	for _, r := range read(t, name) {
		e := relative(calls[r[0]](numbers(t, r[1])), number(t, r[2]))
		if !(e <= limit) {
			t.Errorf("%s(%s): relative error %.1e, want %s (%s)", r[0], r[1], e, r[2], r[3])
		}
		if !(e <= worst[r[0]]) {
			worst[r[0]], where[r[0]] = e, r[1]
		}
	}
	for call, e := range worst {
		t.Logf("%-26s %.1e at %s", call, e, where[call])
	}
}

func TestCentralLawsAgreeWithMultiplePrecision(t *testing.T) { withinRelative(t, "central.csv", 1e-12) }

func TestNoncentralLawsAgreeWithMultiplePrecision(t *testing.T) {
	withinRelative(t, "noncentral.csv", 1e-11)
}

// R forms an F quantile as (1/b - 1) d2/d1 from a beta quantile b, which loses d2/(d1 f) units of the last place where b is near 1.
func TestQuantilesAgreeWithR(t *testing.T) {
	for _, r := range read(t, "quantiles.csv") {
		a, want, limit := numbers(t, r[1]), number(t, r[2]), 1e-13
		if r[0] == "FUpperQuantile" {
			limit += 4e-16 * a[2] / a[1] / want
		}
		if e := relative(calls[r[0]](a), want); !(e <= limit) {
			t.Errorf("%s(%s): relative error %.1e, want %s (%s)", r[0], r[1], e, r[2], r[3])
		}
	}
}

func TestPrintedCriticalValues(t *testing.T) {
	worst := map[string]float64{}
	for _, r := range read(t, "critical.csv") {
		got, want, tolerance := calls[r[0]](numbers(t, r[1])), number(t, r[2]), number(t, r[3])
		if !(math.Abs(got-want) <= tolerance) {
			t.Errorf("%s(%s) = %.13g, want %s within %s (%s)", r[0], r[1], got, r[2], r[3], r[4])
		}
		if tolerance <= 1e-8 {
			worst[r[0]] = max(worst[r[0]], math.Abs(got-want))
		}
	}
	for call, e := range worst {
		t.Logf("%-26s %.1e", call, e)
	}
}
