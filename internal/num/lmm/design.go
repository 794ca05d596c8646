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
	if err := d.orthogonalise(data); err != nil {
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
func (d *design) orthogonalise(data Data) error {
	first := d.distinct(data.X)
	if inverse, ok := steady(data.R); ok {
		d.divideAxes(data, inverse, first)
	} else if err := d.factorAxes(data.X, first); err != nil {
		return err
	}
	for j := range d.p {
		d.logR += 2 * math.Log(math.Abs(d.r.At(j, j)))
	}
	return nil
}

// divideAxes takes Q = XR⁻¹ from a triangle that is known. Most rows of X are mostly 0.
func (d *design) divideAxes(data Data, inverse dense.Matrix, first []int) {
	d.r = data.R
	d.axes = dense.New(len(first), d.p)
	for c, i := range first {
		axis := d.axes.Row(c)
		for j, x := range data.X.Row(i) {
			if x != 0 {
				dense.Axpy(x, inverse.Row(j)[j:], axis[j:])
			}
		}
	}
}

// factorAxes works out the triangle and Q.
func (d *design) factorAxes(x dense.Matrix, first []int) error {
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
	return nil
}

// even is how far the condition of a triangle may go, its columns brought to one length, for XR⁻¹ to be orthonormal to 13 digits or so: what is lost is
// the rounding times the condition (Higham 2002, Accuracy and Stability of Numerical Algorithms, § 19.6).
const even = 1e3

// steady returns R⁻¹ if R may be divided by: if |DR⁻¹|, D the lengths of its columns, is small.
func steady(r dense.Matrix) (inverse dense.Matrix, ok bool) {
	p := r.Rows
	if p == 0 {
		return dense.Matrix{}, false
	}
	length := make([]float64, p)
	for i := range p {
		for j, x := range r.Row(i)[i:] {
			length[i+j] += x * x
		}
	}
	inverse = dense.New(p, p)
	sum := 0.0
	for i := range p {
		row := inverse.Row(i)
		row[i] = 1
		dense.SolveUpperT(r, row)
		sum += length[i] * dense.Dot(row, row)
	}
	return inverse, sum <= even*even
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
