package dist

import (
	"math"

	"fairplot/internal/num/dense"
)

// oneFactor is the tail of max |Z_i| for correlations lambda_i lambda_j: given the factor z the Z_i are independent
// (Dunnett & Sobel 1955, Biometrika 42:258-260).
type oneFactor struct {
	loading, spread, count []float64 // |lambda|, sqrt(1 - lambda²), how many share it
	step                   float64
}

func newOneFactor(corr dense.Matrix) (oneFactor, bool) {
	r := oneFactor{step: 0.25}
	f := pairFactor(corr)
	misfit := factorMisfit(corr, f)
	if corr.Rows > 2 {
		f, misfit = fitFactors(corr, 1, 1)
	}
	if misfit > fits {
		return r, false
	}
	for _, lambda := range f.Data {
		unique := 1 - lambda*lambda
		if unique < 1e-6 {
			return r, false
		}
		r.add(math.Abs(lambda), math.Sqrt(unique))
		r.step = min(r.step, 0.8*math.Sqrt(unique))
	}
	return r, true
}

// pairFactor is the loading that any pair has.
func pairFactor(corr dense.Matrix) dense.Matrix {
	f := dense.New(corr.Rows, 1)
	if corr.Rows == 2 {
		rho := corr.At(0, 1)
		f.Data[0] = math.Sqrt(math.Abs(rho))
		f.Data[1] = math.Copysign(f.Data[0], rho)
	}
	return f
}

// add counts equal loadings once: a control replicated alike has few different ones.
func (r *oneFactor) add(loading, spread float64) {
	for i, have := range r.loading {
		if math.Abs(have-loading) < 1e-11 {
			r.count[i]++
			return
		}
	}
	r.loading, r.spread, r.count = append(r.loading, loading), append(r.spread, spread), append(r.count, 1)
}

// upper is P(max |Z_i| > w), the trapezoid rule in the factor, which counts alike on both sides of 0.
func (r oneFactor) upper(w float64) float64 {
	sum := r.given(0, w) * NormalDensity(0) / 2
	for z := r.step; ; z += r.step {
		term := r.given(z, w) * NormalDensity(z)
		sum += term
		if z > w && term <= sum*1e-17 || z > 38 {
			break
		}
	}
	return min(1, 2*sum*r.step)
}

// given is P(some |Z_i| > w) at the factor's value z, a sum of logarithms so that a small tail keeps its digits.
func (r oneFactor) given(z, w float64) float64 {
	log := 0.0
	for i, lambda := range r.loading {
		log += r.count[i] * math.Log1p(-outside(lambda*z, w, r.spread[i]))
	}
	return -math.Expm1(log)
}

// outside is P(|Z| > w) for Z of the given mean and spread.
func outside(mean, w, spread float64) float64 {
	return min(1, NormalLower((-w-mean)/spread)+NormalLower((mean-w)/spread))
}

// twoFactor is the same for correlations f_i.f_j with two factors, which Kenward-Roger's adjusted covariances of differences from a control very nearly have.
type twoFactor struct {
	first, second, spread []float64
	step                  float64
}

// spreads are the least own spreads that are tried in turn: where several laws fit, the one with wide spreads lets the rule take long steps.
var spreads = []float64{0.5, 0.3, 0.12}

// newTwoFactor returns the nearest two-factor law and the largest misfit of its correlations.
func newTwoFactor(corr dense.Matrix) (twoFactor, float64) {
	var f dense.Matrix
	var misfit float64
	for _, least := range spreads {
		if f, misfit = fitFactors(corr, 2, 1-least*least); misfit < fits {
			break
		}
	}
	r := twoFactor{step: 0.4}
	for i := range f.Rows {
		row := f.Row(i)
		spread := math.Sqrt(1 - dense.Dot(row, row))
		r.first, r.second, r.spread = append(r.first, row[0]), append(r.second, row[1]), append(r.spread, spread)
		r.step = min(r.step, 0.8*spread)
	}
	return r, misfit
}

// correlation returns the matrix that the law has.
func (r twoFactor) correlation() dense.Matrix {
	out := dense.New(len(r.spread), len(r.spread))
	for i := range r.spread {
		for j := range r.spread {
			out.Set(i, j, r.first[i]*r.first[j]+r.second[i]*r.second[j])
		}
		out.Set(i, i, 1)
	}
	return out
}

// upper is P(max |Z_i| > w). The tail is at least that of one Z, exp(-w²/2) nearly, so a point of the plane counts for a difference
// only where its own exponent stays within 40 of that. Opposite points count alike: one half of the plane is summed.
func (r twoFactor) upper(w float64) float64 {
	far := w*w + 80
	sum := 0.0
	for i := 0; ; i++ {
		x := float64(i) * r.step
		left := far - x*x
		if left < 0 {
			break
		}
		n := int(math.Sqrt(left) / r.step)
		row := 0.0
		for j := -n; j <= n; j++ {
			y := float64(j) * r.step
			if p := r.given(x, y, w, left-y*y); p > 0 {
				row += p * math.Exp(-(x*x+y*y)/2)
			}
		}
		if i == 0 {
			row /= 2
		}
		sum += row
	}
	return min(1, sum*r.step*r.step/math.Pi)
}

// given is P(some |Z_i| > w) at the factors' values, leaving out those whose tail is below exp(-left/2).
func (r twoFactor) given(x, y, w, left float64) float64 {
	log := 0.0
	for i, spread := range r.spread {
		mean := r.first[i]*x + r.second[i]*y
		if short := (w - math.Abs(mean)) / spread; short > 0 && short*short > left {
			continue
		}
		log += math.Log1p(-outside(mean, w, spread))
	}
	return -math.Expm1(log)
}

func (r twoFactor) permuted(order []int) twoFactor {
	out := twoFactor{step: r.step}
	for _, i := range order {
		out.first, out.second, out.spread = append(out.first, r.first[i]), append(out.second, r.second[i]), append(out.spread, r.spread[i])
	}
	return out
}
