package lmm

import (
	"math"
	"slices"

	"fairplot/internal/num/dense"
)

// design is all that depends on X, the groupings and the weights alone; models of the same design share it.
type design struct {
	n, p, nf int // rows, fixed effects, n - p
	groups   []group
	root     []float64 // square roots of the weights; nil when all are 1
	logW     float64   // Σ log w

	// Q, the orthonormal basis of X, has few distinct rows in most tables: row i is root[i]·axes[class[i]].
	class []int32
	axes  dense.Matrix // distinct rows × p
	r     dense.Matrix // X = QR (each row times the root of its weight)
	logR  float64      // 2 log |det R|

	chain     []link
	scattered bool // the first level's rows are kept sparse; the chain has then one level
	rest      []block
	m, t      int // columns of the tail from groupings, and with X
	budget    int // adjustedBudget, but in tests

	first  rows         // Z'W of the first level of the chain, y excepted
	base   dense.Matrix // W'W, y excepted; (t+1) × (t+1)
	minque dense.Matrix // left side of the equations of the start, residual last
}

// group is a grouping with its weighted class sizes and its shadow on X.
type group struct {
	name   string
	q      int
	class  []int32
	size   []float64    // Σ w of each class: diagonal of Z'Z
	shadow dense.Matrix // Z'Q, q × p
}

// link is one level of the chain: the k-th grouping, with the class of the next level that each class lies in.
type link struct {
	k, q   int
	parent []int32 // nil at the top
}

// block is one grouping of the tail.
type block struct {
	k, at, q int
	size     float64 // largest class
}

func newDesign(data Data, as layout) (*design, error) {
	if err := check(data); err != nil {
		return nil, err
	}
	d := &design{n: len(data.Y), p: data.X.Cols, nf: len(data.Y) - data.X.Cols, budget: adjustedBudget}
	if d.nf <= 0 {
		return nil, failed(NoResidual, "", "%d rows are not more than %d fixed effects, so nothing is left over to judge by", d.n, d.p)
	}
	if data.Weights != nil {
		d.root = make([]float64, d.n)
		for i, w := range data.Weights {
			d.root[i] = math.Sqrt(w)
			d.logW += math.Log(w)
		}
	}
	if err := d.orthogonalise(data.X); err != nil {
		return nil, err
	}
	for _, g := range data.Groupings {
		d.groups = append(d.groups, d.shadow(g))
	}
	if err := d.arrange(as); err != nil {
		return nil, err
	}
	d.cross()
	if err := d.identify(); err != nil {
		return nil, err
	}
	return d, d.saturated()
}

func (d *design) weight(i int) float64 {
	if d.root == nil {
		return 1
	}
	return d.root[i] * d.root[i]
}

// orthogonalise finds X = QR from the distinct rows of X.
func (d *design) orthogonalise(x dense.Matrix) error {
	first := d.distinct(x)
	q := len(first)
	total := make([]float64, q)
	for i, c := range d.class {
		total[c] += d.weight(i)
	}
	columns := dense.New(d.p, q)
	for c, i := range first {
		s := math.Sqrt(total[c])
		for j, v := range x.Row(i) {
			columns.Data[j*q+c] = s * v
		}
	}
	f := dense.Factor(columns, 1e-12)
	if len(f.Dropped) > 0 {
		return failed(Deficient, "", "fixed effect %d is determined by the ones before it", f.Dropped[0]+1)
	}
	d.r = f.R
	d.axes = dense.New(q, d.p)
	for c := range first {
		s := 1 / math.Sqrt(total[c])
		for j := range d.p {
			d.axes.Data[c*d.p+j] = s * f.Q.Data[j*q+c]
		}
	}
	for j := range d.p {
		d.logR += 2 * math.Log(math.Abs(d.r.At(j, j)))
	}
	return nil
}

// distinct numbers the different rows of X in class and returns the first row of each.
func (d *design) distinct(x dense.Matrix) []int {
	bits := 4
	for 1<<bits < 2*d.n {
		bits++
	}
	table := make([]int32, 1<<bits)
	d.class = make([]int32, d.n)
	var first []int
	for i := range d.n {
		row := x.Row(i)
		at := hash(row) >> (64 - bits)
		for table[at] != 0 && !same(row, x.Row(first[table[at]-1])) {
			at = (at + 1) & (1<<bits - 1)
		}
		if table[at] == 0 {
			first = append(first, i)
			table[at] = int32(len(first))
		}
		d.class[i] = table[at] - 1
	}
	return first
}

func hash(row []float64) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	for _, v := range row {
		h ^= math.Float64bits(v)
		h *= 0xff51afd7ed558ccd
		h ^= h >> 32
	}
	return h * 0x9e3779b97f4a7c15
}

func same(a, b []float64) bool {
	for j, v := range a {
		if v != b[j] {
			return false
		}
	}
	return true
}

// shadow reads a grouping and forms Z'Z and Z'Q.
func (d *design) shadow(g Grouping) group {
	out := group{name: g.Name, q: g.Levels, class: slices.Clone(g.Class), size: make([]float64, g.Levels), shadow: dense.New(g.Levels, d.p)}
	for i, c := range g.Class {
		w := d.weight(i)
		out.size[c] += w
		dense.Axpy(w, d.axes.Row(int(d.class[i])), out.shadow.Row(int(c)))
	}
	return out
}
