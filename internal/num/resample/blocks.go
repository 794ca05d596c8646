package resample

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// blocks is the lottery of treatments among the units of each block.
type blocks struct {
	units  unitTable
	inside [][]int // units of each block
	start  [][]int32
}

func newBlocks(p Plan, u unitTable) *blocks {
	b := &blocks{units: u}
	index := map[int32]int{}
	for j := range u.first {
		k := u.at(p.Block, j)
		at, ok := index[k]
		if !ok {
			at = len(b.inside)
			index[k] = at
			b.inside = append(b.inside, nil)
			b.start = append(b.start, nil)
		}
		b.inside[at] = append(b.inside[at], j)
		b.start[at] = append(b.start[at], u.treatment[j])
	}
	for _, labels := range b.start {
		slices.Sort(labels)
	}
	return b
}

// arrangements is the product over blocks of the multinomial coefficient of its treatments.
func (b *blocks) arrangements() float64 {
	n := 1.0
	for _, labels := range b.start {
		run := 0
		for i := range labels {
			if i == 0 || labels[i] != labels[i-1] {
				run = 0
			}
			run++
			n = n * float64(i+1) / float64(run) // a binomial coefficient at every step, so it stays whole
		}
	}
	return math.Round(n)
}

func (b *blocks) size(Statistic) float64 { return b.arrangements() }

// smallest: treatments that stand equally often in each block can change names, and a statistic that does not
// see names gives all those arrangements the same value.
func (b *blocks) smallest(s Statistic) float64 {
	twins := 1.0
	for _, class := range s.Exchange {
		alike := map[string]int{}
		for _, t := range distinct(class) {
			if !slices.Contains(b.units.treatment, t) {
				continue
			}
			key := b.incidence(t)
			alike[key]++
			twins *= float64(alike[key]) // builds the factorial
		}
	}
	return twins / b.arrangements()
}

// incidence tells how often treatment t stands in each block.
func (b *blocks) incidence(t int32) string {
	counts := make([]int, len(b.start))
	for i, labels := range b.start {
		for _, l := range labels {
			if l == t {
				counts[i]++
			}
		}
	}
	return fmt.Sprint(counts)
}

// each turns the blocks like the wheels of a counter.
func (b *blocks) each(_ Statistic, visit func([]int32)) {
	wheels := make([][]int32, len(b.start))
	for i, s := range b.start {
		wheels[i] = slices.Clone(s)
	}
	unit := make([]int32, len(b.units.first))
	row := make([]int32, len(b.units.of))
	for {
		b.place(wheels, unit)
		b.units.spread(unit, row)
		visit(row)
		i := 0
		for i < len(wheels) && !next(wheels[i]) {
			i++ // next has wound the wheel back to its sorted start
		}
		if i == len(wheels) {
			return
		}
	}
}

func (b *blocks) place(wheels [][]int32, unit []int32) {
	for i, wheel := range wheels {
		for k, label := range wheel {
			unit[b.inside[i][k]] = label
		}
	}
}

func (b *blocks) random(r *rand.Rand, visit func([]int32)) {
	unit := make([]int32, len(b.units.first))
	row := make([]int32, len(b.units.of))
	for i, labels := range b.start {
		for k, to := range r.Perm(len(labels)) {
			unit[b.inside[i][to]] = labels[k]
		}
	}
	b.units.spread(unit, row)
	visit(row)
}

// next steps to the following multiset permutation in lexicographic order; after the last it returns to the
// first and reports false (Knuth, The Art of Computer Programming 4A, sec. 7.2.1.2, algorithm L).
func next(a []int32) bool {
	j := len(a) - 2
	for j >= 0 && a[j] >= a[j+1] {
		j--
	}
	if j < 0 {
		slices.Reverse(a)
		return false
	}
	l := len(a) - 1
	for a[j] >= a[l] {
		l--
	}
	a[j], a[l] = a[l], a[j]
	slices.Reverse(a[j+1:])
	return true
}
