package resample

import (
	"errors"
	"slices"
)

// PlanOf reads the lot off the groupings of a table, each with one class a row: the units are the coarsest classes
// that got one treatment throughout (rows, where there are none), and treatments were drawn among the units of each class
// of the finest grouping above them, or in a Latin square where two crossed ones make one. It is right only where the
// trial was drawn that way. It errs where groupings above the units cross without making a square.
func PlanOf(treatment []int32, groupings ...[]int32) (Plan, error) {
	p := Plan{Treatment: treatment}
	for _, g := range groupings {
		if len(g) != len(treatment) {
			return Plan{}, errors.New("every grouping needs one class for every row")
		}
		if within(g, treatment) && (p.Unit == nil || len(distinct(g)) < len(distinct(p.Unit))) {
			p.Unit = g
		}
	}
	var above [][]int32
	for _, g := range groupings {
		if len(distinct(g)) > 1 && !within(g, treatment) && (p.Unit == nil || within(p.Unit, g)) {
			above = append(above, g)
		}
	}
	slices.SortStableFunc(above, func(a, b []int32) int { return len(distinct(b)) - len(distinct(a)) })
	for _, g := range above {
		if within(above[0], g) {
			continue
		}
		if len(above) != 2 {
			return Plan{}, errors.New("the groupings above the units cross in a way no lot is known for; give the plan itself")
		}
		p.Row, p.Column = above[1], above[0]
		_, err := p.lottery()
		return p, err
	}
	if len(above) > 0 {
		p.Block = above[0]
	}
	_, err := p.lottery()
	return p, err
}

// within reports whether each class of a lies in a single class of b.
func within(a, b []int32) bool {
	of := map[int32]int32{}
	for i, class := range a {
		if seen, ok := of[class]; ok && seen != b[i] {
			return false
		}
		of[class] = b[i]
	}
	return true
}
