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
		if atLevel(c.zeros, e.A)+atLevel(c.zeros, e.B) == 0 || i > 0 && e.Verdict == finding.NotYet {
			continue // nothing failed, or failures could not make it surer
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

// withZeros is the ratio of mean yields with failures as zero, each yield first set against what its crop, season and garden (or bed, where beds are compared
// with themselves) usually gave; the interval comes from resampling units within gardens, what is usual being worked out anew each time.
func (c *comparison) withZeros(e finding.Estimate) (finding.Estimate, error) {
	rows := append(slices.Clone(c.rows), c.zeros...)
	unit := classOf(c.shape.units[len(c.shape.units)-1])
	stratum := func(r row) string { return r.garden + "\x00" + r.level }
	draws, method := 999, resample.BCa
	if len(rows) > manyRows {
		draws, method = 199, resample.Percentile // enough where so many rows leave little skew
	}
	interval, err := resample.Bootstrap(resample.Sample{Rows: len(rows), Stratum: numbered(rows, stratum),
		Unit: numbered(rows, func(r row) string { return unit(r) + "\x00" + stratum(r) })},
		newZeroRatio(c.rows, c.zeros, c.shape, e).of,
		resample.BootstrapOptions{Method: method, Draws: draws, Confidence: c.q.Confidence, Rand: rand.New(rand.NewPCG(c.l.Seed, 0x7a65726f))})
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

// manyRows is from where on resampling is cut short.
const manyRows = 500

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

// zeroRatio is the ratio of two levels' mean yields, failures as zero, as a function of how often each row counts. It has one working space.
type zeroRatio struct {
	level   []int32     // of every row, those that cropped first: 0 and 1 for the two levels, -1 for others
	classes [][]int32   // of the rows that cropped: level, crop, season, and garden or bed
	effects [][]float64 // of the whole sample, from which the resampled ones are a few steps away
	left    []float64   // of the whole sample

	rest       []float64 // left and effects of the sample at hand
	share      [][]float64
	sum, times []float64 // of each class of a factor
}

func newZeroRatio(cropped, zeros []row, s shape, e finding.Estimate) zeroRatio {
	z := zeroRatio{left: logOf(cropped)}
	for _, r := range append(slices.Clone(cropped), zeros...) {
		z.level = append(z.level, int32(slices.Index([]string{e.A, e.B}, r.level)))
	}
	factors := []func(row) string{func(r row) string { return r.level }, func(r row) string { return r.crop }, func(r row) string { return strconv.Itoa(r.season) }}
	switch {
	case len(s.shares) > 0:
		factors = append(factors, func(r row) string { return r.bed })
	case s.within:
		factors = append(factors, func(r row) string { return r.garden })
	}
	for _, f := range factors {
		class := numbered(cropped, f)
		z.classes = append(z.classes, class)
		z.effects = append(z.effects, make([]float64, 1+slices.Max(class)))
	}
	even := make([]float64, len(z.left))
	for i := range even {
		even[i] = 1
	}
	most := 0
	for _, e := range z.effects {
		z.share = append(z.share, make([]float64, len(e)))
		most = max(most, len(e))
	}
	z.rest, z.sum, z.times = make([]float64, len(z.left)), make([]float64, most), make([]float64, most)
	z.settle(z.left, z.effects, even, sweeps)
	return z
}

// settle moves the weighted means of each factor's classes from left into their effects, the factors taking turns: least squares on their sum.
func (z zeroRatio) settle(left []float64, effects [][]float64, weight []float64, turns int) {
	for range turns {
		moved := 0.0
		for j, class := range z.classes {
			moved = math.Max(moved, z.shift(left, effects[j], class, weight))
		}
		if moved < 1e-9 {
			return
		}
	}
}

// shift moves the weighted mean of each class from left to the class's effect and returns the largest.
func (z zeroRatio) shift(left, effect []float64, class []int32, weight []float64) float64 {
	sum, n := z.sum[:len(effect)], z.times[:len(effect)]
	clear(sum)
	clear(n)
	for i, c := range class {
		sum[c] += weight[i] * left[i]
		n[c] += weight[i]
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

// of is the statistic that is resampled.
func (z zeroRatio) of(weight []float64) float64 {
	left, effects := z.rest, z.share
	copy(left, z.left)
	for j, e := range z.effects {
		copy(effects[j], e)
	}
	z.settle(left, effects, weight[:len(left)], 5)
	var sum, n [2]float64
	for i, l := range z.level {
		if l < 0 {
			continue
		}
		n[l] += weight[i]
		if i < len(left) {
			sum[l] += weight[i] * math.Exp(left[i]+effects[0][z.classes[0][i]])
		}
	}
	return sum[0] / n[0] / (sum[1] / n[1])
}
