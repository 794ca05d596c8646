package design

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// restarts is how often a search begins afresh; the best layout by efficiency is kept.
const restarts = 20

// InBlocks draws treatments on the plots that there are: block[i] is the block of plot i, and blocks may differ in
// size. Every treatment stands in a block as often as every other, to within one; where a block cannot hold all
// alike, the odd plots are shared out so that replication is even to within one and pairs of treatments meet in
// blocks as evenly as a search finds. It errs with fewer plots than treatments and when some treatments could not be
// compared within blocks at all.
func InBlocks(block []int, treatments int, r *rand.Rand) (Layout, error) {
	if err := atLeast("treatments", treatments, 2, "plots", len(block), treatments); err != nil {
		return Layout{}, err
	}
	numbered, sizes := number(block)
	l := Layout{Levels: []int{treatments}, Block: numbered, Arrangements: arrangements(sizes, treatments)}
	if !math.IsNaN(l.Arrangements) {
		l.Drawn = [][]int{deal(numbered, sizes, make([][]int, len(sizes)), treatments, r)}
		return l, nil
	}
	best := Efficiency{}
	for range restarts {
		odd := shareOut(sizes, treatments, r)
		drawn := deal(numbered, sizes, odd, treatments, r)
		if e := EfficiencyOf(treatments, drawn, numbered); e.Connected && e.Average > best.Average+1e-12 {
			best, l.Drawn = e, [][]int{drawn}
		}
	}
	if !best.Connected {
		return Layout{}, fmt.Errorf("%d treatments on %d plots in %d blocks cannot all be compared within blocks; take fewer treatments, larger blocks or more of them",
			treatments, len(block), len(sizes))
	}
	return l, nil
}

// number renumbers labels from 0 in order of appearance and counts them.
func number(labels []int) (numbered, sizes []int) {
	index := map[int]int{}
	for _, b := range labels {
		at, ok := index[b]
		if !ok {
			at = len(sizes)
			index[b] = at
			sizes = append(sizes, 0)
		}
		numbered = append(numbered, at)
		sizes[at]++
	}
	return numbered, sizes
}

// arrangements counts the layouts when all blocks hold all treatments alike, else NaN.
func arrangements(sizes []int, treatments int) float64 {
	n := 1.0
	for _, s := range sizes {
		if s%treatments != 0 {
			return math.NaN()
		}
		n *= math.Round(factorial(s) / math.Pow(factorial(s/treatments), float64(treatments)))
	}
	return n
}

// deal lays each block's full sets and its odd treatments on its plots at random.
func deal(block, sizes []int, odd [][]int, treatments int, r *rand.Rand) []int {
	hands := make([][]int, len(sizes))
	for b, s := range sizes {
		for i := range s / treatments * treatments {
			hands[b] = append(hands[b], i%treatments)
		}
		hands[b] = append(hands[b], odd[b]...)
		r.Shuffle(len(hands[b]), func(i, j int) { hands[b][i], hands[b][j] = hands[b][j], hands[b][i] })
	}
	out := make([]int, len(block))
	for i, b := range block {
		out[i], hands[b] = hands[b][0], hands[b][1:]
	}
	return out
}

// shareOut chooses the treatments of the odd plots: always the ones used least so far, ties by lot, then exchanges
// between blocks while that evens out how often pairs meet.
func shareOut(sizes []int, treatments int, r *rand.Rand) [][]int {
	odd := make([][]int, len(sizes))
	used := make([]int, treatments)
	for _, b := range r.Perm(len(sizes)) {
		order := r.Perm(treatments)
		slices.SortStableFunc(order, func(i, j int) int { return used[i] - used[j] })
		odd[b] = order[:sizes[b]%treatments]
		for _, t := range odd[b] {
			used[t]++
		}
	}
	meet := newMeetings(odd, treatments)
	for meet.improve(odd, r) {
	}
	return odd
}

// meetings counts how often each pair of treatments shares a block. Least Σ meetings² with blocks of distinct
// treatments is the (M,S) criterion (Eccleston & Hedayat 1974, Annals of Statistics 2:1238-1255).
type meetings struct {
	count [][]int
}

func newMeetings(odd [][]int, treatments int) *meetings {
	m := &meetings{count: make([][]int, treatments)}
	for t := range m.count {
		m.count[t] = make([]int, treatments)
	}
	for _, in := range odd {
		for _, t := range in {
			m.move(in, t, t, 1)
		}
	}
	return m
}

// move adds by to the meetings of t with all in the block but itself and the one named without; counts are kept once a direction.
func (m *meetings) move(in []int, t, without, by int) {
	for _, u := range in {
		if u != t && u != without {
			m.count[t][u] += by
		}
	}
}

// improve makes every exchange of two odd treatments between blocks that lowers Σ meetings², and tells if it made any.
func (m *meetings) improve(odd [][]int, r *rand.Rand) bool {
	made := false
	for _, a := range r.Perm(len(odd)) {
		for b := range odd {
			if a == b {
				continue
			}
			for i := range odd[a] {
				for j := range odd[b] {
					made = m.exchange(odd[a], odd[b], i, j) || made
				}
			}
		}
	}
	return made
}

func (m *meetings) exchange(a, b []int, i, j int) bool {
	s, t := a[i], b[j]
	if s == t || slices.Contains(a, t) || slices.Contains(b, s) {
		return false
	}
	gain := 0 // halved change of Σ meetings²
	for _, u := range a {
		if u != s {
			gain += m.count[t][u] - m.count[s][u] + 1
		}
	}
	for _, u := range b {
		if u != t {
			gain += m.count[s][u] - m.count[t][u] + 1
		}
	}
	for _, u := range a { // one who stays in both blocks meets s and t as often as before
		if u != s && slices.Contains(b, u) {
			gain -= 2
		}
	}
	if gain >= 0 {
		return false
	}
	for _, u := range a {
		if u != s {
			m.swap(s, t, u)
		}
	}
	for _, u := range b {
		if u != t {
			m.swap(t, s, u)
		}
	}
	a[i], b[j] = t, s
	return true
}

// swap lets u meet the newcomer instead of the one who left.
func (m *meetings) swap(left, came, u int) {
	m.count[left][u]--
	m.count[u][left]--
	m.count[came][u]++
	m.count[u][came]++
}
