package dense

import "math"

// QR is an orthogonal basis of columns taken in their order, with the columns that add nothing left out.
type QR struct {
	Q       Matrix // one orthonormal vector a row, kept × length
	R       Matrix // upper triangle, kept × kept: kept column j = Σ R(i, j)·Q row i
	Kept    []int
	Dropped []int
}

// Factor orthogonalises the rows of columns (each row one column of a model matrix) in their order. A column of which
// less than tolerance times its own length is left, once the kept ones before it have been projected out twice
// (Giraud, Langou & Rozložník 2005: twice is enough), is dropped. Columns may differ in scale by any amount.
func Factor(columns Matrix, tolerance float64) QR {
	p, n := columns.Rows, columns.Cols
	f := QR{Q: New(min(p, n), n)}
	r := New(p, p)
	along := make([]float64, p)
	for j := range p {
		k := len(f.Kept)
		length := Norm(columns.Row(j))
		if k == n || !(length > 0) {
			f.Dropped = append(f.Dropped, j)
			continue
		}
		q := f.Q.Row(k)
		for i, x := range columns.Row(j) {
			q[i] = x / length
		}
		clear(along)
		f.project(q, k, along)
		f.project(q, k, along)
		left := Norm(q)
		if !(left > tolerance) {
			f.Dropped = append(f.Dropped, j)
			continue
		}
		for i := range q {
			q[i] /= left
		}
		for i := range k {
			r.Set(i, k, along[i]*length)
		}
		r.Set(k, k, left*length)
		f.Kept = append(f.Kept, j)
	}
	k := len(f.Kept)
	f.Q = Matrix{Rows: k, Cols: n, Data: f.Q.Data[:k*n]}
	f.R = New(k, k)
	for i := range k {
		copy(f.R.Row(i), r.Row(i)[:k])
	}
	return f
}

// project takes the first k vectors out of v and adds their shares to along.
func (f *QR) project(v []float64, k int, along []float64) {
	for i := range k {
		q := f.Q.Row(i)
		s := Dot(q, v)
		Axpy(-s, q, v)
		along[i] += s
	}
}

// Project takes the whole basis out of v, twice, and returns Qᵀv.
func (f *QR) Project(v []float64) []float64 {
	along := make([]float64, len(f.Kept))
	f.project(v, len(f.Kept), along)
	f.project(v, len(f.Kept), along)
	return along
}

// SolveUpper replaces b by R⁻¹b.
func SolveUpper(r Matrix, b []float64) {
	for i := len(b) - 1; i >= 0; i-- {
		row := r.Row(i)
		b[i] = (b[i] - Dot(row[i+1:len(b)], b[i+1:])) / row[i]
	}
}

// SolveUpperT replaces b by R⁻ᵀb: the row b·R⁻¹. Zeros at the front of b cost nothing.
func SolveUpperT(r Matrix, b []float64) {
	front := 0
	for front < len(b) && b[front] == 0 {
		front++
	}
	for i := front; i < len(b); i++ {
		row := r.Row(i)
		b[i] /= row[i]
		Axpy(-b[i], row[i+1:len(b)], b[i+1:])
	}
}

// Norm is the length of a vector, safe against overflow and underflow of the squares.
func Norm(v []float64) float64 {
	if s := Dot(v, v); s > 1e-200 && s < 1e200 {
		return math.Sqrt(s)
	}
	most := 0.0
	for _, x := range v {
		if a := math.Abs(x); !(a <= most) {
			most = a
		}
	}
	if most == 0 || math.IsInf(most, 0) || math.IsNaN(most) {
		return most
	}
	s := 0.0
	for _, x := range v {
		s += (x / most) * (x / most)
	}
	return most * math.Sqrt(s)
}
