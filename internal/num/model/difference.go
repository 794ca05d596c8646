package model

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"fairplot/internal/num/dense"
)

// Side is one side of a difference; as JSON the level of one factor, or an object for a cell of several.
type Side Settings

// MarshalJSON writes text for one factor and an object for cells.
func (s Side) MarshalJSON() ([]byte, error) {
	if len(s) == 1 {
		return json.Marshal(s[0].Level)
	}
	return Settings(s).MarshalJSON()
}

// String writes the levels alone, joined by colons.
func (s Side) String() string { return Settings(s).String() }

// Difference is a minus b. The adjusted p and limits allow for the number of differences in the family; the ratio and its
// limits are exponentials where the response was a logarithm.
type Difference struct {
	Of           string   `json:"of"`
	A            Side     `json:"a"`
	B            Side     `json:"b"`
	Estimate     float64  `json:"estimate"`
	SE           *float64 `json:"se,omitempty"`
	DF           *float64 `json:"df,omitempty"`
	Low          *float64 `json:"low,omitempty"`
	High         *float64 `json:"high,omitempty"`
	P            *float64 `json:"p,omitempty"`
	PAdjusted    *float64 `json:"p_adjusted,omitempty"`
	LowAdjusted  *float64 `json:"low_adjusted,omitempty"`
	HighAdjusted *float64 `json:"high_adjusted,omitempty"`
	Ratio        *float64 `json:"ratio,omitempty"`
	RatioLow     *float64 `json:"ratio_low,omitempty"`
	RatioHigh    *float64 `json:"ratio_high,omitempty"`
}

// Adjust names how a family of differences allows for their number.
type Adjust string

// The adjustments.
const (
	Tukey   Adjust = "tukey"
	Dunnett Adjust = "dunnett"
	Holm    Adjust = "holm"
	None    Adjust = "none"
)

// Comparison says which differences of a family are wanted.
type Comparison struct {
	Scale
	Against string // level of the one factor that the others are set against; "" for all pairs
	Adjust  Adjust
	Seed    uint64 // for what Dunnett's law can only sample

	LimitsAlone bool // leave out the adjusted p of Tukey and Dunnett
}

// mostPaired bounds a family of all pairs: 125,000 of them.
const mostPaired = 500

// pair is a difference on its way: the cells' indices, the row over the kept columns, and its t.
type pair struct {
	a, b      int
	row       []float64
	se, df, t float64
}

// Differences returns the differences of a family that exist, in the order of its levels. An estimator without a
// covariance (Rows 0) gives estimates alone. It errs when Against is no level of the factor.
func (c Cells) Differences(e Estimator, q Comparison) ([]Difference, []Doubt, error) {
	var doubts []Doubt
	if k := len(c.Cells); q.Against == "" && k > mostPaired {
		return nil, []Doubt{{Code: TooManyPairs, Says: fmt.Sprintf("%s has %d levels or cells and so %d pairs, which were not worked out; set them against one level", c.Of, k, k*(k-1)/2), Number: Finite(float64(k))}}, nil
	}
	pairs, lost, err := c.pairs(q.Against)
	if err != nil {
		return nil, nil, err
	}
	if len(lost) > 0 {
		doubts = append(doubts, Doubt{
			Code:   NotEstimable,
			Says:   fmt.Sprintf("these rows cannot estimate the difference of %s %s; an empty cell or aliased term stands in the way", c.Of, list(lost, 6)),
			Number: Finite(float64(len(lost))),
		})
	}
	coef, cov, t := e.Coef(), e.Cov(), newStudent(q.Confidence)
	out := make([]Difference, len(pairs))
	for i := range pairs {
		out[i] = c.plain(&pairs[i], e, coef, cov, q, t)
	}
	if cov.Rows == 0 || len(pairs) == 0 {
		return out, doubts, nil
	}
	more, err := c.adjust(out, pairs, cov, q)
	return out, append(doubts, more...), err
}

// pairs lists the differences that exist, and names those that do not.
func (c Cells) pairs(against string) (out []pair, lost []string, err error) {
	add := func(a, b int) {
		if !estimable(c.Cells[a].gap, c.Cells[b].gap) {
			lost = append(lost, c.settings(c.Cells[a]).String()+" - "+c.settings(c.Cells[b]).String())
			return
		}
		row := slices.Clone(c.Cells[a].Row)
		for k, x := range c.Cells[b].Row {
			row[k] -= x
		}
		out = append(out, pair{a: a, b: b, row: row})
	}
	if against != "" {
		b := slices.IndexFunc(c.Cells, func(x Cell) bool { return len(x.Levels) == 1 && x.Levels[0] == against })
		if b < 0 {
			return nil, nil, c.notThere(against)
		}
		for a := range c.Cells {
			if a != b {
				add(a, b)
			}
		}
		return out, lost, nil
	}
	for a := range c.Cells {
		for b := a + 1; b < len(c.Cells); b++ {
			add(a, b)
		}
	}
	return out, lost, nil
}

