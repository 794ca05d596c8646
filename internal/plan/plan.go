// Package plan finds fair trials for the beds that a grower has: the smallest that would show the difference that matters, by the
// spread of the grower's own records, and its layout drawn by lot. It keeps no trial and reads no yields.
package plan

import (
	"cmp"
	"math"
	"slices"

	"fairplot/internal/finding"
)

// Bed is one bed that a trial could use.
type Bed struct {
	Name string
	Area float64 // m²; 0 if not known
}

// Ground is the free beds of one garden, in the order in which they lie.
type Ground struct {
	Garden string
	Beds   []Bed
}

// Wanted is what a trial is to settle.
type Wanted struct {
	Ways       []string // the levels as a sentence says them: "double dug", "undisturbed"
	Matters    float64  // the smallest difference worth acting on, as a share: 0.25
	Confidence float64  // of the interval that is to decide
	Power      float64  // wanted chance to show it; 0 is DefaultPower
	Crop       string   // to be grown on every plot; "" leaves it open
	Beds       Spread   // between whole beds of one garden and season
	Halves     Spread   // between the halves of one bed in one season; the zero Spread derives it from Beds
}

// DefaultPower is the chance at which a trial counts as able to show a difference.
const DefaultPower = 0.8

// mostSeasons bounds the search: what needs more years than this is no trial that anybody finishes.
const mostSeasons = 5

// smallestPart is the least ground, in m², that a part of a bed must keep so that edge plants do not make up most of it (common practice).
const smallestPart = 1.0

// Design names how the ways are laid on the ground.
type Design string

// The designs.
const (
	SplitBeds Design = "split beds" // every bed is cut in as many parts as there are ways
	Blocks    Design = "blocks"     // neighbouring beds make a block, one way on each bed
)

// Trial is a design on named ground.
type Trial struct {
	Design  Design
	Ground  Ground // the beds used, in order
	Ways    []string
	Blocks  int // in a season
	Seasons int
	Power   float64
	Room    int // blocks that the whole garden has for the design
}

// Plots is the number of plots of one season.
func (t Trial) Plots() int { return t.Blocks * len(t.Ways) }

// Find returns the smallest trial on one of the gardens that has the wanted power: the fewest plots over all seasons, of equals the one nearest to two
// seasons, since one may be an odd year and more are long to wait for. It is false if none has.
func Find(grounds []Ground, w Wanted) (Trial, bool) {
	w = w.whole()
	var best Trial
	found := false
	for _, d := range []Design{SplitBeds, Blocks} {
		total, ok := w.fewest(grounds, d)
		if !ok {
			continue
		}
		for _, g := range grounds {
			for seasons := 1; seasons <= mostSeasons; seasons++ {
				blocks := (total + seasons - 1) / seasons
				if blocks > w.room(g, d) {
					continue
				}
				if t := w.trial(g, d, blocks, seasons); !found || t.compare(best) < 0 {
					best, found = t, true
				}
			}
		}
	}
	if found {
		best.Power = w.power(best.Design, best.Blocks*best.Seasons)
	}
	return best, found
}

func (t Trial) compare(u Trial) int {
	fromTwo := func(seasons int) int { return max(seasons-2, 2-seasons) }
	return cmp.Or(cmp.Compare(t.Plots()*t.Seasons, u.Plots()*u.Seasons), cmp.Compare(fromTwo(t.Seasons), fromTwo(u.Seasons)), cmp.Compare(t.Seasons, u.Seasons))
}

// whole fills in what was left open.
func (w Wanted) whole() Wanted {
	if w.Power == 0 {
		w.Power = DefaultPower
	}
	if w.Confidence == 0 {
		w.Confidence = 0.95
	}
	if w.Halves.Variance == 0 {
		w.Halves = w.Beds.Part(len(w.Ways))
	}
	return w
}

// spread is what the plots of the design differ by.
func (w Wanted) spread(d Design) Spread {
	if d == SplitBeds {
		return w.Halves
	}
	return w.Beds
}

// room is the number of blocks that the ground has for the design.
func (w Wanted) room(g Ground, d Design) int {
	if d == Blocks {
		return len(g.Beds) / len(w.Ways)
	}
	return len(partable(g.Beds, len(w.Ways)))
}

// partable are the beds that can be cut in so many parts.
func partable(beds []Bed, parts int) []Bed {
	return slices.DeleteFunc(slices.Clone(beds), func(b Bed) bool { return b.Area > 0 && b.Area < smallestPart*float64(parts) })
}

