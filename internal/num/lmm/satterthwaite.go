package lmm

import (
	"math"

	"fairplot/internal/num/dense"
)

// satterthwaite prepares Satterthwaite's degrees of freedom. The slope of LΦL′ by σ_k is L(−ΦP_kΦ)L′, the covariance of
// the variances 2H⁻¹ with H_ij = −tr PG_iPG_j + 2a_ij/σ², the observed information of minus twice the log-likelihood.
// Components at 0 drop out, as they do where one differentiates by θ (lmerTest).
func (f *Fit) satterthwaite() (*Inference, error) {
	s := f.slopes()
	r := len(f.theta)
	var in []int
	for i := range r + 1 {
		if i == r || f.theta[i] > 0 {
			in = append(in, i)
		}
	}
	h := dense.New(len(in), len(in))
	inf := &Inference{method: Satterthwaite, f: f, phi: s.phi, whole: s.phi, cov: f.Phi}
	for x, i := range in {
		for y, j := range in {
			h.Set(x, y, f.a.At(i, j)/f.sigma2)
			if s.n.Data != nil {
				h.Set(x, y, 2*f.a.At(i, j)/f.sigma2-s.n.At(i, j))
			}
		}
		inf.d = append(inf.d, s.d[i])
	}
	w, ok := dense.Invert(h, 1e-13)
	if !ok {
		return nil, failed(NoMinimum, "", "the likelihood is too flat at its maximum for Satterthwaite's degrees of freedom")
	}
	inf.w = w
	return inf, nil
}

// slopes are the pieces, without the traces where those are beyond the budget.
func (f *Fit) slopes() *pieces {
	if f.m.d.t <= f.m.d.budget {
		return f.pieces()
	}
	if f.stamp != f.m.stamp {
		f.m.stamp++
		f.m.evaluate(f.theta)
	}
	return f.m.w.slopesOnly()
}

// matchedF is the F test whose degrees of freedom come from those of the orthogonal contrasts that LΦL′ decomposes into
// (Fai & Cornelius 1996): ν = 2E/(E−l), E = Σ ν_i/(ν_i−2).
func (inf *Inference) matchedF(l dense.Matrix, beta []float64) (Test, error) {
	values, vectors := dense.Eigen(between(l, inf.phi))
	most := 0.0
	for _, v := range values {
		most = max(most, v)
	}
	rows := float64(l.Rows)
	t := Test{NumDF: rows, Scale: 1}
	df := make([]float64, l.Rows)
	for i, v := range values {
		if !(v > 1e-12*most) {
			return Test{}, dependent()
		}
		b := dense.Dot(vectors.Row(i), beta)
		t.F += b * b / (v * inf.f.scale * rows)
		df[i] = inf.rotated(l, vectors.Row(i), v)
	}
	t.DenDF = fused(df)
	return t, nil
}

// rotated is the degrees of freedom of one of the orthogonal contrasts.
func (inf *Inference) rotated(l dense.Matrix, vector []float64, whole float64) float64 {
	q := make([]float64, l.Cols)
	for i, v := range vector {
		dense.Axpy(v, l.Row(i), q)
	}
	x := make([]float64, len(inf.d))
	for i, d := range inf.d {
		x[i] = form(d, q) / whole
	}
	return 1 / form(inf.w, x)
}

// fused joins the degrees of freedom of orthogonal contrasts: equal ones stay what they are, and any at 2 or below make 2.
func fused(df []float64) float64 {
	least, most := math.Inf(1), math.Inf(-1)
	for _, v := range df {
		least, most = min(least, v), max(most, v)
	}
	if most-least < 1e-8*most {
		return least
	}
	if least <= 2 {
		return 2
	}
	e := 0.0
	for _, v := range df {
		e += v / (v - 2)
	}
	return 2 * e / (e - float64(len(df)))
}
