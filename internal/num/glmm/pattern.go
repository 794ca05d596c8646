package glmm

import (
	"math/bits"
	"slices"
)

// nearlyFull is the part of the columns left over, one in so many, that a column must meet for all that are left to be kept as a dense block: from there
// on the dense kernels beat the bookkeeping.
const nearlyFull = 3

// pattern says in which order the columns of M = AᵀWA + I are eliminated and where the entries of M and of its factor lie. It hangs on the groupings alone and is
// found once. Columns that meet few others go first, column by column (minimum degree: George & Liu 1989, SIAM Review 31:1-19); the
// rest is the dense tail. Classes nested in each other, such as plantings in beds, then leave no fill behind.
//
// Numbers lie in one slice: the head's diagonal, the head's entries below it by columns, the tail by rows of its lower triangle.
type pattern struct {
	columns  int
	head     int     // columns eliminated one by one
	position []int32 // of each column in the order of elimination
	start    []int   // head+1: first entry of each head column in below
	below    []int32 // positions of the entries below the diagonal, ascending in each column
	inHead   []int   // how many of a column's entries lie in the head
	intoAt   []int   // first number of each head column in into
	into     []int32 // for each entry in the head, where the products with the later entries of the column go
}

// newPattern orders columns that meet where a row lies in both. Rows holds as many columns for each row as there are groupings.
func newPattern(columns int, rows [][]int32) *pattern {
	p := &pattern{columns: columns, position: make([]int32, columns), start: []int{0}}
	for at, c := range p.eliminate(newMeetings(columns, rows)) {
		p.position[c] = int32(at)
	}
	for e, c := range p.below {
		p.below[e] = p.position[c]
	}
	for j := range p.head {
		rows := p.rowsOf(j)
		slices.Sort(rows)
		in, _ := slices.BinarySearch(rows, int32(p.head))
		p.inHead = append(p.inHead, in)
	}
	for j := range p.head {
		p.intoAt = append(p.intoAt, len(p.into))
		rows := p.rowsOf(j)
		for x, a := range rows[:p.inHead[j]] {
			for _, b := range rows[x+1:] {
				p.into = append(p.into, p.slot(a, b))
			}
		}
	}
	return p
}

// eliminate takes columns out in sweeps, each sweep those that meet no more others than it allows, which is one more than the sweep before, and returns the order. It
// fills head, start and below, the latter still by columns.
func (p *pattern) eliminate(m *meetings) []int32 {
	gone := make([]bool, p.columns)
	var order []int32
	for most := 0; len(order) < p.columns && most*nearlyFull <= p.columns-len(order); most++ {
		for c := range p.columns {
			if gone[c] || m.degree[c] > most {
				continue
			}
			gone[c] = true
			order = append(order, int32(c))
			p.below = m.remove(c, p.below)
			p.start = append(p.start, len(p.below))
		}
	}
	p.head = len(order)
	for c := range p.columns {
		if !gone[c] {
			order = append(order, int32(c))
		}
	}
	return order
}

func (p *pattern) rowsOf(j int) []int32 { return p.below[p.start[j]:p.start[j+1]] }

func (p *pattern) tail() int { return p.columns - p.head }

// tailAt is where the tail's numbers start.
func (p *pattern) tailAt() int { return p.head + len(p.below) }

func (p *pattern) size() int { return p.tailAt() + p.tail()*p.tail() }

// slot is where the entry at two positions lies, which must meet.
func (p *pattern) slot(a, b int32) int32 {
	if a > b {
		a, b = b, a
	}
	switch {
	case int(a) >= p.head:
		return int32(p.tailAt() + (int(b)-p.head)*p.tail() + int(a) - p.head)
	case a == b:
		return a
	}
	e, _ := slices.BinarySearch(p.rowsOf(int(a)), b)
	return int32(p.head + p.start[a] + e)
}

// meetings holds which columns meet, as sets of bits.
type meetings struct {
	words  int
	set    []uint64
	degree []int
}

func newMeetings(columns int, rows [][]int32) *meetings {
	m := &meetings{words: (columns + 63) / 64, degree: make([]int, columns)}
	m.set = make([]uint64, columns*m.words)
	for _, row := range rows {
		for _, a := range row {
			for _, b := range row {
				if a != b {
					m.of(int(a))[b/64] |= 1 << (b % 64)
				}
			}
		}
	}
	for c := range columns {
		m.count(c)
	}
	return m
}

func (m *meetings) of(c int) []uint64 { return m.set[c*m.words : (c+1)*m.words] }

func (m *meetings) count(c int) {
	m.degree[c] = 0
	for _, w := range m.of(c) {
		m.degree[c] += bits.OnesCount64(w)
	}
}

// remove takes a column out, lets all that it met meet each other and appends them to list.
func (m *meetings) remove(c int, list []int32) []int32 {
	own := m.of(c)
	from := len(list)
	for w, word := range own {
		for ; word != 0; word &= word - 1 {
			list = append(list, int32(64*w+bits.TrailingZeros64(word)))
		}
	}
	for _, a := range list[from:] {
		set := m.of(int(a))
		for w, word := range own {
			set[w] |= word
		}
		set[a/64] &^= 1 << (a % 64)
		set[c/64] &^= 1 << (c % 64)
		m.count(int(a))
	}
	return list
}
