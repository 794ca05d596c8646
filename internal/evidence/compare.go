package evidence

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"fairplot/internal/finding"
	"fairplot/internal/garden"
)

// Compare answers which level of a practice gave more. The plots are those the answer rests on.
func Compare(r garden.Records, q Question, s Setup) (finding.Finding, Plots, error) {
	q = q.normal()
	if err := q.check(); err != nil {
		return finding.Finding{}, Plots{}, err
	}
	l := newLedger(r, s)
	if len(l.planted) == 0 {
		return finding.Finding{}, Plots{}, &garden.Error{Kind: garden.Missing, Text: "there is no crop in any bed yet, so nothing can be compared",
			Hint: "note sowings or plantings and what is picked from them"}
	}
	q, err := l.spelled(q)
	if err != nil {
		return finding.Finding{}, Plots{}, err
	}
	c := comparison{q: q, l: l, records: r, sample: collect(q, l)}
	c.letGo()
	f, err := c.answer()
	return f, c.plots, err
}

// comparison is one question on its way to an answer.
type comparison struct {
	q       Question
	l       ledger
	records garden.Records
	sample  sample
	rows    []row // that cropped, at levels that can be compared
	zeros   []row // that failed, at the same levels
	shape   shape
	fit     fitted
	plots   Plots
	doubts  doubts
}

// answer goes through the rules in order; each step may end in "cannot be told".
func (c *comparison) answer() (finding.Finding, error) {
	if why := c.narrow(); why != "" {
		if c.pending() {
			return c.notYet(), nil
		}
		return c.never(why), nil
	}
	c.shape = choose(c.q, c.rows)
	if why := c.tooFewUnits(); why != "" {
		return c.never(why), nil
	}
	if why := c.tangled(); why != "" {
		return c.never(why), nil
	}
	var err error
	if c.fit, c.plots, err = fitRows(c.q, c.shape, c.rows, c.l.Seed); err != nil {
		return c.unfitted(err)
	}
	c.shape = c.fit.shape
	if len(c.fit.pairs) == 0 {
		return c.never("these plantings leave nothing to estimate the difference with"), nil
	}
	return c.told(), nil
}

// unfitted is the answer where the model cannot be worked out on these rows, such as when every difference between the units is used up.
func (c *comparison) unfitted(err error) (finding.Finding, error) {
	var e *garden.Error
	if !errors.As(err, &e) || e.Kind != garden.Refused {
		return finding.Finding{}, err
	}
	c.doubts.few(c.shape, c.rows)
	return c.never("there are too few " + c.shape.units[0] + "s to tell the practice from them: " + e.Text), nil
}

// narrow keeps the rows that can tell: those of crops grown at two levels or more. It says why nothing can be told if no two levels are left.
func (c *comparison) narrow() string {
	rows := c.sample.rows
	if len(rows) == 0 {
		return "no planting has both a known level and a weighed yield"
	}
	before := levelSet(rows)
	if len(before) < 2 {
		return fmt.Sprintf("every planting here has the same level, %s", rows[0].level)
	}
	at := map[string]map[string]bool{}
	for _, r := range rows {
		if r.y > 0 || !c.response().log {
			if at[r.crop] == nil {
				at[r.crop] = map[string]bool{}
			}
			at[r.crop][r.level] = true
		}
	}
	for _, r := range rows {
		switch {
		case len(at[r.crop]) < 2:
			c.sample.leave("the crop was seen at one level only")
		case r.y > 0 || !c.response().log:
			c.rows = append(c.rows, r)
		default:
			c.zeros = append(c.zeros, r)
		}
	}
	if len(levelSet(c.rows)) < 2 {
		return "no crop was grown and weighed at two levels"
	}
	return ""
}

func (c *comparison) response() response { return responseOf(c.q) }

func levelSet(rows []row) map[string]bool {
	out := map[string]bool{}
	for _, r := range rows {
		out[r.level] = true
	}
	return out
}

// tooFewUnits takes out levels with fewer than two units. If fewer than two levels are left it says why nothing can be told.
func (c *comparison) tooFewUnits() string {
	for {
		thin, unit := c.thinnest()
		if thin == "" {
			return ""
		}
		c.sample.leave(fmt.Sprintf("%q has fewer than two units (%s)", thin, unit))
		c.rows = slices.DeleteFunc(slices.Clone(c.rows), func(r row) bool { return r.level == thin })
		c.zeros = slices.DeleteFunc(slices.Clone(c.zeros), func(r row) bool { return r.level == thin })
		if len(levelSet(c.rows)) < 2 {
			return c.thinReason(thin, unit)
		}
		c.shape = choose(c.q, c.rows)
	}
}

