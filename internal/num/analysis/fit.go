package analysis

import (
	"errors"
	"fmt"
	"math"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/linear"
	"fairplot/internal/num/lmm"
	"fairplot/internal/num/model"
)

// fit finds the estimates by the method that the groupings call for.
func (p *planned) fit() (*fitted, error) {
	if len(p.groupings) == 0 {
		return p.leastSquares()
	}
	data := lmm.Data{Y: p.frame.Response, X: p.design.X, Weights: p.frame.Weights, R: p.design.Triangle()}
	for _, g := range p.groupings {
		data.Groupings = append(data.Groupings, lmm.Grouping{Name: g.Name, Class: g.Class, Levels: g.Levels})
	}
	m, err := lmm.New(data)
	if err != nil {
		return p.unfitted(err)
	}
	found, err := m.Fit()
	if err != nil {
		return p.unfitted(err)
	}
	return p.mixed(found)
}

func (p *planned) leastSquares() (*fitted, error) {
	f, err := linear.LeastSquares(linear.Data{Y: p.frame.Response, X: p.design.X, Weights: p.frame.Weights})
	if err != nil {
		return nil, &model.Error{Formula: "treatments", Text: err.Error()}
	}
	if len(f.Dropped) > 0 {
		return nil, p.dependent()
	}
	out := &fitted{Estimator: f, method: LeastSquares, exact: f.Doubt != nil}
	switch {
	case errors.Is(f.Doubt, linear.ErrNoResidual):
		out.doubts = append(out.doubts, p.noResidual())
	case f.Doubt != nil:
		out.doubts = append(out.doubts, p.perfect())
	default:
		out.components = []Component{{Name: "residual", Variance: f.Variance}}
	}
	return out, nil
}

// dependent refuses columns that the design kept and the fit could not tell apart.
func (p *planned) dependent() error {
	return &model.Error{Formula: "treatments", Text: "two columns of numbers are too nearly the same to be told apart", Hint: "leave one of them out"}
}

func (p *planned) noResidual() model.Doubt {
	return model.Doubt{
		Code:   NoResidual,
		Says:   fmt.Sprintf("the model has as many effects as there are rows (%d), so nothing is left over to judge them by: no F, p or standard error; leave terms out or grow more plots", p.frame.Rows()),
		Number: model.Finite(float64(p.frame.Rows())),
	}
}

func (p *planned) perfect() model.Doubt {
	y := p.frame.Response
	for _, v := range y {
		if v != y[0] {
			return model.Doubt{Code: PerfectFit, Says: "the model fits every response exactly, so nothing is left over to judge it by: no F, p or standard error; were the responses reckoned from each other?"}
		}
	}
	value := y[0]
	if p.spec.Log {
		value = math.Exp(value)
	}
	return model.Doubt{Code: PerfectFit, Says: fmt.Sprintf("every response is %.6g, so there is nothing to explain and nothing to judge by: no F, p or standard error", value), Number: model.Finite(value)}
}

// unfitted turns what keeps a mixed model from being fitted into a refusal, or where the rows are used up or fitted
// exactly, into the estimates of least squares alone.
func (p *planned) unfitted(err error) (*fitted, error) {
	var e *lmm.Error
	if !errors.As(err, &e) {
		return nil, err
	}
	exact := func(d model.Doubt) (*fitted, error) {
		f, err := p.leastSquares()
		if err != nil {
			return nil, err
		}
		f.exact, f.components, f.doubts = true, nil, []model.Doubt{d}
		return f, nil
	}
	switch {
	case e.Kind == lmm.NoResidual || e.Kind == lmm.Confounded && p.usedUp():
		return exact(p.noResidual())
	case e.Kind == lmm.PerfectFit:
		return exact(p.perfect())
	}
	switch e.Kind {
	case lmm.Spanned, lmm.Confounded:
		return nil, &model.Error{Formula: "blocks", Text: e.Text, Hint: "leave it out of the formula"}
	case lmm.Deficient:
		return nil, p.dependent()
	case lmm.TooLarge:
		return nil, &model.Error{Formula: "blocks", Text: e.Text, Hint: "leave the largest crossed grouping out, or analyse a part of the rows"}
	case lmm.NoMinimum:
		return nil, &model.Error{Formula: "blocks", Text: e.Text, Hint: "leave a grouping out"}
	}
	return nil, &model.Error{Text: e.Text}
}

// usedUp tells whether effects and groups together determine every row. It looks at small tables only: in large ones a
// grouping that cannot be told apart is the better word for it.
func (p *planned) usedUp() bool {
	x := p.design.X
	columns := x.Cols
	for _, g := range p.groupings {
		columns += g.Levels
	}
	if x.Rows > 500 || columns < x.Rows {
		return false
	}
	all := dense.New(columns, x.Rows)
	for i := range x.Rows {
		at := x.Cols
		for j, v := range x.Row(i) {
			all.Set(j, i, v)
		}
		for _, g := range p.groupings {
			all.Set(at+int(g.Class[i]), i, 1)
			at += g.Levels
		}
	}
	return len(dense.Factor(all, 1e-9).Kept) == x.Rows
}

// mixed reads a fit and prepares its tests.
func (p *planned) mixed(f *lmm.Fit) (*fitted, error) {
	out := &fitted{
		method: REML, criterion: model.Finite(f.Criterion),
		search: &Search{Evaluations: f.Search.Evaluations, Converged: f.Search.Converged, Gradient: f.Search.Gradient},
	}
	for _, c := range f.Components {
		out.components = append(out.components, Component{Name: c.Name, Variance: c.Variance, OnBoundary: c.OnBoundary})
		if c.OnBoundary {
			out.doubts = append(out.doubts, model.Doubt{Code: ZeroVariance, Says: fmt.Sprintf("the variance between groups of %s came out as nothing at all; with few groups that happens by chance, and it stays in the model", c.Name), Number: model.Finite(0)})
		}
	}
	if !f.Search.Converged {
		out.doubts = append(out.doubts, model.Doubt{Code: SearchStopped, Says: fmt.Sprintf("the search for the variances stopped after %d evaluations before it was done; the last digits are not to be trusted", f.Search.Evaluations), Number: model.Finite(f.Search.Gradient)})
	}
	inference, doubts, err := infer(f.By, p.spec.DF)
	if err != nil {
		return nil, &model.Error{Formula: "blocks", Text: err.Error(), Hint: "leave a grouping out"}
	}
	out.Estimator, out.doubts = inference, append(out.doubts, doubts...)
	return out, nil
}

// infer prepares the method asked for. Where Kenward and Roger's cannot be had it takes Satterthwaite's and says so.
func infer(by func(lmm.Method) (*lmm.Inference, error), want DF) (*lmm.Inference, []model.Doubt, error) {
	if want == Satterthwaite {
		inference, err := by(lmm.Satterthwaite)
		return inference, nil, err
	}
	inference, err := by(lmm.KenwardRoger)
	if err == nil {
		return inference, nil, nil
	}
	doubts := []model.Doubt{{Code: OtherDF, Says: fmt.Sprintf("%v; Satterthwaite's degrees of freedom were used in its place", err)}}
	inference, err = by(lmm.Satterthwaite)
	return inference, doubts, err
}
