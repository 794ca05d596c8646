package evidence

import (
	"slices"
	"strconv"

	"fairplot/internal/finding"
	"fairplot/internal/word"
)

// without fits the comparison again on the rows that are not dropped and returns the estimate of the same pair. It is false where that pair
// can no longer be told.
func (c *comparison) without(drop func(row) bool, lead finding.Estimate) (finding.Estimate, bool, error) {
	less := comparison{q: c.q, l: c.l}
	less.sample.rows = slices.DeleteFunc(append(slices.Clone(c.rows), c.zeros...), drop)
	if less.narrow() != "" {
		return finding.Estimate{}, false, nil
	}
	less.shape = choose(less.q, less.rows)
	if less.tooFewUnits() != "" {
		return finding.Estimate{}, false, nil
	}
	less.shape = less.shape.adjustedAs(c.shape, less.rows)
	less.shape.quick = true
	fit, _, err := fitRows(less.q, less.shape, less.rows, c.l.Seed)
	if err != nil || len(fit.pairs) == 0 {
		return finding.Estimate{}, false, nil //nolint:nilerr // a part of the rows that cannot be fitted is no fault of the whole
	}
	less.fit = fit
	for _, p := range fit.pairs {
		if p.a == lead.B && p.b == lead.A {
			p = p.turned()
		}
		if p.a == lead.A && p.b == lead.B {
			return less.estimate("all", p), true, nil
		}
	}
	return finding.Estimate{}, false, nil
}

// leaveOut leaves out one garden and one season at a time and doubts a verdict that turns when one is gone.
func (c *comparison) leaveOut(f *finding.Finding) error {
	t := finding.Table{Title: "Left out one at a time", Columns: []finding.Column{{Name: "without"}, {Name: "from"}, {Name: "to"}, {Name: "best"}, {Name: "verdict"}}}
	if c.fit.counts != nil && len(c.rows) > profiled {
		return nil // each fit of so many counts takes seconds
	}
	lead := f.Estimates[0]
	among := c.decide(lead)
	for _, part := range []struct {
		code  finding.Code
		noun  string
		n     int
		class func(row) string
	}{
		{finding.OneGardenDecides, "garden", c.shape.gardens, func(r row) string { return r.garden }},
		{finding.OneSeasonDecides, "season", c.shape.seasons, func(r row) string { return strconv.Itoa(r.season) }},
	} {
		if part.n < 2 || c.q.What == Gardens && part.noun == "garden" {
			continue
		}
		var deciding []string
		names := classes(c.rows, part.class)
		for i, less := range c.withoutEach(names, part.class, lead) {
			name, e, ok := names[i], less.estimate, less.ok
			if less.err != nil {
				return less.err
			}
			cells := []string{part.noun + " " + name, "open", "open", "not known", "cannot be told"}
			if ok {
				cells = []string{part.noun + " " + name, times(*e.Low), times(*e.High), times(e.Value), string(e.Verdict)}
			}
			t.Rows = append(t.Rows, cells)
			if ok && e.Verdict != among || !ok && among != finding.NotYet {
				deciding = append(deciding, name)
			}
		}
		if len(deciding) > 0 {
			c.doubts.add(part.code, float64(len(deciding)), "The answer turns when one %s is left out: %s.", part.noun, word.And(deciding))
		}
	}
	if len(t.Rows) > 0 {
		f.Tables = append(f.Tables, t)
	}
	return nil
}

// classes lists the classes of the rows in order.
func classes(rows []row, class func(row) string) []string {
	var out []string
	for _, r := range rows {
		if k := class(r); !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	slices.SortFunc(out, natural)
	return out
}
