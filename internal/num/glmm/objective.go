package glmm

import (
	"fmt"
	"math"

	"fairplot/internal/num/dense"
)

// objective is minus the log-likelihood as a function of (φ, θ), with φ = Rβ and RᵀR = XᵀWX at even odds, so
// that the Hessian is of the order of 1 whatever the columns are measured in. It is even in each θ, so the search
// runs free of bounds and takes the size afterwards. It keeps work space and is not for two goroutines.
type objective struct {
	y, n   []float64
	x      dense.Matrix // columns times R⁻¹
	r      dense.Matrix // upper triangular R
	groups []Grouping   // the one with most classes first: its block of M is diagonal
	order  []int        // groups[k] was Data.Groups[order[k]]
	col    [][]int      // grouping, row to column: from 0 in the first block, from 0 again in the second
	q1, q2 int
	logC   float64 // Σ log of binomial coefficients
	rule   rule
	member [][]int32 // rows of each class; quadrature only

	u          []float64 // conditional modes, first block then second; a warm start
	fixed, eta []float64
	m          block
	calls      int
}

func newObjective(d Data, nodes int) (*objective, error) {
	n := len(d.Success)
	o := &objective{y: d.Success, n: d.Trials, fixed: make([]float64, n), eta: make([]float64, n)}
	if err := o.scale(d.X); err != nil {
		return nil, err
	}
	o.arrange(d.Groups)
	for i := range n {
		o.logC += logChoose(d.Trials[i], d.Success[i])
	}
	if nodes > 1 {
		o.rule = hermite(nodes)
		o.member = make([][]int32, o.q1)
		for i, j := range o.col[0] {
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
		before := math.Sqrt(dot(q[j], q[j]))
		for range 2 {
			for k := range j {
				c := dot(q[k], q[j])
				o.r.Data[k*p+j] += c
				for i, v := range q[k] {
					q[j][i] -= c * v
				}
			}
		}
		size := math.Sqrt(dot(q[j], q[j]))
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
func (o *objective) intoBasis(c []float64) {
	for j := range c {
		for k := range j {
			c[j] -= c[k] * o.r.At(k, j)
		}
		c[j] /= o.r.At(j, j)
	}
}

// beta returns R⁻¹φ.
func (o *objective) beta(phi []float64) []float64 {
	b := append([]float64(nil), phi...)
	for j := len(b) - 1; j >= 0; j-- {
		for k := j + 1; k < len(b); k++ {
			b[j] -= o.r.At(j, k) * b[k]
		}
		b[j] /= o.r.At(j, j)
	}
	return b
}

// arrange puts the grouping with most classes first.
func (o *objective) arrange(groups []Grouping) {
	for k := range groups {
		o.order = append(o.order, k)
	}
	for k := range groups {
		if groups[k].Levels > groups[o.order[0]].Levels {
			o.order[0], o.order[k] = o.order[k], o.order[0]
		}
	}
	for at, k := range o.order {
		g := groups[k]
		o.groups = append(o.groups, g)
		cols := make([]int, len(g.Of))
		for i, l := range g.Of {
			cols[i] = o.q2 + int(l)
		}
		o.col = append(o.col, cols)
		if at == 0 {
			o.q1 = g.Levels
		} else {
			o.q2 += g.Levels
		}
	}
	o.u = make([]float64, o.q1+o.q2)
	o.m = newBlock(o.q1, o.q2)
}

// value returns minus the log-likelihood at ψ = (φ, θ) and fills the gradient.
func (o *objective) value(psi, gradient []float64) float64 {
	o.calls++
	p := o.x.Cols
	theta := psi[p:]
	for i := range o.fixed {
		o.fixed[i] = dot(o.x.Row(i), psi[:p])
	}
	clear(gradient)
	h := o.modes(theta)
	var f float64
	if o.rule.nodes == nil {
		f = -(h - o.m.logDet()/2)
		o.laplace(theta, gradient)
	} else {
		f = -o.quadrature(theta[0], gradient)
	}
	return f - o.logC
}

// at is the place of grouping k of row i in u.
func (o *objective) at(k, i int) int {
	if k == 0 {
		return o.col[0][i]
	}
	return o.q1 + o.col[k][i]
}

// random returns row i of Aθ times v.
func (o *objective) random(theta, v []float64, i int) float64 {
	s := 0.0
	for k, t := range theta {
		s += t * v[o.at(k, i)]
	}
	return s
}

// modes finds the conditional modes u by penalised iteratively reweighted least squares and returns the penalised
// log-likelihood there, without constants (Bates et al. 2015 for lme4; Pinheiro & Chao 2006, JCGS 15:58-81).
func (o *objective) modes(theta []float64) float64 {
	h := o.penalised(theta, o.u)
	if math.IsNaN(h) || math.IsInf(h, 0) {
		clear(o.u)
		h = o.penalised(theta, o.u)
	}
	step, trial := make([]float64, len(o.u)), make([]float64, len(o.u))
	for range 200 {
		o.linear(theta, o.u)
		o.fill(theta)
		for j, v := range o.u {
			step[j] = -v
		}
		for i := range o.eta {
			mu, _, _ := o.moments(i, o.eta[i])
			for k, t := range theta {
				step[o.at(k, i)] += t * (o.y[i] - mu)
			}
		}
		g := append([]float64(nil), step...)
		o.m.solve(step)
		decrement := dot(g, step)
		better := h
		for size := 1.0; size > 1e-6; size /= 2 {
			for j := range trial {
				trial[j] = o.u[j] + size*step[j]
			}
			if better = o.penalised(theta, trial); better >= h || decrement < 1e-8*(1+math.Abs(h)) { // near the top rounding of h would stop good steps
				break
			}
		}
		copy(o.u, trial)
		h = better
		if decrement < 1e-16 { // Newton doubles the digits: after a step of 1e-8 there are no more to gain
			o.linear(theta, o.u)
			o.fill(theta)
			break
		}
	}
	return h
}

func (o *objective) linear(theta, u []float64) {
	for i, f := range o.fixed {
		o.eta[i] = f + o.random(theta, u, i)
	}
}

// penalised returns Σ log f(y|η) − u·u/2 without constants.
func (o *objective) penalised(theta, u []float64) float64 {
	h := -dot(u, u) / 2
	for i, f := range o.fixed {
		h += o.logDensity(i, f+o.random(theta, u, i))
	}
	return h
}

// logDensity is y η − n log(1 + eᶯ), safe for large η.
func (o *objective) logDensity(i int, eta float64) float64 {
	if eta > 0 {
		return (o.y[i]-o.n[i])*eta - o.n[i]*math.Log1p(math.Exp(-eta))
	}
	return o.y[i]*eta - o.n[i]*math.Log1p(math.Exp(eta))
}

// moments returns the mean n p, the weight w = n p(1−p) = dμ/dη, and dw/dη.
func (o *objective) moments(i int, eta float64) (mu, w, slope float64) {
	e := math.Exp(-math.Abs(eta))
	p, q := 1/(1+e), e/(1+e)
	if eta < 0 {
		p, q = q, p
	}
	w = o.n[i] * p * q
	return o.n[i] * p, w, w * (q - p)
}

// fill sets M = AθᵀWAθ + I at the current η and factors it.
func (o *objective) fill(theta []float64) {
	o.m.identity()
	for i, eta := range o.eta {
		_, w, _ := o.moments(i, eta)
		for k, t := range theta {
			for l := range k + 1 {
				o.m.add(k > 0, o.col[k][i], l > 0, o.col[l][i], w*t*theta[l])
			}
		}
	}
	o.m.factor()
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}
