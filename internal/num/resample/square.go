package resample

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// square is the lottery of a Latin square: its rows, columns and letters exchanged at random, which is how
// Fisher & Yates's tables have a square drawn.
type square struct {
	units   unitTable
	letters []int32
	cell    [][]int // row, column to unit
	letter  [][]int // row, column to letter, as laid out
	self    float64 // exchanges of rows, columns and letters that leave the square as it is
}

func newSquare(p Plan, u unitTable) (*square, error) {
	if p.Row == nil || p.Column == nil {
		return nil, fmt.Errorf("a Latin square needs the row and the column of every plot")
	}
	if p.Block != nil {
		return nil, fmt.Errorf("a plan has either blocks or the rows and columns of one Latin square, not both")
	}
	rows, cols, letters := distinct(p.Row), distinct(p.Column), distinct(p.Treatment)
	k := len(letters)
	if len(rows) != k || len(cols) != k || len(u.first) != k*k {
		return nil, fmt.Errorf("%d treatments on %d plots in %d rows and %d columns are no Latin square, which has as many of each and every plot once",
			k, len(u.first), len(rows), len(cols))
	}
	s := &square{units: u, letters: letters, cell: grid(k), letter: grid(k)}
	for j := range u.first {
		r, _ := slices.BinarySearch(rows, u.at(p.Row, j))
		c, _ := slices.BinarySearch(cols, u.at(p.Column, j))
		l, _ := slices.BinarySearch(letters, u.treatment[j])
		if s.cell[r][c] >= 0 {
			return nil, fmt.Errorf("two plots lie in row %d, column %d", rows[r], cols[c])
		}
		s.cell[r][c], s.letter[r][c] = j, l
	}
	if err := s.check(rows, cols); err != nil {
		return nil, err
	}
	s.self = s.autotopisms()
	return s, nil
}

func grid(k int) [][]int {
	g := make([][]int, k)
	for i := range g {
		g[i] = slices.Repeat([]int{-1}, k)
	}
	return g
}

// check errs unless every treatment stands once in every row and column.
func (s *square) check(rows, cols []int32) error {
	k := len(s.letters)
	for i := range k {
		inRow, inCol := make([]bool, k), make([]bool, k)
		for j := range k {
			if l := s.letter[i][j]; inRow[l] {
				return fmt.Errorf("treatment %d stands twice in row %d; a Latin square has it once", s.letters[l], rows[i])
			}
			inRow[s.letter[i][j]] = true
			if l := s.letter[j][i]; inCol[l] {
				return fmt.Errorf("treatment %d stands twice in column %d; a Latin square has it once", s.letters[l], cols[i])
			}
			inCol[s.letter[j][i]] = true
		}
	}
	return nil
}

// blind reports whether no exchange of letters changes the statistic, so that rows and columns are enough.
func (s *square) blind(st Statistic) bool {
	for _, class := range st.Exchange {
		if len(distinct(class)) >= len(s.letters) {
			return true
		}
	}
	return false
}

func (s *square) size(st Statistic) float64 {
	f := factorial(len(s.letters))
	if s.blind(st) {
		return f * f
	}
	return f * f * f
}

func (s *square) arrangements() float64 {
	f := factorial(len(s.letters))
	return f * f * f / s.self
}

// smallest: the letters of one exchangeable class can change names in every square.
func (s *square) smallest(st Statistic) float64 {
	twins := 1.0
	for _, class := range st.Exchange {
		n := 0
		for _, t := range distinct(class) {
			if slices.Contains(s.letters, t) {
				n++
			}
		}
		twins *= factorial(n)
	}
	return twins / s.arrangements()
}

func (s *square) each(st Statistic, visit func([]int32)) {
	k := len(s.letters)
	wheels := [][]int32{identity(k), identity(k), identity(k)}
	turning := wheels
	if s.blind(st) {
		turning = wheels[:2]
	}
	unit := make([]int32, k*k)
	row := make([]int32, len(s.units.of))
	for {
		s.place(wheels, unit)
		s.units.spread(unit, row)
		visit(row)
		i := 0
		for i < len(turning) && !next(turning[i]) {
			i++
		}
		if i == len(turning) {
			return
		}
	}
}

func (s *square) random(r *rand.Rand, visit func([]int32)) {
	k := len(s.letters)
	wheels := make([][]int32, 3)
	for i := range wheels {
		wheels[i] = identity(k)
		r.Shuffle(k, func(a, b int) { wheels[i][a], wheels[i][b] = wheels[i][b], wheels[i][a] })
	}
	unit := make([]int32, k*k)
	row := make([]int32, len(s.units.of))
	s.place(wheels, unit)
	s.units.spread(unit, row)
	visit(row)
}

// place writes the square with rows, columns and letters exchanged by the three permutations.
func (s *square) place(wheels [][]int32, unit []int32) {
	for i, from := range s.letter {
		for j, l := range from {
			unit[s.cell[wheels[0][i]][wheels[1][j]]] = s.letters[wheels[2][l]]
		}
	}
}

// autotopisms counts the exchanges of rows, columns and letters that map the square onto itself. An exchange of
// the rows and the image of one column fix the letters, and these the other columns.
func (s *square) autotopisms() float64 {
	k := len(s.letters)
	if k > 8 { // k·k! is an upper bound by the argument above; the smallest p is then an upper bound too
		return factorial(k) * float64(k)
	}
	count := 0
	for rows := identity(k); ; {
		for c := range k {
			if s.fits(rows, c) {
				count++
			}
		}
		if !next(rows) {
			return float64(count)
		}
	}
}

func (s *square) fits(rows []int32, c int) bool {
	k := len(s.letters)
	letters, columns := make([]int, k), make([]int, k)
	for i := range k {
		letters[s.letter[i][0]] = s.letter[rows[i]][c]
	}
	for j := range k {
		columns[j] = slices.Index(s.letter[rows[0]], letters[s.letter[0][j]])
	}
	for i := range k {
		for j := range k {
			if s.letter[rows[i]][columns[j]] != letters[s.letter[i][j]] {
				return false
			}
		}
	}
	return true
}

func identity(k int) []int32 {
	p := make([]int32, k)
	for i := range p {
		p[i] = int32(i)
	}
	return p
}

func factorial(n int) float64 { return math.Round(math.Gamma(float64(n + 1))) }
