package dense

import (
	"runtime"
	"sync"
	"sync/atomic"
)

const (
	tile  = 64  // rows of a block
	depth = 256 // length of the inner products taken at once, so that both blocks stay in the cache
	share = 4e5 // multiplications below which a second goroutine costs more than it gains
)

// AddMulT adds sign·A·Bᵀ to C. All three work row against row, so that every inner loop runs along memory. With lower
// set, blocks wholly above the diagonal are left as they are; the others are complete.
func AddMulT(c, a, b Matrix, sign float64, lower bool) {
	if a.Cols != b.Cols || c.Rows != a.Rows || c.Cols != b.Rows {
		panic("dense: AddMulT: shapes do not fit")
	}
	rows := (c.Rows + tile - 1) / tile
	if float64(c.Rows)*float64(c.Cols)*float64(a.Cols) < share || runtime.GOMAXPROCS(0) == 1 {
		for i := range rows {
			addBand(c, a, b, sign, lower, i)
		}
		return
	}
	parallel(rows, func(i int) { addBand(c, a, b, sign, lower, rows-1-i) })
}

// addBand does one band of tile rows of AddMulT.
func addBand(c, a, b Matrix, sign float64, lower bool, band int) {
	i := band * tile
	m := min(tile, c.Rows-i)
	cols := c.Cols
	if lower {
		cols = min(cols, i+m)
	}
	for k := 0; k < a.Cols; k += depth {
		d := min(depth, a.Cols-k)
		for j := 0; j < cols; j += tile {
			n := min(tile, cols-j)
			addTile(c.Data[i*c.Cols+j:], c.Cols, a.Data[i*a.Cols+k:], a.Cols, b.Data[j*b.Cols+k:], b.Cols, m, n, d, sign)
		}
	}
}

// addTile is C += sign·A·Bᵀ for m × n entries and inner length k; each matrix comes with its stride.
func addTile(c []float64, ldc int, a []float64, lda int, b []float64, ldb int, m, n, k int, sign float64) {
	if k == 0 {
		return
	}
	i := 0
	for ; i+4 <= m; i += 4 {
		a0, a1 := a[i*lda:i*lda+k], a[(i+1)*lda:(i+1)*lda+k]
		a2, a3 := a[(i+2)*lda:(i+2)*lda+k], a[(i+3)*lda:(i+3)*lda+k]
		j := 0
		for ; j+2 <= n; j += 2 {
			s := dot4x2(a0, a1, a2, a3, b[j*ldb:j*ldb+k], b[(j+1)*ldb:(j+1)*ldb+k])
			at := i*ldc + j
			c[at] += sign * s[0]
			c[at+1] += sign * s[1]
			c[at+ldc] += sign * s[2]
			c[at+ldc+1] += sign * s[3]
			c[at+2*ldc] += sign * s[4]
			c[at+2*ldc+1] += sign * s[5]
			c[at+3*ldc] += sign * s[6]
			c[at+3*ldc+1] += sign * s[7]
		}
		for ; j < n; j++ {
			bj := b[j*ldb : j*ldb+k]
			at := i*ldc + j
			c[at] += sign * Dot(a0, bj)
			c[at+ldc] += sign * Dot(a1, bj)
			c[at+2*ldc] += sign * Dot(a2, bj)
			c[at+3*ldc] += sign * Dot(a3, bj)
		}
	}
	for ; i < m; i++ {
		ai := a[i*lda : i*lda+k]
		for j := range n {
			c[i*ldc+j] += sign * Dot(ai, b[j*ldb:j*ldb+k])
		}
	}
}

// plainDot4x2 takes eight inner products at once: six loads for sixteen operations.
func plainDot4x2(a0, a1, a2, a3, b0, b1 []float64) (s [8]float64) {
	a1, a2, a3 = a1[:len(a0)], a2[:len(a0)], a3[:len(a0)]
	b0, b1 = b0[:len(a0)], b1[:len(a0)]
	var s00, s01, s10, s11, s20, s21, s30, s31 float64
	for l, x := range a0 {
		y0, y1 := b0[l], b1[l]
		s00 += x * y0
		s01 += x * y1
		x = a1[l]
		s10 += x * y0
		s11 += x * y1
		x = a2[l]
		s20 += x * y0
		s21 += x * y1
		x = a3[l]
		s30 += x * y0
		s31 += x * y1
	}
	return [8]float64{s00, s01, s10, s11, s20, s21, s30, s31}
}

// plainDot takes an inner product in two sums.
func plainDot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1 float64
	l := 0
	for ; l+2 <= len(a); l += 2 {
		s0 += a[l] * b[l]
		s1 += a[l+1] * b[l+1]
	}
	if l < len(a) {
		s0 += a[l] * b[l]
	}
	return s0 + s1
}

// plainAxpy adds x times a to b, number by number.
func plainAxpy(x float64, a, b []float64) {
	b = b[:len(a)]
	for l, v := range a {
		b[l] += x * v
	}
}

// Mirror copies the lower triangle of a square matrix to its upper one.
func Mirror(m Matrix) {
	n := m.Cols
	for i := range m.Rows {
		row := m.Data[i*n : i*n+i]
		for j, x := range row {
			m.Data[j*n+i] = x
		}
	}
}

// parallel runs f(0) to f(n-1) on all the processors the program may use.
func parallel(n int, f func(int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	run := func() {
		for {
			i := int(next.Add(1)) - 1
			if i >= n {
				return
			}
			f(i)
		}
	}
	for range min(runtime.GOMAXPROCS(0), n) - 1 {
		wait.Go(run)
	}
	run()
	wait.Wait()
}
