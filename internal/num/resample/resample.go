// Package resample judges a comparison by its own lottery: randomisation tests over the arrangements that the
// draw could have given, counted where they can be counted and drawn at random elsewhere, and bootstrap
// intervals by whole units within strata. It draws no plan (design does) and fits no model; every random
// stream is handed in. docs/resampling.md says what is exact and what is not.
package resample

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
)

// Plan says what was drawn by lot. Every slice has one entry a row; labels are any whole numbers.
//
// With Row and Column set the plan is a Latin square; else treatments were drawn among the units of each block.
// A whole-plot treatment of a split plot has the whole plots as Unit and the blocks as Block; its sub-plot
// treatment has the whole plots as Block and no Unit.
type Plan struct {
	Treatment   []int32
	Unit        []int32 // rows with one number got their treatment together; nil: each row is a unit
	Block       []int32 // the draw was made inside each of these; nil: one block
	Row, Column []int32 // both or neither
}

// Statistic is a number that grows as the treatments differ more. Value must depend on its argument alone and must
// not keep or change it; it is called from one goroutine.
type Statistic struct {
	Value func(treatment []int32) float64
	// Exchange lists sets of treatments whose names can be exchanged without changing Value. It only serves to
	// tell the smallest p that the plan can give.
	Exchange [][]int32
	// Tolerance is the absolute difference below which two values count as equal; 0 takes 1e-9 of the observed one.
	Tolerance float64
}

// Options steer a test. Rand is needed only where the arrangements are too many to count.
type Options struct {
	Limit int        // count every arrangement up to this many; 0 takes 200,000
	Draws int        // arrangements drawn beyond that; 0 takes 9,999
	Rand  *rand.Rand // a seeded stream
}

// Result is the outcome of a randomisation test.
type Result struct {
	Observed float64
	P        float64 // exact: share at or above the observed; drawn: (b+1)/(m+1) (Davison & Hinkley 1997, eq. 4.11)
	MidP     float64 // counts half of the ties; exact tests only, else NaN

	Exact        bool
	Arrangements float64 // distinct arrangements that the lot could have given; +Inf beyond 1e308
	Smallest     float64 // the smallest p that this plan can give, whatever is harvested
	Counted      int     // arrangements looked at: all of them, or the draws
	Above, Equal int     // of those counted, above the observed value and equal to it (drawn: without the observed one)
	Error        float64 // standard error of P from drawing; 0 when exact
}

const (
	defaultLimit = 200_000
	defaultDraws = 9_999
)

// lottery is the set of arrangements that were equally likely, and a way to walk or sample it. Labels are by row.
type lottery interface {
	size(s Statistic) float64                 // steps that each takes: a multiple of the distinct arrangements
	arrangements() float64                    // distinct arrangements
	smallest(s Statistic) float64             // share that no statistic of this symmetry can undercut
	each(s Statistic, visit func([]int32))    // every arrangement equally often
	random(r *rand.Rand, visit func([]int32)) // one arrangement, uniformly
}

// Randomise compares the observed statistic with its values under all arrangements that the lot could have
// given. It errs on a plan that is not what it says, and when drawing is needed and no stream was handed in.
func Randomise(p Plan, s Statistic, o Options) (Result, error) {
	l, err := p.lottery()
	if err != nil {
		return Result{}, err
	}
	observed := s.Value(p.Treatment)
	if math.IsNaN(observed) {
		return Result{}, errors.New("the statistic of the arrangement as laid out is not a number; " +
			"leave out rows without a value and treatments without rows")
	}
	t := tally{observed: observed, tolerance: s.Tolerance}
	if t.tolerance == 0 {
		t.tolerance = 1e-9 * math.Abs(observed)
	}
	res := Result{Observed: observed, Arrangements: l.arrangements(), Smallest: l.smallest(s)}
	if l.size(s) <= float64(orDefault(o.Limit, defaultLimit)) {
		l.each(s, func(labels []int32) { t.add(s.Value(labels)) })
		return res.counted(t), nil
	}
	if o.Rand == nil {
		return Result{}, fmt.Errorf("%.3g arrangements are too many to count and no random stream was given to draw from them", res.Arrangements)
	}
	for range orDefault(o.Draws, defaultDraws) {
		l.random(o.Rand, func(labels []int32) { t.add(s.Value(labels)) })
	}
	return res.drawn(t), nil
}

func orDefault(v, d int) int {
	if v > 0 {
		return v
	}
	return d
}

// tally counts values against the observed one. A value that is no number counts as equal: against the claim.
type tally struct {
	observed, tolerance float64
	above, equal, all   int
}

func (t *tally) add(v float64) {
	t.all++
	switch {
	case v == t.observed || math.IsNaN(v) || math.Abs(v-t.observed) <= t.tolerance:
		t.equal++
	case v > t.observed:
		t.above++
	}
}

func (r Result) counted(t tally) Result {
	r.Exact, r.Counted, r.Above, r.Equal = true, t.all, t.above, t.equal
	r.P = float64(t.above+t.equal) / float64(t.all)
	r.MidP = (float64(t.above) + float64(t.equal)/2) / float64(t.all)
	return r
}

func (r Result) drawn(t tally) Result {
	r.Counted, r.Above, r.Equal, r.MidP = t.all, t.above, t.equal, math.NaN()
	r.P = float64(t.above+t.equal+1) / float64(t.all+1)
	r.Error = math.Sqrt(r.P * (1 - r.P) / float64(t.all))
	return r
}
