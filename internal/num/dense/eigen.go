package dense

import "math"

// Eigen returns eigenvalues and eigenvectors (one a row) of a small symmetric matrix by Jacobi's rotations
// (Golub & Van Loan, Matrix Computations, the cyclic method), in no particular order.
func Eigen(a Matrix) (values []float64, vectors Matrix) {
	n := a.Rows
	m := Matrix{Rows: n, Cols: n, Data: append([]float64(nil), a.Data...)}
	vectors = New(n, n)
	for i := range n {
		vectors.Set(i, i, 1)
	}
	for range 60 {
		off, size := 0.0, 0.0
		for i := range n {
			for j := range n {
				size += m.At(i, j) * m.At(i, j)
				if i != j {
					off += m.At(i, j) * m.At(i, j)
				}
			}
		}
		if off <= 1e-32*size {
			break
		}
		for i := range n {
			for j := i + 1; j < n; j++ {
				rotate(m, vectors, i, j)
			}
		}
	}
	values = make([]float64, n)
	for i := range n {
		values[i] = m.At(i, i)
	}
	return values, vectors
}

// rotate turns axes i and j so that entry (i, j) becomes 0.
func rotate(m, vectors Matrix, i, j int) {
	b := m.At(i, j)
	if b == 0 {
		return
	}
	tau := (m.At(j, j) - m.At(i, i)) / (2 * b)
	t := math.Copysign(1, tau) / (math.Abs(tau) + math.Hypot(1, tau))
	c := 1 / math.Hypot(1, t)
	s := c * t
	for k := range m.Rows {
		x, y := m.At(k, i), m.At(k, j)
		m.Set(k, i, c*x-s*y)
		m.Set(k, j, s*x+c*y)
	}
	for k := range m.Rows {
		x, y := m.At(i, k), m.At(j, k)
		m.Set(i, k, c*x-s*y)
		m.Set(j, k, s*x+c*y)
		x, y = vectors.At(i, k), vectors.At(j, k)
		vectors.Set(i, k, c*x-s*y)
		vectors.Set(j, k, s*x+c*y)
	}
}
