// Package minimize searches for minima. Its one search so far is that of a likelihood in variance ratios, whose minimum
// may lie at exactly 0 in some of them.
package minimize

import (
	"math"

	"fairplot/internal/num/dense"
)

// Objective is a smooth function of variances g = θ² ≥ 0.
type Objective interface {
	// Value returns the function at θ, +Inf or NaN where it does not exist.
	Value(theta []float64) float64
	// Slopes writes gradient and curvature by g (not by θ) at the θ of the last Value. The curvature may be the Hessian or
	// an approximation to it.
	Slopes(gradient []float64, curvature dense.Matrix)
}

// Result is the story of a search.
type Result struct {
	Value       float64
	Evaluations int
	Converged   bool
	Gradient    float64 // largest component by θ, and by g at a zero that wants to leave it
}

const (
	vanishing = 1e-3 // a θ that falls to this share of itself in one step is put on 0
	settled   = 1e-3 // gradient by θ below which zeros are looked at again
	endless   = 1e7  // a θ beyond which there is no minimum
	rounding  = 1e-7 // a gain that may be out of reach of rounding, where steps no longer help
	steps     = 100
)

// Search holds the working space of searches in r variances; one goroutine at a time.
type Search struct {
	gradient, step, next []float64
	curvature, factor    dense.Matrix
	free                 []int
}

// NewSearch returns a search in r variances.
func NewSearch(r int) *Search {
	return &Search{
		gradient: make([]float64, r), step: make([]float64, r), next: make([]float64, r),
		curvature: dense.New(r, r), factor: dense.New(r, r), free: make([]int, 0, r),
	}
}

// Run goes from theta downhill by Newton steps in θ and leaves the minimum there. It stops when the square of the Newton
// step, measured by the curvature, is below tolerance: what is left to gain, in units of the function.
func (s *Search) Run(f Objective, theta []float64, tolerance float64) Result {
	res := Result{Value: f.Value(theta), Evaluations: 1}
	if !finite(res.Value) {
		return res
	}
	f.Slopes(s.gradient, s.curvature)
	for step := 0; ; step++ {
		left := s.newton(theta)
		res.Gradient = s.projected(theta)
		if left < tolerance || res.Gradient < 1e-11 {
			res.Converged = true
			return res
		}
		if step == steps {
			res.Converged = left < rounding
			return res
		}
		value, ok := s.descend(f, theta, &res)
		if !ok {
			f.Value(theta)
			f.Slopes(s.gradient, s.curvature)
			res.Converged = left < rounding
			return res
		}
		res.Value = value
		copy(theta, s.next)
		f.Slopes(s.gradient, s.curvature)
		if largest(theta) > endless {
			return res
		}
	}
}

// descend tries the step, and a third of it again and again while the value does not fall.
func (s *Search) descend(f Objective, theta []float64, res *Result) (float64, bool) {
	for size := 1.0; size > 1e-12; size /= 3 {
		for k, t := range theta {
			s.next[k] = t + size*s.step[k]
			if s.next[k] < vanishing*t {
				s.next[k] = 0
			}
		}
		v := f.Value(s.next)
		res.Evaluations++
		if v <= res.Value+1e-13*(1+math.Abs(res.Value)) {
			return v, true
		}
	}
	return res.Value, false
}

// newton fills the step and returns what it would gain, twice: gradient·step.
func (s *Search) newton(theta []float64) float64 {
	s.free = s.free[:0]
	quiet := 0.0
	for k, t := range theta {
		s.step[k] = 0
		if t > 0 {
			s.free = append(s.free, k)
			quiet = max(quiet, math.Abs(2*t*s.gradient[k]))
		}
	}
	left := s.freeStep(theta)
	if quiet < settled {
		left += s.release(theta)
	}
	return left
}

// freeStep solves for the step of the components that are not 0; the diagonal is raised until the matrix is positive
// definite. On θ the gradient is 2θg′ and the Hessian 4θθ′H + 2 diag g′.
func (s *Search) freeStep(theta []float64) float64 {
	m := len(s.free)
	if m == 0 {
		return 0
	}
	l := dense.Matrix{Rows: m, Cols: m, Data: s.factor.Data[:m*m]}
	for raise := 0.0; ; raise = max(4*raise, 1e-3) {
		for a, i := range s.free {
			for b, j := range s.free[:a+1] {
				l.Set(a, b, 4*theta[i]*theta[j]*s.curvature.At(i, j))
			}
			d := l.At(a, a) + 2*s.gradient[i]
			l.Set(a, a, d+raise*(math.Abs(d)+4*theta[i]*theta[i]*math.Abs(s.curvature.At(i, i))+math.SmallestNonzeroFloat64))
		}
		if dense.Cholesky(l) < 0 {
			break
		}
		if raise > 1e12 {
			return math.Inf(1)
		}
	}
	x := s.next[:m]
	for a, i := range s.free {
		x[a] = -2 * theta[i] * s.gradient[i]
	}
	dense.SolveLower(l, x)
	left := dense.Dot(x, x)
	dense.SolveLowerT(l, x)
	short := 1.0
	for a, i := range s.free {
		s.step[i] = x[a]
		short = min(short, 10*max(theta[i], 0.1)/max(math.Abs(x[a]), 1e-300))
	}
	for _, i := range s.free {
		s.step[i] *= short
	}
	return left
}

// release lets zeros go whose slope by g is negative. By θ the slope at 0 is always 0, so it tells nothing.
func (s *Search) release(theta []float64) float64 {
	left := 0.0
	for k, t := range theta {
		if t > 0 || !(s.gradient[k] < 0) {
			continue
		}
		g := 0.1
		if h := s.curvature.At(k, k); h > 0 {
			g = min(-s.gradient[k]/h, 1)
		}
		left -= g * s.gradient[k]
		s.step[k] = math.Sqrt(g)
	}
	return left
}

func (s *Search) projected(theta []float64) float64 {
	most := 0.0
	for k, t := range theta {
		if t > 0 {
			most = max(most, math.Abs(2*t*s.gradient[k]))
		} else {
			most = max(most, -s.gradient[k])
		}
	}
	return most
}

func largest(v []float64) float64 {
	most := 0.0
	for _, x := range v {
		most = max(most, x)
	}
	return most
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
