package glmm

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// rule is Gauss-Hermite quadrature against the standard normal density: Σ weights·f(nodes).
type rule struct{ nodes, weights []float64 }

func hermite(n int) rule {
	r := rule{make([]float64, n), make([]float64, n)}
	quad.Hermite{}.FixedLocations(r.nodes, r.weights, math.Inf(-1), math.Inf(1))
	for k := range r.nodes {
		r.nodes[k] *= math.Sqrt2
		r.weights[k] /= math.Sqrt(math.Pi)
	}
	return r
}
