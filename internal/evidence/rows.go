package evidence

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// row is one planting, or a bed's whole year, as it enters the comparison.
type row struct {
	planted   *practice.Planted // one of the ledger's: rows are copied and sorted, plantings are not
	garden    string
	bed       string // "terrace/4": unique
	season    int
	crop      string
	level     string
	amount    float64 // of a practice that is a rate, in its bands' unit
	y         float64 // the response; 0 for a failure where zeros count
	n         float64 // of counts: out of so many
	area      float64 // m² it stands on
	failed    bool
	estimated float64 // share of the mass that was estimated by eye
	shared    bool    // some of it is a share of a crate from several beds
	partly    bool    // some pickings were missed, or that is not known
	edge      bool    // edge plants counted in, or not known
	state     garden.State
	levels    map[practice.Name]string // of the other practices, for what moved together
	year      map[string]float64       // of a bed's whole year: what can be added up over its crops, by response
	crops     []string                 // of a bed's whole year
}

func (r row) gardenSeason() string { return r.garden + " " + strconv.Itoa(r.season) }
func (r row) bedSeason() string    { return r.bed + " " + strconv.Itoa(r.season) }

// sample is the rows that can tell, and a count of those that cannot, by reason.
type sample struct {
	rows    []row
	leftOut []finding.Left
}

func (s *sample) leave(reason string) {
	for i := range s.leftOut {
		if s.leftOut[i].Reason == reason {
			s.leftOut[i].Count++
			return
		}
	}
	s.leftOut = append(s.leftOut, finding.Left{Reason: reason, Count: 1})
}

// ledger is the records as the comparisons read them: what each planting got, and what was seen of it.
type ledger struct {
	Setup
	planted  []practice.Planted
	struck   map[garden.PlantingID]float64 // share lost to causes that could strike every bed alike
	measured map[garden.PlantingID][]garden.Measurement
}

func newLedger(r garden.Records, s Setup) ledger {
	if s.Usual == nil {
		s.Usual = func(string) (float64, bool) { return 0, false }
	}
	l := ledger{Setup: s, planted: practice.Of(r, s.Options), struck: map[garden.PlantingID]float64{}, measured: map[garden.PlantingID][]garden.Measurement{}}
	for _, loss := range r.Losses {
		if loss.StrikesAll.Or(false) {
			l.struck[loss.Planting] += loss.Share
		}
	}
	for _, m := range r.Measurements {
		if !m.Planting.IsZero() {
			l.measured[m.Planting] = append(l.measured[m.Planting], m)
		}
	}
	return l
}

// The reasons for leaving out what may yet be weighed.
const (
	notEnded  = "not ended yet"
	noHarvest = "no harvest noted"
)

// collect turns plantings into rows. Filters that the grower set leave nothing to count; what is left out for want of a level,
// an area or a weight is counted by its reason.
func collect(q Question, l ledger) sample {
	if q.WholeYear {
		return collectYears(q, l)
	}
	var out sample
	respond := responses[responseKey(q.Response)]
	for i := range l.planted {
		if !asked(q, l.planted[i]) {
			continue
		}
		r, why := l.row(q, &l.planted[i])
		if why == "" {
			why = respond.of(q, &r, l)
		}
		if why != "" {
			out.leave(why)
			continue
		}
		out.rows = append(out.rows, r)
	}
	slices.SortStableFunc(out.rows, func(a, b row) int {
		return cmp.Or(cmp.Compare(a.garden, b.garden), natural(a.bed, b.bed), cmp.Compare(a.season, b.season), cmp.Compare(a.crop, b.crop),
			a.planted.Start.Compare(b.planted.Start))
	})
	slices.SortFunc(out.leftOut, func(a, b finding.Left) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Reason, b.Reason))
	})
	return out
}

func asked(q Question, p practice.Planted) bool {
	return (len(q.Crops) == 0 || slices.Contains(q.Crops, p.Planting.Crop)) &&
		(len(q.Gardens) == 0 || slices.Contains(q.Gardens, p.Garden.Name)) &&
		(len(q.Seasons) == 0 || slices.Contains(q.Seasons, p.Season))
}

