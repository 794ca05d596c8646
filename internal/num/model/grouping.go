package model

import (
	"fmt"
	"slices"

	"fairplot/internal/num/dense"
)

// Grouping is one random grouping over the analysed rows.
type Grouping struct {
	Name   string  // its expanded term
	Class  []int32 // 0 to Levels-1, one a row
	Levels int

	term Term
}

// Groupings lists the random groupings of the block formula that can be fitted. One that holds single rows is the
// residual and left out; one with the classes of an earlier one is named as its alias; one that the treatments span
// wholly is refused (*Error).
func (d *Design) Groupings() ([]Grouping, []Alias, []Doubt, error) {
	f := d.frame
	var out, seen []Grouping
	var aliased []Alias
	var doubts []Doubt
	for _, t := range f.Blocks.Terms {
		g := f.grouping(t)
		if doubt, turned := f.turned(g, seen); turned {
			doubts = append(doubts, doubt)
		}
		seen = append(seen, g)
		if g.Levels == f.Rows() {
			continue
		}
		if err := d.spanned(g); err != nil {
			return nil, nil, nil, err
		}
		same := slices.IndexFunc(out, func(o Grouping) bool { return sameClasses(o.Class, o.Levels, g.Class, g.Levels) })
		if same >= 0 {
			aliased = append(aliased, Alias{Term: g.Name, With: out[same].Name})
			continue
		}
		out = append(out, g)
	}
	return out, aliased, doubts, nil
}

func (f *Frame) grouping(t Term) Grouping {
	g := Grouping{Name: f.Blocks.Name(t), Class: make([]int32, f.Rows()), Levels: 1, term: t}
	for i, v := range f.blocks {
		if t.has(i) {
			g.Class, g.Levels = cross(g.Class, g.Levels, v.Class, len(v.Levels))
		}
	}
	return g
}

// turned says that a nesting a/b stands upside down: every a lies in one b, so that a:b is a over again and the
// grouping by b alone is not in the formula.
func (f *Frame) turned(g Grouping, seen []Grouping) (Doubt, bool) {
	for _, inner := range seen {
		if !g.term.Contains(inner.term) || inner.Levels != g.Levels {
			continue
		}
		outer := f.grouping(g.term &^ inner.term)
		if f.Blocks.Has(outer.term) || outer.Levels == 1 || outer.Levels == inner.Levels {
			continue
		}
		return Doubt{
			Code: NestedTurned,
			Says: fmt.Sprintf("every %s lies in one %s, so %s is %s over again and there is no grouping by %s; if plots of one %s share something, write %s/%s",
				inner.Name, outer.Name, g.Name, inner.Name, outer.Name, outer.Name, outer.Name, inner.Name),
			Number: Finite(float64(outer.Levels)),
		}, true
	}
	return Doubt{}, false
}

// spanned refuses a grouping whose every class is a combination of the fixed columns.
func (d *Design) spanned(g Grouping) error {
	p := len(d.kept)
	if g.Levels > p {
		return nil
	}
	size := make([]float64, g.Levels)
	shadow := make([]float64, g.Levels*p)
	axes := d.axes()
	for i, c := range g.Class {
		w := 1.0
		if d.frame.Weights != nil {
			w = d.frame.Weights[i]
		}
		size[c] += w
		q := axes[int(d.class[i])*p:][:p]
		for j, x := range q {
			shadow[int(c)*p+j] += w * x
		}
	}
	for c, n := range size {
		s := shadow[c*p : (c+1)*p]
		if n-dense.Dot(s, s) > 1e-9*n {
			return nil
		}
	}
	e := &Error{Formula: "blocks", Text: fmt.Sprintf("the treatments account for every difference between the groups of %s, so these rows cannot tell the two apart", g.Name), Hint: "leave it out of one of the two formulae"}
	if g.Levels == 1 {
		e.Text = fmt.Sprintf("%s has one group in the analysed rows, which cannot be told from the mean", g.Name)
		e.Hint = "leave it out"
	}
	return e
}

// axes returns the orthonormal rows x R⁻¹ of the distinct rows x of the coding.
func (d *Design) axes() []float64 {
	p := len(d.kept)
	out := make([]float64, len(d.weight)*p)
	for k := range d.weight {
		x := out[k*p:][:p]
		for c, j := range d.kept {
			x[c] = d.coding.At(k, j)
		}
		dense.SolveUpperT(d.r, x)
	}
	return out
}
