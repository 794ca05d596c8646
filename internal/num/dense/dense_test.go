package dense

import (
	"math"
	"math/rand/v2"
	"testing"
)

func random(r *rand.Rand, rows, cols int) Matrix {
	m := New(rows, cols)
	for i := range m.Data {
		m.Data[i] = r.NormFloat64()
	}
	return m
}

// definite returns A·Aᵀ + I.
func definite(r *rand.Rand, n int) Matrix {
	a, s := random(r, n, n), New(n, n)
	AddMulT(s, a, a, 1, false)
	for i := range n {
		s.Data[i*n+i]++
	}
	return s
}

// TestAddMulT compares the blocked product with the sum written out, at sizes on every side of the blocks.
func TestAddMulT(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for _, s := range [][3]int{{1, 1, 1}, {3, 5, 2}, {4, 2, 7}, {65, 63, 257}, {130, 129, 300}, {64, 64, 1}} {
		a, b := random(r, s[0], s[2]), random(r, s[1], s[2])
		c := random(r, s[0], s[1])
		want := Matrix{c.Rows, c.Cols, append([]float64(nil), c.Data...)}
		for i := range s[0] {
			for j := range s[1] {
				for k := range s[2] {
					want.Data[i*s[1]+j] -= a.At(i, k) * b.At(j, k)
				}
			}
		}
		AddMulT(c, a, b, -1, false)
		for i, x := range c.Data {
			if math.Abs(x-want.Data[i]) > 1e-12*float64(s[2]) {
				t.Fatalf("%v: entry %d is %v, want %v", s, i, x, want.Data[i])
			}
		}
	}
}

// TestCholesky multiplies the factor back and the inverse with the matrix, below, at and above the block size.
func TestCholesky(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for _, n := range []int{1, 2, 7, 95, 96, 130, 257} {
		a := definite(r, n)
		l := Matrix{n, n, append([]float64(nil), a.Data...)}
		if bad := Cholesky(l); bad >= 0 {
			t.Fatalf("n = %d: stopped at %d", n, bad)
		}
		inverse := New(n, n)
		CholeskyInverse(l, n, inverse, New(n, n))
		Mirror(inverse)
		product := New(n, n)
		AddMulT(product, a, inverse, 1, false)
		for i := range n {
			for j := range n {
				back := Dot(l.Row(i)[:min(i, j)+1], l.Row(j)[:min(i, j)+1])
				if math.Abs(back-a.At(i, j)) > 1e-11*float64(n) {
					t.Fatalf("n = %d: LLᵀ(%d, %d) = %v, want %v", n, i, j, back, a.At(i, j))
				}
				want := 0.0
				if i == j {
					want = 1
				}
				if math.Abs(product.At(i, j)-want) > 1e-9 {
					t.Fatalf("n = %d: A·A⁻¹(%d, %d) = %v", n, i, j, product.At(i, j))
				}
			}
		}
	}
}

func TestCholeskyNamesTheBadPivot(t *testing.T) {
	for _, n := range []int{5, 200} {
		a := New(n, n)
		for i := range n {
			a.Set(i, i, 1)
		}
		a.Set(n-2, n-2, -1)
		if bad := Cholesky(a); bad != n-2 {
			t.Errorf("n = %d: stopped at %d, want %d", n, bad, n-2)
		}
	}
}

// TestFactorDropsLaterColumns builds columns on scales from 1e-9 to 1e9 of which some are sums of earlier ones.
func TestFactorDropsLaterColumns(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 50 {
		n := 12 + r.IntN(20)
		c := random(r, 7, n)
		for i := range n { // columns 3 and 5 depend on what stands before them
			c.Set(3, i, 2*c.At(0, i)-c.At(1, i))
			c.Set(5, i, c.At(4, i)+c.At(2, i)/2)
		}
		for j := range 7 {
			scale := math.Pow(10, 18*r.Float64()-9)
			for i := range n {
				c.Data[j*n+i] *= scale
			}
		}
		f := Factor(c, 1e-11)
		if len(f.Dropped) != 2 || f.Dropped[0] != 3 || f.Dropped[1] != 5 {
			t.Fatalf("dropped %v, want [3 5]", f.Dropped)
		}
		for a, j := range f.Kept {
			for b := range f.Kept {
				want := 0.0
				if a == b {
					want = 1
				}
				if d := Dot(f.Q.Row(a), f.Q.Row(b)); math.Abs(d-want) > 1e-14 {
					t.Fatalf("Q is not orthonormal: %v", d)
				}
			}
			for i := range n {
				back := 0.0
				for b := range a + 1 {
					back += f.R.At(b, a) * f.Q.At(b, i)
				}
				if math.Abs(back-c.At(j, i)) > 1e-14*Norm(c.Row(j)) {
					t.Fatalf("column %d: QR gives %v, want %v", j, back, c.At(j, i))
				}
			}
		}
	}
}

// TestTriangles solves with each of the four triangles and multiplies back.
func TestTriangles(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	n := 9
	l := random(r, n, n)
	for i := range n {
		l.Set(i, i, 3+r.Float64())
		for j := i + 1; j < n; j++ {
			l.Set(i, j, 0)
		}
	}
	u := New(n, n)
	for i := range n {
		for j := range n {
			u.Set(j, i, l.At(i, j))
		}
	}
	b := random(r, 1, n).Data
	solve := func(name string, m Matrix, transposed bool, f func(Matrix, []float64)) {
		x := append([]float64(nil), b...)
		f(m, x)
		for i := range n {
			s := 0.0
			for j := range n {
				if transposed {
					s += m.At(j, i) * x[j]
				} else {
					s += m.At(i, j) * x[j]
				}
			}
			if math.Abs(s-b[i]) > 1e-12 {
				t.Errorf("%s: row %d gives %v, want %v", name, i, s, b[i])
			}
		}
	}
	solve("lower", l, false, SolveLower)
	solve("lower transposed", l, true, SolveLowerT)
	solve("upper", u, false, SolveUpper)
	solve("upper transposed", u, true, SolveUpperT)
}

