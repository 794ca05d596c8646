//go:build !amd64

package dense

func dot4x2(a0, a1, a2, a3, b0, b1 []float64) [8]float64 { return plainDot4x2(a0, a1, a2, a3, b0, b1) }
