package evidence

import (
	"math"
	"strconv"

	"fairplot/internal/num/dense"
)

// sweeps is how often the factors take turns; the fit by turns converges to least squares on their sum.
const sweeps = 60

// residualise takes the additive effects of the factors out of x by least squares, the factors taking turns.
func residualise(x []float64, factors [][]int32) []float64 {
	r := append([]float64(nil), x...)
	for range sweeps {
		moved := 0.0
		for _, f := range factors {
			moved = math.Max(moved, centre(r, f))
		}
		if moved < 1e-13 {
			break
		}
	}
	return r
}

// centre subtracts from r its mean within each class and returns the largest mean.
func centre(r []float64, class []int32) float64 {
	var sum, n []float64
	for i, c := range class {
		for int(c) >= len(sum) {
			sum, n = append(sum, 0), append(n, 0)
		}
		sum[c] += r[i]
		n[c]++
	}
	most := 0.0
	for c := range sum {
		if n[c] > 0 {
			sum[c] /= n[c]
			most = math.Max(most, math.Abs(sum[c]))
		}
	}
	for i, c := range class {
		r[i] -= sum[c]
	}
	return most
}

// nuisance are the classes of garden, season and crop, within which levels are compared; garden only where the practice varies within gardens.
func nuisance(rows []row, within bool) [][]int32 {
	out := [][]int32{
		numbered(rows, func(row) string { return "" }),
		numbered(rows, func(r row) string { return strconv.Itoa(r.season) }),
		numbered(rows, func(r row) string { return r.crop }),
	}
	if within {
		out = append(out, numbered(rows, func(r row) string { return r.garden }))
	}
	return out
}

// residualsOf is what the logarithm of the response leaves after garden, season, crop and level.
func residualsOf(rows []row, s shape) []float64 {
	return residualise(logOf(rows), append(nuisance(rows, s.within), numbered(rows, func(r row) string { return r.level })))
}

// indicators are the columns of 0 and 1 of the levels, each with the factors taken out; a level that these explain wholly has a column of zeros.
func indicators(rows []row, level func(row) string, factors [][]int32) [][]float64 {
	var out [][]float64
	for _, l := range classes(rows, level) {
		x := make([]float64, len(rows))
		for i, r := range rows {
			if level(r) == l {
				x[i] = 1
			}
		}
		out = append(out, residualise(x, factors))
	}
	return out
}

// beyondChance is the largest share of one of the columns' squares that the others explain, less what so many columns explain by chance among that many
// degrees of freedom; 1 stays 1. It is not tellable where the others could explain anything.
func beyondChance(columns, by [][]float64, df int) (share float64, tellable bool) {
	basis := basisOf(by)
	if left := df - len(basis.Kept); left < 3 {
		return 0, false
	}
	most := 0.0
	for _, x := range columns {
		total := dot(x, x)
		if total < 1e-9 {
			continue
		}
		in := 0.0
		for i := range basis.Kept {
			p := dot(x, basis.Q.Row(i))
			in += p * p
		}
		most = math.Max(most, in/total)
	}
	return 1 - (1-most)*float64(df)/float64(df-len(basis.Kept)), true
}

// taken is the number of degrees of freedom that the factors take, one for the mean and each level but the first of each.
func taken(factors [][]int32) int {
	n := 1
	for _, f := range factors {
		levels := map[int32]bool{}
		for _, c := range f {
			levels[c] = true
		}
		n += len(levels) - 1
	}
	return n
}

// basisOf is an orthonormal basis of columns in their order, those that depend on earlier ones left out. A column all but gone is the rounding of what was
// taken out of it.
func basisOf(columns [][]float64) dense.QR {
	if len(columns) == 0 {
		return dense.QR{}
	}
	m := dense.New(len(columns), len(columns[0]))
	for j, c := range columns {
		if dense.Norm(c) > 1e-8 {
			copy(m.Row(j), c)
		}
	}
	return dense.Factor(m, 1e-8)
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		s += x * b[i]
	}
	return s
}
