package lmm

import (
	"slices"

	"fairplot/internal/num/dense"
)

// cross forms the cross-products of W = [Z_rest, Q] and of the chain's first level with it, and on the way the left side
// of the equations of the start: with M = I − QQ′,
//
//	|Z_k′MZ_l|² = |Z_k′Z_l|² − 2 Σ_ij (Z_k′Z_l)_ij D_k[i]·D_l[j] + D_k′D_k · D_l′D_l,   D_k = Z_k′Q.
func (d *design) cross() {
	r := len(d.groups)
	d.minque = dense.New(r+1, r+1)
	d.base = dense.New(d.t+1, d.t+1)
	squares := make([]dense.Matrix, r)
	for k, g := range d.groups {
		squares[k] = gram(g.shadow)
	}
	first := d.chain[0].k
	filling := newFilling(d)
	for k := range r {
		for l := range k + 1 {
			a, b := k, l
			if b == first {
				a, b = b, a
			}
			d.minque.Set(k, l, d.pairNorm(a, b, filling)+dense.Dot(squares[k].Data, squares[l].Data))
			d.minque.Set(l, k, d.minque.At(k, l))
		}
		total := 0.0
		for _, s := range d.groups[k].size {
			total += s
		}
		for j := range d.p {
			total -= squares[k].At(j, j)
		}
		d.minque.Set(k, r, total)
		d.minque.Set(r, k, total)
	}
	d.minque.Set(r, r, float64(d.nf))
	d.finishBase()
	d.first = filling.rows()
}

// pairNorm sums what two groupings share, and files their counts where the tail needs them.
func (d *design) pairNorm(k, l int, f *filling) float64 {
	a, b := d.groups[k], d.groups[l]
	sum := 0.0
	if k == l {
		for i, s := range a.size {
			row := a.shadow.Row(i)
			sum += s*s - 2*s*dense.Dot(row, row)
		}
		return sum
	}
	ka, kb := d.place(k), d.place(l)
	d.pairs(k, l, func(i, j int, w float64) {
		sum += w*w - 2*w*dense.Dot(a.shadow.Row(i), b.shadow.Row(j))
		switch {
		case ka >= 0 && kb >= 0:
			x, y := ka+i, kb+j
			d.base.Set(x, y, w)
			d.base.Set(y, x, w)
		case k == d.chain[0].k && kb >= 0:
			f.add(i, kb+j, w)
		}
	})
	return sum
}

// place is where a grouping stands in the tail, or -1.
func (d *design) place(k int) int {
	for _, b := range d.rest {
		if b.k == k {
			return b.at
		}
	}
	return -1
}

// finishBase fills the diagonal of the groupings, their products with X, and X itself.
func (d *design) finishBase() {
	for _, b := range d.rest {
		g := d.groups[b.k]
		for i, s := range g.size {
			d.base.Set(b.at+i, b.at+i, s)
			copy(d.base.Row(b.at + i)[d.m:], g.shadow.Row(i))
			for j, x := range g.shadow.Row(i) {
				d.base.Set(d.m+j, b.at+i, x)
			}
		}
	}
	for j := range d.p {
		d.base.Set(d.m+j, d.m+j, 1)
	}
}

// gram is D′D.
func gram(m dense.Matrix) dense.Matrix {
	out := dense.New(m.Cols, m.Cols)
	for i := range m.Rows {
		row := m.Row(i)
		for j, x := range row {
			if x != 0 {
				dense.Axpy(x, row, out.Row(j))
			}
		}
	}
	return out
}

// filling collects the group entries of the first level's rows.
type filling struct {
	d     *design
	entry [][]entry
}

type entry struct {
	at int32
	w  float64
}

func newFilling(d *design) *filling {
	return &filling{d: d, entry: make([][]entry, d.chain[0].q)}
}

func (f *filling) add(i, at int, w float64) {
	f.entry[i] = append(f.entry[i], entry{int32(at), w})
}

// rows lays the entries out, dense or sparse, with those of X behind and room for y last.
func (f *filling) rows() rows {
	d := f.d
	q, shadow := d.chain[0].q, d.groups[d.chain[0].k].shadow
	if !d.scattered {
		m := dense.New(d.t+1, q)
		for i, es := range f.entry {
			for _, e := range es {
				m.Data[int(e.at)*q+i] = e.w
			}
			for j, x := range shadow.Row(i) {
				m.Data[(d.m+j)*q+i] = x
			}
		}
		return rows{Matrix: m}
	}
	out := rows{start: make([]int32, q+1)}
	for i, es := range f.entry {
		slices.SortFunc(es, func(a, b entry) int { return int(a.at - b.at) })
		for _, e := range es {
			out.at = append(out.at, e.at)
			out.value = append(out.value, e.w)
		}
		for j := range d.p + 1 {
			out.at = append(out.at, int32(d.m+j))
			x := 0.0
			if j < d.p {
				x = shadow.At(i, j)
			}
			out.value = append(out.value, x)
		}
		out.start[i+1] = int32(len(out.at))
	}
	return out
}
