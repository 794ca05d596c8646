// Package design draws fair layouts by lot: complete and incomplete blocks, pairs, Latin squares, split and strip
// plots, and rows with columns whose neighbours are spread. It says how many layouts the lot could have given and
// what the blocks cost. Plots are numbers; ground, beds and words belong to plan. The random stream is handed in.
package design

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Layout is a drawn design. All slices but Levels have one entry a plot; those of groupings that the design has not
// are nil. Groupings are numbered from 0 through the whole layout, so a row of block 2 differs from one of block 1.
type Layout struct {
	Levels []int   // how many levels each factor has
	Drawn  [][]int // factor, then plot, to the level it got

	Block       []int
	Row, Column []int
	Whole       []int // whole plots of a split plot

	// Arrangements is the number of layouts that were equally likely; NaN where the layout was searched for.
	Arrangements float64
}

// Pairs draws two treatments on pairs of like plots; plots 2i and 2i+1 are pair i.
func Pairs(pairs int, r *rand.Rand) (Layout, error) { return CompleteBlocks(2, pairs, r) }

// CompleteBlocks draws every treatment once in every block; plots of a block follow each other. It errs unless there
// are at least two treatments and one block.
func CompleteBlocks(treatments, blocks int, r *rand.Rand) (Layout, error) {
	if err := atLeast("treatments", treatments, 2, "blocks", blocks, 1); err != nil {
		return Layout{}, err
	}
	l := Layout{Levels: []int{treatments}, Drawn: make([][]int, 1), Arrangements: math.Pow(factorial(treatments), float64(blocks))}
	for b := range blocks {
		for _, t := range r.Perm(treatments) {
			l.Block = append(l.Block, b)
			l.Drawn[0] = append(l.Drawn[0], t)
		}
	}
	return l, nil
}

// SplitPlot draws the levels of the first factor among the whole plots of each block, and those of the second
// among the parts of each whole plot.
func SplitPlot(blocks, whole, sub int, r *rand.Rand) (Layout, error) {
	if err := atLeast("blocks", blocks, 1, "levels on whole plots", whole, 2, "levels on their parts", sub, 2); err != nil {
		return Layout{}, err
	}
	l := Layout{Levels: []int{whole, sub}, Drawn: make([][]int, 2)}
	l.Arrangements = math.Pow(factorial(whole)*math.Pow(factorial(sub), float64(whole)), float64(blocks))
	for b := range blocks {
		for i, w := range r.Perm(whole) {
			for _, s := range r.Perm(sub) {
				l.Block, l.Whole = append(l.Block, b), append(l.Whole, b*whole+i)
				l.Drawn[0], l.Drawn[1] = append(l.Drawn[0], w), append(l.Drawn[1], s)
			}
		}
	}
	return l, nil
}

// StripPlot draws the levels of the first factor among the rows of each block and those of the second among its
// columns, so that each is worked in whole strips.
func StripPlot(blocks, rows, columns int, r *rand.Rand) (Layout, error) {
	if err := atLeast("blocks", blocks, 1, "levels on rows", rows, 2, "levels on columns", columns, 2); err != nil {
		return Layout{}, err
	}
	l := Layout{Levels: []int{rows, columns}, Drawn: make([][]int, 2)}
	l.Arrangements = math.Pow(factorial(rows)*factorial(columns), float64(blocks))
	for b := range blocks {
		along, across := r.Perm(rows), r.Perm(columns)
		for i, a := range along {
			for j, c := range across {
				l.Block = append(l.Block, b)
				l.Row, l.Column = append(l.Row, b*rows+i), append(l.Column, b*columns+j)
				l.Drawn[0], l.Drawn[1] = append(l.Drawn[0], a), append(l.Drawn[1], c)
			}
		}
	}
	return l, nil
}

// atLeast checks numbers: name, number, smallest, and again.
func atLeast(checks ...any) error {
	for i := 0; i < len(checks); i += 3 {
		if n, least := checks[i+1].(int), checks[i+2].(int); n < least {
			return fmt.Errorf("%d %v are too few for this design; it needs at least %d", n, checks[i], least)
		}
	}
	return nil
}

func factorial(n int) float64 { return math.Round(math.Gamma(float64(n + 1))) }
