package model

import (
	"fmt"
	"math"
	"slices"

	"fairplot/internal/num/dense"
)

// Alias is a term that these plots cannot tell from another.
type Alias struct {
	Term string `json:"term"`
	With string `json:"with,omitempty"` // "" where no single whole term explains it
}

// Design is the fixed part of a model: the mean and the treatment terms, coded 0/1 against the first level of each
// factor. A covariate is centred wherever that changes neither the model nor the determinant of the coding.
type Design struct {
	X       dense.Matrix // analysed rows × kept columns, of full rank
	Aliased []Alias
	Doubts  []Doubt

	frame   *Frame
	columns []column
	kept    []int        // columns of X among all coded ones
	r       dense.Matrix // upper triangle: X'WX = R'R
	dropped []int
	alias   [][]float64 // dropped column = X · alias
	full    [][]float64 // all columns on the axes of the triangle

	class  []int32      // distinct row of the coding, one a row
	coding dense.Matrix // distinct rows × all columns
	weight []float64    // of each distinct row: its count, or the sum of its weights
}

// column is one coded column: a product over the variables of its term.
type column struct {
	term  Term
	parts []part
}

type part struct{ variable, level int } // level -1 for a covariate

// What is left of a column once the earlier ones are taken out of it counts as nothing below determined times its
// length, or where the rounding of the data (noise times the length before centring) could have left it: exact copies
// leave 1e-15 or so on any scale. Below nearly it is kept and doubted.
const (
	determined = 1e-11
	noise      = 1e-14
	nearly     = 1e-5
)

// mostColumns and mostEntries bound the coding: above them a column of names was most likely meant as a grouping.
const (
	mostColumns = 3000
	mostEntries = 40_000_000
)

// NewDesign codes the treatment terms of a frame and finds what is aliased. It errs (*Error) on a term with more levels
// than can be fitted.
func NewDesign(f *Frame) (*Design, error) {
	d := &Design{frame: f}
	if err := d.bounded(); err != nil {
		return nil, err
	}
	d.distinct()
	d.columns = append(d.columns, column{})
	for _, t := range f.Treatments.Terms {
		d.code(t)
	}
	d.factorise()
	d.X = dense.New(f.Rows(), len(d.kept))
	for i, k := range d.class {
		row, all := d.X.Row(i), d.coding.Row(int(k))
		for c, j := range d.kept {
			row[c] = all[j]
		}
	}
	d.nameAliases()
	return d, nil
}

func (d *Design) bounded() error {
	f := d.frame
	columns := 1
	for _, t := range f.Treatments.Terms {
		own := 1
		for i, v := range f.Variables {
			if t.has(i) && v.Categorical() && own <= mostColumns {
				own *= len(v.Levels)
			}
		}
		if columns += own; columns > mostColumns || columns*f.Rows() > mostEntries {
			return &Error{Formula: "treatments", Text: fmt.Sprintf("with %s the model has %d effects or more to fit to %d rows, which is too many", f.Treatments.Name(t), columns, f.Rows()),
				Hint: "a column that names plots or groups belongs among the blocks, a column of amounts should hold numbers alone"}
		}
	}
	return nil
}

// distinct finds the rows of the coding that differ, for most tables far fewer than rows.
func (d *Design) distinct() {
	f := d.frame
	d.class = make([]int32, f.Rows())
	q := 1
	for _, v := range f.Variables {
		if v.Categorical() {
			d.class, q = cross(d.class, q, v.Class, len(v.Levels))
			continue
		}
		class, n := rank(v.Value)
		d.class, q = cross(d.class, q, class, n)
	}
	d.weight = make([]float64, q)
	for i, k := range d.class {
		if f.Weights == nil {
			d.weight[k]++
		} else {
			d.weight[k] += f.Weights[i]
		}
	}
}

// code adds the columns of a term. A factor enters by its levels but the first if the term without it is in the model,
// and by all its levels if not.
func (d *Design) code(t Term) {
	combos := [][]part{nil}
	for i, v := range d.frame.Variables {
		if !t.has(i) {
			continue
		}
		from, to := 0, len(v.Levels)
		if d.frame.Treatments.Has(t &^ (1 << i)) {
			from = 1
		}
		if !v.Categorical() {
			from, to = -1, 0
		}
		var longer [][]part
		for _, c := range combos {
			for l := from; l < to; l++ {
				longer = append(longer, append(slices.Clip(c), part{i, l}))
			}
		}
		combos = longer
	}
	for _, c := range combos {
		d.columns = append(d.columns, column{t, c})
	}
}

