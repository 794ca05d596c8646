package evidence

import (
	"slices"
	"strconv"

	"fairplot/internal/finding"
	"fairplot/internal/word"
)

// without fits the comparison again on the rows that are not dropped and returns the estimate of the same pair. It is false where that pair
// can no longer be told.
func (c *comparison) without(drop func(row) bool, lead finding.Estimate) (finding.Estimate, bool) {
	less := comparison{q: c.q, l: c.l}
	less.sample.rows = slices.DeleteFunc(append(slices.Clone(c.rows), c.zeros...), drop)
	if less.narrow() != "" {
		return finding.Estimate{}, false
	}
	less.shape = choose(less.q, less.rows)
	if less.tooFewUnits() != "" {
		return finding.Estimate{}, false
	}
	less.shape = less.shape.adjustedAs(c.shape, less.rows)
	less.shape.quick = true
	fit, _, err := fitRows(less.q, less.shape, less.rows, c.l.Seed)
	if err != nil || len(fit.pairs) == 0 {
		return finding.Estimate{}, false // a part of the rows that cannot be fitted is no fault of the whole
	}
	less.fit = fit
	for _, p := range fit.pairs {
		if p.a == lead.B && p.b == lead.A {
			p = p.turned()
		}
		if p.a == lead.A && p.b == lead.B {
			return less.estimate("all", p), true
		}
	}
	return finding.Estimate{}, false
}

// leaveOut leaves out one garden and one season at a time and doubts a verdict that turns when one is gone.
func (c *comparison) leaveOut(f *finding.Finding) {
	t := finding.Table{Title: "Left out one at a time", Columns: []finding.Column{{Name: "without"}, {Name: "from"}, {Name: "to"}, {Name: "best"}, {Name: "verdict"}}}
	if c.fit.counts != nil && len(c.rows) > profiled {
		return // a fit for each part would keep people waiting; the method says so
	}
	lead := f.Estimates[0]
	among := c.decide(lead)
	parts := c.parts()
	deciding := map[finding.Code][]string{}
	for i, less := range c.withoutEach(parts, lead) {
		p, e := parts[i], less.estimate
		cells := []string{p.noun + " " + p.name, "open", "open", "not known", "cannot be told"}
		if less.ok {
			cells = []string{p.noun + " " + p.name, times(*e.Low), times(*e.High), times(e.Value), string(e.Verdict)}
		}
		t.Rows = append(t.Rows, cells)
		if less.ok && e.Verdict != among || !less.ok && among != finding.NotYet {
			deciding[p.code] = append(deciding[p.code], p.name)
		}
	}
	for _, d := range []struct {
		code finding.Code
		noun string
	}{{finding.OneGardenDecides, "garden"}, {finding.OneSeasonDecides, "season"}} {
		if names := deciding[d.code]; len(names) > 0 {
			c.doubts.add(d.code, float64(len(names)), "The answer turns when one %s is left out: %s.", d.noun, word.And(names))
		}
	}
	if len(t.Rows) > 0 {
		f.Tables = append(f.Tables, t)
	}
}

// parts lists what can be left out: each garden, unless gardens are what is compared, and each season.
func (c *comparison) parts() []part {
	var out []part
	if c.q.What != Gardens {
		out = append(out, partsOf(c.rows, "garden", finding.OneGardenDecides, func(r row) string { return r.garden })...)
	}
	return append(out, partsOf(c.rows, "season", finding.OneSeasonDecides, func(r row) string { return strconv.Itoa(r.season) })...)
}

// partsOf are the classes of the rows as parts, if there are several.
func partsOf(rows []row, noun string, code finding.Code, class func(row) string) []part {
	names := classes(rows, class)
	if len(names) < 2 {
		return nil
	}
	var out []part
	for _, name := range names {
		out = append(out, part{noun: noun, name: name, code: code, drop: func(r row) bool { return class(r) == name }})
	}
	return out
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
