package resample

import (
	"fmt"
	"slices"
)

// unitTable is a plan by its units, numbered from 0 in order of appearance.
type unitTable struct {
	of        []int   // row to unit
	first     []int   // unit to its first row
	treatment []int32 // unit to treatment
}

// lottery checks the plan and turns it into the set of arrangements it stands for.
func (p Plan) lottery() (lottery, error) {
	if len(p.Treatment) == 0 {
		return nil, fmt.Errorf("there are no rows to rearrange")
	}
	for name, s := range map[string][]int32{"unit": p.Unit, "block": p.Block, "row": p.Row, "column": p.Column} {
		if s != nil && len(s) != len(p.Treatment) {
			return nil, fmt.Errorf("%d rows have a treatment but %d have a %s; give one each", len(p.Treatment), len(s), name)
		}
	}
	u, err := p.units()
	if err != nil {
		return nil, err
	}
	if p.Row != nil || p.Column != nil {
		return newSquare(p, u)
	}
	return newBlocks(p, u), nil
}

// units gathers the rows that got their treatment together.
func (p Plan) units() (unitTable, error) {
	t := unitTable{of: make([]int, len(p.Treatment))}
	index := map[int32]int{}
	for i := range p.Treatment {
		j := len(t.first)
		if p.Unit != nil {
			if seen, ok := index[p.Unit[i]]; ok {
				j = seen
			}
			index[p.Unit[i]] = j
		}
		t.of[i] = j
		if j == len(t.first) {
			t.first = append(t.first, i)
			t.treatment = append(t.treatment, p.Treatment[i])
			continue
		}
		if err := p.sameUnit(t.first[j], i); err != nil {
			return t, err
		}
	}
	return t, nil
}

// sameUnit errs unless rows i and j can belong to one unit.
func (p Plan) sameUnit(i, j int) error {
	if p.Treatment[i] != p.Treatment[j] {
		return fmt.Errorf("unit %d has treatment %d in row %d and %d in row %d; a unit gets one treatment, so the units are finer than that",
			p.Unit[i], p.Treatment[i], i+1, p.Treatment[j], j+1)
	}
	for _, s := range [][]int32{p.Block, p.Row, p.Column} {
		if s != nil && s[i] != s[j] {
			return fmt.Errorf("unit %d lies in two blocks (rows %d and %d); number units afresh in each block", p.Unit[i], i+1, j+1)
		}
	}
	return nil
}

// spread writes unit labels to rows.
func (t unitTable) spread(unit, row []int32) {
	for i, j := range t.of {
		row[i] = unit[j]
	}
}

// at returns the value of a row slice at the unit's first row, or 0 for a nil slice.
func (t unitTable) at(s []int32, unit int) int32 {
	if s == nil {
		return 0
	}
	return s[t.first[unit]]
}

// distinct returns the sorted distinct values.
func distinct(s []int32) []int32 {
	d := slices.Clone(s)
	slices.Sort(d)
	return slices.Compact(d)
}
