package evidence

import (
	"slices"
	"strings"

	"fairplot/internal/finding"
	"fairplot/internal/num/analysis"
	"fairplot/internal/num/model"
)

// byCrop are each crop's own estimates beside the common one. They come from one model, in which the practice may act on each crop in its own way and all
// crops show the spread together; a crop that was not seen at both levels in two plantings each has none.
func (c *comparison) byCrop(lead finding.Estimate) []finding.Estimate {
	names := c.cropsAtBoth(lead)
	if c.shape.crops < 2 || len(names) == 0 {
		return nil
	}
	if c.fit.counts != nil {
		return c.countsByCrop(names, lead)
	}
	s := c.shape
	s.fixed = append(slices.Clone(s.fixed), "level:crop")
	s.random = slices.DeleteFunc(slices.Clone(s.random), func(g string) bool { return g == "crop:level" })
	spec := specOf(c.q, s, slices.Contains(c.plots.Header, "area"), c.l.Seed)
	spec.Compare, spec.Against, spec.Adjust = []string{"level:crop"}, "", model.None
	result, err := runPlots(c.plots, spec)
	if err != nil {
		return nil // rows that leave nothing to tell the crops apart with are no fault of the common answer
	}
	var out []finding.Estimate
	for _, name := range names {
		if p, ok := ownPair(result, name, lead); ok {
			out = append(out, c.estimate(name, p))
		}
	}
	return out
}

// cropsAtBoth lists the crops with two plantings or more at each of the two levels.
func (c *comparison) cropsAtBoth(lead finding.Estimate) []string {
	n := map[[2]string]int{}
	for _, r := range c.rows {
		n[[2]string{r.crop, r.level}]++
	}
	var out []string
	for _, name := range classes(c.rows, func(r row) string { return r.crop }) {
		if n[[2]string{name, lead.A}] >= 2 && n[[2]string{name, lead.B}] >= 2 {
			out = append(out, name)
		}
	}
	return out
}

// ownPair finds the difference of the two levels within a crop.
func ownPair(r analysis.Result, name string, lead finding.Estimate) (pair, bool) {
	for _, d := range r.Differences {
		a, b := levelWithin(model.Settings(d.A), name), levelWithin(model.Settings(d.B), name)
		if a == "" || b == "" || d.Low == nil || d.High == nil || d.SE == nil || d.DF == nil {
			continue
		}
		p := pair{a: a, b: b, estimate: d.Estimate, se: *d.SE, df: *d.DF, low: *d.Low, high: *d.High}
		if a == lead.B && b == lead.A {
			p = p.turned()
		}
		if p.a == lead.A && p.b == lead.B {
			return p, finite(p.low) && finite(p.high)
		}
	}
	return pair{}, false
}

// levelWithin returns the level of a cell of that crop, "" for another crop's.
func levelWithin(cell model.Settings, crop string) string {
	level, own := "", false
	for _, s := range cell {
		switch strings.Trim(s.Factor, "`") {
		case "level":
			level = s.Level
		case "crop":
			own = s.Level == crop
		}
	}
	if !own {
		return ""
	}
	return level
}

// turned is the same difference the other way round.
func (p pair) turned() pair {
	p.a, p.b, p.estimate, p.low, p.high = p.b, p.a, -p.estimate, -p.high, -p.low
	return p
}
