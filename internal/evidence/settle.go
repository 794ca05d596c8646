package evidence

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fairplot/internal/finding"
	"fairplot/internal/plan"
	"fairplot/internal/practice"
)

// settles names the smallest trial on the grower's own beds that would tell: of the two levels of the estimate, or where there is none of those
// that were seen.
func (c *comparison) settles(e finding.Estimate) *finding.Settles {
	if why := undealt(c.q.What); why != "" {
		return &finding.Settles{Says: why}
	}
	w := plan.Wanted{Ways: c.ways(e), Matters: c.q.Matters, Confidence: c.q.Confidence}
	if len(c.q.Crops) == 1 {
		w.Crop = c.q.Crops[0]
	}
	c.spreads(&w)
	if w.Beds.Source != "" && !c.response().zeros {
		return &finding.Settles{Says: c.mendFirst() + "Twelve beds, six for each way drawn by lot, are the least from which it can be worked out how many would tell: how much like beds differ in this is not known before."}
	}
	grounds := plan.Free(c.records, c.l.Today, c.l.Options.Perennial)
	out, ok := plan.Smallest(c.grounds(grounds), w)
	if !ok {
		return &finding.Settles{Says: "There are too few free beds to deal the ways out by lot; six beds, each cut in half, are the least that can tell by themselves."}
	}
	out.Says = c.mendFirst() + out.Says
	return &out
}

// mendFirst names what left every planting out: no trial makes up for that.
func (c *comparison) mendFirst() string {
	if len(c.sample.rows) > 0 || len(c.sample.leftOut) == 0 {
		return ""
	}
	most := c.sample.leftOut[0]
	return fmt.Sprintf("First mend what left the plantings out (%d: %s); then a fair trial would tell. ", most.Count, most.Reason)
}

// grounds keeps the gardens that were asked about.
func (c *comparison) grounds(all []plan.Ground) []plan.Ground {
	if len(c.q.Gardens) == 0 {
		return all
	}
	var out []plan.Ground
	for _, g := range all {
		for _, name := range c.q.Gardens {
			if g.Garden == name {
				out = append(out, g)
			}
		}
	}
	return out
}

// undealt says why no lot can deal the practice out; "" where one can.
func undealt(n practice.Name) string {
	switch n {
	case Gardens:
		return "No lot can deal a place out: go on weighing the same crops in these gardens for more seasons, and ask about one practice at a time to learn what makes the difference."
	case practice.Rain, practice.StandingPlants, practice.WorkTime, practice.SinceDeepDug, practice.SinceFirstDug, practice.PreviousFamily:
		return fmt.Sprintf("No lot can deal out %s: it follows from weather, growth or the years before. A trial of what you do, not of what comes of it, would tell more.", whatText(n))
	}
	for _, class := range []practice.Name{practice.Compost, practice.Manure, practice.Fertiliser} {
		if n == practice.Residual(class) {
			return fmt.Sprintf("Only a trial kept on the same plots for four years tells what %s of the years before does; begin with the %s of one season.", class, class)
		}
	}
	return ""
}

// ways are the levels of the trial as its sentence says them.
func (c *comparison) ways(e finding.Estimate) []string {
	levels := []string{e.A, e.B}
	if e.A == "" {
		levels = levelsOf(c.q, c.sample.rows)
		if len(levels) > 2 {
			levels = levels[:2]
		}
		if len(levels) == 2 {
			levels[0], levels[1] = levels[1], levels[0]
		}
	}
	var out []string
	for _, l := range levels {
		out = append(out, way(c.q.What, l))
	}
	for len(out) < 2 {
		out = append(out, []string{"as you do now", "the other way"}[len(out)])
	}
	return out
}

// way says a level as what a plot gets: "double dug", "with 10 to 25 L/m² of compost", "under fleece".
func way(what practice.Name, level string) string {
	switch what {
	case practice.Cultivation, practice.OwnCultivation, practice.Companions, practice.StartedAs, practice.Rectangularity:
		return level
	case practice.Arrangement:
		return "set in " + level
	case practice.SowingDay:
		return "started " + level
	case practice.Water:
		if level != "none" {
			return "given " + level + " of water"
		}
	case practice.Spacing:
		if level == "usual" {
			return "at the usual spacing"
		}
		return "set " + strings.TrimSuffix(level, "ly")
	case practice.Variety:
		return "of " + level
	case practice.Cover:
		if level == "bare" {
			return "bare"
		}
		return "under " + level
	}
	switch {
	case level == "none":
		return fmt.Sprintf("without %s", what)
	case strings.Contains(level, "L/m²"):
		return fmt.Sprintf("with %s of %s", level, what)
	}
	return "with " + string(what) + " " + level
}

// spreads puts in how much like plots differ: the records' own where they have enough, else a published figure, which there is for yields alone.
func (c *comparison) spreads(w *plan.Wanted) {
	rows := c.rows
	if len(rows) == 0 {
		rows = c.sample.rows
	}
	y, used := relative(rows, responseOf(c.q).log)
	area := meanArea(used)
	between := spreadOf(y, used, row.gardenSeason)
	if between.DF < plan.LeastDF || !(between.Variance > 0) {
		crop := w.Crop
		if crop == "" && len(used) > 0 {
			crop = used[0].crop
		}
		w.Beds = plan.Borrowed(crop, area)
		return
	}
	between.Area = area
	w.Beds = between
	w.Halves = between.Part(2)
	if in := spreadOf(y, used, func(r row) string { return r.bed }); in.DF >= plan.LeastDF && in.Variance > 0 && in.Variance < between.Variance {
		in.Area = area
		w.Halves = in.Part(2)
	}
}

// relative is the response as a logarithm, or as a share of its mean, which is nearly the same thing where spreads are small; rows without one are left out.
func relative(rows []row, log bool) (y []float64, used []row) {
	for _, r := range rows {
		v := r.y
		if r.n > 0 {
			v /= r.n
		}
		if log && !(v > 0) {
			continue
		}
		y, used = append(y, v), append(used, r)
	}
	if log {
		for i := range y {
			y[i] = math.Log(y[i])
		}
		return y, used
	}
	sum := 0.0
	for _, v := range y {
		sum += v
	}
	for i := range y {
		y[i] *= float64(len(y)) / math.Abs(sum)
	}
	return y, used
}

func meanArea(rows []row) float64 {
	sum := 0.0
	for _, r := range rows {
		sum += r.area
	}
	return sum / math.Max(1, float64(len(rows)))
}

// spreadOf is the variance left after class, season, crop and level, with the degrees of freedom that are surely left.
func spreadOf(y []float64, rows []row, class func(row) string) plan.Spread {
	factors := [][]int32{numbered(rows, class), numbered(rows, func(r row) string { return strconv.Itoa(r.season) }),
		numbered(rows, func(r row) string { return r.crop }), numbered(rows, func(r row) string { return r.level })}
	df := float64(len(rows) - 1)
	for _, f := range factors {
		most := int32(0)
		for _, c := range f {
			most = max(most, c)
		}
		df -= float64(most)
	}
	if df < 1 {
		return plan.Spread{}
	}
	left := residualise(y, factors)
	return plan.Spread{Variance: dot(left, left) / df, DF: df}
}
