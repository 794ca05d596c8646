package evidence

import (
	"errors"
	"math"
	"slices"

	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/num/analysis"
	"fairplot/internal/num/dist"
	"fairplot/internal/num/model"
)

// fitRows analyses the plots by the same analysis that the plain-table command runs.
func fitRows(q Question, s shape, rows []row, seed uint64) (fitted, Plots, error) {
	if responseKey(q.Response) == Counted {
		return fitCounts(q, s, rows)
	}
	weighted := spreadFallsWithArea(rows, s) && responses[responseKey(q.Response)].log
	plots := plotsOf(q, s, rows, weighted)
	s, result, err := fitLean(q, s, plots, weighted, seed)
	if err != nil {
		return fitted{}, plots, err
	}
	f := fittedOf(result, s, specOf(q, s, weighted, seed))
	f.shape = s
	return f, plots, nil
}

// fitLean fits the model, first without the groupings that would leave nothing over to judge by, then without the spread over seasons if the
// records show none.
func fitLean(q Question, s shape, plots Plots, weighted bool, seed uint64) (shape, analysis.Result, error) {
	result, err := runPlots(plots, specOf(q, s, weighted, seed))
	for _, g := range spare {
		if err != nil || !saturated(result) {
			break
		}
		if slices.Contains(s.random, g) {
			s = s.lessRandom(g)
			result, err = runPlots(plots, specOf(q, s, weighted, seed))
		}
	}
	if err == nil && evenOverSeasons(result) {
		s = s.lessRandom(bySeason)
		s.even = true
		result, err = runPlots(plots, specOf(q, s, weighted, seed))
	}
	return s, result, err
}

// spare are the groupings that are no unit's, in the order in which they go where a model has as many effects as rows: how the practice acts on
// each crop, then in each season.
var spare = []string{"crop:level", bySeason}

// saturated reports whether nothing was left over to judge the effects by.
func saturated(r analysis.Result) bool {
	return slices.ContainsFunc(r.Doubts, func(d model.Doubt) bool { return d.Code == analysis.NoResidual })
}

// bySeason is the grouping by which the practice may act differently in each season.
const bySeason = "season:level"

// lessRandom is the model without a grouping.
func (s shape) lessRandom(grouping string) shape {
	s.random = slices.DeleteFunc(slices.Clone(s.random), func(g string) bool { return g == grouping })
	return s
}

// evenOverSeasons reports whether the practice acted alike in all seasons as far as the records show: that spread lies on its boundary. It is then left
// out. It is no unit's grouping, and kept at zero it would hand the few degrees of freedom of the seasons to a spread that is not there: over 540
// invented books 99 % of the 95 % intervals held the truth with it, and 95 to 97 % without, also where the practice really varied by season.
func evenOverSeasons(r analysis.Result) bool {
	return slices.ContainsFunc(r.Components, func(c analysis.Component) bool { return c.Name == bySeason && c.OnBoundary })
}

// runPlots runs an analysis of the plots, numbering their lines as they stand in the file that --table writes.
func runPlots(plots Plots, spec analysis.Spec) (analysis.Result, error) {
	lines := make([]int, len(plots.Rows))
	for i := range lines {
		lines[i] = i + 2
	}
	table, err := model.NewTable(plots.Header, plots.Rows, lines)
	if err != nil {
		return analysis.Result{}, explain(err)
	}
	result, err := analysis.Run(table, spec)
	return result, explain(err)
}

// specOf says the model as an analysis of plots. Two levels need no adjustment for their number; several are set against a named level, or
// each against each.
func specOf(q Question, s shape, weighted bool, seed uint64) analysis.Spec {
	spec := analysis.Spec{
		Response: "y", Treatments: s.treatments(q), Blocks: s.blocks(),
		Categories: []string{"garden", "season", "bed", "crop", "level"},
		Log:        responses[responseKey(q.Response)].log,
		Compare:    []string{"level"}, Confidence: q.Confidence, Seed: seed, Intervals: true,
	}
	switch {
	case len(s.levels) == 2:
		spec.Against, spec.Adjust = s.reference, model.None
	case q.Against != "":
		spec.Against, spec.Adjust = s.reference, model.Dunnett
	default:
		spec.Adjust = model.Tukey
	}
	if weighted {
		spec.Weights = "area"
	}
	return spec
}

