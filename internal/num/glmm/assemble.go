package glmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// assemble turns the end of the search into a model.
func assemble(o *objective, found optimum, ends *recession) *Model {
	p := o.x.Cols
	m := &Model{
		Beta: o.beta(found.x[:p]), LogLik: -found.value, ends: ends,
		Converged: found.converged, Gradient: found.gradient, objective: o, at: found.x,
	}
	m.Spread, m.Modes = make([]Component, len(o.groups)), make([][]float64, len(o.groups))
	o.value(found.x, make([]float64, len(found.x))) // leaves the modes at the optimum
	column := 0
	for k, g := range o.groups {
		sd := found.x[p+k]
		modes := make([]float64, g.Levels)
		for l := range modes {
			modes[l] = sd * o.u[o.m.position[column]]
			column++
		}
		m.Modes[k] = modes
		m.Spread[k] = Component{Name: g.Name, SD: sd, Error: math.NaN(), OnBoundary: sd == 0, Unbounded: sd > widest}
	}
	m.markSeparated()
	m.covariance()
	m.Evaluations = o.calls
	return m
}

func (m *Model) markSeparated() {
	if m.ends == nil {
		return
	}
	top := 0.0
	for j, d := range m.ends.direction {
		top = max(top, math.Abs(d)*m.columnSize(j))
	}
	for j, d := range m.ends.direction {
		if math.Abs(d)*m.columnSize(j) > 1e-3*top {
			m.Separated = append(m.Separated, j)
		}
	}
}

// columnSize is the length of column j of X in the metric of R.
func (m *Model) columnSize(j int) float64 {
	row := m.objective.r.Row(j)
	return math.Sqrt(dense.Dot(row, row))
}

// covariance inverts the Hessian of all parameters that are not on a boundary, so that the errors of the fixed
// effects hold the uncertainty of the spreads too.
func (m *Model) covariance() {
	o, p := m.objective, m.objective.x.Cols
	m.Cov = dense.New(p, p)
	free := []int{}
	for j, v := range m.at {
		if j < p || v > 0 && v <= widest {
			free = append(free, j)
		}
	}
	m.curvature = o.curvature(m.at)
	h := block(m.curvature, free)
	if len(m.Separated) > 0 || !invert(h) {
		for j := range m.Cov.Data {
			m.Cov.Data[j] = math.NaN()
		}
		return
	}
	col := make([]float64, p)
	half := dense.New(p, p) // transpose of R⁻¹H⁻¹
	for j := range p {
		copy(half.Row(j), o.beta(h.Row(j)[:p]))
	}
	for i := range p {
		for j := range p {
			col[j] = half.At(j, i)
		}
		copy(m.Cov.Row(i), o.beta(col))
	}
	for a, j := range free {
		if j >= p {
			m.Spread[j-p].Error = math.Sqrt(h.At(a, a))
		}
	}
}

// block is some rows of a matrix and the same columns.
func block(m dense.Matrix, of []int) dense.Matrix {
	out := dense.New(len(of), len(of))
	for a, i := range of {
		for b, j := range of {
			out.Set(a, b, m.At(i, j))
		}
	}
	return out
}
