package lmm

import "fairplot/internal/num/dense"

// kenwardRoger forms the adjusted covariance (Kenward & Roger 1997). The information of the variances is half of
// tr PG_iPG_j, so with N the inverse of these traces W = 2σ⁴N, and
//
//	Φ_A = σ²(Φ + 4 Σ N_ij Φ(Q_ij − P_iΦP_j)Φ)   (10), (12)
func (f *Fit) kenwardRoger() (*Inference, error) {
	d := f.m.d
	if d.t > d.budget {
		return nil, failed(TooLarge, "", "Kenward-Roger's method would need the %d groups beside the largest grouping to be worked out together, more than %d", d.m, d.budget-d.p)
	}
	s := f.pieces()
	n, ok := dense.Invert(s.n, 1e-13)
	if !ok {
		return nil, failed(Confounded, "", "the variances of these groupings cannot be told apart, so there is no Kenward-Roger adjustment")
	}
	inf := &Inference{method: KenwardRoger, f: f, phi: s.phi, d: s.d, w: n}
	inf.whole = dense.Matrix{Rows: d.p, Cols: d.p, Data: append([]float64(nil), s.phi.Data...)}
	for i, row := range s.f {
		for j, fij := range row {
			dense.Axpy(4*n.At(i, j), fij.Data, inf.whole.Data)
		}
	}
	symmetric(inf.whole)
	inf.cov = d.back(inf.whole, f.scale)
	return inf, nil
}

func symmetric(m dense.Matrix) {
	for i := range m.Rows {
		for j := range i {
			x := (m.At(i, j) + m.At(j, i)) / 2
			m.Set(i, j, x)
			m.Set(j, i, x)
		}
	}
}

// scaledF is the scaled Wald statistic with its degrees of freedom (Kenward & Roger 1997); L in coordinates of Q.
// For one row λ = 1 and m = 2/A₂ exactly.
func (inf *Inference) scaledF(l dense.Matrix, beta []float64) (Test, error) {
	whole := between(l, inf.whole)
	if !factor(whole) {
		return Test{}, dependent()
	}
	b := append([]float64(nil), beta...)
	dense.SolveLower(whole, b)
	rows := float64(l.Rows)
	t := Test{F: dense.Dot(b, b) / inf.f.scale / rows, NumDF: rows, Scale: 1}
	a1, a2, ok := inf.moments(l)
	if !ok {
		return Test{}, dependent()
	}
	t.Scale, t.DenDF = match(rows, a1, a2)
	if !(t.DenDF > 0) {
		return Test{}, failed(NoMinimum, "", "no degrees of freedom can be matched to this test")
	}
	if t.Scale > 0 {
		t.F *= t.Scale
	} else {
		t.Unscaled = true
	}
	return t, nil
}

// moments are A₁ = Σ W_ij tr(ΘΦP_iΦ)tr(ΘΦP_jΦ) and A₂ = Σ W_ij tr(ΘΦP_iΦΘΦP_jΦ), Θ = L′(LΦL′)⁻¹L.
func (inf *Inference) moments(l dense.Matrix) (a1, a2 float64, ok bool) {
	g := between(l, inf.phi)
	if !factor(g) {
		return 0, 0, false
	}
	y := make([]dense.Matrix, len(inf.d))
	for i, d := range inf.d {
		y[i] = between(l, d)
		whiten(g, y[i])
	}
	for i := range y {
		for j := range y {
			w := 2 * inf.w.At(i, j)
			a1 += w * traceOf(y[i]) * traceOf(y[j])
			a2 += w * dense.Dot(y[i].Data, y[j].Data)
		}
	}
	return a1, a2, true
}

// match finds λ and m so that λF has the first two moments of an F on l and m degrees of freedom (15). Rounding is kept out
// of the ratios that are 0/0 in balanced data.
func match(l, a1, a2 float64) (lambda, m float64) {
	if l == 1 {
		return 1, 2 / a2
	}
	b := (a1 + 6*a2) / (2 * l)
	g := ((l+1)*a1 - (l+4)*a2) / ((l + 2) * a2)
	c := 3*l + 2*(1-g)
	c1, c2, c3 := g/c, (l-g)/c, (l+2-g)/c
	e, v0, v1, v2 := 1-a2/l, 1+c1*b, 1-c2*b, 1-c3*b
	if near(v0, 0, 1e-10) {
		v0 = 0
	}
	rho := 1 / l
	if ratio := e / v1; !near(e, 0, 1e-10) || !near(v1, 0, 1e-10) {
		rho *= ratio * ratio
	}
	rho *= v0 / v2 // V*/(2E*²) with E* = 1/e
	m = 4 + (l+2)/(l*rho-1)
	if near(m, 2, 0.01) {
		return 1, m
	}
	return m * e / (m - 2), m
}
