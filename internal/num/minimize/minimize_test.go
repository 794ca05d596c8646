package minimize

import (
	"math"
	"testing"

	"fairplot/internal/num/dense"
)

// strata is minus twice the restricted log-likelihood of balanced groups of m in blocks, σ² profiled out by hand:
// f(g) = a log(1+mg) + (a+e) log(A/(1+mg) + E), with a and e degrees of freedom and sums of squares A and E.
// Its minimum is at (A/a)/(E/e) = 1 + mg, or at 0 where that is below 1.
type strata struct {
	m, a, e, ssA, ssE float64
	g                 []float64
	values            int
}

func (s *strata) Value(theta []float64) float64 {
	s.values++
	s.g = s.g[:0]
	total := 0.0
	for _, t := range theta {
		g := t * t
		s.g = append(s.g, g)
		u := 1 + s.m*g
		total += s.a*math.Log(u) + (s.a+s.e)*math.Log(s.ssA/u+s.ssE)
	}
	return total
}

func (s *strata) Slopes(gradient []float64, curvature dense.Matrix) {
	clear(curvature.Data)
	for k, g := range s.g {
		u, n := 1+s.m*g, s.a+s.e
		q := s.ssA/u + s.ssE
		d1 := -s.ssA / (u * u)
		gradient[k] = s.m * (s.a/u + n*d1/q)
		curvature.Set(k, k, s.m*s.m*(-s.a/(u*u)+n*(2*s.ssA/(u*u*u)/q-d1*d1/(q*q))))
	}
}

// TestStrata starts far and near, at 0 too, and expects the closed form; a component that has no variance ends at
// exactly 0 and one that starts there and has some is released.
func TestStrata(t *testing.T) {
	for _, ratio := range []float64{0.2, 0.9, 1.1, 3, 400, 1e6} {
		for _, from := range []float64{0, 1e-3, 0.3, 1, 30, 1e3} {
			s := &strata{m: 4, a: 5, e: 15, ssA: 5 * ratio, ssE: 15}
			theta := []float64{from}
			res := NewSearch(1).Run(s, theta, 1e-16)
			want := max(0, (ratio-1)/4)
			if !res.Converged || math.Abs(theta[0]*theta[0]-want) > 1e-7*want {
				t.Errorf("ratio %v from %v: g = %v, want %v (%+v)", ratio, from, theta[0]*theta[0], want, res)
			}
			if want == 0 && theta[0] != 0 {
				t.Errorf("ratio %v from %v: θ = %v is not exactly 0", ratio, from, theta[0])
			}
			if res.Evaluations != s.values {
				t.Errorf("%d evaluations reported, %d made", res.Evaluations, s.values)
			}
		}
	}
}

// TestSeveral runs two components at once, one of them at its boundary.
func TestSeveral(t *testing.T) {
	s := &strata{m: 3, a: 4, e: 20, ssA: 40, ssE: 20}
	theta := []float64{2, 0}
	res := NewSearch(2).Run(s, theta, 1e-16)
	for k, x := range theta {
		if math.Abs(x*x-3) > 1e-7 {
			t.Errorf("component %d: g = %v, want 3 (%+v)", k, x*x, res)
		}
	}
	if res.Gradient > 1e-6 {
		t.Errorf("gradient %v", res.Gradient)
	}
}

// endlessly falls without end in its variance.
type endlessly struct{ g float64 }

func (e *endlessly) Value(theta []float64) float64 {
	e.g = theta[0] * theta[0]
	return -math.Log(1 + e.g)
}
func (e *endlessly) Slopes(gradient []float64, curvature dense.Matrix) {
	gradient[0] = -1 / (1 + e.g)
	curvature.Set(0, 0, 1/((1+e.g)*(1+e.g)))
}

func TestNoMinimumIsSaid(t *testing.T) {
	theta := []float64{1}
	if res := NewSearch(1).Run(&endlessly{}, theta, 1e-12); res.Converged && res.Gradient > 1e-6 {
		t.Errorf("converged at θ = %v: %+v", theta[0], res)
	}
	nowhere := NewSearch(1).Run(nothing{}, []float64{1}, 1e-12)
	if nowhere.Converged || !math.IsInf(nowhere.Value, 1) {
		t.Errorf("a function that exists nowhere: %+v", nowhere)
	}
}

type nothing struct{}

func (nothing) Value([]float64) float64        { return math.Inf(1) }
func (nothing) Slopes([]float64, dense.Matrix) {}
