package analysis

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/num/model"
)

// testdata/nist.csv holds the certified values of the NIST Statistical Reference Datasets for linear regression and
// analysis of variance. The data of Norris, SiRstv and AtmWtAg stand below from memory, those of Wampler and SmLs are
// built by their published rule; the certified sums of squares, F and coefficients would not come out of wrong ones.
// NoInt1 and NoInt2 have no mean, which the notation here cannot say; the tables of Filip and Pontius are not at hand.
func certified(t *testing.T) map[string]map[string]float64 {
	t.Helper()
	file, err := os.Open("testdata/nist.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]map[string]float64{}
	for _, r := range records[1:] {
		v, err := strconv.ParseFloat(r[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		if out[r[0]] == nil {
			out[r[0]] = map[string]float64{}
		}
		out[r[0]][strings.TrimPrefix(r[1], "certified.")] = v
	}
	return out
}

const norris = `0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3 449.1 448.6 778.9 777.0
559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0 448.9 447.5 10.8 11.6 557.7 556.0 228.3 228.1 998.0 995.8
888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8 339.3 339.1 888.0 887.2 998.5 999.0 778.9 779.0 10.2 11.1 117.6 118.3
228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5`

const siRstv = `196.3052 196.1240 196.1890 196.2569 196.3403 196.3042 196.3825 196.1669 196.3257 196.0422 196.1303 196.2005
196.2889 196.0343 196.1811 196.2795 196.1748 196.1494 196.1485 195.9885 196.2119 196.1051 196.1850 196.0052 196.2090`

const atmWtAg = `107.8681568 107.8681465 107.8681572 107.8681785 107.8681446 107.8681903 107.8681526 107.8681494 107.8681616
107.8681587 107.8681519 107.8681486 107.8681419 107.8681569 107.8681508 107.8681672 107.8681385 107.8681518 107.8681662
107.8681424 107.8681360 107.8681333 107.8681610 107.8681477 107.8681079 107.8681344 107.8681513 107.8681197 107.8681604
107.8681385 107.8681642 107.8681365 107.8681151 107.8681082 107.8681517 107.8681448 107.8681198 107.8681482 107.8681334
107.8681609 107.8681101 107.8681512 107.8681469 107.8681360 107.8681254 107.8681261 107.8681450 107.8681368`

func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	var out []float64
	for _, s := range strings.Fields(text) {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// smLs is the rule of Simon & Lesage (1989, ACM Transactions on Mathematical Software 15:367-373): nine treatments of
// means 1.4, 1.3, 1.5, 1.3, ... above an offset, the first value of each at the mean and the others 0.1 below and above it
// by turns. The text of the numbers is built, not added up, so that they are read as NIST prints them.
func smLs(offset string, replicates int) (y []float64, group []string) {
	for g := range 9 {
		tenths := []int{3, 5}[(g+1)%2]
		if g == 0 {
			tenths = 4
		}
		for r := range replicates {
			d := tenths
			if r > 0 {
				d += []int{1, -1}[r%2]
			}
			v, _ := strconv.ParseFloat(fmt.Sprintf("%s.%d", offset, d), 64)
			y, group = append(y, v), append(group, fmt.Sprint("g", g+1))
		}
	}
	return y, group
}

func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

func TestCertifiedVariance(t *testing.T) {
	values := certified(t)
	for _, c := range []struct {
		name   string
		y      []float64
		groups int
		offset string
		times  int
		least  float64 // digits of F
	}{
		{name: "A_SiRstv", y: numbers(t, siRstv), groups: 5, least: 12},
		// Six digits are common to all values: 107.868 is held to 1.4e-14, which is 1e-9 of the spread of 1.5e-5.
		{name: "A_AtmWtAg", y: numbers(t, atmWtAg), groups: 2, least: 9.5},
		{name: "A_SmLs01", offset: "1", times: 21, least: 13},
		{name: "A_SmLs02", offset: "1", times: 201, least: 13},
		{name: "A_SmLs03", offset: "1", times: 2001, least: 12},
		// 1000000.4 is held to 1e-10, a thousand-millionth of the differences.
		{name: "A_SmLs04", offset: "1000000", times: 21, least: 9.5},
		{name: "A_SmLs05", offset: "1000000", times: 201, least: 9.5},
		{name: "A_SmLs06", offset: "1000000", times: 2001, least: 9.5},
		// 1000000000000.4 is held to 1.2e-4, a thousandth of the differences: more digits are not in the numbers.
		{name: "A_SmLs07", offset: "1000000000000", times: 21, least: 4},
		{name: "A_SmLs08", offset: "1000000000000", times: 201, least: 4},
		{name: "A_SmLs09", offset: "1000000000000", times: 2001, least: 4},
	} {
		y, group := c.y, []string(nil)
		if c.offset != "" {
			y, group = smLs(c.offset, c.times)
		} else {
			for i := range y {
				group = append(group, fmt.Sprint("g", i*c.groups/len(y)))
			}
		}
		table, err := model.Of(model.Numbers("y", y), model.Text("group", group))
		if err != nil {
			t.Fatal(err)
		}
		r, err := Run(table, Spec{Response: "y", Treatments: "group"})
		if err != nil {
			t.Fatal(err)
		}
		want := values[c.name]
		if r.Rows != int(want["n"]) || *r.Terms[0].DenDF != want["within.df"] || r.Terms[0].NumDF != want["between.df"] {
			t.Errorf("%s: %d rows, %g and %g df", c.name, r.Rows, r.Terms[0].NumDF, *r.Terms[0].DenDF)
		}
		f, ms := digits(*r.Terms[0].F, want["F"]), digits(r.Components[0].Variance, want["within.MS"])
		t.Logf("%s: F to %.1f digits, residual to %.1f", c.name, f, ms)
		if f < c.least || ms < c.least {
			t.Errorf("%s: F to %.1f digits, residual to %.1f, want %.1f", c.name, f, ms, c.least)
		}
	}
}

// wampler builds x = 0..20 and its powers. Delta is the published disturbance of Wampler3 (times 100 and 10,000 in 4 and 5).
func wampler(kind int) []model.Column {
	delta := []float64{759, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 1838, -2048, 2048, -2048, 1838, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 759}
	step, times := 1.0, []float64{0, 0, 1, 100, 10000}[kind-1]
	if kind == 2 {
		step = 0.1
	}
	columns := make([][]float64, 6)
	for j := range columns {
		columns[j] = make([]float64, 21)
	}
	for i := range 21 {
		x, b := float64(i), 1.0
		sum := 1.0
		power := 1.0
		for j := 1; j <= 5; j++ {
			power *= x
			b *= step
			columns[j][i] = power
			sum += b * power
		}
		columns[0][i] = sum + times*delta[i]
	}
	if kind == 2 {
		for i := range 21 { // read as printed, five decimals
			columns[0][i], _ = strconv.ParseFloat(strconv.FormatFloat(columns[0][i], 'f', 5, 64), 64)
		}
	}
	var out []model.Column
	for j, c := range columns {
		out = append(out, model.Numbers([]string{"y", "x1", "x2", "x3", "x4", "x5"}[j], c))
	}
	return out
}

func TestCertifiedRegression(t *testing.T) {
	values := certified(t)
	xy := numbers(t, norris)
	var x, y []float64
	for i := 0; i < len(xy); i += 2 {
		y, x = append(y, xy[i]), append(x, xy[i+1])
	}
	norrisTable, err := model.Of(model.Numbers("y", y), model.Numbers("x", x))
	if err != nil {
		t.Fatal(err)
	}
	polynomial := func(kind int) model.Table {
		table, err := model.Of(wampler(kind)...)
		if err != nil {
			t.Fatal(err)
		}
		return table
	}
	for _, c := range []struct {
		name            string
		table           model.Table
		response, terms string
		least           float64
	}{
		{"R_Norris", norrisTable, "y", "x", 12},
		{"R_Longley", longley(t), "y", "x1+x2+x3+x4+x5+x6", 11},
		{"R_Wampler1", polynomial(1), "y", "x1+x2+x3+x4+x5", 9},
		{"R_Wampler2", polynomial(2), "y", "x1+x2+x3+x4+x5", 9},
		{"R_Wampler3", polynomial(3), "y", "x1+x2+x3+x4+x5", 9},
		// The coefficients are 1 in all five while the residual grows a hundredfold from one to the next, and with it the
		// rounding of what is projected: two digits each, as with R's lm (7.5 and 5.5 digits by the same file).
		{"R_Wampler4", polynomial(4), "y", "x1+x2+x3+x4+x5", 8},
		{"R_Wampler5", polynomial(5), "y", "x1+x2+x3+x4+x5", 6},
	} {
		worst := regression(t, c.table, Spec{Response: c.response, Treatments: c.terms}, values[c.name])
		t.Logf("%s: %.1f digits", c.name, worst)
		if worst < c.least {
			t.Errorf("%s: %.1f digits, want %.1f", c.name, worst, c.least)
		}
	}
}

// longley brings the file's columns to the units of NIST, in which all are whole numbers but the first.
func longley(t *testing.T) model.Table {
	t.Helper()
	file, err := os.Open("testdata/data/longley.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	scale := map[string]float64{"GNP": 1000, "Unemployed": 10, "Armed.Forces": 10, "Population": 1000, "Employed": 1000, "Year": 1}
	name := map[string]string{"GNP.deflator": "x1", "GNP": "x2", "Unemployed": "x3", "Armed.Forces": "x4", "Population": "x5", "Year": "x6", "Employed": "y"}
	var columns []model.Column
	for j, h := range records[0] {
		var values []float64
		for _, r := range records[1:] {
			v, err := strconv.ParseFloat(r[j], 64)
			if err != nil {
				t.Fatal(err)
			}
			if s := scale[h]; s > 0 {
				v = math.Round(v * s)
			}
			values = append(values, v)
		}
		if name[h] != "" {
			columns = append(columns, model.Numbers(name[h], values))
		}
	}
	table, err := model.Of(columns...)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// regression returns the fewest digits in which slopes, their standard errors and the residual agree. Covariates are
// centred inside, which changes the intercept alone; it is left to the other coefficients to speak for it.
func regression(t *testing.T, table model.Table, s Spec, want map[string]float64) float64 {
	t.Helper()
	s, err := s.whole()
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan(table, s)
	if err != nil {
		t.Fatal(err)
	}
	fit, err := p.fit()
	if err != nil {
		t.Fatal(err)
	}
	worst := 16.0
	coef := fit.Coef()
	for j := 1; j < len(coef); j++ {
		worst = min(worst, digits(coef[j], want[fmt.Sprintf("B%d", j)]))
	}
	if want["resid.SS"] == 0 {
		if !fit.exact {
			t.Error("a perfect fit is not recognised")
		}
		return worst
	}
	cov := fit.Cov()
	for j := 1; j < len(coef); j++ {
		worst = min(worst, digits(math.Sqrt(cov.At(j, j)), want[fmt.Sprintf("se.B%d", j)]))
	}
	return min(worst, digits(fit.components[0].Variance, want["resid.MS"]))
}
