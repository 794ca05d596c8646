package design

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// RowColumn lays treatments on a grid of which only some plots may be there: plot i lies in row[i] and column[i],
// counted along the ground so that a difference of one means side by side. Every treatment gets as many plots as
// every other to within one, and the search spreads it first over rows and columns, then keeps it away from itself,
// then evens out which treatments are neighbours. With as many treatments as rows and columns and no plot missing the
// result is a Latin square. It errs on two plots in one place, with fewer plots than treatments, and when some
// treatments could not be compared within rows and columns.
func RowColumn(row, column []int, treatments int, r *rand.Rand) (Layout, error) {
	if err := atLeast("treatments", treatments, 2, "plots", len(row), treatments, "columns", len(column), len(row)); err != nil {
		return Layout{}, err
	}
	g, err := newGrid(row, column, treatments)
	if err != nil {
		return Layout{}, err
	}
	l := Layout{Levels: []int{treatments}, Row: g.row, Column: g.column, Arrangements: math.NaN()}
	best, score := Efficiency{}, 0
	for range restarts {
		g.start(r)
		g.anneal(r)
		e := EfficiencyOf(treatments, g.drawn, g.row, g.column)
		if s := g.score(); e.Connected && (l.Drawn == nil || s < score || s == score && e.Average > best.Average+1e-12) {
			best, score, l.Drawn = e, s, [][]int{append([]int(nil), g.drawn...)}
		}
	}
	if l.Drawn == nil {
		return Layout{}, fmt.Errorf("%d treatments on %d plots in %d rows and %d columns cannot all be compared within them; take fewer treatments or more plots",
			treatments, len(row), g.rows, g.columns)
	}
	return l, nil
}

// The weights make one order of the three aims: a treatment twice in a line costs more than any neighbours can.
const (
	lineWeight = 20
	selfWeight = 8
)

// grid is a layout under search. Its score is lineWeight·Σ n² over rows and columns + selfWeight·(plots beside their own
// treatment) + Σ over pairs of treatments of (times side by side)².
type grid struct {
	row, column   []int
	rows, columns int
	beside        [][]int // plots next to each plot along the row or the column
	drawn         []int
	square        bool
	inRow, inCol  [][]int // line, treatment
	touch         [][]int // treatment, treatment; kept both ways
	share         int     // times side by side if all pairs had as many, rounded
}

func newGrid(row, column []int, treatments int) (*grid, error) {
	g := &grid{beside: make([][]int, len(row)), drawn: make([]int, len(row))}
	place := map[[2]int]int{}
	for i := range row {
		at := [2]int{row[i], column[i]}
		if _, twice := place[at]; twice {
			return nil, fmt.Errorf("two plots lie in row %d, column %d", row[i], column[i])
		}
		place[at] = i
	}
	for i := range row {
		for _, step := range [][2]int{{0, 1}, {1, 0}, {0, -1}, {-1, 0}} {
			if j, there := place[[2]int{row[i] + step[0], column[i] + step[1]}]; there {
				g.beside[i] = append(g.beside[i], j)
			}
		}
	}
	edges := 0
	for _, b := range g.beside {
		edges += len(b)
	}
	g.share = (edges + treatments*(treatments-1)/2) / (treatments * (treatments - 1)) // edges are counted from both ends
	var sizes []int
	g.row, sizes = number(row)
	g.rows = len(sizes)
	g.column, sizes = number(column)
	g.columns = len(sizes)
	g.square = g.rows == treatments && g.columns == treatments && len(row) == treatments*treatments && treatments <= 12
	g.inRow, g.inCol, g.touch = table(g.rows, treatments), table(g.columns, treatments), table(treatments, treatments)
	return g, nil
}

func table(rows, columns int) [][]int {
	t := make([][]int, rows)
	for i := range t {
		t[i] = make([]int, columns)
	}
	return t
}

// start deals at random, or lays a random Latin square where one fits.
func (g *grid) start(r *rand.Rand) {
	treatments := len(g.touch)
	if g.square {
		l, err := LatinSquare(treatments, r)
		if err != nil {
			panic(err) // newGrid asks for orders that LatinSquare takes
		}
		for i := range g.drawn {
			g.drawn[i] = l.Drawn[0][g.row[i]*treatments+g.column[i]]
		}
	} else {
		names := r.Perm(treatments)
		for i, plot := range r.Perm(len(g.drawn)) {
			g.drawn[plot] = names[i%treatments]
		}
	}
	for _, t := range [][][]int{g.inRow, g.inCol, g.touch} {
		for i := range t {
			clear(t[i])
		}
	}
	for i, t := range g.drawn {
		g.inRow[g.row[i]][t]++
		g.inCol[g.column[i]][t]++
		for _, j := range g.beside[i] {
			g.touch[t][g.drawn[j]]++
		}
	}
}

// anneal exchanges two plots' treatments, or two whole lines or names of a Latin square, taking losses less and less.
func (g *grid) anneal(r *rand.Rand) {
	if g.square {
		g.shuffleSquare(r)
		return
	}
	moves := 400 * len(g.drawn)
	heat, cooling := 12.0, math.Pow(0.02, 1/float64(moves))
	for range moves {
		heat *= cooling
		i, j := r.IntN(len(g.drawn)), r.IntN(len(g.drawn))
		if g.drawn[i] == g.drawn[j] {
			continue
		}
		if loss := g.exchange(i, j); loss > 0 && r.Float64() >= math.Exp(-float64(loss)/heat) {
			g.exchange(i, j)
		}
	}
}

// shuffleSquare keeps the best of several Latin squares: exchanging plots would break the square.
func (g *grid) shuffleSquare(r *rand.Rand) {
	best, keep := g.score(), append([]int(nil), g.drawn...)
	for range 10 {
		g.start(r)
		if s := g.score(); s < best {
			best, keep = s, append([]int(nil), g.drawn...)
		}
	}
	for i, t := range keep {
		g.set(i, t)
	}
}

// exchange swaps the treatments of two plots and returns by how much the score rose.
func (g *grid) exchange(i, j int) int {
	s, t := g.drawn[i], g.drawn[j]
	return g.set(i, t) + g.set(j, s)
}

// set lays a treatment on a plot and returns by how much the score rose.
func (g *grid) set(i, to int) int {
	from := g.drawn[i]
	if from == to {
		return 0
	}
	in, col := g.inRow[g.row[i]], g.inCol[g.column[i]]
	rise := lineWeight * 2 * (in[to] - in[from] + 1 + col[to] - col[from] + 1)
	in[from], in[to] = in[from]-1, in[to]+1
	col[from], col[to] = col[from]-1, col[to]+1
	for _, j := range g.beside[i] {
		u := g.drawn[j]
		rise += g.touched(from, u, -1) + g.touched(to, u, 1)
	}
	g.drawn[i] = to
	return rise
}

// touched counts one more or one fewer place where t and u lie side by side.
func (g *grid) touched(t, u, by int) int {
	if t == u {
		g.touch[t][t] += 2 * by
		return selfWeight * 2 * by
	}
	before := g.touch[t][u] - g.share
	g.touch[t][u] += by
	g.touch[u][t] += by
	return (before+by)*(before+by) - before*before
}

func (g *grid) score() int {
	s := 0
	for _, lines := range [][][]int{g.inRow, g.inCol} {
		for _, line := range lines {
			for _, n := range line {
				s += lineWeight * n * n
			}
		}
	}
	for t := range g.touch {
		s += selfWeight * g.touch[t][t]
		for u := range t {
			s += (g.touch[t][u] - g.share) * (g.touch[t][u] - g.share)
		}
	}
	return s
}