// CheckAgainst errs when the family is not one factor with that level.
func (c Cells) CheckAgainst(level string) error {
	if len(c.Factors) == 1 && slices.ContainsFunc(c.Cells, func(x Cell) bool { return x.Levels[0] == level }) {
		return nil
	}
	return c.notThere(level)
}

func (c Cells) notThere(against string) error {
	if len(c.Factors) != 1 {
		return &Error{Formula: "against", Text: fmt.Sprintf("%s has cells, and one level is no cell", c.Of), Hint: "compare one factor against one of its levels"}
	}
	v := Variable{Name: c.Factors[0]}
	for _, cell := range c.Cells {
		v.Levels = append(v.Levels, cell.Levels[0])
	}
	return v.level(against)
}

// plain fills in what needs no other difference of the family.
func (c Cells) plain(p *pair, e Estimator, coef []float64, cov dense.Matrix, q Comparison, t *student) Difference {
	d := Difference{
		Of: c.Of, A: Side(c.settings(c.Cells[p.a])), B: Side(c.settings(c.Cells[p.b])),
		Estimate: dense.Dot(p.row, coef),
	}
	if cov.Rows > 0 {
		p.se, p.df = math.Sqrt(quadratic(cov.Data, p.row)), e.DF(p.row)
		p.t = d.Estimate / p.se
		half := p.se * t.half(p.df)
		d.SE, d.DF, d.P = Finite(p.se), Finite(p.df), Finite(t.both(p.t, p.df))
		d.Low, d.High = Finite(d.Estimate-half), Finite(d.Estimate+half)
	}
	if q.Log {
		d.Ratio, d.RatioLow, d.RatioHigh = exponential(&d.Estimate), exponential(d.Low), exponential(d.High)
	}
	return d
}

func (c Cells) adjust(out []Difference, pairs []pair, cov dense.Matrix, q Comparison) ([]Doubt, error) {
	var l law
	var doubts []Doubt
	switch q.Adjust {
	case Holm:
		holm(out)
		return nil, nil
	case Tukey:
		l = newTukey(compared(pairs))
	case Dunnett:
		d, err := newDunnett(correlation(pairs, cov), q.Seed)
		if err != nil {
			return nil, err
		}
		l = d
	default:
		return nil, nil
	}
	half := critical(l, q.Confidence)
	for i, p := range pairs {
		if !q.LimitsAlone {
			out[i].PAdjusted = Finite(l.upper(math.Abs(p.t), p.df))
		}
		w := p.se * half(p.df)
		out[i].LowAdjusted, out[i].HighAdjusted = Finite(out[i].Estimate-w), Finite(out[i].Estimate+w)
	}
	if worst := l.sampling(); worst > 0 {
		doubts = append(doubts, Doubt{
			Code:   DunnettError,
			Says:   fmt.Sprintf("the adjusted probabilities of %s were sampled, with a standard error of %.1g", c.Of, worst),
			Number: Finite(worst),
		})
	}
	return doubts, nil
}

// compared counts the cells that stand in some difference.
func compared(pairs []pair) int {
	seen := map[int]bool{}
	for _, p := range pairs {
		seen[p.a], seen[p.b] = true, true
	}
	return len(seen)
}

// correlation of the differences.
func correlation(pairs []pair, cov dense.Matrix) dense.Matrix {
	m, p := len(pairs), cov.Rows
	out := dense.New(m, m)
	side := make([]float64, p)
	for i, x := range pairs {
		clear(side)
		for k, l := range x.row {
			if l != 0 {
				for j, c := range cov.Row(k) {
					side[j] += l * c
				}
			}
		}
		for j := range i {
			r := dense.Dot(side, pairs[j].row) / (x.se * pairs[j].se)
			out.Set(i, j, r)
			out.Set(j, i, r)
		}
		out.Set(i, i, 1)
	}
	return out
}

// holm adjusts the p of a family step by step (Holm 1979, Scandinavian Journal of Statistics 6:65-70).
func holm(out []Difference) {
	var order []int
	for i, d := range out {
		if d.P != nil {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case *out[a].P < *out[b].P:
			return -1
		case *out[a].P > *out[b].P:
			return 1
		}
		return 0
	})
	least := 0.0
	for k, i := range order {
		least = max(least, min(1, *out[i].P*float64(len(order)-k)))
		out[i].PAdjusted = Finite(least)
	}
}
