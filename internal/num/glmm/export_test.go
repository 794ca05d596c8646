package glmm

import (
	"math"
	"slices"
)

// From returns the log-likelihood where a search ends that starts with every spread as given, −Inf where it ends at a spread without end.
func (m *Model) From(spread float64) float64 {
	from, _ := separation(m.objective)
	end := m.objective.searchAt(from, spread)
	if slices.Max(end.x[len(from):]) > widest {
		return math.Inf(-1)
	}
	return -end.value
}
