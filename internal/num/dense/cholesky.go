package dense

import (
	"math"
	"runtime"
)

// small is the order below which a factor is found without blocks.
const small = 96

// Cholesky replaces the lower triangle of a positive definite matrix by L, A = L·Lᵀ, and leaves the upper triangle
// alone. It returns -1, or the row whose pivot is not positive, where the work stopped.
func Cholesky(a Matrix) int {
	if a.Rows != a.Cols {
		panic("dense: Cholesky: not square")
	}
	n, ld := a.Rows, a.Cols
	if n < small {
		return pivots(a.Data, ld, n, 0)
	}
	for j := 0; j < n; j += tile {
		w := min(tile, n-j)
		addTile(a.Data[j*ld+j:], ld, a.Data[j*ld:], ld, a.Data[j*ld:], ld, w, w, j, -1)
		if bad := pivots(a.Data[j*ld+j:], ld, w, j); bad >= 0 {
			return bad
		}
		below := (n - j - w + tile - 1) / tile
		if !worth(n-j-w, w, j+w) {
			for b := range below {
				panel(a, j, w, j+w+b*tile)
			}
			continue
		}
		parallel(below, func(b int) { panel(a, j, w, j+w+b*tile) })
	}
	return -1
}

func worth(m, n, k int) bool {
	return runtime.GOMAXPROCS(0) > 1 && float64(m)*float64(n)*float64(k) > share
}

// panel finishes the rows from i on (one tile) of the block column that starts at j and is w wide.
func panel(a Matrix, j, w, i int) {
	ld := a.Cols
	m := min(tile, a.Rows-i)
	addTile(a.Data[i*ld+j:], ld, a.Data[i*ld:], ld, a.Data[j*ld:], ld, m, w, j, -1)
	solveRight(a.Data[i*ld+j:], ld, a.Data[j*ld+j:], ld, m, w)
}

// pivots factors a block without further blocking; first is the number of its first row, for the report.
func pivots(a []float64, ld, n, first int) int {
	for i := range n {
		row := a[i*ld : i*ld+i+1]
		for j := range i {
			up := a[j*ld : j*ld+j+1]
			row[j] = (row[j] - Dot(row[:j], up[:j])) / up[j]
		}
		d := row[i] - Dot(row[:i], row[:i])
		if !(d > 0) || math.IsInf(d, 0) {
			return first + i
		}
		row[i] = math.Sqrt(d)
	}
	return -1
}

// solveRight replaces m rows x of width w by x·L⁻ᵀ.
func solveRight(x []float64, ldx int, l []float64, ldl, m, w int) {
	for i := range m {
		row := x[i*ldx : i*ldx+w]
		for j := range w {
			lj := l[j*ldl : j*ldl+j+1]
			row[j] = (row[j] - Dot(row[:j], lj[:j])) / lj[j]
		}
	}
}

// CholeskyInverse writes the inverse of A to the lower triangle of the leading n × n block of inverse, given its factor in
// the leading block of l. Scratch has the shape of inverse and is overwritten.
func CholeskyInverse(l Matrix, n int, inverse, scratch Matrix) {
	if n > l.Rows || n > inverse.Rows || scratch.Rows != inverse.Rows {
		panic("dense: CholeskyInverse: shapes do not fit")
	}
	bands := (n + tile - 1) / tile
	if !worth(n, n, n/8) {
		for b := range bands {
			transposedInverse(l, n, scratch, b*tile)
		}
		for b := range bands {
			outer(scratch, n, inverse, b*tile)
		}
		return
	}
	parallel(bands, func(b int) { transposedInverse(l, n, scratch, b*tile) })
	parallel(bands, func(b int) { outer(scratch, n, inverse, b*tile) })
}

// transposedInverse writes rows j … of U = L⁻ᵀ, one tile of them: U·Lᵀ = I.
func transposedInverse(l Matrix, n int, u Matrix, j int) {
	ldu, ldl := u.Cols, l.Cols
	m := min(tile, n-j)
	for i := j; i < j+m; i++ {
		clear(u.Data[i*ldu+j : i*ldu+n])
		u.Data[i*ldu+i] = 1
	}
	for i := j; i < n; i += tile {
		w := min(tile, n-i)
		addTile(u.Data[j*ldu+i:], ldu, u.Data[j*ldu+j:], ldu, l.Data[i*ldl+j:], ldl, m, w, i-j, -1)
		solveRight(u.Data[j*ldu+i:], ldu, l.Data[i*ldl+i:], ldl, m, w)
	}
}

// outer writes rows i … of the lower triangle of U·Uᵀ, one tile of them.
func outer(u Matrix, n int, out Matrix, i int) {
	ldu, ldo := u.Cols, out.Cols
	m := min(tile, n-i)
	for j := 0; j <= i; j += tile {
		w := min(tile, n-j)
		for r := i; r < i+m; r++ {
			clear(out.Data[r*ldo+j : r*ldo+j+w])
		}
		for k := i; k < n; k += depth {
			addTile(out.Data[i*ldo+j:], ldo, u.Data[i*ldu+k:], ldu, u.Data[j*ldu+k:], ldu, m, w, min(depth, n-k), 1)
		}
	}
}

// SolveLower replaces b by L⁻¹b for the leading len(b) rows of a lower triangle.
func SolveLower(l Matrix, b []float64) {
	for i := range b {
		row := l.Data[i*l.Cols : i*l.Cols+i+1]
		b[i] = (b[i] - Dot(row[:i], b[:i])) / row[i]
	}
}

// SolveLowerT replaces b by L⁻ᵀb for the leading len(b) rows of a lower triangle.
func SolveLowerT(l Matrix, b []float64) {
	for i := len(b) - 1; i >= 0; i-- {
		row := l.Data[i*l.Cols : i*l.Cols+i+1]
		b[i] /= row[i]
		Axpy(-b[i], row[:i], b[:i])
	}
}

// Invert returns the inverse of a symmetric positive definite matrix, scaled to unit diagonal first so that only its
// shape decides; false where a pivot of the scaled matrix falls below tolerance.
func Invert(a Matrix, tolerance float64) (Matrix, bool) {
	n := a.Rows
	l, scale := New(n, n), make([]float64, n)
	for i := range n {
		if !(a.At(i, i) > 0) {
			return Matrix{}, false
		}
		scale[i] = 1 / math.Sqrt(a.At(i, i))
	}
	for i := range n {
		for j := range i + 1 {
			l.Set(i, j, a.At(i, j)*scale[i]*scale[j])
		}
	}
	if Cholesky(l) >= 0 {
		return Matrix{}, false
	}
	for i := range n {
		if p := l.At(i, i); p*p < tolerance {
			return Matrix{}, false
		}
	}
	inverse := New(n, n)
	CholeskyInverse(l, n, inverse, New(n, n))
	Mirror(inverse)
	for i := range n {
		for j := range n {
			inverse.Data[i*n+j] *= scale[i] * scale[j]
		}
	}
	return inverse, true
}
