package glmm

import (
	"fmt"
	"slices"

	"fairplot/internal/num/dense"
)

// Owed returns the variance of c·β at the weights and spreads of the fit, and how much of it is owed to each grouping; what these lack of the whole is owed to the
// counts themselves. With Ω = W⁻¹ + AAᵀ and y = (XᵀΩ⁻¹X)⁻¹c a grouping's part is |AₖᵀΩ⁻¹Xy|², and AᵀΩ⁻¹ = M⁻¹AᵀW. It errs when c has not one number a
// fixed effect or columns are separated.
func (m *Model) Owed(c []float64) (parts []float64, whole float64, err error) {
	if len(c) != len(m.Beta) {
		return nil, 0, fmt.Errorf("the contrast has %d numbers for %d fixed effects", len(c), len(m.Beta))
	}
	if m.weighted == nil && !m.weigh() {
		return nil, 0, fmt.Errorf("the outcome never mixes along some of the fixed effects, so their variance has no end")
	}
	o := m.objective
	ct := slices.Clone(c)
	o.intoBasis(ct)
	y := multiply(m.weighted.inverse, ct)
	moves := make([]float64, len(o.block))
	for a, v := range y {
		dense.Axpy(v, m.weighted.modes.Row(a), moves)
	}
	parts = make([]float64, len(o.groups))
	for at, k := range o.block {
		parts[k] += moves[at] * moves[at]
	}
	return parts, dense.Dot(ct, y), nil
}

// weighted is the least-squares problem of the last step of the fit.
type weighted struct {
	inverse dense.Matrix // (XᵀΩ⁻¹X)⁻¹ in the coordinates of φ
	modes   dense.Matrix // how the modes follow each of them
}

// weigh works it out; false where columns are separated.
func (m *Model) weigh() bool {
	o, p := m.objective, m.objective.x.Cols
	if len(m.Separated) > 0 {
		return false
	}
	o.value(m.at, make([]float64, len(m.at)))
	t := o.tangents(m.at)
	weights := make([]float64, len(o.rows))
	for i, r := range o.rows {
		weights[i] = r.weight
	}
	h := dense.New(len(m.at), len(m.at))
	dense.AddMulT(h, timesColumns(t.direct, weights), t.direct, 1, false)
	dense.AddMulT(h, t.push, t.modes, -1, false)
	fixed := make([]int, p)
	for j := range fixed {
		fixed[j] = j
	}
	w := weighted{block(h, fixed), t.modes}
	if !invert(w.inverse) {
		return false
	}
	m.weighted = &w
	return true
}
