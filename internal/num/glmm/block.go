package glmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// block is the symmetric matrix M = [D Bᵀ; B C] with D diagonal (no row lies in two classes of one grouping), and
// its factorisation by the Schur complement S = C − B D⁻¹ Bᵀ = L Lᵀ.
type block struct {
	d []float64
	b dense.Matrix // q2 × q1
	c dense.Matrix // q2 × q2, lower triangle; after factor: L
	g dense.Matrix // after inverse: S⁻¹ B D⁻¹, q2 × q1
	s dense.Matrix // after inverse: S⁻¹
	f []float64    // after inverse: diagonal of the first block of M⁻¹
}

func newBlock(q1, q2 int) block {
	return block{d: make([]float64, q1), b: dense.New(q2, q1), c: dense.New(q2, q2),
		g: dense.New(q2, q1), s: dense.New(q2, q2), f: make([]float64, q1)}
}

func (m *block) identity() {
	for j := range m.d {
		m.d[j] = 1
	}
	clear(m.b.Data)
	clear(m.c.Data)
	for j := range m.c.Rows {
		m.c.Set(j, j, 1)
	}
}

// add adds v at the place of column i and column j, each of the first or the second block; once for a pair.
func (m *block) add(second1 bool, i int, second2 bool, j int, v float64) {
	switch {
	case !second1 && !second2:
		m.d[i] += v
	case second1 && second2:
		m.c.Data[max(i, j)*m.c.Cols+min(i, j)] += v
	case second1:
		m.b.Data[i*m.b.Cols+j] += v
	default:
		m.b.Data[j*m.b.Cols+i] += v
	}
}

func (m *block) factor() {
	for i := range m.c.Rows {
		for k, b := range m.b.Row(i) {
			m.f[k] = b / m.d[k] // f is free until inverse
		}
		for j := range i + 1 {
			m.c.Data[i*m.c.Cols+j] -= dot(m.b.Row(j), m.f)
		}
	}
	cholesky(m.c, 0)
}

func (m *block) logDet() float64 {
	s := 0.0
	for _, d := range m.d {
		s += math.Log(d)
	}
	for j := range m.c.Rows {
		s += 2 * math.Log(m.c.At(j, j))
	}
	return s
}

// solve replaces v by M⁻¹v.
func (m *block) solve(v []float64) {
	first, second := v[:len(m.d)], v[len(m.d):]
	for i := range second {
		for k, b := range m.b.Row(i) {
			second[i] -= b * first[k] / m.d[k]
		}
	}
	lowerSolve(m.c, second)
	upperSolve(m.c, second)
	for k, d := range m.d {
		for i, s := range second {
			first[k] -= m.b.At(i, k) * s
		}
		first[k] /= d
	}
}

// inverse works out the parts of M⁻¹ that rows of Aθ can meet.
func (m *block) inverse() {
	q := m.c.Rows
	col := make([]float64, q)
	for j := range q {
		clear(col)
		col[j] = 1
		lowerSolve(m.c, col)
		upperSolve(m.c, col)
		for i := range q {
			m.s.Set(i, j, col[i])
		}
	}
	clear(m.g.Data)
	for i := range q {
		for j := range q {
			s := m.s.At(i, j)
			for k, b := range m.b.Row(j) {
				m.g.Data[i*m.g.Cols+k] += s * b / m.d[k]
			}
		}
	}
	for k, d := range m.d {
		m.f[k] = 1 / d
	}
	for i := range q {
		for k, b := range m.b.Row(i) {
			m.f[k] += b / m.d[k] * m.g.At(i, k)
		}
	}
}

// entry returns the element of M⁻¹ at two columns; of the first block only the diagonal is known.
func (m *block) entry(second1 bool, i int, second2 bool, j int) float64 {
	switch {
	case !second1 && !second2:
		return m.f[i]
	case second1 && second2:
		return m.s.At(i, j)
	case second1:
		return -m.g.At(i, j)
	default:
		return -m.g.At(j, i)
	}
}

// cholesky replaces the lower triangle of a by its factor. It returns -1, or the first column whose pivot is not
// above tolerance; pivots are relative to 1.
func cholesky(a dense.Matrix, tolerance float64) int {
	for j := range a.Rows {
		rj := a.Row(j)
		for k := range j {
			rk, s := a.Row(k), rj[k]
			for l := range k {
				s -= rj[l] * rk[l]
			}
			rj[k] = s / rk[k]
		}
		d := rj[j]
		for l := range j {
			d -= rj[l] * rj[l]
		}
		if !(d > tolerance) {
			return j
		}
		rj[j] = math.Sqrt(d)
	}
	return -1
}

func lowerSolve(l dense.Matrix, v []float64) {
	for i := range v {
		v[i] = (v[i] - dot(l.Row(i)[:i], v)) / l.At(i, i)
	}
}

func upperSolve(l dense.Matrix, v []float64) {
	for i := len(v) - 1; i >= 0; i-- {
		v[i] /= l.At(i, i)
		for j := range i {
			v[j] -= l.At(i, j) * v[i]
		}
	}
}
