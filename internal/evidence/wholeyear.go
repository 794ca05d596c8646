package evidence

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
)

// yearSums are the responses that add up over the crops of a bed, with the words an estimate has for them.
var yearSums = []struct{ response, says, unit string }{
	{Yield, "weight", "kg/m²"}, {Energy, "food energy (table values)", "kcal/m²"}, {Money, "worth at your prices", "per m²"}, {Hours, "hours of work", "h/m²"},
}

// yearCrops stands for the crop of a row that holds all of them.
const yearCrops = "all crops of the year"

// checkYear refuses what a whole year of crops has no sum of.
func (q Question) checkYear() error {
	if len(q.Crops) > 0 {
		return &garden.Error{Kind: garden.Invalid, Field: "crop", Text: "a bed's whole year is all the crops it carried", Hint: "leave out the crops, or ask about them without the whole year"}
	}
	sums := []string{PerHour}
	for _, s := range yearSums {
		sums = append(sums, s.response)
	}
	if !slices.Contains(sums, q.Response) {
		return &garden.Error{Kind: garden.Invalid, Field: "response", Text: fmt.Sprintf("%q does not add up over the crops of a year", q.Response), Hint: "use one of: " + strings.Join(sums, ", ")}
	}
	return nil
}

// bedYear is the crops of one bed in one growing year; an overwintering crop lies in the year of its first harvest.
type bedYear struct {
	bed    garden.BedID
	season int
}

// collectYears turns bed-years into rows. A year of which one crop cannot be counted is left out whole: what is missing is not zero.
func collectYears(q Question, l ledger) sample {
	var out sample
	years := map[bedYear][]practice.Planted{}
	var order []bedYear
	for _, p := range l.planted {
		if !asked(q, p) {
			continue
		}
		k := bedYear{p.Bed.ID, p.Season}
		if years[k] == nil {
			order = append(order, k)
		}
		years[k] = append(years[k], p)
	}
	for _, k := range order {
		r, why := l.yearRow(q, years[k])
		if why != "" {
			out.leave(why)
			continue
		}
		out.rows = append(out.rows, r)
	}
	leaveFallow(&out, order)
	slices.SortStableFunc(out.rows, func(a, b row) int {
		return cmp.Or(cmp.Compare(a.garden, b.garden), natural(a.bed, b.bed), cmp.Compare(a.season, b.season))
	})
	slices.SortFunc(out.leftOut, func(a, b finding.Left) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Reason, b.Reason))
	})
	return out
}

// leaveFallow counts the years between a bed's first and last in which it carried nothing: nothing was grown by which its level could be told.
func leaveFallow(out *sample, years []bedYear) {
	first, last, n := map[garden.BedID]int{}, map[garden.BedID]int{}, map[garden.BedID]int{}
	for _, k := range years {
		if n[k.bed] == 0 || k.season < first[k.bed] {
			first[k.bed] = k.season
		}
		last[k.bed] = max(last[k.bed], k.season)
		n[k.bed]++
	}
	for bed := range n {
		for range last[bed] - first[bed] + 1 - n[bed] {
			out.leave("the bed lay fallow all year")
		}
	}
}

// yearRow adds up the crops of a bed's year; it says why they have no sum.
func (l ledger) yearRow(q Question, crops []practice.Planted) (row, string) {
	var year row
	each := make([]row, len(crops))
	for i, p := range crops {
		r, why := l.row(q, &p)
		if why != "" {
			return year, why
		}
		each[i] = r
		if i == 0 {
			year = r
		} else {
			year.join(r)
		}
		if r.level != year.level {
			return year, "the bed's crops had different levels in one year"
		}
	}
	year.crop, year.year, year.crops = yearCrops, map[string]float64{}, cropsTogether(crops)
	bed := crops[0].Bed.Area()
	if !bed.Known || bed.Value <= 0 {
		return year, "the bed has no area"
	}
	year.area = float64(bed.Value)
	over := year.area
	if q.Per == PerGround {
		if !crops[0].Ground.Known || !crops[0].Area.Known || crops[0].Area.Value <= 0 {
			return year, "the garden's ground with paths is not known"
		}
		over *= float64(crops[0].Ground.Value / crops[0].Area.Value)
	}
	whys := map[string]string{}
	for _, s := range yearSums {
		sum, why := l.addUp(s.response, each)
		if why != "" {
			whys[s.response] = why
			continue
		}
		year.year[s.response] = sum / over
	}
	year.flags(each)
	return year, year.answer(q, whys)
}

