package evidence

import "math"

// grouping is one way in which rows hang together, from the coarsest down.
type grouping struct {
	name  string // as a sentence says it
	term  string // as the block formula names it
	class func(row) string
	finer []string // names of the groupings that lie inside it
}

// The groupings in order: garden ⊃ garden-season, bed ⊃ bed-season ⊃ planting. Garden-season and bed do not nest in each other.
var groupings = []grouping{
	{"garden", "garden", func(r row) string { return r.garden }, []string{"garden-season", "bed", "bed-season", "planting"}},
	{"garden-season", "garden:season", row.gardenSeason, []string{"bed-season", "planting"}},
	{"bed", "bed", func(r row) string { return r.bed }, []string{"bed-season", "planting"}},
	{"bed-season", "bed:season", row.bedSeason, []string{"planting"}},
}

// decided is the share of a practice's sum of squares between the cells of a grouping at which the grouping counts as the unit.
const decided = 0.95

// unitsOf returns the experimental unit of the practice among the rows: the coarsest grouping whose cells hold at least 95 % of the
// practice's sum of squares between them. Two are returned where garden-season and bed both qualify; "planting" where none does.
func unitsOf(q Question, rows []row) []string {
	total := spreadWithin(rows, func(row) string { return "" })
	var out []string
	for _, g := range groupings {
		if !separable(q, rows, g.class) {
			continue // its cells are the plantings themselves
		}
		if len(out) > 0 && (g.name != "bed" || out[0] != "garden-season") {
			continue
		}
		if total > 0 && spreadWithin(rows, g.class) <= (1-decided)*total {
			out = append(out, g.name)
		}
	}
	if len(out) == 0 {
		return []string{"planting"}
	}
	return out
}

// separable reports whether a grouping can be told from the single planting: three rows or more must stand beside another in the same cell. A count of
// n pieces shows by itself how far plantings differ beyond chance, so there even cells of one row can.
func separable(q Question, rows []row, class func(row) string) bool {
	return responseKey(q.Response) == Counted || len(rows)-count(rows, class) >= 3
}

// spreadWithin is the sum of squares of the level's indicators within the cells of a grouping.
func spreadWithin(rows []row, class func(row) string) float64 {
	type cell struct {
		n     float64
		level map[string]float64
	}
	cells := map[string]*cell{}
	for _, r := range rows {
		c := cells[class(r)]
		if c == nil {
			c = &cell{level: map[string]float64{}}
			cells[class(r)] = c
		}
		c.n++
		c.level[r.level]++
	}
	sum := 0.0
	for _, c := range cells {
		for _, n := range c.level {
			sum += n - n*n/c.n // n ones and c.n-n zeros about their mean
		}
	}
	return math.Max(0, sum)
}

// classOf returns the grouping's class of a row by name; every planting is its own.
func classOf(name string) func(row) string {
	for _, g := range groupings {
		if g.name == name {
			return g.class
		}
	}
	return func(r row) string { return r.planted.Planting.ID.String() + r.gardenSeason() }
}

// unitsAt counts the units of each level.
func unitsAt(rows []row, unit string) map[string]int {
	class := classOf(unit)
	seen := map[[2]string]bool{}
	out := map[string]int{}
	for _, r := range rows {
		k := [2]string{r.level, class(r)}
		if !seen[k] {
			seen[k] = true
			out[r.level]++
		}
	}
	return out
}

// count counts the distinct classes among the rows.
func count(rows []row, class func(row) string) int {
	seen := map[string]bool{}
	for _, r := range rows {
		seen[class(r)] = true
	}
	return len(seen)
}

// varies reports whether some cell of the grouping has rows of at least two levels.
func varies(rows []row, class func(row) string) bool {
	first := map[string]string{}
	for _, r := range rows {
		k := class(r)
		if l, ok := first[k]; ok && l != r.level {
			return true
		}
		first[k] = r.level
	}
	return false
}