func (c *comparison) thinReason(level, unit string) string {
	if unit == "garden" {
		return fmt.Sprintf("each level stands in gardens of its own, and %q in one garden only, so what the practice did and what the garden did cannot be told apart", level)
	}
	return fmt.Sprintf("%q was seen in one %s only, and one has nothing to show its spread with", level, unit)
}

// thinnest returns a level with fewer than two units of one of the unit's groupings, if there is one. Where the garden is the whole unit,
// every level needs two gardens of its own.
func (c *comparison) thinnest() (level, unit string) {
	for _, u := range c.shape.units {
		at := unitsAt(c.rows, u)
		for _, l := range c.shape.levels {
			if at[l] < 2 {
				return l, u
			}
		}
	}
	return "", ""
}

// never is the answer where nothing can be told, with the count of what stood where.
func (c *comparison) never(why string) finding.Finding {
	c.rows, c.zeros = c.sample.rows, nil // what was taken out on the way is shown again: it is what could not tell
	f := c.begin()
	f.Verdict = finding.Never
	f.Answer = upper(why) + "."
	f.Tables = append(f.Tables, stood(c.sample.rows))
	if c.q.What != Gardens && len(levelSet(c.sample.rows)) > 1 && !varies(c.sample.rows, func(r row) string { return r.garden }) {
		c.doubts.add(finding.GardenIsMethod, float64(count(c.sample.rows, func(r row) string { return r.garden })), "Nothing but the garden separates the levels.")
	}
	c.doubts.many(c.l.Asked, c.q.Confidence)
	f.Doubts = c.doubts
	f.WouldSettle = c.settles(finding.Estimate{})
	return f
}

// pending reports whether nothing can be compared only because nothing has been weighed to its end.
func (c *comparison) pending() bool {
	return len(c.sample.rows) == 0 && slices.ContainsFunc(c.sample.leftOut, func(l finding.Left) bool { return l.Reason == notEnded || l.Reason == noHarvest })
}

// notYet is the answer while crops still stand or wait for their weights.
func (c *comparison) notYet() finding.Finding {
	f := c.never("no crop has been weighed to its end yet")
	f.Verdict = finding.NotYet
	return f
}

// begin fills in what every answer has.
func (c *comparison) begin() finding.Finding {
	rests := c.rests()
	return finding.Finding{
		Question: questionText(c.q),
		RestsOn:  &rests,
		Matters:  &finding.Matters{Margin: c.q.Matters},
		Asked:    c.l.Asked,
	}
}

// rests counts what the answer rests on; before the rows are narrowed down, what it could have rested on.
func (c *comparison) rests() finding.Rests {
	rows := append(slices.Clone(c.rows), c.zeros...)
	if len(rows) == 0 {
		rows = c.sample.rows
	}
	r := finding.Rests{
		Gardens:   count(rows, func(r row) string { return r.garden }),
		Beds:      count(rows, func(r row) string { return r.bed }),
		Plantings: len(rows),
		Seasons:   count(rows, func(r row) string { return strconv.Itoa(r.season) }),
		Crops:     count(rows, func(r row) string { return r.crop }),
		Unit:      "planting",
		LeftOut:   c.sample.leftOut,
	}
	if len(c.shape.units) > 0 {
		finest := c.shape.units[len(c.shape.units)-1]
		r.Unit = finest
		r.Units = count(rows, classOf(finest))
		r.Informative = informative(rows, classOf(finest), c.shape.within)
	}
	if len(c.fit.pairs) == 0 {
		r.Informative = 0
	}
	return r
}

// informative counts the units that lie where at least two levels occur: within gardens if the practice varies there, else anywhere.
func informative(rows []row, unit func(row) string, within bool) int {
	if !within {
		return count(rows, unit)
	}
	levels := map[string]map[string]bool{}
	for _, r := range rows {
		if levels[r.garden] == nil {
			levels[r.garden] = map[string]bool{}
		}
		levels[r.garden][r.level] = true
	}
	var in []row
	for _, r := range rows {
		if len(levels[r.garden]) > 1 {
			in = append(in, r)
		}
	}
	return count(in, unit)
}

