package glmm

import "math"

// laplace subtracts from g the gradient of the Laplace log-likelihood h(û) − ½ log|M|, so g is that of the
// objective. The modes move with the parameters: dû = M⁻¹(…), and with c = ½ w′s, s the diagonal of A M⁻¹ Aᵀ, one
// solve z = M⁻¹Aᵀc carries their part for all parameters at once. docs/resampling.md derives it.
func (o *objective) laplace(theta, g []float64) {
	p := o.x.Cols
	o.m.inverse()
	c := make([]float64, len(o.eta))
	z := make([]float64, len(o.u))
	for i, eta := range o.eta {
		_, _, slope := o.moments(i, eta)
		c[i] = slope * o.leverage(theta, i) / 2
		for k, t := range theta {
			z[o.at(k, i)] += t * c[i]
		}
	}
	o.m.solve(z)
	for i, eta := range o.eta {
		mu, w, _ := o.moments(i, eta)
		az := o.random(theta, z, i)
		r := o.y[i] - mu
		for j, x := range o.x.Row(i) {
			g[j] -= x * (r - c[i] + w*az)
		}
		for k := range theta {
			at := o.at(k, i)
			meets := 0.0
			for l, t := range theta {
				meets += t * o.m.entry(k > 0, o.col[k][i], l > 0, o.col[l][i])
			}
			g[p+k] -= o.u[at]*(r-c[i]+w*az) - w*meets - z[at]*r
		}
	}
}

// leverage is row i of A M⁻¹ Aᵀ at its diagonal.
func (o *objective) leverage(theta []float64, i int) float64 {
	s := 0.0
	for k, t := range theta {
		for l, v := range theta {
			s += t * v * o.m.entry(k > 0, o.col[k][i], l > 0, o.col[l][i])
		}
	}
	return s
}

// quadrature returns the log-likelihood by adaptive Gauss-Hermite quadrature about each class's mode (Pinheiro &
// Bates 1995, JCGS 4:12-35, eq. 2.7 for one effect) and subtracts its exact gradient, moving nodes included.
func (o *objective) quadrature(theta float64, g []float64) float64 {
	sum := 0.0
	logs := make([]float64, len(o.rule.nodes))
	for j, rows := range o.member {
		width := 1 / math.Sqrt(o.m.d[j])
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
	d, rows := o.m.d[j], o.member[j]
	width := 1 / math.Sqrt(d)
	// expected derivatives of the integrand: with respect to the node, by its shift and by its width
	var byShift, byWidth, byTheta float64
	fixed := make([]float64, len(rows))
	for k, t := range o.rule.nodes {
		v := o.u[j] + width*t
		slope, residual := -v, 0.0
		for a, i := range rows {
			mu, _, _ := o.moments(int(i), o.fixed[i]+theta*v)
			residual += o.y[i] - mu
			fixed[a] += share[k] * (o.y[i] - mu)
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
		mu, wi, si := o.moments(int(i), o.eta[i])
		w, slope, r = w+wi, slope+si, r+o.y[i]-mu
		for l, x := range o.x.Row(int(i)) {
			g[l] -= x * fixed[a]
			wx[l] += x * wi
			sx[l] += x * si
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
