package evidence

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairplot/internal/finding"
	"fairplot/internal/word"
)

// pair is the difference of two levels on the scale of the analysis, a less b; the limits are those that hold for all pairs together where
// there are several.
type pair struct {
	a, b                        string
	estimate, se, df, low, high float64
}

// fitted is what the analysis of the plots gave.
type fitted struct {
	pairs      []pair
	components []finding.Component
	criterion  *float64
	df         float64
	method     string
	analyse    string
	shape      shape   // the model as it was fitted
	stopped    float64 // projected gradient of a search that did not converge, else 0
	counts     *counts // of a response that is a count of n, else nil
}

// model tells how the figures were worked out.
func (f fitted) model(s shape, q Question) *finding.Model {
	formula := s.treatments(q)
	if blocks := s.blocks(); blocks != "" {
		formula += "; blocks " + blocks
	}
	if f.counts != nil {
		formula = "logit(y/n) = " + s.treatments(q) + "; blocks " + strings.Join(f.counts.random, " + ")
	} else if responses[responseKey(q.Response)].log {
		formula = "log(y) = " + formula
	} else {
		formula = "y = " + formula
	}
	return &finding.Model{Formula: formula, Components: f.components, DF: f.df, Criterion: f.criterion, Method: f.method, Analyse: f.analyse}
}

// fromFit adds the doubts that the fit raises.
func (d *doubts) fromFit(f fitted) {
	var flat []string
	for _, c := range f.components {
		if c.OnBoundary {
			flat = append(flat, c.Name)
		}
	}
	if len(flat) > 0 {
		d.add(finding.ZeroVariance, float64(len(flat)), "The spread of %s came out as nothing, which can happen by luck in few records; it stays in the reckoning of the degrees of freedom.", word.And(flat))
	}
	if f.shape.even {
		d.add(finding.ZeroVariance, 0, "The practice showed no difference between seasons beyond chance, which few seasons can do by luck; the model takes it to act alike in all.")
	}
	if f.stopped > 0 {
		d.add(finding.SearchStopped, f.stopped, "The search for the variances stopped before it was sure.")
	}
}

// residuals doubts a fit of which one residual lies further out than the furthest of so many should: beyond the normal quantile at a
// chance of 1 in 20 for the largest (Bonferroni).
func (d *doubts) residuals(r []float64) {
	if len(r) < 10 {
		return
	}
	sum := 0.0
	for _, x := range r {
		sum += x * x
	}
	sd := math.Sqrt(sum / float64(len(r)))
	worst := 0.0
	for _, x := range r {
		worst = math.Max(worst, math.Abs(x)/sd)
	}
	if limit := outermost(len(r)); worst > limit {
		d.add(finding.OddResiduals, worst, "One planting lies %.1f spreads from what the rest would lead one to expect, where %.1f is the most that %d should show: look at its weights.", worst, limit, len(r))
	}
}

// leftOver is the numbers of a picture of the residuals: how far out, in spreads, the lowest tenth of them reaches, the lowest fifth and so on, beside
// what a normal spread would show.
func leftOver(r []float64) finding.Table {
	t := finding.Table{Title: "What garden, season, crop and level leave over, in spreads", Columns: []finding.Column{{Name: "share below", Unit: "%"}, {Name: "found"}, {Name: "if normal"}}}
	if len(r) < 10 {
		return t
	}
	sorted := slices.Sorted(slices.Values(r))
	sd := math.Sqrt(dot(r, r) / float64(len(r)))
	for _, share := range []float64{0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975} {
		found := sorted[min(len(sorted)-1, int(share*float64(len(sorted))))] / sd
		t.Rows = append(t.Rows, []string{fmt.Sprintf("%g", 100*share), fmt.Sprintf("%.2f", found), fmt.Sprintf("%.2f", math.Sqrt2*math.Erfinv(2*share-1))})
	}
	return t
}

// spread doubts that the levels scatter alike.
func (d *doubts) spread(rows []row, r []float64) {
	if len(r) != len(rows) {
		return
	}
	sum, n := map[string]float64{}, map[string]float64{}
	for i, x := range r {
		sum[rows[i].level] += x * x
		n[rows[i].level]++
	}
	least, most := math.Inf(1), 0.0
	var quiet, loud string
	for l := range sum {
		if n[l] < 8 {
			continue
		}
		sd := math.Sqrt(sum[l] / n[l])
		if sd < least {
			least, quiet = sd, l
		}
		if sd > most {
			most, loud = sd, l
		}
	}
	if least > 0 && most > 2*least {
		d.add(finding.UnevenSpread, most/least, "%q scatters %.1f times as widely as %q, while the model takes them to scatter alike.", loud, most/least, quiet)
	}
}

// outermost is the most spreads that the largest of n normal residuals should lie out, but for one chance in twenty.
func outermost(n int) float64 { return math.Sqrt2 * math.Erfinv(1-0.05/float64(n)) }
