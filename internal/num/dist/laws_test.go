package dist_test

import (
	"math"
	"testing"

	"fairplot/internal/num/dist"
)

var (
	chances = []float64{1e-300, 1e-100, 1e-20, 1e-9, 0.001, 0.025, 0.2, 0.49, 0.5, 0.7, 0.95, 0.999}
	degrees = []float64{0.5, 1, 2, 3.7, 10, 64, 1000, 1e6}
)

// back checks that the tail at a quantile is the probability it was asked for. The bound grows with how strongly a tail answers to its argument's last digit.
func back(t *testing.T, what string, p, x, got, slope float64) {
	t.Helper()
	if math.IsNaN(x) || math.Abs(x) > 1e300 || math.Abs(x) < 1e-300 && x != 0 {
		return // beyond what a number can hold
	}
	if !(relative(got, p) <= 1e-12+4e-16*slope) {
		t.Errorf("%s: p %v, x %v: back to %v", what, p, x, got)
	}
}

func TestQuantilesGoBack(t *testing.T) {
	for _, p := range chances {
		steep := -2 * math.Log(p) // of a normal tail, by x/x
		back(t, "normal", p, dist.NormalUpperQuantile(p), dist.NormalUpper(dist.NormalUpperQuantile(p)), steep)
		for _, df := range degrees {
			x := dist.TUpperQuantile(p, df)
			back(t, "t", p, x, dist.TUpper(x, df), steep+df)
			x = dist.TQuantile(p, df)
			back(t, "t below", p, x, dist.TLower(x, df), steep+df)
			x = dist.ChiSquaredUpperQuantile(p, df)
			back(t, "chi-squared", p, x, dist.ChiSquaredUpper(x, df), steep+df)
			x = dist.ChiSquaredQuantile(p, df)
			back(t, "chi-squared below", p, x, dist.ChiSquaredLower(x, df), steep+df)
			for _, d2 := range degrees {
				x = dist.FUpperQuantile(p, df, d2)
				back(t, "F", p, x, dist.FUpper(x, df, d2), steep+df+d2)
				x = dist.FQuantile(p, df, d2)
				back(t, "F below", p, x, dist.FLower(x, df, d2), steep+df+d2)
			}
		}
	}
}

func TestBetaAndNoncentralQuantilesGoBack(t *testing.T) {
	for _, p := range []float64{1e-9, 0.01, 0.3, 0.5, 0.8, 0.999} {
		for _, a := range []float64{0.5, 1, 4, 90} {
			for _, b := range []float64{0.7, 3, 40} {
				back(t, "beta", p, 1, dist.BetaLower(dist.BetaQuantile(p, a, b), a, b), 100)
				x := dist.BetaUpperQuantile(p, a, b)
				back(t, "beta above", p, x, dist.BetaUpper(x, a, b), 100/(1-x))
			}
		}
		for _, lambda := range []float64{0, 0.4, 9, 70} {
			back(t, "noncentral t", p, 1, dist.NoncentralTLower(dist.NoncentralTQuantile(p, 6, lambda), 6, lambda), 1000)
			back(t, "noncentral F", p, 1, dist.NoncentralFLower(dist.NoncentralFQuantile(p, 3, 11, lambda), 3, 11, lambda), 1000)
			back(t, "noncentral chi-squared", p, 1, dist.NoncentralChiSquaredLower(dist.NoncentralChiSquaredQuantile(p, 4, lambda), 4, lambda), 1000)
		}
	}
}

func TestLawsThatAreOne(t *testing.T) {
	for _, x := range []float64{1e-3, 0.4, 1, 2.3, 9, 60} {
		for _, df := range degrees {
			near(t, "t² is F", dist.FUpper(x*x, 1, df), 2*dist.TUpper(x, df), 1e-13)
			near(t, "F upside down", dist.FUpper(x, 5, df), dist.FLower(1/x, df, 5), 1e-12)
			near(t, "t is symmetric", dist.TUpper(x, df), dist.TLower(-x, df), 0)
			near(t, "sum of tails", dist.FUpper(x, df, 7)+dist.FLower(x, df, 7), 1, 1e-14)
			near(t, "noncentral t² is F", dist.NoncentralFUpper(x*x, 1, df, 1.44), dist.NoncentralTUpper(x, df, 1.2)+dist.NoncentralTLower(-x, df, 1.2), 2e-12)
			near(t, "noncentral t in the mirror", dist.NoncentralTUpper(x, df, -2), dist.NoncentralTLower(-x, df, 2), 0)
		}
		near(t, "chi² of 1", dist.ChiSquaredUpper(x*x, 1), 2*dist.NormalUpper(x), 2e-13)
		near(t, "F with known variance", dist.FUpper(x, 4, math.Inf(1)), dist.ChiSquaredUpper(4*x, 4), 0)
		near(t, "noncentral chi² of 1", dist.NoncentralChiSquaredUpper(x*x, 1, 4), dist.NormalUpper(x-2)+dist.NormalLower(-x-2), 1e-13)
	}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(relative(got, want) <= within || math.Abs(want) < 1e-300) { // below that numbers have fewer digits
		t.Errorf("%s: %v and %v", what, got, want)
	}
}

