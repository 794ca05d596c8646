package dist_test

import (
	"math"
	"testing"

	"fairplot/internal/num/dist"
)

func TestRangeOfTwoIsStudentsT(t *testing.T) {
	r := dist.NewRange(2)
	for _, df := range []float64{1, 3.4, 20, 1e5} {
		for _, q := range []float64{0.1, 1, 3, 9, 40} {
			if got, want := r.Upper(q, df), 2*dist.TUpper(q/math.Sqrt2, df); relative(got, want) > 1e-14 {
				t.Errorf("q %v, df %v: %v, want %v", q, df, got, want)
			}
		}
	}
}

func BenchmarkRangeUpperWarm(b *testing.B) {
	r := dist.NewRange(4)
	r.Upper(3.4, 20)
	for b.Loop() {
		r.Upper(3.4, 20)
	}
}

func BenchmarkRangeUpperCold(b *testing.B) {
	for b.Loop() {
		dist.NewRange(4).Upper(3.4, 20)
	}
}

func BenchmarkRangeQuantile(b *testing.B) {
	r := dist.NewRange(4)
	for b.Loop() {
		r.Quantile(0.95, 20)
	}
}
