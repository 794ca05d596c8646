//go:build !amd64

package dense

func dot4x2(a0, a1, a2, a3, b0, b1 []float64) [8]float64 { return plainDot4x2(a0, a1, a2, a3, b0, b1) }

// Dot is the inner product of two vectors of the same length.
func Dot(a, b []float64) float64 { return plainDot(a, b) }

// Axpy adds x times a to b, in place.
func Axpy(x float64, a, b []float64) { plainAxpy(x, a, b) }
