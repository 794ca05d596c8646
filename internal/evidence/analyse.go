package evidence

import (
	"encoding/csv"
	"errors"
	"fmt"
	"strings"

	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/num/analysis"
	"fairplot/internal/num/model"
)

// Plain is an analysis of any table of plots, in the words of the command line.
type Plain struct {
	Response, Treatments, Blocks string
	Categories                   string   // names with commas between, as a row of a CSV file
	References                   []string // COLUMN=LEVEL
	Log                          bool
	Compare                      []string
	Against, Adjust, DF          string
	Confidence                   float64 // 0: 0.95
	Seed                         uint64
	Weights                      string
	Randomisation                bool
}

// Analysed is the answer; its JSON is the contract of the plain-table analysis.
type Analysed = analysis.Result

// Analyse analyses a table of plots whose rows began on the lines given.
func Analyse(header []string, rows [][]string, lines []int, p Plain) (Analysed, error) {
	spec, err := p.spec()
	if err != nil {
		return Analysed{}, err
	}
	table, err := model.NewTable(header, rows, lines)
	if err != nil {
		return Analysed{}, refused(err)
	}
	result, err := analysis.Run(table, spec)
	return result, refused(err)
}

// spec reads the options.
func (p Plain) spec() (analysis.Spec, error) {
	s := analysis.Spec{Response: p.Response, Treatments: p.Treatments, Blocks: p.Blocks, Log: p.Log, Compare: p.Compare, Against: p.Against,
		Adjust: model.Adjust(p.Adjust), DF: analysis.DF(p.DF), Confidence: p.Confidence, Seed: p.Seed, Weights: p.Weights, Randomisation: p.Randomisation}
	if p.Categories != "" {
		names, err := csv.NewReader(strings.NewReader(p.Categories)).Read()
		if err != nil {
			return s, &garden.Error{Kind: garden.Invalid, Field: "categories", Text: "the names of the columns cannot be read", Hint: "write them with commas between", Cause: err}
		}
		s.Categories = names
	}
	for _, r := range p.References {
		factor, level, ok := strings.Cut(r, "=")
		if !ok {
			return s, &garden.Error{Kind: garden.Invalid, Field: "reference", Text: fmt.Sprintf("%q names no level", r), Hint: "write COLUMN=LEVEL"}
		}
		s.References = append(s.References, model.Setting{Factor: factor, Level: level})
	}
	return s, nil
}

// refused turns an error of the table or the formulae into one of wrong use.
func refused(err error) error {
	var e *model.Error
	if !errors.As(err, &e) {
		return err
	}
	whole := *e
	whole.Hint = ""
	return &garden.Error{Kind: garden.Invalid, Text: whole.Error(), Hint: e.Hint, Cause: err}
}

// AnalysedTables lays an analysis out for people: tests, variances, means, differences, and what could not be told apart.
func AnalysedTables(r Analysed) []finding.Table {
	var out []finding.Table
	add := func(t finding.Table) {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	add(termTable(r))
	components := finding.Table{Title: "Variances", Columns: []finding.Column{{Name: "of"}, {Name: "variance"}, {Name: "note"}}}
	for _, c := range r.Components {
		note := ""
		if c.OnBoundary {
			note = "on its boundary"
		}
		components.Rows = append(components.Rows, []string{c.Name, digits(&c.Variance), note})
	}
	add(components)
	means := finding.Table{Title: "Means, adjusted", Columns: columns("of", "levels", "mean", "s.e.", "df", "from", "to")}
	for _, m := range r.Means {
		means.Rows = append(means.Rows, []string{m.Of, m.Levels.String(), digits(&m.Mean), digits(m.SE), digits(m.DF), digits(m.Low), digits(m.High)})
	}
	add(means)
	add(differenceTable(r))
	lots := finding.Table{Title: "Tests by the randomisation itself", Columns: columns("factor", "p", "smallest possible p", "by")}
	for _, x := range r.Randomisation {
		by := "every arrangement"
		if !x.Exact {
			by = fmt.Sprintf("drawing, p ± %.2g", x.Error)
		}
		lots.Rows = append(lots.Rows, []string{x.Term, digits(&x.P), digits(&x.Smallest), by})
	}
	add(lots)
	aliased := finding.Table{Title: "What these plots cannot tell apart", Columns: columns("term", "with")}
	for _, a := range r.Aliased {
		aliased.Rows = append(aliased.Rows, []string{a.Term, a.With})
	}
	add(aliased)
	return out
}

func termTable(r Analysed) finding.Table {
	t := finding.Table{Title: "Tests of the treatment terms (type II)", Columns: columns("term", "F", "num. df", "den. df", "p")}
	for _, x := range r.Terms {
		t.Rows = append(t.Rows, []string{x.Name, digits(x.F), digits(&x.NumDF), digits(x.DenDF), digits(x.P)})
	}
	return t
}

func differenceTable(r Analysed) finding.Table {
	t := finding.Table{Title: "Differences", Columns: columns("of", "a", "b", "a minus b", "s.e.", "df", "from", "to", "p")}
	if r.Scale == "log" {
		t.Columns = append(t.Columns, finding.Column{Name: "ratio"})
	}
	for _, d := range r.Differences {
		low, high, p := d.Low, d.High, d.P
		if d.LowAdjusted != nil {
			low, high = d.LowAdjusted, d.HighAdjusted
		}
		if d.PAdjusted != nil {
			p = d.PAdjusted
		}
		row := []string{d.Of, d.A.String(), d.B.String(), digits(&d.Estimate), digits(d.SE), digits(d.DF), digits(low), digits(high), digits(p)}
		if r.Scale == "log" {
			row = append(row, digits(d.Ratio))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func columns(names ...string) []finding.Column {
	out := make([]finding.Column, len(names))
	for i, n := range names {
		out[i] = finding.Column{Name: n}
	}
	return out
}

// digits writes five significant digits, or says that there is no such number.
func digits(x *float64) string {
	if x == nil {
		return "none"
	}
	return fmt.Sprintf("%.5g", *x)
}
