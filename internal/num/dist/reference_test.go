package dist_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/num/dist"
)

// calls are the functions that testdata names.
var calls = map[string]func(a []float64) float64{
	"NormalUpper":         func(a []float64) float64 { return dist.NormalUpper(a[0]) },
	"TUpper":              func(a []float64) float64 { return dist.TUpper(a[0], a[1]) },
	"TDensity":            func(a []float64) float64 { return dist.TDensity(a[0], a[1]) },
	"FUpper":              func(a []float64) float64 { return dist.FUpper(a[0], a[1], a[2]) },
	"FLower":              func(a []float64) float64 { return dist.FLower(a[0], a[1], a[2]) },
	"ChiSquaredUpper":     func(a []float64) float64 { return dist.ChiSquaredUpper(a[0], a[1]) },
	"ChiSquaredLower":     func(a []float64) float64 { return dist.ChiSquaredLower(a[0], a[1]) },
	"BetaUpper":           func(a []float64) float64 { return dist.BetaUpper(a[0], a[1], a[2]) },
	"BetaLower":           func(a []float64) float64 { return dist.BetaLower(a[0], a[1], a[2]) },
	"BinomialUpper":       func(a []float64) float64 { return dist.BinomialUpper(int(a[0]), int(a[1]), a[2]) },
	"BinomialLower":       func(a []float64) float64 { return dist.BinomialLower(int(a[0]), int(a[1]), a[2]) },
	"BinomialProbability": func(a []float64) float64 { return dist.BinomialProbability(int(a[0]), int(a[1]), a[2]) },
}

type row struct {
	call      string
	arguments []float64
	value     float64
	source    string
}

func read(t testing.TB, name string) []row {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for _, r := range records[1:] {
		out := row{call: r[0], value: number(t, r[2]), source: r[3]}
		for _, a := range strings.Fields(r[1]) {
			out.arguments = append(out.arguments, number(t, a))
		}
		rows = append(rows, out)
	}
	return rows
}

func number(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func relative(got, want float64) float64 {
	if got == want {
		return 0
	}
	return math.Abs(got-want) / math.Abs(want)
}

// worst is the largest relative error of each call, and the arguments where it was met.
func worst(rows []row) (map[string]float64, map[string]row) {
	errors, at := map[string]float64{}, map[string]row{}
	for _, r := range rows {
		e := relative(calls[r.call](r.arguments), r.value)
		if !(e <= errors[r.call]) {
			errors[r.call], at[r.call] = e, r
		}
	}
	return errors, at
}

func TestCentralLawsAgreeWithMultiplePrecision(t *testing.T) {
	errors, at := worst(read(t, "central.csv"))
	for call, e := range errors {
		t.Logf("%-20s %.1e at %v", call, e, at[call].arguments)
		if !(e < 1e-12) {
			t.Errorf("%s%v: relative error %.1e, want %v (%s)", call, at[call].arguments, e, at[call].value, at[call].source)
		}
	}
}