// TestEigen checks a matrix with known values (2 on the diagonal, -1 beside it: 2 - 2 cos(kπ/(n+1)), the discrete
// Laplacian) and that vectors are orthonormal and belong to their values.
func TestEigen(t *testing.T) {
	n := 6
	a := New(n, n)
	for i := range n {
		a.Set(i, i, 2)
		if i > 0 {
			a.Set(i, i-1, -1)
			a.Set(i-1, i, -1)
		}
	}
	values, vectors := Eigen(a)
	for k := 1; k <= n; k++ {
		want, found := 2-2*math.Cos(float64(k)*math.Pi/float64(n+1)), false
		for _, v := range values {
			found = found || math.Abs(v-want) < 1e-13
		}
		if !found {
			t.Errorf("no eigenvalue %v among %v", want, values)
		}
	}
	for i := range n {
		for j := range n {
			if d := Dot(a.Row(j), vectors.Row(i)) - values[i]*vectors.At(i, j); math.Abs(d) > 1e-13 {
				t.Errorf("vector %d does not belong to its value: %v", i, d)
			}
		}
	}
}

func TestInvertIsFreeOfScale(t *testing.T) {
	a := Matrix{2, 2, []float64{2e-18, 1, 1, 2e18}} // diag(1e-9, 1e9)·[2 1; 1 2]·diag(1e-9, 1e9)
	inverse, ok := Invert(a, 1e-12)
	if !ok {
		t.Fatal("refused a matrix that only has odd units")
	}
	for i, want := range []float64{2. / 3 * 1e18, -1. / 3, -1. / 3, 2. / 3 * 1e-18} {
		if math.Abs(inverse.Data[i]-want) > 1e-12*math.Abs(want) {
			t.Errorf("entry %d is %v, want %v", i, inverse.Data[i], want)
		}
	}
	if _, ok := Invert(Matrix{2, 2, []float64{1, 1, 1, 1}}, 1e-12); ok {
		t.Error("inverted a singular matrix")
	}
}

func BenchmarkInverse(b *testing.B) {
	for _, n := range []int{32, 256, 1158} {
		b.Run(map[int]string{32: "small", 256: "middle", 1158: "large"}[n], func(b *testing.B) {
			a := definite(rand.New(rand.NewPCG(5, 5)), n)
			l, inverse, scratch := New(n, n), New(n, n), New(n, n)
			for b.Loop() {
				copy(l.Data, a.Data)
				Cholesky(l)
				CholeskyInverse(l, n, inverse, scratch)
			}
		})
	}
}

// TestKernels compares the kernel of this processor with the plain one at every length up to a few blocks of lanes.
func TestKernels(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for k := 1; k < 40; k++ {
		m := random(r, 6, k)
		got := dot4x2(m.Row(0), m.Row(1), m.Row(2), m.Row(3), m.Row(4), m.Row(5))
		want := plainDot4x2(m.Row(0), m.Row(1), m.Row(2), m.Row(3), m.Row(4), m.Row(5))
		for i := range got {
			exact := plainDot(m.Row(i/2), m.Row(4+i%2))
			if math.Abs(got[i]-exact) > 1e-14*float64(k) || math.Abs(want[i]-exact) > 1e-14*float64(k) {
				t.Fatalf("length %d, sum %d: %v and %v, want %v", k, i, got[i], want[i], exact)
			}
		}
	}
}

// TestVectors: whole numbers have exact sums, in whatever order they are added, at every length around the blocks of lanes.
func TestVectors(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for k := range 100 {
		a, b := make([]float64, k), make([]float64, k+1)
		want := 0.0
		for i := range a {
			a[i], b[i] = float64(r.IntN(2000)-1000), float64(r.IntN(2000)-1000)
			want += a[i] * b[i]
		}
		b[k] = 12345 // beyond the end, not to be touched
		if got := Dot(a, b[:k]); got != want {
			t.Fatalf("length %d: inner product %v, want %v", k, got, want)
		}
		sum := append([]float64(nil), b...)
		Axpy(-3, a, sum[:k])
		for i, x := range a {
			if sum[i] != b[i]-3*x {
				t.Fatalf("length %d: entry %d is %v, want %v", k, i, sum[i], b[i]-3*x)
			}
		}
		if sum[k] != 12345 {
			t.Fatalf("length %d: written beyond the end", k)
		}
	}
}

// BenchmarkVectors is the inner product and the sum of vectors in the cache.
func BenchmarkVectors(b *testing.B) {
	m := random(rand.New(rand.NewPCG(8, 8)), 2, 960)
	b.Run("dot", func(b *testing.B) {
		for b.Loop() {
			Dot(m.Row(0), m.Row(1))
		}
	})
	b.Run("plainDot", func(b *testing.B) {
		for b.Loop() {
			plainDot(m.Row(0), m.Row(1))
		}
	})
	b.Run("axpy", func(b *testing.B) {
		for b.Loop() {
			Axpy(1e-9, m.Row(0), m.Row(1))
		}
	})
	b.Run("plainAxpy", func(b *testing.B) {
		for b.Loop() {
			plainAxpy(1e-9, m.Row(0), m.Row(1))
		}
	})
}
