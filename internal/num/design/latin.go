package design

import (
	"fmt"
	"iter"
	"math"
	"math/rand/v2"
)

// squares is the number of Latin squares of order 0, 1, 2, … (McKay & Wanless 2005, Annals of Combinatorics 9:335-344).
var squares = [...]float64{1, 1, 2, 12, 576, 161280, 812851200, 61479419904000, 108776032459082956800,
	5524751496156892842531225600, 9982437658213039871725064756920320000, 776966836171770144107444346734230682311065600000}

// reduced is the number of those whose first row and column stand in order.
var reduced = [...]int{1, 1, 1, 1, 4, 56, 9408}

// LatinSquare draws one of all Latin squares of order k, for k from 2 to 12: each equally likely up to order 6, by
// way of the reduced squares; beyond, by a long walk whose law tends to the equal one. Plots run along rows.
func LatinSquare(k int, r *rand.Rand) (Layout, error) {
	if k < 2 || k > 12 {
		return Layout{}, fmt.Errorf("a Latin square of %d treatments takes %d plots; squares of 2 to 12 are drawn here", k, k*k)
	}
	if k < len(reduced) {
		return layoutOf(fromReduced(k, r)), nil
	}
	return layoutOf(walk(k, k*k*k, r)), nil
}

// ReducedSquares yields every Latin square of order k whose first row and column are 0, 1, 2, …
// The square is reused: copy what is kept.
func ReducedSquares(k int) iter.Seq[[][]int] {
	return func(yield func([][]int) bool) {
		s := make([][]int, k)
		inRow, inColumn := make([]uint, k), make([]uint, k)
		for i := range k {
			s[i] = make([]int, k)
			s[0][i], s[i][0] = i, i
		}
		for i := range k {
			s[0][i], s[i][0] = i, i
			inRow[i] |= 1 << i
			inColumn[i] |= 1 << i
		}
		fill(s, inRow, inColumn, k+1, yield)
	}
}

// fill goes on from one cell by trying what row and column still lack; false once the caller has enough.
func fill(s [][]int, inRow, inColumn []uint, cell int, yield func([][]int) bool) bool {
	k := len(s)
	if cell >= k*k {
		return yield(s)
	}
	i, j := cell/k, cell%k
	if j == 0 {
		return fill(s, inRow, inColumn, cell+1, yield)
	}
	for l := range k {
		bit := uint(1) << l
		if (inRow[i]|inColumn[j])&bit != 0 {
			continue
		}
		s[i][j] = l
		inRow[i] |= bit
		inColumn[j] |= bit
		more := fill(s, inRow, inColumn, cell+1, yield)
		inRow[i] &^= bit
		inColumn[j] &^= bit
		if !more {
			return false
		}
	}
	return true
}

// fromReduced picks a reduced square and shuffles all columns and all rows but the first: every square comes from
// exactly one reduced square that way (Fisher & Yates 1934, Proc. Camb. Phil. Soc. 30:492-507).
func fromReduced(k int, r *rand.Rand) [][]int {
	skip := r.IntN(reduced[k])
	columns, rows := r.Perm(k), r.Perm(k-1)
	out := make([][]int, k)
	for s := range ReducedSquares(k) {
		if skip > 0 {
			skip--
			continue
		}
		for i := range out {
			from := s[0]
			if i > 0 {
				from = s[rows[i-1]+1]
			}
			out[i] = make([]int, k)
			for j, c := range columns {
				out[i][j] = from[c]
			}
		}
		break
	}
	return out
}

// walk is the random walk of Jacobson & Matthews (1996, Journal of Combinatorial Designs 4:405-437) through proper and
// improper squares, held as a cube of incidences; it stops at the first proper square after so many.
func walk(k, proper int, r *rand.Rand) [][]int {
	w := newWalker(k)
	for count := 0; count < proper; {
		if w.step(r) {
			count++
		}
	}
	return w.square()
}

