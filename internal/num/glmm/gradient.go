package glmm

import "fairplot/internal/num/dense"

// laplace subtracts from g the gradient of the Laplace log-likelihood h(û) − ½ log|M|, so g is that of the
// objective. The modes move with the parameters: dû = M⁻¹(…), and with c = ½ w′s, s the diagonal of A M⁻¹ Aᵀ, one
// solve z = M⁻¹Aᵀc carries their part for all parameters at once. docs/resampling.md derives it.
func (o *objective) laplace(g []float64) {
	p, r := o.x.Cols, len(o.groups)
	o.m.invert()
	o.meet()
	clear(o.z)
	for i, m := range o.rows {
		c := m.slope * o.leverage[i] / 2
		for k, a := range o.row(i) {
			o.z[o.at[i*r+k]] += a * c
		}
	}
	o.m.solve(o.z)
	for i, m := range o.rows {
		along := m.residual - m.slope*o.leverage[i]/2 + m.weight*o.random(o.z, i)
		dense.Axpy(-along, o.x.Row(i), g[:p])
		for k, at := range o.places(i) {
			g[p+k] -= o.by[i*r+k] * (o.u[at]*along - m.weight*o.meets[i*r+k] - o.z[at]*m.residual)
		}
	}
}

// meet works out row i of A M⁻¹ at the row's own columns, and of A M⁻¹ Aᵀ at its diagonal.
func (o *objective) meet() {
	r := len(o.groups)
	clear(o.meets)
	for i := range o.rows {
		a, meets, pairs := o.row(i), o.meets[i*r:(i+1)*r], o.pairs(i)
		for k, t := range a {
			for l, s := range a[:k] {
				z := o.m.z[pairs[l]]
				meets[k] += s * z
				meets[l] += t * z
			}
			meets[k] += t * o.m.z[pairs[k]]
			pairs = pairs[k+1:]
		}
		o.leverage[i] = dense.Dot(a, meets)
	}
}
