package glmm

import (
	"fmt"
	"math"
	"slices"

	"fairplot/internal/num/dense"
)

// objective is minus the log-likelihood as a function of (φ, θ), with φ = Rβ and RᵀR = XᵀWX at even odds, so
// that the Hessian is of the order of 1 whatever the columns are measured in. It is even in each θ, so the search
// runs free of bounds and takes the size afterwards. It keeps work space and is not for two goroutines.
type objective struct {
	y, n   []float64
	x      dense.Matrix // columns times R⁻¹
	r      dense.Matrix // Rᵀ, lower triangular
	groups []Grouping
	by, a  []float64 // rows × groupings: covariates, 1 where there is none, and times the spreads: the rows of A
	at     []int32   // rows × groupings: place of each column in the order of elimination
	slots  []int32   // rows × pairs of groupings: where the entries of M lie
	block  []int     // grouping of each column, in the order of elimination
	logC   float64   // Σ log of binomial coefficients
	rule   rule
	member [][]int32 // rows of each class; quadrature only

	u        []float64 // conditional modes in the order of elimination; a warm start
	fixed    []float64 // Xβ
	rows     []moment
	m        precision
	meets    []float64 // rows × groupings: A M⁻¹ at the row's own columns
	leverage []float64 // diagonal of A M⁻¹ Aᵀ
	z        []float64

	uphill, step, trial []float64
	calls               int
}

func newObjective(d Data, nodes int) (*objective, error) {
	n := len(d.Success)
	o := &objective{y: d.Success, n: d.Trials, fixed: make([]float64, n), rows: make([]moment, n), leverage: make([]float64, n), meets: make([]float64, n*len(d.Groups))}
	if err := o.scale(d.X); err != nil {
		return nil, err
	}
	o.arrange(d.Groups)
	for i := range n {
		o.logC += logChoose(d.Trials[i], d.Success[i])
	}
	if nodes > 1 {
		o.rule = hermite(nodes)
		o.member = make([][]int32, len(o.u))
		for i, j := range o.at {
			o.member[j] = append(o.member[j], int32(i))
		}
	}
	return o, nil
}

func logChoose(n, k float64) float64 {
	a, _ := math.Lgamma(n + 1)
	b, _ := math.Lgamma(k + 1)
	c, _ := math.Lgamma(n - k + 1)
	return a - b - c
}

// scale factors √W·X = QR with the weights of even odds, n/4, by Gram-Schmidt run twice (Giraud, Langou & Rozložník
// 2005, Computers & Mathematics with Applications 50:1069-1075), so that a year beside a mean is not taken for one.
func (o *objective) scale(x dense.Matrix) error {
	n, p := x.Rows, x.Cols
	o.r = dense.New(p, p)
	q := make([][]float64, p)
	for j := range q {
		q[j] = make([]float64, n)
		for i := range n {
			q[j][i] = math.Sqrt(o.n[i]/4) * x.At(i, j)
		}
		before := math.Sqrt(dense.Dot(q[j], q[j]))
		for range 2 {
			for k := range j {
				c := dense.Dot(q[k], q[j])
				o.r.Data[j*p+k] += c
				dense.Axpy(-c, q[k], q[j])
			}
		}
		size := math.Sqrt(dense.Dot(q[j], q[j]))
		if !(size > 1e-11*before) {
			return fmt.Errorf("fixed effect %d follows from the ones before it on the rows where anything was counted; leave it out", j+1)
		}
		o.r.Set(j, j, size)
		for i := range q[j] {
			q[j][i] /= size
		}
	}
	o.x = dense.New(n, p)
	for i := range n {
		row := o.x.Row(i)
		copy(row, x.Row(i))
		o.intoBasis(row)
	}
	return nil
}

// intoBasis turns a row vector c into cR⁻¹ in place, so that c·β = (cR⁻¹)·φ.
func (o *objective) intoBasis(c []float64) { dense.SolveLower(o.r, c) }

// beta returns R⁻¹φ.
func (o *objective) beta(phi []float64) []float64 {
	b := slices.Clone(phi)
	dense.SolveLowerT(o.r, b)
	return b
}

// arrange finds the pattern of the groupings and where each row's numbers lie in it.
func (o *objective) arrange(groups []Grouping) {
	o.groups = groups
	columns, n, r := 0, len(o.y), len(groups)
	rows := make([][]int32, n)
	for _, g := range groups {
		for i, l := range g.Of {
			rows[i] = append(rows[i], int32(columns)+l)
		}
		columns += g.Levels
	}
	o.m = newPrecision(newPattern(columns, rows))
	o.u, o.z = make([]float64, columns), make([]float64, columns)
	o.uphill, o.step, o.trial = make([]float64, columns), make([]float64, columns), make([]float64, columns)
	o.block = make([]int, columns)
	c := 0
	for k, g := range groups {
		for range g.Levels {
			o.block[o.m.position[c]] = k
			c++
		}
	}
	for i := range n {
		for _, g := range groups {
			by := 1.0
			if g.By != nil {
				by = g.By[i]
			}
			o.by = append(o.by, by)
		}
	}
	o.a = make([]float64, len(o.by))
	o.at, o.slots = make([]int32, 0, n*r), make([]int32, 0, n*r*(r+1)/2)
	for _, row := range rows {
		for k, c := range row {
			o.at = append(o.at, o.m.position[c])
			for _, d := range row[:k+1] {
				o.slots = append(o.slots, o.m.slot(o.m.position[c], o.m.position[d]))
			}
		}
	}
}

// places are the columns that row i lies in, one for each grouping, in the order of elimination.
func (o *objective) places(i int) []int32 {
	r := len(o.groups)
	return o.at[i*r : (i+1)*r]
}

// pairs are where the entries of M that row i adds to lie: of grouping 0 with 0, 1 with 0, 1 with 1, 2 with 0 …
func (o *objective) pairs(i int) []int32 {
	r := len(o.groups) * (len(o.groups) + 1) / 2
	return o.slots[i*r : (i+1)*r]
}

// value returns minus the log-likelihood at ψ = (φ, θ) and fills the gradient.
func (o *objective) value(psi, gradient []float64) float64 {
	o.calls++
	p := o.x.Cols
	theta := psi[p:]
	for i, by := range o.by {
		o.a[i] = by * theta[i%len(theta)]
	}
	for i := range o.fixed {
		o.fixed[i] = dense.Dot(o.x.Row(i), psi[:p])
	}
	clear(gradient)
	h := o.modes()
	var f float64
	if o.rule.nodes == nil {
		f = -(h - o.m.logDet()/2)
		o.laplace(gradient)
	} else {
		f = -o.quadrature(theta[0], gradient)
	}
	return f - o.logC
}