// fittedOf reads pairs, variances and the story of the search off the analysis. A pair is turned so that the reference, or else the lower level,
// stands last.
func fittedOf(r analysis.Result, s shape, spec analysis.Spec) fitted {
	f := fitted{criterion: r.Criterion, method: methodOf(r, spec), analyse: spec.CommandLine(PlotsFile)}
	for _, c := range r.Components {
		f.components = append(f.components, finding.Component{Name: c.Name, Variance: c.Variance, OnBoundary: c.OnBoundary})
	}
	if r.Search != nil && !r.Search.Converged {
		f.stopped = r.Search.Gradient
	}
	rank := map[string]int{}
	for i, l := range s.levels {
		rank[l] = i
	}
	for _, d := range r.Differences {
		p, ok := pairOf(d)
		if !ok {
			continue
		}
		if rank[p.a] < rank[p.b] {
			p = p.turned()
		}
		f.pairs = append(f.pairs, p)
		f.df = p.df
	}
	return f
}

// pairOf takes a difference over if it has an interval, the simultaneous one where there is one.
func pairOf(d model.Difference) (pair, bool) {
	if len(d.A) != 1 || len(d.B) != 1 || d.Low == nil || d.High == nil || d.SE == nil || d.DF == nil {
		return pair{}, false
	}
	p := pair{a: d.A[0].Level, b: d.B[0].Level, estimate: d.Estimate, se: *d.SE, df: *d.DF, low: *d.Low, high: *d.High}
	if d.LowAdjusted != nil && d.HighAdjusted != nil {
		p.low, p.high = *d.LowAdjusted, *d.HighAdjusted
	}
	return p, finite(p.low) && finite(p.high)
}

func methodOf(r analysis.Result, spec analysis.Spec) string {
	method := r.Method
	if r.Method == analysis.REML {
		method += ", Kenward-Roger degrees of freedom"
		for _, d := range r.Doubts {
			if d.Code == analysis.OtherDF {
				method = "REML, Satterthwaite degrees of freedom"
			}
		}
	}
	switch spec.Adjust {
	case model.Tukey:
		return method + ", all pairs by Tukey"
	case model.Dunnett:
		return method + ", against one level by Dunnett"
	}
	return method
}

// detectable is the smallest true difference that these records would show four times in five, by the spread and degrees of freedom of the pair.
func (f fitted) detectable(e finding.Estimate, q Question) *float64 {
	if e.Kind != finding.Ratio {
		return nil
	}
	for _, p := range f.pairs {
		if p.a == e.A && p.b == e.B && p.se > 0 {
			if f.counts != nil {
				return f.counts.detectable(p, q.Confidence)
			}
			x := math.Expm1(p.se * (dist.TQuantile(1-(1-q.Confidence)/2, p.df) + dist.TQuantile(0.8, p.df)))
			if finite(x) {
				return &x
			}
		}
	}
	return nil
}

// spreadFallsWithArea reports whether smaller plots scatter more: the logarithm of the squared residuals falls with that of the area, by more than
// two standard errors, over areas that differ at least twofold.
func spreadFallsWithArea(rows []row, s shape) bool {
	least, most := math.Inf(1), 0.0
	for _, r := range rows {
		least, most = math.Min(least, r.area), math.Max(most, r.area)
	}
	if !(least > 0) || most < 2*least || len(rows) < 12 {
		return false
	}
	x, y := make([]float64, len(rows)), make([]float64, len(rows))
	for i, e := range residualsOf(rows, s) {
		x[i] = math.Log(rows[i].area)
		y[i] = math.Log(e*e + 1e-12)
	}
	slope, se := slopeOf(x, y)
	return slope < -2*se
}

// slopeOf is the least-squares slope of y on x with its standard error.
func slopeOf(x, y []float64) (slope, se float64) {
	n := float64(len(x))
	one := make([]int32, len(x))
	dx, dy := residualise(x, [][]int32{one}), residualise(y, [][]int32{one})
	sxx := dot(dx, dx)
	slope = dot(dx, dy) / sxx
	rest := dot(dy, dy) - slope*slope*sxx
	return slope, math.Sqrt(rest / (n - 2) / sxx)
}

// explain turns an error of the analysis into one of the records.
func explain(err error) error {
	var e *model.Error
	if errors.As(err, &e) {
		return &garden.Error{Kind: garden.Refused, Text: "the comparison cannot be worked out: " + e.Text, Hint: e.Hint, Cause: err}
	}
	return err
}
