package glmm

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
)

// laidAtRandom gives every row a column of each of some groupings: crossed, each nested in the one before it, or both; sometimes one column a row.
func laidAtRandom(r *rand.Rand) (columns int, rows [][]int32) {
	rows = make([][]int32, 1+r.IntN(150))
	last := make([]int32, len(rows))
	if r.IntN(2) == 0 {
		for i := range rows {
			rows[i] = append(rows[i], int32(i))
			last[i] = int32(i)
		}
		columns = len(rows)
	}
	for range r.IntN(6) {
		levels := int32(1 + r.IntN(1+len(rows)/2))
		nested := r.IntN(2) == 0
		for i := range rows {
			class := r.Int32N(levels)
			if nested {
				class = last[i] % levels
				last[i] = class
			}
			rows[i] = append(rows[i], int32(columns)+class)
		}
		columns += int(levels)
	}
	return columns, rows
}

// TestFactorAgainstTheWholeMatrix: determinant, solutions and the entries of the inverse that rows can meet are those of the whole matrix, inverted dense.
func TestFactorAgainstTheWholeMatrix(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	tails, heads := 0, 0
	for run := range 300 {
		columns, rows := laidAtRandom(r)
		m := newPrecision(newPattern(columns, rows))
		tails, heads = tails+m.tail(), heads+m.head
		whole := dense.New(columns, columns) // in the order of elimination
		for j := range columns {
			whole.Set(j, j, 1)
		}
		m.identity()
		for _, row := range rows {
			loads := make([]float64, len(row))
			for k := range loads {
				loads[k] = r.NormFloat64() * math.Exp(2*r.NormFloat64())
			}
			for k, c := range row {
				for l, d := range row {
					a, b := m.position[c], m.position[d]
					whole.Data[int(a)*columns+int(b)] += loads[k] * loads[l]
					if l <= k {
						m.v[m.slot(a, b)] += loads[k] * loads[l]
					}
				}
			}
		}
		compareWithWhole(t, run, &m, whole, rows, r)
	}
	if tails == 0 || heads == 0 {
		t.Errorf("%d columns in tails, %d in heads: one of the two was not looked at", tails, heads)
	}
}

func compareWithWhole(t *testing.T, run int, m *precision, whole dense.Matrix, rows [][]int32, r *rand.Rand) {
	t.Helper()
	n := whole.Rows
	inverse, ok := dense.Invert(whole, 0)
	if !ok {
		t.Fatalf("layout %d: the whole matrix cannot be inverted", run)
	}
	factor := dense.Matrix{Rows: n, Cols: n, Data: append([]float64(nil), whole.Data...)}
	dense.Cholesky(factor)
	logDet, most := 0.0, 0.0
	for j := range n {
		logDet += 2 * math.Log(factor.At(j, j))
		most = max(most, whole.At(j, j))
	}
	tol := 1e-13 * (1 + most) // the condition of a matrix not below I is at most its size
	near := func(what string, got, want float64) {
		if !(math.Abs(got-want) <= tol*(1+math.Abs(want))) {
			t.Errorf("layout %d: %s %.15g, want %.15g", run, what, got, want)
		}
	}
	m.factor()
	m.invert()
	near("log determinant", m.logDet(), logDet)
	v, many := make([]float64, n), dense.New(n, 3)
	for j := range v {
		v[j] = r.NormFloat64()
		for c := range 3 {
			many.Set(j, c, float64(c)*v[j])
		}
	}
	want := make([]float64, n)
	for j := range n {
		want[j] = dense.Dot(inverse.Row(j), v)
	}
	m.solve(v)
	m.solveMany(many, 0)
	for j := range n {
		near("solution", v[j], want[j])
		near("one of several solutions", many.At(j, 2), 2*want[j])
	}
	for _, row := range rows {
		for _, c := range row {
			for _, d := range row {
				a, b := m.position[c], m.position[d]
				near("entry of the inverse", m.z[m.slot(a, b)], inverse.At(int(a), int(b)))
			}
		}
	}
	from := r.IntN(n + 1)
	below := dense.New(n, n-from)
	for c := range below.Cols {
		below.Set(from+c, c, 1)
	}
	m.solveMany(below, from)
	for j := from; j < n; j++ {
		for c := range below.Cols {
			near("entry of the inverse's lower corner", below.At(j, c), inverse.At(j, from+c))
		}
	}
}
