package dist

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"fairplot/internal/num/dense"
)

// nested is the tail of max |Z_i| for a few differences of any correlations, as the sum of the disjoint events that Z_i is the
// last one outside: P(|Z_i| > w, |Z_j| <= w for all j < i). Each is an integral over its conditional intervals, Gauss-Legendre on each.
type nested struct {
	lower         []dense.Matrix // Cholesky factor of Z_i, Z_0 ... Z_(i-1), by i
	nodes, weight []float64      // on [0, 1]
}

// reach is where a standard normal density no longer matters.
const reach = 8.3

// nestedNodes are the most nodes an interval gets, by the number of differences: the work grows with the power of that less one.
var nestedNodes = []int{0, 0, 0, 160, 48, 16}

// newNested also returns what the rule may be off by: its change from three quarters of the nodes.
func newNested(corr dense.Matrix) (nested, float64, bool) {
	m := corr.Rows
	order := loosestFirst(corr)
	r, ok := nestedFactors(permuted(corr, order))
	if !ok {
		return r, 0, false
	}
	// The tightest interval of all needs the closest nodes.
	tight := math.Inf(1)
	for _, l := range r.lower {
		tight = min(tight, smallestPivot(l))
	}
	n := min(nestedNodes[m], max(24, int(8/tight)))
	coarse := r.with(3 * n / 4)
	r = r.with(n)
	off := 0.0
	for _, w := range []float64{1, 2.2, 3} {
		off = max(off, math.Abs(r.upper(w)-coarse.upper(w)))
	}
	return r, off, true
}

// with returns the rule with n nodes.
func (r nested) with(n int) nested {
	r.nodes, r.weight = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(r.nodes, r.weight, 0, 1)
	return r
}

func nestedFactors(corr dense.Matrix) (nested, bool) {
	var r nested
	for i := range corr.Rows {
		order := []int{i}
		for j := range i {
			order = append(order, j)
		}
		l := dense.New(i+1, i+1)
		for a, from := range order {
			for b, to := range order {
				l.Set(a, b, corr.At(from, to))
			}
		}
		if dense.Cholesky(l) >= 0 {
			return r, false
		}
		r.lower = append(r.lower, l)
	}
	return r, true
}

func smallestPivot(l dense.Matrix) float64 {
	least := math.Inf(1)
	for i := range l.Rows {
		least = min(least, l.At(i, i))
	}
	return least
}

func (r nested) upper(w float64) float64 {
	sum := math.Erfc(w / math.Sqrt2)
	span := math.Sqrt(w*w+80) - w
	for _, l := range r.lower[1:] {
		x := make([]float64, l.Rows)
		for n, node := range r.nodes {
			x[0] = w + span*node
			sum += 2 * span * r.weight[n] * NormalDensity(x[0]) * r.inside(l, x, 1, w)
		}
	}
	return min(1, sum)
}

// inside is P(|Z_j| <= w for all j from level on) given the standard values x before.
func (r nested) inside(l dense.Matrix, x []float64, level int, w float64) float64 {
	row := l.Row(level)
	mean := 0.0
	for k, v := range row[:level] {
		mean += v * x[k]
	}
	low, high := (-w-mean)/row[level], (w-mean)/row[level]
	if level == l.Rows-1 {
		return between(low, high)
	}
	low, high = max(low, -reach), min(high, reach)
	if low >= high {
		return 0
	}
	sum := 0.0
	for n, node := range r.nodes {
		x[level] = low + (high-low)*node
		sum += r.weight[n] * NormalDensity(x[level]) * r.inside(l, x, level+1, w)
	}
	return sum * (high - low)
}

// between is P(low < Z <= high), from the side of 0 where both are tails.
func between(low, high float64) float64 {
	if low > 0 {
		low, high = -high, -low
	}
	return NormalLower(high) - NormalLower(low)
}
