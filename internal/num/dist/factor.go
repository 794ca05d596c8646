package dist

import (
	"math"

	"fairplot/internal/num/dense"
)

// fits is the largest misfit of correlations that counts as rounding. An error e in every correlation moves the tail of m differences by less than m² e/6.
const fits = 1e-10

// fitFactors returns loadings F, one row a difference, with F F' near the correlations off the diagonal, and the largest misfit. Damped Gauss-Newton steps
// (Levenberg 1944) on the squared misfits, from the leading eigenvectors; where a fit is exact they close in quadratically. No row gets longer
// than most in square: what is left to 1 is the difference's own part.
func fitFactors(corr dense.Matrix, factors int, most float64) (loadings dense.Matrix, misfit float64) {
	f := startFactors(corr, factors)
	shrink(f, most)
	loss, damping := factorLoss(corr, f), 1e-3
	for range 200 {
		step, ok := factorStep(corr, f, damping)
		if !ok {
			damping *= 10
			continue
		}
		next := dense.New(f.Rows, f.Cols)
		for i := range next.Data {
			next.Data[i] = f.Data[i] + step[i]
		}
		shrink(next, most)
		after := factorLoss(corr, next)
		if !(after < loss) {
			if damping *= 10; damping > 1e12 {
				break
			}
			continue
		}
		gained := loss - after
		f, loss, damping = next, after, max(damping/10, 1e-15)
		if gained < 1e-9*loss || loss < 1e-30 {
			break
		}
	}
	return f, factorMisfit(corr, f)
}

func shrink(f dense.Matrix, most float64) {
	for i := range f.Rows {
		row := f.Row(i)
		if size := dense.Dot(row, row); size > most {
			for k := range row {
				row[k] *= math.Sqrt(most / size)
			}
		}
	}
}

func factorLoss(corr, f dense.Matrix) float64 {
	sum := 0.0
	for i := range corr.Rows {
		for j := range i {
			r := corr.At(i, j) - dense.Dot(f.Row(i), f.Row(j))
			sum += r * r
		}
	}
	return sum
}

func factorMisfit(corr, f dense.Matrix) float64 {
	most := 0.0
	for i := range corr.Rows {
		for j := range i {
			most = max(most, math.Abs(corr.At(i, j)-dense.Dot(f.Row(i), f.Row(j))))
		}
	}
	return most
}

// startFactors takes the leading eigenvectors of the correlations with each row's largest one on the diagonal.
func startFactors(corr dense.Matrix, factors int) dense.Matrix {
	m := corr.Rows
	reduced := dense.Matrix{Rows: m, Cols: m, Data: append([]float64(nil), corr.Data...)}
	for i := range m {
		most := 0.0
		for j := range m {
			if j != i {
				most = max(most, math.Abs(corr.At(i, j)))
			}
		}
		reduced.Set(i, i, most)
	}
	values, vectors := dense.Eigen(reduced)
	f := dense.New(m, factors)
	for k := range factors {
		best := 0
		for v := range values {
			if values[v] > values[best] {
				best = v
			}
		}
		// A factor with nothing to explain starts small, not at 0, where its slope would vanish.
		size := math.Sqrt(max(values[best], 1e-4))
		for i := range m {
			f.Set(i, k, size*vectors.At(best, i))
		}
		values[best] = math.Inf(-1)
	}
	return f
}

// factorStep solves (J'J + damping) step = J'r for the misfits r of all pairs.
func factorStep(corr, f dense.Matrix, damping float64) ([]float64, bool) {
	m, q := f.Rows, f.Cols
	a, g := dense.New(m*q, m*q), make([]float64, m*q)
	for i := range m {
		for j := range i {
			fi, fj := f.Row(i), f.Row(j)
			r := corr.At(i, j) - dense.Dot(fi, fj)
			for k := range q {
				g[i*q+k] += r * fj[k]
				g[j*q+k] += r * fi[k]
				for l := range q {
					a.Data[(i*q+k)*m*q+i*q+l] += fj[k] * fj[l]
					a.Data[(j*q+k)*m*q+j*q+l] += fi[k] * fi[l]
					a.Data[(i*q+k)*m*q+j*q+l] += fj[k] * fi[l]
				}
			}
		}
	}
	for i := range m * q {
		a.Data[i*m*q+i] += damping
	}
	if dense.Cholesky(a) >= 0 {
		return nil, false
	}
	dense.SolveLower(a, g)
	dense.SolveLowerT(a, g)
	return g, true
}
