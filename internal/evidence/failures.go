package evidence

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"

	"fairplot/internal/finding"
	"fairplot/internal/num/resample"
)

// failures adds what failed: the share at each level, and the ratio of mean yields with failures as zero. A verdict stands only if that
// ratio agrees with the one among those that cropped and both intervals exclude 1.
func (c *comparison) failures(f *finding.Finding) {
	if len(c.zeros) == 0 || !c.response().zeros {
		return
	}
	t := finding.Table{Title: "What failed", Columns: []finding.Column{{Name: "level"}, {Name: "crops in a bed"}, {Name: "failed"}, {Name: "share", Unit: "%"}}}
	for _, l := range c.shape.levels {
		n, bad := atLevel(c.rows, l), atLevel(c.zeros, l)
		t.Rows = append(t.Rows, []string{l, fmt.Sprint(n + bad), fmt.Sprint(bad), fmt.Sprintf("%.0f", 100*float64(bad)/float64(n+bad))})
	}
	f.Tables = append(f.Tables, t)
	c.doubts.add(finding.Failures, float64(len(c.zeros)), "%s failed and have no logarithm; the ratio with failures as zero stands beside, and the verdict needs both.", plural(len(c.zeros), "planting"))
	for i, e := range f.Estimates {
		if atLevel(c.zeros, e.A)+atLevel(c.zeros, e.B) == 0 {
			continue
		}
		with, err := c.withZeros(e)
		if err != nil {
			f.Estimates[i].Verdict = finding.NotYet
			continue
		}
		f.Estimates = append(f.Estimates, with)
		f.Estimates[i].Verdict = agreed(e, with, c.q.Matters)
	}
}

func atLevel(rows []row, level string) int {
	n := 0
	for _, r := range rows {
		if r.level == level {
			n++
		}
	}
	return n
}

// agreed keeps a verdict only if the ratio with zeros bears it out: the same direction with both intervals clear of 1, or both inside the margin.
func agreed(among, with finding.Estimate, m float64) finding.Verdict {
	if among.Verdict == finding.NoDifference && with.Verdict != finding.NoDifference || among.Verdict == finding.Better && *with.Low <= 1 ||
		among.Verdict == finding.Worse && *with.High >= 1 {
		return finding.NotYet
	}
	return among.Verdict
}

// withZeros is the ratio of mean yields with failures as zero, each yield first divided by what its crop, garden and season usually gave; the
// interval comes from resampling units within gardens.
func (c *comparison) withZeros(e finding.Estimate) (finding.Estimate, error) {
	rows := append(slices.Clone(c.rows), c.zeros...)
	scale := usualYield(c.rows)
	unit := classOf(c.shape.units[len(c.shape.units)-1])
	stratum := func(r row) string { return r.garden + "\x00" + r.level }
	y := make([]float64, len(rows))
	level := make([]int32, len(rows))
	for i, r := range rows {
		y[i] = r.y / scale(r)
		level[i] = int32(slices.Index([]string{e.A, e.B}, r.level)) // -1 for the levels not compared here
	}
	interval, err := resample.Bootstrap(resample.Sample{Rows: len(rows), Stratum: numbered(rows, stratum),
		Unit: numbered(rows, func(r row) string { return unit(r) + "\x00" + stratum(r) })},
		resample.RatioOfMeans(y, level, 0, 1),
		resample.BootstrapOptions{Confidence: c.q.Confidence, Rand: rand.New(rand.NewPCG(c.l.Seed, 0x7a65726f))})
	if err != nil {
		return finding.Estimate{}, err
	}
	out := finding.Estimate{Of: "with failures as zero", A: e.A, B: e.B, Kind: finding.Ratio, Value: interval.Estimate, Low: &interval.Low, High: &interval.High,
		Confidence: c.q.Confidence, Method: "resampling of units within gardens"}
	if !finite(interval.Estimate) || !finite(interval.Low) || !finite(interval.High) {
		return out, fmt.Errorf("the ratio with failures as zero has no finite interval")
	}
	out.Verdict = finding.Decide(interval.Low, interval.High, c.q.Matters)
	return out, nil
}

// numbered gives each class of the rows a number in order of appearance.
func numbered(rows []row, class func(row) string) []int32 {
	seen := map[string]int32{}
	out := make([]int32, len(rows))
	for i, r := range rows {
		k := class(r)
		n, ok := seen[k]
		if !ok {
			n = int32(len(seen))
			seen[k] = n
		}
		out[i] = n
	}
	return out
}

// usualYield returns what the crop, garden and season of a row usually gave among those that cropped, its level apart: the additive fit of
// the logarithm, factor by factor.
func usualYield(rows []row) func(row) float64 {
	factors := []func(row) string{
		func(r row) string { return r.level }, // first, so that what follows is within levels
		func(r row) string { return r.crop },
		func(r row) string { return r.garden },
		func(r row) string { return strconv.Itoa(r.season) },
	}
	codes := make([][]int32, len(factors))
	effects := make([][]float64, len(factors))
	for j, f := range factors {
		codes[j] = numbered(rows, f)
		effects[j] = make([]float64, len(rows))
	}
	left := logOf(rows)
	for range sweeps {
		moved := 0.0
		for j := range factors {
			moved = math.Max(moved, shift(left, effects[j], codes[j]))
		}
		if moved < 1e-13 {
			break
		}
	}
	effect := make([]map[string]float64, len(factors))
	for j, f := range factors {
		effect[j] = map[string]float64{}
		for i, r := range rows {
			effect[j][f(r)] = effects[j][codes[j][i]]
		}
	}
	return func(r row) float64 {
		e := 0.0
		for j, f := range factors[1:] {
			e += effect[j+1][f(r)]
		}
		return math.Exp(e)
	}
}

// shift moves the mean of each class from left to the class's effect and returns the largest.
func shift(left, effect []float64, class []int32) float64 {
	sum, n := make([]float64, len(left)), make([]float64, len(left))
	for i, c := range class {
		sum[c] += left[i]
		n[c]++
	}
	most := 0.0
	for c := range sum {
		if n[c] > 0 {
			sum[c] /= n[c]
			effect[c] += sum[c]
			most = math.Max(most, math.Abs(sum[c]))
		}
	}
	for i, c := range class {
		left[i] -= sum[c]
	}
	return most
}
