package evidence

import (
	"slices"
	"strconv"
	"strings"

	"fairplot/internal/finding"
	"fairplot/internal/practice"
)

// shape is the model that the rules choose for a set of rows, as the two formulae of an analysis of plots.
type shape struct {
	fixed     []string // terms beside the level
	shares    []string // levels whose mean over the bed's own rows goes in as a covariate
	random    []string // groupings
	units     []string
	within    bool // the practice varies within gardens, which are then fixed
	byCrop    bool // practice by crop is random
	quick     bool // one of many fits of the same question: limits of counts by the quicker way
	even      bool // the practice showed no spread over seasons, and the model is without it
	scope     finding.Scope
	gardens   int
	seasons   int
	crops     int
	reference string
	levels    []string // reference first
}

// choose applies the rules of unit, gardens and seasons, and crops (docs/how-it-compares.md) to the rows.
func choose(q Question, rows []row) shape {
	s := shape{
		gardens: count(rows, func(r row) string { return r.garden }),
		seasons: count(rows, func(r row) string { return strconv.Itoa(r.season) }),
		crops:   count(rows, func(r row) string { return r.crop }),
		within:  q.What != Gardens && varies(rows, func(r row) string { return r.garden }),
		scope:   finding.TheseSeasons,
	}
	s.units = unitsOf(q, rows)
	if q.What == Gardens {
		s.units = placeUnits(rows)
	}
	s.levels = levelsOf(q, rows)
	if len(s.levels) > 0 {
		s.reference = s.levels[0]
	}
	s.chooseFixed(q, rows)
	s.chooseRandom(q, rows)
	return s
}

// placeUnits are the units when gardens are compared as places: the beds, and the garden's seasons where there are several.
func placeUnits(rows []row) []string {
	if count(rows, row.gardenSeason) > count(rows, func(r row) string { return r.garden }) {
		return []string{"garden-season", "bed"}
	}
	return []string{"bed"}
}

func (s *shape) chooseFixed(q Question, rows []row) {
	if s.within && s.gardens > 1 {
		s.fixed = append(s.fixed, "garden")
	}
	if s.seasons > 1 {
		s.fixed = append(s.fixed, "season")
	}
	if s.crops > 1 {
		s.fixed = append(s.fixed, "crop")
		if s.seasons > 1 && filled(rows) {
			s.fixed = append(s.fixed, "crop:season")
		}
	}
	if s.within && variesWithinBeds(rows) {
		s.shares = sharesThatVary(rows, s.levels[1:])
	}
}

// reallyVaries is the share of a practice's sum of squares that must lie within beds for it to count as varying there between seasons. Below it too few
// beds were treated in two ways for the others to be left out of the comparison.
const reallyVaries = 1.0 / 3

func variesWithinBeds(rows []row) bool {
	total := spreadWithin(rows, func(row) string { return "" })
	return total > 0 && spreadWithin(rows, func(r row) string { return r.bed }) >= reallyVaries*total
}

// adjustedAs is the shape of a part of the rows with the beds' shares in or out, and the groupings dropped, as in the whole, so that leaving rows out
// changes the rows alone.
func (s shape) adjustedAs(whole shape, rows []row) shape {
	for _, g := range spare {
		if !slices.Contains(whole.random, g) {
			s = s.lessRandom(g)
		}
	}
	s.shares = nil
	if len(whole.shares) > 0 && s.within {
		s.shares = sharesThatVary(rows, s.levels[1:])
	}
	return s
}

// filled reports whether crops by seasons can have a mean each: on average four rows or more a cell, and two in every one.
func filled(rows []row) bool {
	cells := map[string]int{}
	for _, r := range rows {
		cells[r.crop+strconv.Itoa(r.season)]++
	}
	for _, n := range cells {
		if n < 2 {
			return false
		}
	}
	return len(rows) >= 4*len(cells)
}

// sharesThatVary are the levels whose share in a bed's own rows differs between beds of one garden, so that it can be told from the garden.
func sharesThatVary(rows []row, levels []string) []string {
	var out []string
	for _, level := range levels {
		share := bedShares(rows, level)
		first := map[string]float64{}
		for _, r := range rows {
			if f, ok := first[r.garden]; ok && f != share[r.bed] {
				out = append(out, level)
				break
			}
			first[r.garden] = share[r.bed]
		}
	}
	return out
}

