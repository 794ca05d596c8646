package dist

import (
	"math"
	"sync/atomic"
)

// interpolation turns values at the Chebyshev nodes of [-1, 1] into a polynomial.
type interpolation struct {
	nodes   []float64
	cosines [][]float64 // T_j at node i, times 2/n, halved for j = 0
}

func newInterpolation(n int) interpolation {
	r := interpolation{make([]float64, n), make([][]float64, n)}
	for j := range n {
		r.cosines[j] = make([]float64, n)
	}
	for i := range n {
		angle := math.Pi * (float64(i) + 0.5) / float64(n)
		r.nodes[i] = math.Cos(angle)
		r.cosines[0][i] = 1 / float64(n)
		for j := 1; j < n; j++ {
			r.cosines[j][i] = math.Cos(float64(j)*angle) * 2 / float64(n)
		}
	}
	return r
}

// through returns the polynomial that has the given values at the nodes.
func (r interpolation) through(values []float64) polynomial {
	p := make(polynomial, len(values))
	for j := range p {
		for i, v := range values {
			p[j] += r.cosines[j][i] * v
		}
	}
	return p
}

// polynomial is a sum of Chebyshev polynomials on [-1, 1].
type polynomial []float64

// at is Clenshaw's sum.
func (p polynomial) at(x float64) float64 {
	var b1, b2 float64
	for j := len(p) - 1; j > 0; j-- {
		b1, b2 = 2*x*b1-b2+p[j], b1
	}
	return x*b1 - b2 + p[0]
}

// narrow serves laws that are cheap, wide those that are dear: fewer values in all, on panels eight times as wide. Neither is ever written again.
var (
	narrow = newInterpolation(14)
	wide   = newInterpolation(40)
)

// table keeps the logarithm of a tail probability as one polynomial a panel. Panels are made when first touched, each from the law
// alone, so that answers depend neither on what was asked before nor on who else is asking: goroutines may share one.
type table struct {
	law    func(w float64) float64
	rule   interpolation
	width  float64
	panels []atomic.Pointer[polynomial]
}

func newTable(law func(w float64) float64, rule interpolation, width, end float64) *table {
	return &table{law, rule, width, make([]atomic.Pointer[polynomial], int(math.Ceil(end/width)))}
}

// at returns the tail at w: 1 up to 0, and 0 beyond the table's end.
func (t *table) at(w float64) float64 {
	if !(w > 0) {
		return 1
	}
	x := w / t.width
	if x >= float64(len(t.panels)) {
		return 0
	}
	i := int(x)
	p := t.panels[i].Load()
	if p == nil {
		p = t.build(i)
		t.panels[i].Store(p)
	}
	return math.Exp(p.at(2*(x-float64(i)) - 1))
}

func (t *table) build(i int) *polynomial {
	logs := make([]float64, len(t.rule.nodes))
	for n, x := range t.rule.nodes {
		logs[n] = math.Log(t.law((float64(i) + (x+1)/2) * t.width))
	}
	p := t.rule.through(logs)
	return &p
}
