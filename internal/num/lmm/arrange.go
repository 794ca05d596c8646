package lmm

import "slices"

// Budgets, in tail columns t. An evaluation with gradient costs about 2t³ operations and 6 matrices of t² numbers;
// Kenward & Roger's matrices another 4t³ and one matrix for each level of the chain. 4,000 columns take 770 MB.
const (
	fitBudget      = 4000
	adjustedBudget = 3000
)

// layout says how the first level of the chain is kept; only tests ask for anything but the cheaper one.
type layout int

const (
	cheaper layout = iota
	filled
	scattered
)

// arrange orders the groupings: a chain of nested ones, the largest first, is eliminated node by node; the rest and X
// make the dense tail. Where the rows of the chain's first level are mostly empty it is cheaper to keep them sparse and to
// leave the higher levels of the chain to the tail.
func (d *design) arrange(as layout) error {
	order := seq(len(d.groups))
	slices.SortStableFunc(order, func(a, b int) int { return d.groups[b].q - d.groups[a].q })
	d.chain = []link{{k: order[0], q: d.groups[order[0]].q}}
	for _, k := range order[1:] {
		last := &d.chain[len(d.chain)-1]
		if parent, ok := d.nested(last.k, k); ok {
			last.parent = parent
			d.chain = append(d.chain, link{k: k, q: d.groups[k].q})
		}
	}
	if d.scattered = as == scattered || as == cheaper && d.sparseIsCheaper(order); d.scattered {
		d.chain = d.chain[:1]
		d.chain[0].parent = nil
	}
	d.layTail(order)
	if d.t > fitBudget {
		return failed(TooLarge, "", "besides the largest grouping and those around it there are %d groups, more than the %d that can be worked out together", d.m, fitBudget-d.p)
	}
	return nil
}

// nested tells whether every class of grouping k lies in one class of grouping l, and which.
func (d *design) nested(k, l int) ([]int32, bool) {
	parent := make([]int32, d.groups[k].q)
	for c := range parent {
		parent[c] = -1
	}
	of := d.groups[l].class
	for i, c := range d.groups[k].class {
		switch {
		case parent[c] < 0:
			parent[c] = of[i]
		case parent[c] != of[i]:
			return nil, false
		}
	}
	for c, j := range parent {
		parent[c] = max(j, 0) // a class without rows lies anywhere
	}
	return parent, true
}

func (d *design) layTail(order []int) {
	d.rest = nil
	d.m = 0
	for _, k := range order {
		if slices.ContainsFunc(d.chain, func(l link) bool { return l.k == k }) {
			continue
		}
		g := d.groups[k]
		d.rest = append(d.rest, block{k: k, at: d.m, q: g.q, size: slices.Max(g.size)})
		d.m += g.q
	}
	d.t = d.m + d.p
}

// sparseIsCheaper compares operations: t² for each node of the chain, or the filled entries squared for each node of its
// first level and a tail that holds all the rest; t³ for the tail either way. Scattered entries cost about four times as
// much each.
func (d *design) sparseIsCheaper(order []int) bool {
	chain := d.chain
	d.layTail(order)
	t := float64(d.t)
	dense := 2 * t * t * t
	for _, l := range chain {
		dense += float64(l.q) * t * t
	}
	if float64(chain[0].q)*t < 20_000 {
		return false
	}
	d.chain = chain[:1]
	d.layTail(order)
	t = float64(d.t)
	sparse := 2 * t * t * t
	filled := make([]float64, chain[0].q)
	for _, b := range d.rest {
		d.pairs(chain[0].k, b.k, func(i, _ int, _ float64) { filled[i]++ })
	}
	for _, f := range filled {
		f += float64(d.p) + 1
		sparse += 4 * f * f
	}
	d.chain = chain
	return sparse < dense
}

// pairs calls visit for every pair of classes of two groupings that share rows, with their weight.
func (d *design) pairs(k, l int, visit func(i, j int, w float64)) {
	a, b := d.groups[k], d.groups[l]
	start := make([]int32, a.q+1)
	for _, c := range a.class {
		start[c+1]++
	}
	for c := range a.q {
		start[c+1] += start[c]
	}
	rows := make([]int32, d.n)
	for i, c := range a.class {
		rows[start[c]] = int32(i)
		start[c]++
	}
	sum := make([]float64, b.q)
	var met []int32
	from := int32(0)
	for c := range a.q {
		met = met[:0]
		for _, i := range rows[from:start[c]] {
			j := b.class[i]
			if sum[j] == 0 {
				met = append(met, j)
			}
			sum[j] += d.weight(int(i))
		}
		from = start[c]
		slices.Sort(met)
		for _, j := range met {
			visit(c, int(j), sum[j])
			sum[j] = 0
		}
	}
}