// join takes over what the year's further crop says of the row.
func (r *row) join(o row) {
	r.partly = r.partly || o.partly
	for name, level := range r.levels {
		if o.levels[name] != level {
			delete(r.levels, name) // crops of one year that differ in it give the year no level of it
		}
	}
}

// flags marks what the crops' weighings say of the year. States are of crops and say nothing of a sum.
func (r *row) flags(each []row) {
	mass, byEye := 0.0, 0.0
	for _, e := range each {
		all, why := e.weigh()
		if why != "" {
			continue
		}
		mass += float64(all)
		byEye += e.estimated * float64(all)
		r.shared, r.edge = r.shared || e.shared, r.edge || e.edge
	}
	r.state = ""
	if mass > 0 {
		r.estimated = byEye / mass
	}
}

// addUp is the sum of the response, per m² of each crop's own ground, times that ground.
func (l ledger) addUp(response string, each []row) (float64, string) {
	sum := 0.0
	for _, r := range each {
		if why := responses[response].of(Question{Per: PerBed, Response: response}, &r, l); why != "" {
			return 0, why
		}
		sum += r.y * r.area
	}
	return sum, ""
}

// answer puts in the response that was asked about, or says why the year has none.
func (r *row) answer(q Question, whys map[string]string) string {
	if q.Response == PerHour {
		for _, part := range []string{Yield, Hours} {
			if whys[part] != "" {
				return whys[part]
			}
		}
		r.failed = false
		return r.set(r.year[Yield] / r.year[Hours])
	}
	if why := whys[q.Response]; why != "" {
		return why
	}
	r.failed = false
	return r.set(r.year[q.Response])
}

// wholeYear sets the other sums beside the one that was asked about: each one's ratio where every bed-year has it, the means at each level, and the
// land that crops sharing ground saved.
func (c *comparison) wholeYear(f *finding.Finding) {
	lead := f.Estimates[0]
	f.RestsOn.Crops = c.cropsOfYears()
	means := finding.Table{Title: "A bed's whole year, mean per m²", Columns: []finding.Column{{Name: "level"}, {Name: "bed-years"}}}
	lines := make([][]string, len(c.shape.levels))
	for i, level := range c.shape.levels {
		lines[i] = []string{level, fmt.Sprint(atLevel(c.rows, level))}
	}
	for _, s := range yearSums {
		if !c.allHave(s.response) {
			continue
		}
		means.Columns = append(means.Columns, finding.Column{Name: s.says, Unit: s.unit})
		for i, level := range c.shape.levels {
			lines[i] = append(lines[i], plain(c.yearMean(s.response, level)))
		}
		if s.response == c.q.Response {
			continue
		}
		if e, ok := c.beside(s.response, lead); ok {
			e.Of = s.says
			f.Estimates = append(f.Estimates, e)
		}
	}
	means.Rows = lines
	f.Tables = append(f.Tables, means)
	if t := landRatios(c.q, c.l); len(t.Rows) > 0 {
		f.Tables = append(f.Tables, t)
	}
}

func (c *comparison) cropsOfYears() int {
	seen := map[string]bool{}
	for _, r := range c.rows {
		for _, name := range r.crops {
			seen[name] = true
		}
	}
	return len(seen)
}

// allHave reports whether every row has the sum, and more than nothing of it.
func (c *comparison) allHave(response string) bool {
	return !slices.ContainsFunc(c.rows, func(r row) bool { return !(r.year[response] > 0) })
}

func (c *comparison) yearMean(response, level string) float64 {
	sum, n := 0.0, 0.0
	for _, r := range c.rows {
		if r.level == level {
			sum += r.year[response]
			n++
		}
	}
	return sum / n
}

// plain writes a number with about three digits and no power of ten.
func plain(x float64) string {
	switch {
	case x >= 100:
		return fmt.Sprintf("%.0f", x)
	case x >= 10:
		return fmt.Sprintf("%.1f", x)
	}
	return fmt.Sprintf("%.2f", x)
}

// beside is the estimate of the same pair for another sum of the same bed-years.
func (c *comparison) beside(response string, lead finding.Estimate) (finding.Estimate, bool) {
	other := comparison{q: c.q, l: c.l, shape: c.shape, rows: slices.Clone(c.rows)}
	other.q.Response = response
	for i := range other.rows {
		other.rows[i].y = other.rows[i].year[response]
	}
	var err error
	if other.fit, _, err = fitRows(other.q, other.shape, other.rows, c.l.Seed); err != nil {
		return finding.Estimate{}, false
	}
	for _, p := range other.fit.pairs {
		if p.a == lead.A && p.b == lead.B {
			return other.estimate(response, p), true
		}
	}
	return finding.Estimate{}, false
}