func TestClosedForms(t *testing.T) {
	for _, x := range []float64{0.01, 0.7, 3, 40, 1e4} {
		near(t, "t of 1 is Cauchy", dist.TUpper(x, 1), math.Atan2(1, x)/math.Pi, 1e-14)
		near(t, "t of 2", dist.TUpper(x, 2), 1/(x*x+2+x*math.Sqrt(x*x+2)), 1e-14)
		near(t, "chi² of 2", dist.ChiSquaredUpper(x/100, 2), math.Exp(-x/200), 1e-14)
		near(t, "F of 2 and 2", dist.FUpper(x, 2, 2), 1/(1+x), 1e-14)
		near(t, "F of 2", dist.FUpper(x, 2, 9), math.Pow(1+2*x/9, -4.5), 1e-13)
	}
	near(t, "quartile of Cauchy", dist.TQuantile(0.75, 1), 1, 1e-15)
	p := 0.5 + 1e-9*math.Sqrt2
	near(t, "near the middle", dist.TQuantile(p, 1), math.Tan(math.Pi*(p-0.5)), 1e-14)
}

func TestBinomialAddsUp(t *testing.T) {
	for _, p := range []float64{0, 0.03, 0.5, 0.97, 1} {
		sum := 0.0
		for k := range 31 {
			sum += dist.BinomialProbability(k, 30, p)
			if math.Abs(dist.BinomialLower(k, 30, p)-sum) > 1e-13 {
				t.Errorf("p %v, k %d: %v, want %v", p, k, dist.BinomialLower(k, 30, p), sum)
			}
		}
		for _, q := range []float64{0, 0.1, 0.5, 0.99} {
			k := dist.BinomialQuantile(q, 30, p)
			if dist.BinomialLower(k, 30, p) < q || k > 0 && dist.BinomialLower(k-1, 30, p) >= q {
				t.Errorf("quantile %v of p %v: %d", q, p, k)
			}
		}
	}
}

func TestTailsFall(t *testing.T) {
	last := [4]float64{1, 1, 1, 1}
	for x := 0.001; x < 300; x *= 1.01 {
		now := [4]float64{dist.FUpper(x, 3, 17.5), dist.ChiSquaredUpper(x, 9.1), dist.NoncentralTUpper(x, 8, 1), dist.NoncentralFUpper(x, 2, 8, 5)}
		for i := range now {
			if !(now[i] < last[i]) && now[i] > 0 && now[i] < 1-1e-12 {
				t.Errorf("law %d at %v: %v after %v", i, x, now[i], last[i])
			}
		}
		last = now
	}
}

func TestNonsenseIsNaN(t *testing.T) {
	nan := math.NaN()
	for i, v := range []float64{
		dist.TUpper(1, 0), dist.TUpper(nan, 3), dist.TQuantile(1.2, 3), dist.TQuantile(0.3, nan), dist.FUpper(1, -1, 3), dist.FQuantile(nan, 1, 2),
		dist.ChiSquaredUpper(1, nan), dist.ChiSquaredQuantile(-0.1, 2), dist.BetaLower(0.5, 0, 1), dist.NormalQuantile(2), dist.BinomialLower(1, 3, 1.5),
		dist.NoncentralFUpper(1, 2, 3, -1), dist.NoncentralTUpper(1, 3, math.Inf(1)), dist.NewRange(3).Upper(1, 0), dist.NewRange(3).Quantile(0.95, nan),
	} {
		if !math.IsNaN(v) {
			t.Errorf("%d: %v", i, v)
		}
	}
}

func TestEdgesOfTheSupport(t *testing.T) {
	for i, pair := range [][2]float64{
		{dist.TUpper(math.Inf(1), 3), 0}, {dist.TUpper(math.Inf(-1), 3), 1}, {dist.FUpper(-1, 2, 3), 1}, {dist.FUpper(0, 2, 3), 1}, {dist.FUpper(math.Inf(1), 2, 3), 0},
		{dist.FQuantile(0, 2, 3), 0}, {dist.FUpperQuantile(0, 2, 3), math.Inf(1)}, {dist.BetaLower(1, 2, 3), 1}, {dist.BetaUpper(0, 2, 3), 1},
		{dist.TQuantile(0, 3), math.Inf(-1)}, {dist.NewRange(1).Upper(1, 5), 0}, {dist.NewRange(3).Upper(0, 5), 1}, {dist.TQuantile(0.5, 3), 0},
	} {
		if pair[0] != pair[1] {
			t.Errorf("%d: %v, want %v", i, pair[0], pair[1])
		}
	}
}

func BenchmarkTUpper(b *testing.B) {
	for b.Loop() {
		dist.TUpper(2.3, 17.4)
	}
}

func BenchmarkTQuantile(b *testing.B) {
	for b.Loop() {
		dist.TQuantile(0.975, 17.4)
	}
}

func BenchmarkFUpper(b *testing.B) {
	for b.Loop() {
		dist.FUpper(3.2, 4, 55.1)
	}
}

func BenchmarkNoncentralTUpper(b *testing.B) {
	for b.Loop() {
		dist.NoncentralTUpper(2.1, 17.4, 3)
	}
}

func BenchmarkNoncentralFUpper(b *testing.B) {
	for b.Loop() {
		dist.NoncentralFUpper(3.2, 4, 55.1, 10)
	}
}