// fewest is the number of blocks over all seasons that reach the power. It does not hang on how they are shared out over seasons, and power rises
// with it, so it is found by halving.
func (w Wanted) fewest(grounds []Ground, d Design) (int, bool) {
	high := 0
	for _, g := range grounds {
		high = max(high, mostSeasons*w.room(g, d))
	}
	low := leastBlocks(len(w.Ways), 1-w.Confidence) - 1
	if high <= low || w.power(d, high) < w.Power {
		return 0, false
	}
	for high-low > 1 {
		if mid := (low + high) / 2; w.power(d, mid) >= w.Power {
			high = mid
		} else {
			low = mid
		}
	}
	return high, true
}

func (w Wanted) trial(g Ground, d Design, blocks, seasons int) Trial {
	beds := g.Beds
	if d == SplitBeds {
		beds = partable(g.Beds, len(w.Ways))[:blocks]
	} else {
		beds = beds[:blocks*len(w.Ways)]
	}
	return Trial{Design: d, Ground: Ground{Garden: g.Garden, Beds: beds}, Ways: w.Ways, Blocks: blocks, Seasons: seasons, Room: w.room(g, d)}
}

// power is the chance that the interval of one pair of ways leaves out equality if they differ by what matters.
func (w Wanted) power(d Design, blocks int) float64 {
	return w.spread(d).Power(len(w.Ways), blocks, math.Log1p(w.Matters), w.level())
}

// level is the chance of a false alarm of one pair: shared out over the pairs (Bonferroni), which asks a little more than Tukey's range does.
func (w Wanted) level() float64 {
	k := len(w.Ways)
	return (1 - w.Confidence) / float64(k*(k-1)/2)
}

// leastBlocks is the least number of blocks with which the trial's own lot can be as rare as alpha: k! ways to deal each block out, and renaming the
// ways makes no other trial. Five pairs cannot be rarer than 1 in 16; six can be 1 in 32.
func leastBlocks(ways int, alpha float64) int {
	deals := math.Gamma(float64(ways + 1))
	return 1 + int(math.Ceil(math.Log(1/alpha)/math.Log(deals)-1e-9))
}

// Smallest says in words which trial on the gardens would settle the question. Where none on the ground would within five seasons it says
// what the ground could show, without a design; it is false where there is no ground or nothing known of the spread.
func Smallest(grounds []Ground, w Wanted) (finding.Settles, bool) {
	if len(w.Ways) < 2 || !(w.Beds.Variance > 0) || !(w.Matters > 0) {
		return finding.Settles{}, false
	}
	if t, ok := Find(grounds, w); ok {
		return finding.Settles{Says: t.says(w), Design: string(t.Design), Plots: t.Plots(), Seasons: t.Seasons, Power: t.Power}, true
	}
	w = w.whole()
	most, d, ok := w.most(grounds)
	if !ok {
		return finding.Settles{}, false
	}
	return finding.Settles{Says: w.tooLittle(most, d)}, true
}

// most is the ground and design that could show the smallest difference in all the seasons: of each design the garden with most room.
func (w Wanted) most(grounds []Ground) (Trial, float64, bool) {
	var best Trial
	least := math.Inf(1)
	for _, d := range []Design{SplitBeds, Blocks} {
		var widest Ground
		for _, g := range grounds {
			if w.room(g, d) > w.room(widest, d) {
				widest = g
			}
		}
		room := w.room(widest, d)
		if room < 1 || room*mostSeasons < leastBlocks(len(w.Ways), 1-w.Confidence) {
			continue
		}
		if x := w.Detectable(d, room*mostSeasons); x < least {
			best, least = w.trial(widest, d, room, mostSeasons), x
		}
	}
	return best, least, !math.IsInf(least, 1)
}

// Detectable is the smallest difference, as a share, that so many blocks would show with the wanted power.
func (w Wanted) Detectable(d Design, blocks int) float64 {
	w = w.whole()
	s := w.spread(d)
	low, high := 0.0, 1.0
	power := func(x float64) float64 { return s.Power(len(w.Ways), blocks, x, w.level()) }
	for power(high) < w.Power {
		if high > 20 {
			return math.Inf(1)
		}
		low, high = high, 2*high
	}
	for high-low > 1e-3 {
		if mid := (low + high) / 2; power(mid) < w.Power {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Expm1(high)
}
