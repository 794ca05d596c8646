package model

import (
	"fmt"
	"slices"

	"fairplot/internal/num/dense"
)

// nameAliases lists the terms that lost columns, each with the earlier term that explains it.
func (d *Design) nameAliases() {
	f := d.frame.Treatments
	spanned := map[Term]bool{0: true}
	for _, t := range f.Terms {
		again := d.codedAgain(t, spanned)
		var lost []int
		for _, j := range d.dropped {
			if d.columns[j].term == t {
				lost = append(lost, j)
			}
		}
		one := d.oneLevel(t)
		if len(lost) <= again && one == "" {
			continue
		}
		a := Alias{Term: f.Name(t)}
		if with, found := d.explains(t, lost); found {
			a.With = f.Name(with)
		}
		d.Aliased = append(d.Aliased, a)
		if one != "" {
			d.Doubts = append(d.Doubts, Doubt{Code: OneLevel, Says: one, Number: Finite(1)})
		}
	}
}

// codedAgain counts the columns of a term that repeat earlier ones by the coding alone, whatever the plots: a:b without a
// and b is coded by all its cells, and their sum is the mean once more. It notes what the term spans.
func (d *Design) codedAgain(t Term, spanned map[Term]bool) int {
	var whole []Term // factors of t that are coded by all their levels
	for i, v := range d.frame.Variables {
		if t.has(i) && v.Categorical() && len(v.Levels) > 1 && !d.frame.Treatments.Has(t&^(1<<i)) {
			whole = append(whole, 1<<i)
		}
	}
	again := 0
	for subset := range 1 << len(whole) {
		u := t
		for k, bit := range whole {
			if subset>>k&1 == 1 {
				u &^= bit
			}
		}
		if spanned[u] {
			own := 1
			for i, v := range d.frame.Variables {
				if u.has(i) && v.Categorical() {
					own *= len(v.Levels) - 1
				}
			}
			again += own
		}
		spanned[u] = true
	}
	return again
}

// oneLevel says that a factor alone has but one level, "" otherwise.
func (d *Design) oneLevel(t Term) string {
	if t.Degree() > 1 && d.Degrees(t) > 0 {
		return ""
	}
	for i, v := range d.frame.Variables {
		if t == 1<<i && v.Categorical() && len(v.Levels) == 1 {
			return fmt.Sprintf("%s has one level in the analysed rows, %q: there is nothing to set it against", v.Name, v.Levels[0])
		}
	}
	return ""
}

// explains finds the term that the lost columns of t repeat: the mean; one term alone; or one term beside t's own margins
// and kept columns. It finds none when t's own margins account for the loss, as they do with empty cells.
func (d *Design) explains(t Term, lost []int) (Term, bool) {
	whole := d.Degrees(t) == 0
	if whole && d.inSpan(lost, func(u Term) bool { return u == 0 }) {
		return 0, true
	}
	earlier := d.frame.Treatments.Terms[:slices.Index(d.frame.Treatments.Terms, t)]
	if whole {
		for _, s := range earlier {
			if d.inSpan(lost, func(u Term) bool { return u&^s == 0 }) {
				return s, true
			}
		}
	}
	if d.inSpan(lost, func(u Term) bool { return u&^t == 0 }) {
		return 0, false
	}
	for _, s := range earlier {
		if !t.Contains(s) && d.inSpan(lost, func(u Term) bool { return u&^t == 0 || u&^s == 0 }) {
			return s, true
		}
	}
	return 0, false
}

// inSpan tells whether columns are combinations of the kept columns of some terms.
func (d *Design) inSpan(lost []int, in func(Term) bool) bool {
	var basis [][]float64
	var floor []float64
	add := func(j int) {
		c := slices.Clone(d.full[j])
		basis = append(basis, c)
		floor = append(floor, 1e-9*dense.Norm(c))
	}
	for _, j := range d.kept {
		if in(d.columns[j].term) {
			add(j)
		}
	}
	own := len(basis)
	for _, j := range lost {
		add(j)
	}
	kept, _, _ := triangulate(basis, floor, nil)
	return len(kept) == 0 || kept[len(kept)-1] < own
}
