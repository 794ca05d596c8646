package dist_test

import (
	"math"
	"sync"
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

// plainRange is 1 - P(range/s <= q) on two degrees of freedom by Simpson's rule twice, straight from the definition: s has the density 2 s exp(-s²),
// and P(range <= w) = k INT phi(z) (Phi(z) - Phi(z-w))^(k-1) dz.
func plainRange(q float64, k int) float64 {
	return simpson(0, 6, 1500, func(s float64) float64 {
		w := q * s
		beyond := 1 - simpson(-8, 8+min(w, 8), 500, func(z float64) float64 {
			return float64(k) * dist.NormalDensity(z) * math.Pow(dist.NormalLower(z)-dist.NormalLower(z-w), float64(k-1))
		})
		return 2 * s * math.Exp(-s*s) * beyond
	})
}

func simpson(a, b float64, n int, f func(x float64) float64) float64 {
	h := (b - a) / float64(2*n)
	sum := f(a) + f(b)
	for i := 1; i < 2*n; i++ {
		sum += float64(2+2*(i%2)) * f(a+float64(i)*h)
	}
	return sum * h / 3
}

// Where printed quantiles far out disagreed, the definition itself decides.
func TestRangeFarOutByItsDefinition(t *testing.T) {
	for _, k := range []int{6, 10} {
		q := dist.NewRange(k).UpperQuantile(0.01, 2)
		if got := plainRange(q, k); math.Abs(got-0.01) > 1e-10 {
			t.Errorf("k %d, q %v: %.13g, want 0.01", k, q, got)
		}
	}
}

func TestRangeIsMonotone(t *testing.T) {
	few, many := dist.NewRange(4), dist.NewRange(5)
	last := 1.0
	for q := 0.05; q < 30; q += 0.05 {
		p := few.Upper(q, 7)
		if p > last || p > many.Upper(q, 7) {
			t.Fatalf("q %v: %v after %v, five values %v", q, p, last, many.Upper(q, 7))
		}
		last = p
	}
}

func TestRangeQuantileGoesBack(t *testing.T) {
	for _, k := range []int{2, 3, 8, 60} {
		r := dist.NewRange(k)
		for _, df := range []float64{1, 2.5, 14, 1000, 1e6, math.Inf(1)} {
			for _, p := range []float64{1e-12, 1e-4, 0.05, 0.5, 0.97} {
				if got := r.Upper(r.UpperQuantile(p, df), df); relative(got, p) > 1e-11 {
					t.Errorf("k %d, df %v: %v, want %v", k, df, got, p)
				}
			}
		}
	}
}

// Whoever comes first builds the tables; nobody may see them half built.
func TestRangeMayBeShared(t *testing.T) {
	want := dist.NewRange(7).Upper(3.3, 11)
	r := dist.NewRange(7)
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			if got := r.Upper(3.3, 11); got != want {
				t.Errorf("%v, want %v", got, want)
			}
		})
	}
	wait.Wait()
}

func BenchmarkRangeUpperWarm(b *testing.B) {
	r := dist.NewRange(4)
	r.Upper(3.4, 20)
	for b.Loop() {
		r.Upper(3.4, 20)
	}
}

func BenchmarkRangeUpperCold(b *testing.B) {
	for _, k := range []int{3, 4, 12, 50} {
		b.Run(string(rune('0'+k/10))+string(rune('0'+k%10)), func(b *testing.B) {
			for b.Loop() {
				dist.NewRange(k).Upper(3.4, 20)
			}
		})
	}
}

func BenchmarkRangeQuantile(b *testing.B) {
	r := dist.NewRange(4)
	for b.Loop() {
		r.Quantile(0.95, 20)
	}
}