// centre returns what is taken off a covariate: its mean, if every term that holds it also stands without it, and 0 if
// not. The span of the columns and the determinant of X'X are then the same as without.
func (d *Design) centre(variable int) float64 {
	for _, t := range d.frame.Treatments.Terms {
		if t.has(variable) && !d.frame.Treatments.Has(t&^(1<<variable)) {
			return 0
		}
	}
	return d.frame.Variables[variable].Mean
}

// factorise fills the coding of the distinct rows, takes its triangle and sorts kept columns from dropped ones.
func (d *Design) factorise() {
	q, all := len(d.weight), len(d.columns)
	first := make([]int, q)
	for i := len(d.class) - 1; i >= 0; i-- {
		first[d.class[i]] = i
	}
	off := make([]float64, len(d.frame.Variables))
	for i, v := range d.frame.Variables {
		if !v.Categorical() {
			off[i] = d.centre(i)
		}
	}
	d.coding = dense.New(q, all)
	d.full = make([][]float64, all)
	length, rounding := make([]float64, all), make([]float64, all)
	base := make([]float64, all)
	for j, c := range d.columns {
		d.full[j] = make([]float64, q)
		raw := 0.0
		for k, i := range first {
			x, uncentred := d.value(c, i, off)
			d.coding.Set(k, j, x)
			d.full[j][k] = x * math.Sqrt(d.weight[k])
			raw += uncentred * uncentred * d.weight[k]
		}
		length[j], rounding[j] = dense.Norm(d.full[j]), noise*math.Sqrt(raw)
		base[j] = determined*length[j] + rounding[j]
	}
	var left []float64
	d.kept, left, _ = triangulate(d.full, base, rounding)
	d.split(left, length)
}

// value is a coded column at a row, with and without the centring.
func (d *Design) value(c column, row int, off []float64) (x, uncentred float64) {
	x, uncentred = 1, 1
	for _, p := range c.parts {
		v := d.frame.Variables[p.variable]
		switch {
		case p.level < 0:
			x *= v.Value[row] - off[p.variable]
			uncentred *= v.Value[row]
		case int(v.Class[row]) != p.level:
			return 0, 0
		}
	}
	return x, uncentred
}

func (d *Design) split(left, length []float64) {
	p := len(d.kept)
	d.r = dense.New(p, p)
	for c, j := range d.kept {
		for i := 0; i <= c; i++ {
			d.r.Set(i, c, d.full[j][i])
		}
		if share := left[j] / length[j]; share < nearly && d.hasCovariate(j) {
			d.Doubts = append(d.Doubts, Doubt{
				Code:   NearlyAliased,
				Says:   fmt.Sprintf("%s is all but determined by the terms before it; its effect rests on the last digits of the columns", d.frame.Treatments.Name(d.columns[j].term)),
				Number: Finite(share),
			})
		}
	}
	for j := range d.columns {
		if _, found := slices.BinarySearch(d.kept, j); !found {
			before, _ := slices.BinarySearch(d.kept, j)
			y := make([]float64, p)
			copy(y, d.full[j][:before])
			clear(d.full[j][before:])
			d.dropped = append(d.dropped, j)
			dense.SolveUpper(d.r, y)
			d.alias = append(d.alias, y)
		}
		d.full[j] = d.full[j][:min(p, len(d.full[j]))]
	}
}

func (d *Design) hasCovariate(j int) bool {
	return slices.ContainsFunc(d.columns[j].parts, func(p part) bool { return p.level < 0 })
}

// Triangle returns the upper triangle R with X′WX = R′R. It is not to be changed.
func (d *Design) Triangle() dense.Matrix { return d.r }

// Degrees returns the degrees of freedom of a term: its kept columns.
func (d *Design) Degrees(t Term) int {
	n := 0
	for _, j := range d.kept {
		if d.columns[j].term == t {
			n++
		}
	}
	return n
}