// bedShares is the part of each bed's rows that have the level: the bed's own mean of its indicator (Mundlak 1978).
func bedShares(rows []row, level string) map[string]float64 {
	n, hit := map[string]float64{}, map[string]float64{}
	for _, r := range rows {
		n[r.bed]++
		if r.level == level {
			hit[r.bed]++
		}
	}
	for bed := range n {
		hit[bed] /= n[bed]
	}
	return hit
}

func (s *shape) chooseRandom(q Question, rows []row) {
	add := func(wanted bool, term string, class func(row) string) {
		if wanted && separable(q, rows, class) {
			s.random = append(s.random, term)
		}
	}
	between := !s.within && q.What != Gardens && s.gardens > 1
	if between {
		s.scope = finding.SuchGardens
	}
	beds := count(rows, func(r row) string { return r.bed })
	add(between, "garden", func(r row) string { return r.garden })
	add(s.seasons > 1 && s.gardens > 1, "garden:season", row.gardenSeason)
	add(beds > s.gardens, "bed", func(r row) string { return r.bed })
	add(s.seasons > 1 && count(rows, row.bedSeason) > beds, "bed:season", row.bedSeason)
	if s.seasons >= 3 && q.What != Gardens {
		add(true, "season:level", func(r row) string { return strconv.Itoa(r.season) + " " + r.level })
		if s.scope == finding.TheseSeasons {
			s.scope = finding.SuchSeasons
		}
	}
	s.byCrop = s.crops >= 3
	add(s.byCrop, "crop:level", func(r row) string { return r.crop + " " + r.level })
}

// levelsOf lists the levels among the rows, the reference first: the one the grower named, else the least of the practice (undisturbed,
// the lowest band), the usual spacing, or of names the one with most rows.
func levelsOf(q Question, rows []row) []string {
	n := map[string]int{}
	for _, r := range rows {
		n[r.level]++
	}
	levels := make([]string, 0, len(n))
	for l := range n {
		levels = append(levels, l)
	}
	rank := rankOf(q.What, n)
	slices.SortFunc(levels, func(a, b string) int {
		if ra, rb := rank(a), rank(b); ra != rb {
			return ra - rb
		}
		return natural(a, b)
	})
	for i, l := range levels {
		if l == q.Against {
			levels = slices.Insert(slices.Delete(levels, i, i+1), 0, l)
			break
		}
	}
	return levels
}

func rankOf(what practice.Name, n map[string]int) func(string) int {
	order := loosenings
	if bands, ok := bandsOf[baseName(what)]; ok {
		order = nil
		for _, b := range bands {
			order = append(order, b.name)
		}
	} else if what != practice.Cultivation && what != practice.OwnCultivation {
		return func(l string) int { return -n[l] }
	}
	first := func(l string) int { return slices.Index(order, l) }
	if what != practice.Spacing && what != practice.StandingPlants {
		return first
	}
	return func(l string) int {
		if l == "usual" {
			return -1
		}
		return first(l)
	}
}

var loosenings = []string{"undisturbed", "raked", "hoed", "tilled", "forked", "single dug", "broadforked", "double dug"}

// treatments is the formula of what is fixed.
func (s shape) treatments(q Question) string {
	terms := []string{"level"}
	for _, l := range s.shares {
		terms = append(terms, quote(shareColumn(l)))
	}
	terms = append(terms, s.fixed...)
	for _, a := range q.Adjust {
		terms = append(terms, quote(string(a)))
	}
	return strings.Join(terms, " + ")
}

// blocks is the formula of what is random.
func (s shape) blocks() string { return strings.Join(s.random, " + ") }

func shareColumn(level string) string { return "bed's share of " + level }

// quote puts a name in backquotes if a formula needs it.
func quote(name string) string {
	for _, c := range name {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '.' || c == '_') {
			return "`" + name + "`"
		}
	}
	return name
}