type walker struct {
	k      int
	cube   []int8 // row, column, letter
	proper bool
	hole   [3]int // the one cell that is −1 when improper
}

func newWalker(k int) *walker {
	w := &walker{k: k, cube: make([]int8, k*k*k), proper: true}
	for i := range k {
		for j := range k {
			*w.cell(i, j, (i+j)%k) = 1
		}
	}
	return w
}

func (w *walker) cell(x, y, z int) *int8 { return &w.cube[(x*w.k+y)*w.k+z] }

// step makes one move and reports whether the square is proper after it.
func (w *walker) step(r *rand.Rand) bool {
	x, y, z := w.hole[0], w.hole[1], w.hole[2]
	for w.proper {
		if x, y, z = r.IntN(w.k), r.IntN(w.k), r.IntN(w.k); *w.cell(x, y, z) == 0 {
			break
		}
	}
	x1 := w.one(r, func(t int) int8 { return *w.cell(t, y, z) })
	y1 := w.one(r, func(t int) int8 { return *w.cell(x, t, z) })
	z1 := w.one(r, func(t int) int8 { return *w.cell(x, y, t) })
	for _, c := range [][3]int{{x, y, z}, {x, y1, z1}, {x1, y, z1}, {x1, y1, z}} {
		*w.cell(c[0], c[1], c[2])++
	}
	for _, c := range [][3]int{{x1, y, z}, {x, y1, z}, {x, y, z1}, {x1, y1, z1}} {
		*w.cell(c[0], c[1], c[2])--
	}
	w.hole = [3]int{x1, y1, z1}
	w.proper = *w.cell(x1, y1, z1) >= 0
	return w.proper
}

// one picks a place with a 1 on a line: there is one in a proper square and there are two through the hole.
func (w *walker) one(r *rand.Rand, line func(int) int8) int {
	found, n := 0, 0
	for t := range w.k {
		if line(t) == 1 {
			if n++; n == 1 || r.IntN(n) == 0 {
				found = t
			}
		}
	}
	return found
}

func (w *walker) square() [][]int {
	out := make([][]int, w.k)
	for i := range out {
		out[i] = make([]int, w.k)
		for j := range out[i] {
			for l := range w.k {
				if *w.cell(i, j, l) == 1 {
					out[i][j] = l
				}
			}
		}
	}
	return out
}

// BalancedSquare draws a Latin square of even order in which every treatment lies next to every other once in each
// direction along rows and along columns (Williams 1949, Australian Journal of Scientific Research A 2:149-168). The
// names of the treatments are drawn; the pattern is one.
func BalancedSquare(k int, r *rand.Rand) (Layout, error) {
	if k < 2 || k%2 != 0 {
		return Layout{}, fmt.Errorf("this square needs an even number of treatments and there are %d; RowColumn spreads neighbours for any number", k)
	}
	names := r.Perm(k)
	zigzag := make([]int, k) // 0, 1, k−1, 2, k−2, …: its steps are all different
	for i := range zigzag {
		if zigzag[i] = (i + 1) / 2; i%2 == 0 {
			zigzag[i] = (k - i/2) % k
		}
	}
	s := make([][]int, k)
	for i := range s {
		s[i] = make([]int, k)
		for j := range s[i] {
			s[i][j] = names[(zigzag[i]+zigzag[j])%k]
		}
	}
	l := layoutOf(s)
	l.Arrangements = factorial(k)
	return l, nil
}

func layoutOf(s [][]int) Layout {
	k := len(s)
	l := Layout{Levels: []int{k}, Drawn: make([][]int, 1), Arrangements: math.NaN()}
	if k < len(squares) {
		l.Arrangements = squares[k]
	}
	for i, row := range s {
		for j, t := range row {
			l.Row, l.Column = append(l.Row, i), append(l.Column, j)
			l.Drawn[0] = append(l.Drawn[0], t)
		}
	}
	return l
}
