package dense

//go:noescape
func dotLanes(a0, a1, a2, a3, b0, b1 *float64, k int, s *[8]float64)

//go:noescape
func dotLane(a, b *float64, k int) float64

//go:noescape
func axpyLane(x float64, a, b *float64, k int)

func identify(leaf, sub uint32) (a, b, c, d uint32)

func saved() uint32

// lanes tells whether the processor adds and multiplies four numbers at once, and the system keeps their registers
// (Intel 64 and IA-32 Architectures Software Developer's Manual, CPUID: leaf 1, ECX bits 12 FMA, 27 OSXSAVE, 28 AVX; leaf 7,
// EBX bit 5 AVX2; XCR0 bits 1 and 2).
var lanes = func() bool {
	most, _, _, _ := identify(0, 0)
	if most < 7 {
		return false
	}
	const needed = 1<<12 | 1<<27 | 1<<28
	_, _, c, _ := identify(1, 0)
	if c&needed != needed || saved()&6 != 6 {
		return false
	}
	_, b, _, _ := identify(7, 0)
	return b&(1<<5) != 0
}()

// dot4x2 takes eight inner products at once. Sums in lanes differ from sums one by one in the last digit or two, and so do
// processors.
func dot4x2(a0, a1, a2, a3, b0, b1 []float64) (s [8]float64) {
	k := len(a0)
	if !lanes || k < 8 {
		return plainDot4x2(a0, a1, a2, a3, b0, b1)
	}
	whole := k &^ 3
	a1, a2, a3, b0, b1 = a1[:k], a2[:k], a3[:k], b0[:k], b1[:k]
	dotLanes(&a0[0], &a1[0], &a2[0], &a3[0], &b0[0], &b1[0], whole, &s)
	for l := whole; l < k; l++ {
		y0, y1 := b0[l], b1[l]
		s[0] += a0[l] * y0
		s[1] += a0[l] * y1
		s[2] += a1[l] * y0
		s[3] += a1[l] * y1
		s[4] += a2[l] * y0
		s[5] += a2[l] * y1
		s[6] += a3[l] * y0
		s[7] += a3[l] * y1
	}
	return s
}

// long is the length from which a vector is worth the call that works on four numbers at once.
const long = 32

// Dot is the inner product of two vectors of the same length.
func Dot(a, b []float64) float64 {
	if len(a) < long || !lanes {
		return plainDot(a, b)
	}
	return longDot(a, b)
}

func longDot(a, b []float64) float64 {
	b = b[:len(a)]
	whole := len(a) &^ 15
	return dotLane(&a[0], &b[0], whole) + plainDot(a[whole:], b[whole:])
}

// Axpy adds x times a to b, in place.
func Axpy(x float64, a, b []float64) {
	if len(a) < long || !lanes {
		plainAxpy(x, a, b)
		return
	}
	longAxpy(x, a, b)
}

func longAxpy(x float64, a, b []float64) {
	b = b[:len(a)]
	whole := len(a) &^ 15
	axpyLane(x, &a[0], &b[0], whole)
	plainAxpy(x, a[whole:], b[whole:])
}
