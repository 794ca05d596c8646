// Package lmm fits linear mixed models with any number of nested and crossed random groupings by restricted maximum
// likelihood, and gives Kenward & Roger's and Satterthwaite's small-sample inference for the fixed effects. It knows
// matrices and classes of rows, no formulae and no factors. docs/mixed-models.md derives all of it in the symbols used here;
// numbers in brackets beside formulas are those of its equations.
//
//	m, err := lmm.New(lmm.Data{Y: y, X: x, Groupings: groupings}) // read the model, build the objective
//	fit, err := m.Fit()                                           // minimise, assemble
//	inf, err := fit.By(lmm.KenwardRoger)                          // inf.Coef, inf.Cov, inf.DF, inf.Test
//
// The model is y = Xβ + Σ Z_k b_k + e with var b_k = σ² g_k I, var e = σ² I (σ²/w for a row of weight w), g_k = θ_k².
package lmm

import (
	"math"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/minimize"
)

// Grouping is one random grouping over the rows.
type Grouping struct {
	Name   string
	Class  []int32 // 0 to Levels-1, one a row
	Levels int
}

// Data is what a model is read from. It is neither changed nor kept.
type Data struct {
	Y         []float64
	X         dense.Matrix // rows × fixed effects, of full column rank; the criterion is for X as it stands
	Groupings []Grouping   // at least one; ties in size keep this order
	Weights   []float64    // nil, or positive: the residual variance of a row is σ²/weight
	R         dense.Matrix // upper triangle with X′WX = R′R, where the caller has it already; else it is worked out
}

// Model is a model that has been read: everything about the design is worked out, only the response may still change.
// A Model has one working space, so it serves one goroutine; Clone gives others their own.
type Model struct {
	d     *design
	w     *work
	s     *minimize.Search
	theta []float64
	state error // what is wrong with the present response

	stamp int // counts changes of the working space
}

// New reads a model. Its errors are *Error.
func New(data Data) (*Model, error) {
	return read(data, cheaper)
}

func read(data Data, as layout) (*Model, error) {
	d, err := newDesign(data, as)
	if err != nil {
		return nil, err
	}
	m := &Model{d: d, w: newWork(d), s: minimize.NewSearch(len(d.groups)), theta: make([]float64, len(d.groups))}
	if err := m.SetY(data.Y); err != nil {
		return nil, err
	}
	return m, nil
}

// Clone returns a model of the same design with a working space of its own, for another goroutine.
func (m *Model) Clone() *Model {
	c := &Model{d: m.d, w: newWork(m.d), s: minimize.NewSearch(len(m.theta)), theta: make([]float64, len(m.theta)), state: m.state}
	c.w.take(m.w)
	return c
}

// SetY gives the model another response, with nothing else to be set up again: for simulation. The error is *Error
// where the fixed effects fit it perfectly.
func (m *Model) SetY(y []float64) error {
	if len(y) != m.d.n {
		panic("lmm: SetY: wrong number of rows")
	}
	m.stamp++
	m.state = m.w.response(y)
	return m.state
}

// Rows returns the number of rows n.
func (m *Model) Rows() int { return m.d.n }

// Fit minimises the criterion from Rao's MINQUE(0) estimates, which in balanced data are the answer already.
func (m *Model) Fit() (*Fit, error) {
	if m.state != nil {
		return nil, m.state
	}
	m.stamp++
	res := m.search()
	if err := m.d.degenerate(m.w, m.theta); err != nil {
		return nil, err
	}
	if math.IsNaN(res.Value) || math.IsInf(res.Value, 0) {
		return nil, &Error{Kind: NoMinimum, Text: "the likelihood of these rows has no maximum that can be found"}
	}
	return m.assemble(res), nil
}
