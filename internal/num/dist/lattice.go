package dist

import (
	"math"
	"math/rand/v2"

	"fairplot/internal/num/dense"
)

// lattice is the tail of max |Z_i| for many differences of any correlations: the two-factor law nearest to them, by quadrature, plus the
// difference between the two laws, sampled at the same points of a shifted lattice. What is sampled is as small as the misfit.
type lattice struct {
	near          twoFactor
	gap           polynomial // U - U of the near law, on [0, latticeEnd]
	standardError float64
	count         float64
}

const (
	latticeEnd    = 6.0 // the tail of one difference beyond is 2e-9
	fewPoints     = 1021
	manyPoints    = 2039 // where few leave a standard error above fineEnough
	fineEnough    = 2e-5
	latticeShifts = 10
	gapNodes      = 20
)

func newLattice(corr dense.Matrix, near twoFactor, seed uint64) (lattice, error) {
	order := loosestFirst(corr)
	corr, near = permuted(corr, order), near.permuted(order)
	out := lattice{near: near, count: float64(corr.Rows)}
	l, ok := semidefinite(corr)
	if !ok {
		return out, errNotPositive
	}
	c, _ := semidefinite(near.correlation())
	out.sample(l, c, fewPoints, seed)
	if out.standardError > fineEnough {
		out.sample(l, c, manyPoints, seed)
	}
	return out, nil
}

func (r *lattice) sample(l, near dense.Matrix, count int, seed uint64) {
	at := newInterpolation(gapNodes)
	gaps := make([]float64, gapNodes)
	points := latticeRule(count, l.Rows-1, rand.New(rand.NewPCG(seed, uint64(count))))
	r.standardError = 0
	for n, x := range at.nodes {
		gap, se := sampledGap(l, near, points, (x+1)/2*latticeEnd)
		gaps[n] = gap
		r.standardError = max(r.standardError, se)
	}
	r.gap = at.through(gaps)
}

// upper keeps between the tail of one difference and the sum of all, where the true one lies.
func (r lattice) upper(w float64) float64 {
	one := math.Erfc(w / math.Sqrt2)
	u := r.near.upper(w)
	if w < latticeEnd {
		u += r.gap.at(2*w/latticeEnd - 1)
	}
	return min(1, max(one, min(u, r.count*one)))
}

// loosestFirst orders the differences so that each is the one least fixed by those before it: the narrow intervals come last, where they
// are integrated in closed form or nearly so.
func loosestFirst(corr dense.Matrix) []int {
	n := corr.Rows
	rest := dense.Matrix{Rows: n, Cols: n, Data: append([]float64(nil), corr.Data...)}
	order, used := make([]int, 0, n), make([]bool, n)
	for range n {
		best := -1
		for i := range n {
			if !used[i] && (best < 0 || rest.At(i, i) > rest.At(best, best)+1e-9) {
				best = i
			}
		}
		order, used[best] = append(order, best), true
		pivot := rest.At(best, best)
		if pivot < 1e-9 {
			continue
		}
		row := append([]float64(nil), rest.Row(best)...)
		for i := range n {
			dense.Axpy(-row[i]/pivot, row, rest.Row(i))
		}
	}
	return order
}

func permuted(corr dense.Matrix, order []int) dense.Matrix {
	out := dense.New(corr.Rows, corr.Rows)
	for i, a := range order {
		for j, b := range order {
			out.Set(i, j, corr.At(a, b))
		}
	}
	return out
}

// semidefinite is Cholesky's factor with pivots below 1e-12 taken as 0; false where one is negative beyond that.
func semidefinite(corr dense.Matrix) (dense.Matrix, bool) {
	n := corr.Rows
	l := dense.New(n, n)
	for i := range n {
		for j := range i {
			if p := l.At(j, j); p > 0 {
				l.Set(i, j, (corr.At(i, j)-dense.Dot(l.Row(i)[:j], l.Row(j)[:j]))/p)
			}
		}
		pivot := corr.At(i, i) - dense.Dot(l.Row(i)[:i], l.Row(i)[:i])
		if pivot < -1e-9 {
			return l, false
		}
		if pivot > 1e-12 {
			l.Set(i, i, math.Sqrt(pivot))
		}
	}
	return l, true
}

// latticeRule returns shifted copies of the points {n sqrt(prime)}, folded like a tent so that the integrand is periodic
// (Genz & Bretz 2002, J. Comput. Graph. Stat. 11:950-971).
func latticeRule(count, dimensions int, random *rand.Rand) [][][]float64 {
	step := primeRoots(dimensions)
	out := make([][][]float64, latticeShifts)
	for s := range out {
		shift := make([]float64, dimensions)
		for k := range shift {
			shift[k] = random.Float64()
		}
		out[s] = make([][]float64, count)
		for n := range out[s] {
			point := make([]float64, dimensions)
			for k := range point {
				_, part := math.Modf(float64(n+1)*step[k] + shift[k])
				point[k] = 1 - math.Abs(2*part-1)
			}
			out[s][n] = point
		}
	}
	return out
}

func primeRoots(n int) []float64 {
	var roots []float64
	for p := 2; len(roots) < n; p++ {
		prime := true
		for d := 2; d*d <= p; d++ {
			prime = prime && p%d != 0
		}
		if prime {
			roots = append(roots, math.Sqrt(float64(p)))
		}
	}
	return roots
}

// sampledGap is the mean over the shifts of P(all |Z| <= w) under the near law minus that under the true one, and its standard error.
func sampledGap(l, near dense.Matrix, shifts [][][]float64, w float64) (gap, standardError float64) {
	y := make([]float64, l.Rows)
	var sum, squares float64
	for _, points := range shifts {
		mean := 0.0
		for _, x := range points {
			mean += boxed(near, x, y, w) - boxed(l, x, y, w)
		}
		mean /= float64(len(points))
		sum += mean
		squares += mean * mean
	}
	n := float64(len(shifts))
	gap = sum / n
	return gap, math.Sqrt(max(0, squares/n-gap*gap) / (n - 1))
}

// boxed is Genz's (1992, J. Comput. Graph. Stat. 1:141-149) integrand of P(all |Z| <= w): each value is drawn inside its interval
// given those before, and the intervals' probabilities multiply.
func boxed(l dense.Matrix, x, y []float64, w float64) float64 {
	product := 1.0
	for i := range l.Rows {
		mean, spread := dense.Dot(l.Row(i)[:i], y[:i]), l.At(i, i)
		if spread == 0 {
			if math.Abs(mean) > w+1e-9 {
				return 0
			}
			y[i] = 0
			continue
		}
		low := NormalLower((-w - mean) / spread)
		width := NormalLower((w-mean)/spread) - low
		product *= width
		if product == 0 {
			return 0
		}
		if i < len(x) {
			y[i] = NormalQuantile(min(max(low+x[i]*width, 1e-300), 1-epsilon))
		}
	}
	return product
}
