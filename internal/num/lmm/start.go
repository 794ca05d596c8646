package lmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// start solves Rao's MINQUE(0) equations, the scoring equations at g = 0:
//
//	Σ_l |Z_k′MZ_l|² σ_l + tr(Z_k′MZ_k) σ_0 = |Z_k′y|²,   Σ_l tr(Z_l′MZ_l) σ_l + (n−p) σ_0 = y′y   (9)
//
// In balanced data the solution does not depend on the weights, so it is the minimum.
type start struct {
	left         dense.Matrix
	factor       dense.Matrix
	right, sigma []float64
	in           []int
}

func newStart(d *design) start {
	r := len(d.groups)
	return start{left: d.minque, factor: dense.New(r+1, r+1), right: make([]float64, r+1), sigma: make([]float64, r+1), in: make([]int, 0, r+1)}
}

// from writes θ. Components that come out negative are dropped one by one, the most negative first; equations that give
// no positive residual variance leave θ at 1.
func (s *start) from(zy [][]float64, theta []float64) {
	r := len(theta)
	s.in = s.in[:0]
	for k := range r + 1 {
		s.in = append(s.in, k)
	}
	for {
		if !s.solve(zy) {
			break
		}
		worst := -1
		for x := range len(s.in) - 1 {
			if s.sigma[x] < 0 && (worst < 0 || s.sigma[x] < s.sigma[worst]) {
				worst = x
			}
		}
		if worst >= 0 {
			s.in = append(s.in[:worst], s.in[worst+1:]...)
			continue
		}
		last := len(s.in) - 1
		clear(theta)
		for x, k := range s.in[:last] {
			theta[k] = math.Sqrt(s.sigma[x] / s.sigma[last])
			if !(theta[k] < 1e7) {
				s.ones(theta)
				return
			}
		}
		if !(s.sigma[last] > 0) {
			s.ones(theta)
		}
		return
	}
	s.ones(theta)
}

func (s *start) ones(theta []float64) {
	for k := range theta {
		theta[k] = 1
	}
}

// solve solves the equations of the components that are in.
func (s *start) solve(zy [][]float64) bool {
	m := len(s.in)
	f := dense.Matrix{Rows: m, Cols: m, Data: s.factor.Data[:m*m]}
	for x, k := range s.in {
		for y, l := range s.in[:x+1] {
			f.Set(x, y, s.left.At(k, l)/math.Sqrt(s.left.At(k, k)*s.left.At(l, l)))
		}
		right := 1.0 // y′y
		if k < len(zy) {
			right = dense.Dot(zy[k], zy[k])
		}
		s.sigma[x] = right / math.Sqrt(s.left.At(k, k))
	}
	if dense.Cholesky(f) >= 0 {
		return false
	}
	dense.SolveLower(f, s.sigma[:m])
	dense.SolveLowerT(f, s.sigma[:m])
	for x, k := range s.in {
		s.sigma[x] /= math.Sqrt(s.left.At(k, k))
	}
	return true
}