// row fills in everything but the response; it says why a planting cannot take part.
func (l ledger) row(q Question, p *practice.Planted) (row, string) {
	word, amount, why := levelOf(*p, q.What, l.Usual)
	if why == "" && len(q.Levels) > 0 && !slices.Contains(q.Levels, word) {
		why = "another level than those asked about"
	}
	r := row{planted: p, garden: p.Garden.Name, bed: p.Garden.Name + "/" + p.Bed.Name, season: p.Season, crop: p.Planting.Crop,
		level: word, amount: amount, failed: p.Planting.Failed, partly: partly(*p), levels: map[practice.Name]string{}}
	if why != "" {
		return r, why
	}
	for _, a := range q.Adjust {
		if l := p.Level(a); !l.Known || l.Word != "" {
			return r, fmt.Sprintf("%s, which is adjusted for, is not a known amount", a)
		}
	}
	for _, other := range tangible {
		if other != q.What {
			if w, _, no := levelOf(*p, other, l.Usual); no == "" {
				r.levels[other] = w
			}
		}
	}
	switch {
	case p.Planting.Failed && p.Planting.StrikesAll.Or(false):
		return r, "lost to a cause that could strike every bed alike"
	case l.struck[p.Planting.ID] >= 0.5:
		return r, "half or more lost to a cause that could strike every bed alike"
	case !p.Planting.Failed && p.Planting.Ended.IsZero() && !l.perennialPast(*p):
		return r, notEnded
	case !p.Planting.Failed && !noted(*p):
		return r, noHarvest
	}
	return r, ""
}

// tangible are the practices looked at for what moved together.
var tangible = []practice.Name{practice.Cultivation, practice.Compost, practice.Manure, practice.Fertiliser, practice.Spacing,
	practice.Arrangement, practice.Cover, practice.Variety, practice.StartedAs, practice.Companions}

// perennialPast reports whether a perennial's growing year is over though the planting goes on.
func (l ledger) perennialPast(p practice.Planted) bool {
	return l.Options.Perennial != nil && l.Options.Perennial(p.Planting.Crop) && p.Season < l.Options.SeasonOf(l.Today)
}

// noted reports whether anything was weighed or counted, or at least looked for.
func noted(p practice.Planted) bool { return len(p.Harvests) > 0 }

func partly(p practice.Planted) bool {
	return p.Planting.Weighed == garden.SomeMissed || p.Planting.Weighed == garden.DontKnow
}

// weigh adds up a planting's pickings: all of it, the part estimated by eye, and marks what else they say.
func (r *row) weigh() (unit.Mass, string) {
	var all, byEye unit.Mass
	for _, h := range r.planted.Harvests {
		net := h.Net()
		if !net.Known {
			if h.Nothing {
				continue
			}
			return 0, "a picking was counted but not weighed"
		}
		all += net.Value
		if h.Weighing == garden.ByEye {
			byEye += net.Value
		}
		r.shared = r.shared || h.Crate != ""
		r.edge = r.edge || h.Edge != garden.EdgeOut
		if r.state == "" {
			r.state = h.State
		} else if h.State != r.state {
			r.state = "mixed"
		}
	}
	if all > 0 {
		r.estimated = float64(byEye / all)
	}
	return all, ""
}

// over gives the area that the yield is counted on, or why there is none.
func (r *row) over(per Per) (float64, string) {
	if !r.planted.Area.Known || r.planted.Area.Value <= 0 {
		return 0, "the bed has no area"
	}
	r.area = float64(r.planted.Area.Value)
	if per == PerGround {
		if !r.planted.Ground.Known {
			return 0, "the garden's ground with paths is not known"
		}
		return float64(r.planted.Ground.Value), ""
	}
	return r.area, ""
}

// letGo drops the harvests once the rows are made of them: they are by far the most entries, and the fits need the room. A whole year's answer goes back
// to them.
func (c *comparison) letGo() {
	if c.q.WholeYear {
		return
	}
	c.records.Harvests = nil
	for i := range c.l.planted {
		c.l.planted[i].Harvests = nil
	}
}

// natural orders bed names so that 2 stands before 10.
func natural(a, b string) int {
	for len(a) > 0 && len(b) > 0 {
		na, ra := leadingNumber(a)
		nb, rb := leadingNumber(b)
		if ra != a && rb != b && na != nb {
			return cmp.Compare(na, nb)
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func leadingNumber(s string) (n float64, rest string) {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		n = 10*n + float64(s[i]-'0')
		i++
	}
	return n, s[i:]
}

func logOf(rows []row) []float64 {
	out := make([]float64, len(rows))
	for i, r := range rows {
		out[i] = math.Log(r.y)
	}
	return out
}
