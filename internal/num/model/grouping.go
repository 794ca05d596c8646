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
	rows := make(axes, len(d.weight))
	for _, t := range f.Blocks.Terms {
		g := f.grouping(t)
		if doubt, turned := f.turned(g, seen); turned {
			doubts = append(doubts, doubt)
		}
		seen = append(seen, g)
		if g.Levels == f.Rows() {
			continue
		}
		if err := d.spanned(g, rows); err != nil {
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

// spanned refuses a grouping whose every class is a combination of the fixed columns. It looks at one class after another, since nearly always the
// first one already is not.
func (d *Design) spanned(g Grouping, rows axes) error {
	if g.Levels > len(d.kept) {
		return nil
	}
	for c := range int32(g.Levels) {
		if !d.classSpanned(g, c, rows) {
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

// classSpanned reports whether nothing is left of a class's own column when its shadow on the fixed columns is taken off.
func (d *Design) classSpanned(g Grouping, class int32, rows axes) bool {
	size := 0.0
	shadow := make([]float64, len(d.kept))
	for i, c := range g.Class {
		if c != class {
			continue
		}
		w := 1.0
		if d.frame.Weights != nil {
			w = d.frame.Weights[i]
		}
		size += w
		for j, x := range rows.of(d, int(d.class[i])) {
			shadow[j] += w * x
		}
	}
	return !(size-dense.Dot(shadow, shadow) > 1e-9*size)
}

// axes keeps the orthonormal rows x R⁻¹ of the distinct rows x of the coding, each worked out when first asked for.
type axes [][]float64

func (a axes) of(d *Design, k int) []float64 {
	if a[k] == nil {
		x := make([]float64, len(d.kept))
		for c, j := range d.kept {
			x[c] = d.coding.At(k, j)
		}
		dense.SolveUpperT(d.r, x)
		a[k] = x
	}
	return a[k]
}
