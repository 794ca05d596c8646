package glmm

import "math"

// quadrature returns the log-likelihood by adaptive Gauss-Hermite quadrature about each class's mode (Pinheiro &
// Bates 1995, JCGS 4:12-35, eq. 2.7 for one effect) and subtracts its exact gradient, moving nodes included.
func (o *objective) quadrature(theta float64, g []float64) float64 {
	sum := 0.0
	logs := make([]float64, len(o.rule.nodes))
	for j, rows := range o.member {
		width := 1 / math.Sqrt(o.m.v[j])
		top := math.Inf(-1)
		for k, t := range o.rule.nodes {
			v := o.u[j] + width*t
			logs[k] = t*t/2 - v*v/2
			for _, i := range rows {
				logs[k] += o.logDensity(int(i), o.fixed[i]+theta*v)
			}
			top = max(top, logs[k])
		}
		total := 0.0
		for k, w := range o.rule.weights {
			logs[k] = w * math.Exp(logs[k]-top)
			total += logs[k]
		}
		for k := range logs {
			logs[k] /= total // now each node's share of the integral
		}
		sum += math.Log(width*total) + top
		o.classGradient(j, theta, logs, g)
	}
	return sum
}

// classGradient subtracts the gradient of one class's log integral.
func (o *objective) classGradient(j int, theta float64, share, g []float64) {
	p := o.x.Cols
	d, rows := o.m.v[j], o.member[j]
	width := 1 / math.Sqrt(d)
	// expected derivatives of the integrand: with respect to the node, by its shift and by its width
	var byShift, byWidth, byTheta float64
	fixed := make([]float64, len(rows))
	for k, t := range o.rule.nodes {
		v := o.u[j] + width*t
		slope, residual := -v, 0.0
		for a, i := range rows {
			e := o.y[i] - o.n[i]*expit(o.fixed[i]+theta*v)
			residual += e
			fixed[a] += share[k] * e
		}
		slope += theta * residual
		byShift += share[k] * slope
		byWidth += share[k] * slope * t
		byTheta += share[k] * residual * v
	}
	byWidth += 1 / width
	var w, slope, r float64
	wx, sx := make([]float64, p), make([]float64, p)
	for a, i := range rows {
		m := o.rows[i]
		w, slope, r = w+m.weight, slope+m.slope, r+m.residual
		for l, x := range o.x.Row(int(i)) {
			g[l] -= x * fixed[a]
			wx[l] += x * m.weight
			sx[l] += x * m.slope
		}
	}
	narrower := -width / (2 * d) // d width / d d
	for l := range p {
		mode := -theta * wx[l] / d
		dd := theta * theta * (sx[l] + theta*mode*slope)
		g[l] -= byShift*mode + byWidth*narrower*dd
	}
	mode := (r - theta*w*o.u[j]) / d
	dd := 2*theta*w + theta*theta*slope*(o.u[j]+theta*mode)
	g[p] -= byTheta + byShift*mode + byWidth*narrower*dd
}

// logDensity is y η − n log(1 + eᶯ), safe for large η.
func (o *objective) logDensity(i int, eta float64) float64 {
	if eta > 0 {
		return (o.y[i]-o.n[i])*eta - o.n[i]*math.Log1p(math.Exp(-eta))
	}
	return o.y[i]*eta - o.n[i]*math.Log1p(math.Exp(eta))
}

func expit(eta float64) float64 { return 1 / (1 + math.Exp(-eta)) }
