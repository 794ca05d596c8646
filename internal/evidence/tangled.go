package evidence

import (
	"fmt"
	"math"
	"slices"

	"fairplot/internal/finding"
	"fairplot/internal/practice"
	"fairplot/internal/word"
)

// The bounds for practices that moved together: from closeTo on they are one and the same in these rows, from doubtful on they are told.
const (
	closeTo  = 1 - 1e-6
	doubtful = 0.05 // of the sum of squares, a correlation of 0.22
)

// sameChoice are pairs of practices that are two sides of one choice, so that one is not held against the other.
var sameChoice = map[practice.Name][]practice.Name{
	practice.Spacing:     {practice.Arrangement, practice.StandingPlants},
	practice.Arrangement: {practice.Spacing, practice.StandingPlants},
	Gardens:              tangible,
}

// tangled looks which other practices changed with this one, garden, season and crop apart. Where one always did, nothing can be told.
func (c *comparison) tangled() string {
	factors := nuisance(c.rows, c.shape.within)
	own := indicators(c.rows, func(r row) string { return r.level }, factors)
	var same []string
	for _, other := range tangible {
		if other == c.q.What || slices.Contains(sameChoice[c.q.What], other) {
			continue
		}
		level := func(r row) string { return r.levels[other] }
		if known := knownShare(c.rows, other); known < 1 || len(classes(c.rows, level)) < 2 {
			continue
		}
		share, tellable := beyondChance(own, indicators(c.rows, level, factors), len(c.rows)-taken(factors))
		if !tellable {
			continue
		}
		switch {
		case share >= closeTo:
			same = append(same, string(other))
			c.doubts.add(finding.MovedTogether, 1, "Whenever %s changed, %s changed with it: their parts cannot be separated.", whatText(c.q.What), whatText(other))
		case share >= doubtful:
			c.doubts.add(finding.MovedTogether, math.Sqrt(share), "%s often changed together with %s (correlation %.2f once garden, season and crop are set apart), so part of the difference may be its work.",
				upper(whatText(c.q.What)), whatText(other), math.Sqrt(share))
		}
	}
	if len(same) == 0 {
		return ""
	}
	return fmt.Sprintf("whenever %s changed, %s changed with it, so their parts cannot be told apart", whatText(c.q.What), word.And(same))
}

func knownShare(rows []row, other practice.Name) float64 {
	n := 0
	for _, r := range rows {
		if r.levels[other] != "" {
			n++
		}
	}
	return float64(n) / float64(len(rows))
}