// told makes the answer of a comparison that could be fitted.
func (c *comparison) told() finding.Finding {
	f := c.begin()
	f.SpeaksFor = c.shape.scope
	f.Model = c.fit.model(c.shape, c.q)
	for _, p := range c.fit.pairs {
		f.Estimates = append(f.Estimates, c.estimate("all", p))
	}
	lead := leading(f.Estimates, c.shape.reference)
	f.Estimates[0], f.Estimates[lead] = f.Estimates[lead], f.Estimates[0]
	first := f.Estimates[0]
	crops := soon(func() []finding.Estimate { return c.byCrop(first) })
	c.doubts.fromRows(c.q, c.shape, c.rows)
	c.doubts.fromFit(c.fit)
	if c.response().log {
		left := residualsOf(c.rows, c.shape)
		c.doubts.residuals(left)
		f.Tables = append(f.Tables, leftOver(left))
		c.doubts.spread(c.rows, left)
	}
	c.failures(&f)
	f.Verdict = f.Estimates[0].Verdict
	f.Matters.Detectable = c.fit.detectable(f.Estimates[0], c.q)
	f.Answer = sentence(c.q, c.shape, f.Estimates[0], c.q.Matters)
	if c.fit.counts != nil {
		c.counted(&f)
	}
	if c.q.WholeYear {
		c.wholeYear(&f)
	}
	c.leaveOut(&f)
	f.Estimates = append(f.Estimates, crops()...)
	c.doubts.many(c.l.Asked, c.q.Confidence)
	f.Doubts = c.doubts
	if f.Verdict == finding.NotYet {
		f.WouldSettle = c.settles(f.Estimates[0])
	}
	return f
}

// estimate turns a pair into a ratio, or a difference where the response is not compared on the log.
func (c *comparison) estimate(of string, p pair) finding.Estimate {
	if c.fit.counts != nil {
		e := c.fit.counts.ratio(of, p, c.q, c.fit.method)
		e.Verdict = c.decide(e)
		return e
	}
	low, high := p.low, p.high
	e := finding.Estimate{Of: of, A: p.a, B: p.b, Kind: finding.Ratio, Unit: "", Confidence: c.q.Confidence, Method: c.fit.method}
	e.Value = p.estimate
	if c.response().log {
		e.Value, low, high = math.Exp(p.estimate), math.Exp(low), math.Exp(high)
	} else {
		e.Kind = finding.Difference
	}
	e.Low, e.High = &low, &high
	e.Verdict = c.decide(e)
	return e
}

// decide applies the verdict to an interval, turned round where less is better.
func (c *comparison) decide(e finding.Estimate) finding.Verdict {
	low, high := *e.Low, *e.High
	if e.Kind == finding.Difference {
		return decideDifference(low, high, c.response().better)
	}
	v := finding.Decide(low, high, c.q.Matters)
	if c.response().better == 0 && (v == finding.Better || v == finding.Worse) {
		return "" // which has more is sure, which is better nobody said
	}
	if c.response().better < 0 {
		switch v {
		case finding.Better:
			return finding.Worse
		case finding.Worse:
			return finding.Better
		}
	}
	return v
}

// decideDifference has no margin in the response's own unit: it says only whether the direction is sure.
func decideDifference(low, high float64, better int) finding.Verdict {
	if better == 0 || low <= 0 && high >= 0 {
		return finding.NotYet
	}
	if (low > 0) == (better > 0) {
		return finding.Better
	}
	return finding.Worse
}

// leading returns the pair the answer's sentence is about: among those against the reference the surest one, by the distance of its
// interval from equality.
func leading(estimates []finding.Estimate, reference string) int {
	best, far := 0, math.Inf(-1)
	for i, e := range estimates {
		d := math.Max(*e.Low, -*e.High)
		if e.Kind == finding.Ratio {
			d = math.Max(math.Log(*e.Low), -math.Log(*e.High))
		}
		if e.B != reference {
			d -= 1e6 // only if there is no pair with the reference
		}
		if d > far {
			best, far = i, d
		}
	}
	return best
}

// stood counts plantings by garden and level.
func stood(rows []row) finding.Table {
	levels := slices.Sorted(maps.Keys(levelSet(rows)))
	t := finding.Table{Title: "What stood where: crops in a bed", Columns: []finding.Column{{Name: "garden"}}}
	for _, l := range levels {
		t.Columns = append(t.Columns, finding.Column{Name: l})
	}
	n := map[[2]string]int{}
	var gardens []string
	for _, r := range rows {
		if !slices.Contains(gardens, r.garden) {
			gardens = append(gardens, r.garden)
		}
		n[[2]string{r.garden, r.level}]++
	}
	for _, g := range gardens {
		cells := []string{g}
		for _, l := range levels {
			cells = append(cells, fmt.Sprint(n[[2]string{g, l}]))
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}
