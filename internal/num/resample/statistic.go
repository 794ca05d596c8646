package resample

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Tail is the direction that counts as evidence.
type Tail int

// The three directions: either treatment higher, a higher than b, a lower than b.
const (
	TwoSided Tail = iota
	Greater
	Less
)

// Difference returns the mean of y under treatment a minus that under b: its size, or with its sign for a
// one-sided question. y has one value a row, treatment is the arrangement as laid out.
func Difference(y []float64, treatment []int32, a, b int32, tail Tail) Statistic {
	others := slices.DeleteFunc(distinct(treatment), func(t int32) bool { return t == a || t == b })
	value := func(treatment []int32) float64 {
		var sum [2]float64
		var n [2]float64
		for i, t := range treatment {
			switch t {
			case a:
				sum[0] += y[i]
				n[0]++
			case b:
				sum[1] += y[i]
				n[1]++
			}
		}
		d := sum[0]/n[0] - sum[1]/n[1]
		switch tail {
		case Greater:
			return d
		case Less:
			return -d
		}
		return math.Abs(d)
	}
	s := Statistic{Value: value, Tolerance: 1e-9 * (slices.Max(y) - slices.Min(y)), Exchange: [][]int32{others}}
	if tail == TwoSided {
		s.Exchange = append(s.Exchange, []int32{a, b})
	}
	return s
}

// TreatmentF returns the F of the treatments in the least-squares analysis of the unit means: adjusted for
// blocks, or for the rows and columns of a Latin square, against what is left between units. Units weigh equally.
// It errs on a plan that Randomise would refuse and on one that leaves nothing for treatments or for error.
func TreatmentF(y []float64, p Plan) (Statistic, error) {
	l, err := p.lottery()
	if err != nil {
		return Statistic{}, err
	}
	if len(y) != len(p.Treatment) {
		return Statistic{}, fmt.Errorf("%d values for %d rows; give one each", len(y), len(p.Treatment))
	}
	u, _ := p.units() // checked by lottery
	means, err := unitMeans(y, u)
	if err != nil {
		return Statistic{}, err
	}
	names := distinct(p.Treatment)
	e := &eliminated{units: u, names: names, total: make([]float64, len(names))}
	switch l := l.(type) {
	case *blocks:
		e.fromBlocks(means, l)
	case *square:
		e.fromSquare(means, l)
	}
	if e.df1 = sweep(e.info); e.df1 == 0 {
		return Statistic{}, errors.New("treatments and blocks are the same here, so no treatment can be compared within a block")
	}
	if e.df2 = e.free - e.df1; e.df2 <= 0 {
		return Statistic{}, errors.New("no units are left over to judge the treatments by; more blocks or more units are needed")
	}
	return Statistic{Value: e.f, Exchange: [][]int32{names}}, nil
}

func unitMeans(y []float64, u unitTable) ([]float64, error) {
	sum, n := make([]float64, len(u.first)), make([]float64, len(u.first))
	for i, v := range y {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("row %d has no finite value; leave it out", i+1)
		}
		sum[u.of[i]] += v
		n[u.of[i]]++
	}
	for j := range sum {
		sum[j] /= n[j]
	}
	return sum, nil
}

// eliminated is an analysis with the blocks eliminated. How often each treatment stands in each block is the same
// in all arrangements, so info is inverted once and only the totals change.
type eliminated struct {
	units    unitTable
	names    []int32
	resid    []float64   // unit means less their block means
	ss       float64     // sum of squares of resid
	info     [][]float64 // R − N K⁻¹ Nᵀ, then a generalised inverse of it (John & Williams 1995, sec. 1.2)
	free     int         // df within blocks
	df1, df2 int
	total    []float64
}

func (e *eliminated) fromBlocks(means []float64, b *blocks) {
	k := len(e.names)
	e.resid, e.info = slices.Clone(means), square0(k)
	for _, inside := range b.inside {
		mean, counts := 0.0, make([]float64, k)
		for _, j := range inside {
			mean += means[j] / float64(len(inside))
			at, _ := slices.BinarySearch(e.names, e.units.treatment[j])
			counts[at]++
		}
		for _, j := range inside {
			e.resid[j] -= mean
		}
		for s := range k {
			e.info[s][s] += counts[s]
			for t := range k {
				e.info[s][t] -= counts[s] * counts[t] / float64(len(inside))
			}
		}
	}
	e.free = len(means) - len(b.inside)
	e.sum()
}

func (e *eliminated) fromSquare(means []float64, s *square) {
	k := len(e.names)
	e.resid, e.info = slices.Clone(means), square0(k)
	row, col, all := make([]float64, k), make([]float64, k), 0.0
	for i := range k {
		for j := range k {
			v := means[s.cell[i][j]] / float64(k)
			row[i] += v
			col[j] += v
			all += v / float64(k)
		}
		for t := range k {
			e.info[i][t] = -1
		}
		e.info[i][i] = float64(k - 1)
	}
	for i := range k {
		for j := range k {
			e.resid[s.cell[i][j]] += all - row[i] - col[j]
		}
	}
	e.free = (k - 1) * (k - 1)
	e.sum()
}

func (e *eliminated) sum() {
	for _, v := range e.resid {
		e.ss += v * v
	}
}

func (e *eliminated) f(treatment []int32) float64 {
	clear(e.total)
	for j, first := range e.units.first {
		at, _ := slices.BinarySearch(e.names, treatment[first])
		e.total[at] += e.resid[j]
	}
	ss := 0.0
	for s, row := range e.info {
		for t, v := range row {
			ss += e.total[s] * v * e.total[t]
		}
	}
	left := e.ss - ss
	if left <= 1e-14*e.ss {
		if ss <= 1e-14*e.ss {
			return math.NaN() // all units alike
		}
		return math.Inf(1)
	}
	return ss / float64(e.df1) / (left / float64(e.df2))
}

func square0(k int) [][]float64 {
	m := make([][]float64, k)
	for i := range m {
		m[i] = make([]float64, k)
	}
	return m
}

// sweep turns a symmetric non-negative matrix into a generalised inverse in place, passing over dependent
// columns, and returns its rank (Goodnight 1979, American Statistician 33:149-158).
func sweep(m [][]float64) int {
	k, rank, swept := len(m), 0, make([]bool, len(m))
	start := make([]float64, k)
	for i := range m {
		start[i] = m[i][i]
	}
	for p := range k {
		d := m[p][p]
		if d <= 1e-9*start[p] {
			continue
		}
		rank++
		swept[p] = true
		pivot(m, p)
	}
	for i := range k {
		for j := range k {
			if !swept[i] || !swept[j] {
				m[i][j] = 0
			} else {
				m[i][j] = -m[i][j]
			}
		}
	}
	return rank
}

// pivot sweeps row and column p; swept pivots carry the negative inverse.
func pivot(m [][]float64, p int) {
	d := m[p][p]
	for i := range m {
		for j := range m {
			if i != p && j != p {
				m[i][j] -= m[i][p] * m[p][j] / d
			}
		}
	}
	for i := range m {
		if i != p {
			m[i][p] /= d
			m[p][i] /= d
		}
	}
	m[p][p] = -1 / d
}
