package linear_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/linear"
	"fairplot/internal/num/model"
)

var _ model.Estimator = (*linear.Fit)(nil)

func close(a, b, relative float64) bool {
	return math.Abs(a-b) <= relative*max(math.Abs(a), math.Abs(b))
}

func line(x ...float64) dense.Matrix {
	m := dense.New(len(x), 2)
	for i, v := range x {
		m.Set(i, 0, 1)
		m.Set(i, 1, v)
	}
	return m
}

// TestNorris is NIST's certified straight line (Statistical Reference Datasets, Norris; observed data of low difficulty).
func TestNorris(t *testing.T) {
	x := line(0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0,
		228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5)
	y := []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7,
		228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
	f, err := linear.LeastSquares(linear.Data{Y: y, X: x})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"intercept", f.Coef()[0], -0.262323073774029}, {"slope", f.Coef()[1], 1.00211681802045},
		{"its error", math.Sqrt(f.Cov().At(0, 0)), 0.232818234301152}, {"slope's error", math.Sqrt(f.Cov().At(1, 1)), 0.429796848199937e-3},
		{"residual sd", math.Sqrt(f.Variance), 0.884796396144373}, {"residual SS", f.Left, 26.6173985294224}, {"df", f.DF(nil), 34},
	} {
		if !close(c.got, c.want, 1e-12) {
			t.Errorf("%s: %.15g, want %.15g", c.name, c.got, c.want)
		}
	}
	stat, num, den, err := f.Test(dense.Matrix{Rows: 1, Cols: 2, Data: []float64{0, 1}})
	if err != nil || num != 1 || den != 34 || !close(stat, 5436385.54079785, 1e-11) {
		t.Errorf("F %v on %v and %v (%v), certified 5436385.54079785", stat, num, den, err)
	}
}

// TestWampler1 is NIST's certified polynomial of degree 5 with all coefficients 1 and no residual: y = 1 + x + … + x⁵.
func TestWampler1(t *testing.T) {
	x, y := dense.New(21, 6), make([]float64, 21)
	for i := range y {
		for j := range 6 {
			v := math.Pow(float64(i), float64(j))
			x.Set(i, j, v)
			y[i] += v
		}
	}
	f, err := linear.LeastSquares(linear.Data{Y: y, X: x})
	if err != nil {
		t.Fatal(err)
	}
	if !errors.Is(f.Doubt, linear.ErrPerfectFit) {
		t.Errorf("doubt %v, want a perfect fit", f.Doubt)
	}
	for j, b := range f.Coef() {
		if !close(b, 1, 1e-9) {
			t.Errorf("coefficient %d: %.12g, want 1", j, b)
		}
	}
}

// TestWeightsAreCounts: a row of weight 3 is three rows of weight 1, except for the degrees of freedom.
func TestWeightsAreCounts(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var once, often linear.Data
	var ones, rows []float64
	for range 15 {
		x, y, w := r.NormFloat64(), r.NormFloat64(), 1+r.IntN(3)
		once.Y, ones = append(once.Y, y), append(ones, x)
		once.Weights = append(once.Weights, float64(w))
		for range w {
			often.Y, rows = append(often.Y, y), append(rows, x)
		}
	}
	once.X, often.X = line(ones...), line(rows...)
	a, errA := linear.LeastSquares(once)
	b, errB := linear.LeastSquares(often)
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	for j := range 2 {
		if !close(a.Coef()[j], b.Coef()[j], 1e-12) || !close(a.Cov().At(j, j)/a.Variance, b.Cov().At(j, j)/b.Variance, 1e-12) {
			t.Errorf("coefficient %d: %v and %v", j, a.Coef()[j], b.Coef()[j])
		}
	}
}

// TestWildScales rescales columns by 1e-9 and 1e9 and adds one that is their sum: coefficients scale, F stays.
func TestWildScales(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	d := linear.Data{Y: make([]float64, 30), X: dense.New(30, 4)}
	for i := range d.Y {
		a, b := r.NormFloat64(), r.NormFloat64()
		d.Y[i] = a - b + r.NormFloat64()
		copy(d.X.Row(i), []float64{1, a, b, a + b})
	}
	plain, err := linear.LeastSquares(d)
	if err != nil {
		t.Fatal(err)
	}
	wild := linear.Data{Y: d.Y, X: dense.New(30, 4)}
	scale := []float64{1, 1e-9, 1e9, 1e-4}
	for i := range d.Y {
		for j, s := range scale {
			wild.X.Set(i, j, s*d.X.At(i, j))
		}
	}
	f, err := linear.LeastSquares(wild)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Dropped) != 1 || f.Dropped[0] != 3 {
		t.Fatalf("dropped %v, want the last column", f.Dropped)
	}
	l := dense.Matrix{Rows: 2, Cols: 3, Data: []float64{0, 1, 0, 0, 0, 1}}
	f1, _, _, err1 := plain.Test(l)
	f2, _, _, err2 := f.Test(l)
	if err1 != nil || err2 != nil || !close(f1, f2, 1e-11) {
		t.Errorf("F %v and %v (%v, %v)", f1, f2, err1, err2)
	}
	for j := range 3 {
		if !close(plain.Coef()[j], f.Coef()[j]*scale[j], 1e-11) {
			t.Errorf("coefficient %d: %v, rescaled %v", j, plain.Coef()[j], f.Coef()[j]*scale[j])
		}
	}
}

func TestNothingLeftOver(t *testing.T) {
	constant, err := linear.LeastSquares(linear.Data{Y: []float64{5.3, 5.3, 5.3, 5.3}, X: line(1, 2, 3, 5)})
	if err != nil || !errors.Is(constant.Doubt, linear.ErrPerfectFit) || !close(constant.Coef()[0], 5.3, 1e-14) {
		t.Errorf("constant response: %v, %+v", err, constant)
	}
	full, err := linear.LeastSquares(linear.Data{Y: []float64{1, 2}, X: line(1, 2)})
	if err != nil || !errors.Is(full.Doubt, linear.ErrNoResidual) {
		t.Errorf("two rows, two effects: %v, %+v", err, full)
	}
	if _, _, _, err := full.Test(dense.Matrix{Rows: 1, Cols: 2, Data: []float64{0, 1}}); !errors.Is(err, linear.ErrNoResidual) {
		t.Errorf("a test without a residual: %v", err)
	}
	f, _ := linear.LeastSquares(linear.Data{Y: []float64{1, 4, 2, 8}, X: line(1, 2, 3, 5)})
	if _, _, _, err := f.Test(dense.Matrix{Rows: 2, Cols: 2, Data: []float64{0, 1, 0, 2}}); !errors.Is(err, linear.ErrDependent) {
		t.Errorf("hypotheses that depend on each other: %v", err)
	}
}

func TestBadData(t *testing.T) {
	for name, d := range map[string]linear.Data{
		"nothing":  {},
		"lengths":  {Y: []float64{1}, X: line(1, 2)},
		"infinite": {Y: []float64{1, math.Inf(1), 2}, X: line(1, 2, 3)},
		"NaN in X": {Y: []float64{1, 2, 3}, X: line(1, math.NaN(), 3)},
		"weight":   {Y: []float64{1, 2, 3}, X: line(1, 2, 3), Weights: []float64{1, 0, 1}},
		"zeros":    {Y: []float64{1, 2, 3}, X: dense.New(3, 1)},
	} {
		if _, err := linear.LeastSquares(d); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
