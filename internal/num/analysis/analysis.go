// Package analysis is the whole analysis of a table of plots: from columns and formulae to tests, adjusted means and
// differences with their doubts. The plain-table command and the comparisons of a book both call it, so that they give
// the same digits. It reads no files and prints nothing.
package analysis

import (
	"fmt"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/dist"
	"fairplot/internal/num/lmm"
	"fairplot/internal/num/model"
)

// Run analyses a table. What is wrong with table, formulae or options is a *model.Error; what can be answered only in
// part is answered in part and named among the doubts.
func Run(t model.Table, spec Spec) (Result, error) {
	spec, err := spec.whole()
	if err != nil {
		return Result{}, err
	}
	p, err := plan(t, spec)
	if err != nil {
		return Result{}, err
	}
	fit, err := p.fit()
	if err != nil {
		return Result{}, err
	}
	r := Result{
		Rows: p.frame.Rows(), LeftOut: p.frame.LeftOut, Scale: "identity",
		Method: fit.method, Criterion: fit.criterion, Components: fit.components, Search: fit.search,
		Aliased: append(p.design.Aliased, p.aliased...),
		Doubts:  append(p.doubts, fit.doubts...),
	}
	if spec.Log {
		r.Scale = "log"
	}
	if !spec.Intervals {
		p.test(fit, &r)
	}
	if spec.Randomisation {
		p.randomise(&r)
	}
	return r, p.compare(fit, &r)
}

// planned is everything known before anything is fitted.
type planned struct {
	spec      Spec
	frame     *model.Frame
	design    *model.Design
	groupings []model.Grouping
	families  []model.Cells
	aliased   []model.Alias
	doubts    []model.Doubt
}

func plan(t model.Table, spec Spec) (*planned, error) {
	f, err := model.Read(t, model.Request{
		Response: spec.Response, Treatments: spec.Treatments, Blocks: spec.Blocks,
		Categories: spec.Categories, References: spec.References, Weights: spec.Weights, Log: spec.Log,
	})
	if err != nil {
		return nil, err
	}
	p := &planned{spec: spec, frame: f}
	if p.design, err = model.NewDesign(f); err != nil {
		return nil, err
	}
	var doubts []model.Doubt
	if p.groupings, p.aliased, doubts, err = p.design.Groupings(); err != nil {
		return nil, err
	}
	p.doubts = append(append(append(p.doubts, f.Doubts...), p.design.Doubts...), doubts...)
	return p, p.choose(t.Names())
}

// choose settles the families that are compared.
func (p *planned) choose(columns []string) error {
	compare := p.spec.Compare
	if len(compare) == 0 {
		for _, v := range p.frame.Variables {
			if v.Categorical() {
				compare = append(compare, model.Quote(v.Name))
			}
		}
	}
	seen := map[model.Term]bool{}
	for _, text := range compare {
		names, err := model.ParseTerm("compare", text, columns)
		if err != nil {
			return err
		}
		cells, err := p.design.Cells(names)
		if err != nil {
			return err
		}
		if term, _ := p.frame.Treatments.Find(names); !seen[term] {
			seen[term] = true
			p.families = append(p.families, cells)
		}
	}
	if p.spec.Against == "" {
		return nil
	}
	if len(p.families) != 1 {
		return &model.Error{Formula: "against", Text: fmt.Sprintf("one level is given, but %d factors are compared", len(p.families)), Hint: "name the one factor to compare"}
	}
	return p.families[0].CheckAgainst(p.spec.Against)
}

// test adds the type II tests.
func (p *planned) test(fit *fitted, r *Result) {
	for _, t := range p.frame.Treatments.Terms {
		l := p.design.Hypothesis(t)
		if l.Rows == 0 {
			continue
		}
		out := Term{Name: p.frame.Treatments.Name(t), NumDF: float64(l.Rows)}
		if fit.exact {
			r.Terms = append(r.Terms, out)
			continue
		}
		x, err := fit.tested(l)
		if err != nil {
			r.Doubts = append(r.Doubts, model.Doubt{Code: NotTested, Says: fmt.Sprintf("%s has no test: %v", out.Name, err)})
		} else {
			out.F, out.NumDF, out.DenDF, out.P = model.Finite(x.F), x.NumDF, model.Finite(x.DenDF), model.Finite(dist.FUpper(x.F, x.NumDF, x.DenDF))
		}
		if x.Unscaled {
			r.Doubts = append(r.Doubts, model.Doubt{Code: UnscaledF, Says: fmt.Sprintf("the F of %s could not be scaled as Kenward and Roger ask and stands unscaled; its p is rough", out.Name), Number: out.F})
		}
		r.Terms = append(r.Terms, out)
	}
}

// compare adds the adjusted means and differences.
func (p *planned) compare(fit *fitted, r *Result) error {
	scale := model.Scale{Confidence: p.spec.Confidence, Log: p.spec.Log}
	for _, cells := range p.families {
		if !p.spec.Intervals {
			means, doubts := cells.Means(fit, scale)
			r.Means, r.Doubts = append(r.Means, means...), append(r.Doubts, doubts...)
		}
		differences, doubts, err := cells.Differences(fit, model.Comparison{
			Scale: scale, Against: p.spec.Against, Adjust: p.spec.Adjust, Seed: p.spec.Seed, LimitsAlone: p.spec.Intervals,
		})
		if err != nil {
			return err
		}
		r.Differences, r.Doubts = append(r.Differences, differences...), append(r.Doubts, doubts...)
	}
	return nil
}

// fitted is an estimator with what was found on the way to it.
type fitted struct {
	model.Estimator
	method     string
	criterion  *float64
	components []Component
	search     *Search
	doubts     []model.Doubt
	exact      bool // nothing is left over: estimates alone
}

// tested tests L·β = 0; a mixed model also says how its F came about.
func (f *fitted) tested(l dense.Matrix) (lmm.Test, error) {
	if inference, mixed := f.Estimator.(*lmm.Inference); mixed {
		return inference.TestRows(l)
	}
	stat, num, den, err := f.Test(l)
	return lmm.Test{F: stat, NumDF: num, DenDF: den, Scale: 1}, err
}

// Cov returns the covariance of the coefficients, or an empty matrix where there is none.
func (f *fitted) Cov() dense.Matrix {
	if f.exact {
		return dense.Matrix{}
	}
	return f.Estimator.Cov()
}
