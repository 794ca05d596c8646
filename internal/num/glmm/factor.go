package glmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// precision is M = AᵀWA + I, the precision of the random effects given the counts, then its factor: LDLᵀ in the head of the pattern, LLᵀ in the tail. Vectors
// are in the order of elimination.
type precision struct {
	*pattern
	v       []float64    // entries of M; after factor L and D
	z       []float64    // after invert: entries of M⁻¹ in the same places
	tailV   dense.Matrix // the tail of v, sharing its storage
	tailZ   dense.Matrix
	scratch dense.Matrix
	work    []float64
	spoilt  bool // not positive definite, which only numbers past all bounds can make it
}

func newPrecision(p *pattern) precision {
	t := p.tail()
	m := precision{pattern: p, v: make([]float64, p.size()), z: make([]float64, p.size()), scratch: dense.New(t, t), work: make([]float64, p.columns)}
	m.tailV = dense.Matrix{Rows: t, Cols: t, Data: m.v[p.tailAt():]}
	m.tailZ = dense.Matrix{Rows: t, Cols: t, Data: m.z[p.tailAt():]}
	return m
}

func (m *precision) identity() {
	clear(m.v)
	for j := range m.head {
		m.v[j] = 1
	}
	for j := range m.tail() {
		m.tailV.Set(j, j, 1)
	}
}

// entries are the numbers below the diagonal of a head column.
func (m *precision) entries(v []float64, j int) []float64 {
	return v[m.head+m.start[j] : m.head+m.start[j+1]]
}

func (m *precision) factor() {
	for j, d := range m.v[:m.head] {
		rows, v := m.rowsOf(j), m.entries(m.v, j)
		into, in := m.into[m.intoAt[j]:], m.inHead[j]
		for x, a := range rows[:in] {
			l := v[x] / d
			m.v[a] -= l * v[x]
			rest := v[x+1:]
			for y, at := range into[:len(rest)] {
				m.v[at] -= l * rest[y]
			}
			into = into[len(rest):]
		}
		for x := in; x < len(rows); x++ {
			l, row := v[x]/d, m.tailV.Row(int(rows[x])-m.head)
			for y := in; y <= x; y++ {
				row[int(rows[y])-m.head] -= l * v[y]
			}
		}
		for x := range v {
			v[x] /= d
		}
	}
	m.spoilt = dense.Cholesky(m.tailV) >= 0
}

// logDet is NaN where M was spoilt.
func (m *precision) logDet() float64 {
	if m.spoilt {
		return math.NaN()
	}
	s := 0.0
	for _, d := range m.v[:m.head] {
		s += math.Log(d)
	}
	for j := range m.tail() {
		s += 2 * math.Log(m.tailV.At(j, j))
	}
	return s
}

// solve replaces v by M⁻¹v.
func (m *precision) solve(v []float64) {
	for j := range m.head {
		x, l := v[j], m.entries(m.v, j)
		if x == 0 {
			continue
		}
		for e, a := range m.rowsOf(j) {
			v[a] -= l[e] * x
		}
	}
	dense.SolveLower(m.tailV, v[m.head:])
	dense.SolveLowerT(m.tailV, v[m.head:])
	for j := m.head - 1; j >= 0; j-- {
		x, l := v[j]/m.v[j], m.entries(m.v, j)
		for e, a := range m.rowsOf(j) {
			x -= l[e] * v[a]
		}
		v[j] = x
	}
}

// invert works out M⁻¹ wherever the factor has entries, which is wherever a row lies in both columns (Takahashi's equations: Erisman & Tinney
// 1975, Communications of the ACM 18:177-179).
func (m *precision) invert() {
	dense.CholeskyInverse(m.tailV, m.tail(), m.tailZ, m.scratch)
	for j := m.head - 1; j >= 0; j-- {
		rows, l, z := m.rowsOf(j), m.entries(m.v, j), m.entries(m.z, j)
		clear(z)
		into, in := m.into[m.intoAt[j]:], m.inHead[j]
		for x, a := range rows[:in] {
			sum, lx := l[x]*m.z[a], l[x]
			rest, zRest := l[x+1:], z[x+1:]
			for y, at := range into[:len(rest)] {
				zab := m.z[at]
				sum += rest[y] * zab
				zRest[y] -= lx * zab
			}
			z[x] -= sum
			into = into[len(rest):]
		}
		for x := in; x < len(rows); x++ {
			row, lx := m.tailZ.Row(int(rows[x])-m.head), l[x]
			sum := lx * row[int(rows[x])-m.head]
			for y := in; y < x; y++ {
				zab := row[int(rows[y])-m.head]
				sum += l[y] * zab
				z[y] -= lx * zab
			}
			z[x] -= sum
		}
		m.z[j] = 1/m.v[j] - dense.Dot(l, z)
	}
}

// solveMany replaces each column of b by M⁻¹ times it, in the rows from one on; the columns must be 0 in the rows before it.
func (m *precision) solveMany(b dense.Matrix, from int) {
	for j := from; j < m.head; j++ {
		l := m.entries(m.v, j)
		for e, a := range m.rowsOf(j) {
			dense.Axpy(-l[e], b.Row(j), b.Row(int(a)))
		}
	}
	m.solveTail(b)
	for j := m.head - 1; j >= from; j-- {
		row, l := b.Row(j), m.entries(m.v, j)
		scale(row, 1/m.v[j])
		for e, a := range m.rowsOf(j) {
			dense.Axpy(-l[e], b.Row(int(a)), row)
		}
	}
}

func (m *precision) solveTail(b dense.Matrix) {
	t := m.tail()
	for i := range t {
		row, l := b.Row(m.head+i), m.tailV.Row(i)
		for k := range i {
			dense.Axpy(-l[k], b.Row(m.head+k), row)
		}
		scale(row, 1/l[i])
	}
	for i := t - 1; i >= 0; i-- {
		row, l := b.Row(m.head+i), m.tailV.Row(i)
		scale(row, 1/l[i])
		for k := range i {
			dense.Axpy(-l[k], row, b.Row(m.head+k))
		}
	}
}

func scale(v []float64, by float64) {
	for j := range v {
		v[j] *= by
	}
}
