package glmm

import (
	"fmt"
	"math"

	"fairplot/internal/num/dense"
)

// Contrast is a linear function of the fixed effects: a log odds, or a difference of two. Its exponential is an odds
// or an odds ratio.
type Contrast struct {
	Value     float64 // ±Inf where the outcome never mixes along it
	Error     float64 // NaN in a model with separated columns, as are Z and P
	Z, P      float64 // against 0, two-sided, by the normal law
	Low, High float64
}

// Wald returns c·β with limits from its standard error. Where columns are separated there is none: use Profile.
// It errs when c has not one number a fixed effect.
func (m *Model) Wald(c []float64, confidence float64) (Contrast, error) {
	if err := m.fits(c, confidence); err != nil {
		return Contrast{}, err
	}
	out := Contrast{Value: m.value(c), Error: math.NaN(), Z: math.NaN(), P: math.NaN(), Low: math.NaN(), High: math.NaN()}
	if math.IsInf(out.Value, 0) || math.IsNaN(out.Value) {
		return out, nil
	}
	v := dense.Dot(c, multiply(m.Cov, c))
	out.Error = math.Sqrt(v)
	out.Z = out.Value / out.Error
	out.P = math.Erfc(math.Abs(out.Z) / math.Sqrt2)
	half := out.Error * quantile(confidence)
	out.Low, out.High = out.Value-half, out.Value+half
	return out, nil
}

func quantile(confidence float64) float64 { return math.Sqrt2 * math.Erfinv(confidence) }

func (m *Model) fits(c []float64, confidence float64) error {
	if len(c) != len(m.Beta) {
		return fmt.Errorf("the contrast has %d numbers for %d fixed effects", len(c), len(m.Beta))
	}
	if !(confidence > 0 && confidence < 1) {
		return fmt.Errorf("a confidence of %g is none; give a share such as 0.95", confidence)
	}
	if largest(c) == 0 {
		return fmt.Errorf("the contrast is all zeros and compares nothing")
	}
	return nil
}

// value is c·β, infinite along the direction of separation and unknown (NaN) where two infinite effects cancel.
func (m *Model) value(c []float64) float64 {
	if m.ends == nil {
		return dense.Dot(c, m.Beta)
	}
	ct := append([]float64(nil), c...)
	m.objective.intoBasis(ct)
	along, size := dense.Dot(ct, m.ends.scaled), math.Sqrt(dense.Dot(ct, ct)*dense.Dot(m.ends.scaled, m.ends.scaled))
	if m.ends.leftover(ct) == 0 {
		return dense.Dot(c, m.Beta)
	}
	if math.Abs(along) <= 1e-4*size {
		return math.NaN()
	}
	return math.Inf(int(math.Copysign(1, along)))
}
