package model

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairplot/internal/num/dense"
)

// Cell is one level of a compared factor, or one combination of levels.
type Cell struct {
	Levels []string  // in the order of the factors
	Row    []float64 // its adjusted mean is Row·β over the kept columns

	gap []float64 // what the dropped columns would add; the mean exists when they add nothing
}

// Estimable tells whether these rows determine the mean of the cell.
func (c Cell) Estimable() bool { return estimable(c.gap, nil) }

// estimable looks at one cell, or at the difference of two.
func estimable(a, b []float64) bool {
	for i, x := range a {
		if b != nil {
			x -= b[i]
		}
		if math.Abs(x) > 1e-8 {
			return false
		}
	}
	return true
}

// Cells are the levels of one compared term.
type Cells struct {
	Of      string
	Factors []string
	Cells   []Cell
}

// mostCells bounds a family.
const mostCells = 5000

// Cells returns the cells of a compared term in the order of its levels. Other factors' levels weigh equally and covariates
// stand at the mean of the analysed rows. It errs on names that are no categories of the treatment formula.
func (d *Design) Cells(names []string) (Cells, error) {
	f := d.frame
	term, _ := f.Treatments.Find(names)
	out := Cells{}
	var parts []string
	grid := [][]int{make([]int, len(f.Variables))}
	for _, n := range names {
		i := slices.Index(f.Treatments.Variables, n)
		if i < 0 || !f.Variables[i].Categorical() {
			return out, f.notCompared(n, i)
		}
		out.Factors = append(out.Factors, n)
		parts = append(parts, Quote(n))
		var finer [][]int
		for _, g := range grid {
			for l := range f.Variables[i].Levels {
				finer = append(finer, slices.Clone(g))
				finer[len(finer)-1][i] = l
			}
		}
		if grid = finer; len(grid) > mostCells {
			return out, &Error{Formula: "compare", Column: n, Text: fmt.Sprintf("%s has more than %d levels or cells to compare", strings.Join(names, ":"), mostCells), Hint: "compare fewer"}
		}
	}
	out.Of = strings.Join(parts, ":")
	shares, sizes := d.shares(term), d.sizes()
	for _, g := range grid {
		out.Cells = append(out.Cells, d.cell(g, out.Factors, shares, sizes))
	}
	return out, nil
}

func (f *Frame) notCompared(name string, i int) error {
	e := &Error{Formula: "compare", Text: fmt.Sprintf("%s is not in the treatment formula", name)}
	var factors []string
	for _, v := range f.Variables {
		if v.Categorical() {
			factors = append(factors, v.Name)
		}
	}
	if i >= 0 {
		e.Text = fmt.Sprintf("%s is a column of numbers and has no levels to compare", name)
		e.Hint = "name it among the categories if its numbers are labels"
		return e
	}
	switch near := nearest(name, factors); {
	case near != "":
		e.Hint = fmt.Sprintf("did you mean %s?", near)
	case len(factors) > 0:
		e.Hint = "the factors there are " + list(factors, 12)
	}
	return e
}

// share is a coded column with everything averaged out but the compared factors.
type share struct {
	weight float64
	parts  []part // of compared factors
}

func (d *Design) shares(term Term) []share {
	f := d.frame
	out := make([]share, len(d.columns))
	for j, c := range d.columns {
		out[j].weight = 1
		for _, p := range c.parts {
			v := f.Variables[p.variable]
			switch {
			case term.has(p.variable):
				out[j].parts = append(out[j].parts, p)
			case p.level < 0:
				out[j].weight *= v.Mean - d.centre(p.variable)
			default:
				out[j].weight /= float64(len(v.Levels))
			}
		}
	}
	return out
}

func (d *Design) cell(at []int, factors []string, shares []share, sizes []float64) Cell {
	f := d.frame
	c := Cell{Row: make([]float64, len(d.kept)), gap: make([]float64, len(d.dropped))}
	for _, n := range factors {
		i := slices.Index(f.Treatments.Variables, n)
		c.Levels = append(c.Levels, f.Variables[i].Levels[at[i]])
	}
	amount := func(j int) float64 {
		for _, p := range shares[j].parts {
			if at[p.variable] != p.level {
				return 0
			}
		}
		return shares[j].weight
	}
	for k, j := range d.kept {
		c.Row[k] = amount(j)
	}
	for k, j := range d.dropped {
		c.gap[k] = (amount(j) - dense.Dot(c.Row, d.alias[k])) / sizes[k]
	}
	return c
}

// sizes returns the largest entry of each dropped column, by which its gaps are judged: covariates of any scale alike.
func (d *Design) sizes() []float64 {
	out := make([]float64, len(d.dropped))
	for k, j := range d.dropped {
		for i := range d.weight {
			out[k] = max(out[k], math.Abs(d.coding.At(i, j)))
		}
		if out[k] == 0 {
			out[k] = 1
		}
	}
	return out
}
