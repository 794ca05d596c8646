package evidence

import (
	"slices"

	"fairplot/internal/finding"
	"fairplot/internal/num/glmm"
)

// countsByCrop are each crop's own ratios of shares beside the common one. They come from one model, in which each level has an effect on each crop and all
// crops show the spread together. A crop of which none or all were counted at a level has no standard error and stands aside.
func (c *comparison) countsByCrop(names []string, lead finding.Estimate) []finding.Estimate {
	rows := slices.DeleteFunc(slices.Clone(c.rows), func(r row) bool { return !mixedAtAll(c.rows, r.crop) })
	if len(rows) == 0 {
		return nil
	}
	var cells []string
	for _, crop := range classes(rows, func(r row) string { return r.crop }) {
		for _, level := range c.shape.levels[1:] {
			cells = append(cells, cropAt(crop, level))
		}
	}
	s := c.shape.lessRandom("crop:level")
	x := designOf(c.q, s, rows, cells, func(r row) string { return cropAt(r.crop, r.level) })
	m, err := fitBinomial(x, s, rows)
	if err != nil {
		return nil // rows that leave nothing to tell the crops apart with are no fault of the common answer
	}
	var out []finding.Estimate
	for _, name := range names {
		if p, base, ok := x.ownRatio(m, rows, name, lead, s, c.q, &c.fit); ok {
			own := counts{base: map[string]float64{p.b: base}}
			e := own.ratio(name, p, c.q, byStandardError)
			e.Verdict = c.decide(e)
			out = append(out, e)
		}
	}
	return out
}

func cropAt(crop, level string) string { return crop + " at " + level }

// mixedAtAll reports whether at every level of a crop some of what was counted had it and some had not.
func mixedAtAll(rows []row, crop string) bool {
	y, n := map[string]float64{}, map[string]float64{}
	for _, r := range rows {
		if r.crop == crop {
			y[r.level] += r.y
			n[r.level] += r.n
		}
	}
	for level, some := range y {
		if some == 0 || some == n[level] {
			return false
		}
	}
	return true
}

// ownRatio is the difference of the two levels within a crop, with the crop's share at the second of them in a typical bed of its own.
func (x countX) ownRatio(m *glmm.Model, rows []row, crop string, lead finding.Estimate, s shape, q Question, f *fitted) (pair, float64, bool) {
	at, total := make([]float64, x.matrix.Cols), 0.0
	for i, r := range rows {
		if r.crop == crop {
			for j, v := range x.matrix.Row(i) {
				at[j] += r.n * v
			}
			total += r.n
		}
	}
	for j := range at {
		at[j] /= total
	}
	for _, j := range x.level {
		at[j] = 0
	}
	contrast := make([]float64, len(at))
	for level, sign := range map[string]float64{lead.A: 1, lead.B: -1} {
		if level == s.reference {
			continue
		}
		j, known := x.level[cropAt(crop, level)]
		if !known {
			return pair{}, 0, false
		}
		contrast[j] = sign
		if level == lead.B {
			at[j] = 1
		}
	}
	wide := f.widening(m, contrast, rows, lead.A, lead.B)
	k, err := limits(m, contrast, wide.confidence(1, q.Confidence), true)
	share, err2 := m.Wald(at, q.Confidence)
	if total == 0 || err != nil || err2 != nil {
		return pair{}, 0, false
	}
	return pair{a: lead.A, b: lead.B, estimate: k.Value, se: k.Error, df: wide.df, low: k.Low, high: k.High}, expit(share.Value), true
}
