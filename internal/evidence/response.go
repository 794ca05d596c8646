package evidence

import (
	"strings"

	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// The responses that can be asked about, beside "measured WHAT" and "count WHAT".
const (
	Yield        = "yield"         // kg per m²
	PerPlant     = "per plant"     // kg per plant as set
	PerHour      = "per hour"      // kg per hour of work
	PieceMass    = "piece mass"    // kg per piece counted
	FirstHarvest = "first harvest" // days from start to first harvest
	Energy       = "energy"        // kcal per m² by food tables
	Money        = "money"         // worth of the harvest per m² at the grower's own prices
	Hours        = "hours"         // hours of work per m²
	Measured     = "measured"      // mean of a measurement of the planting
	Counted      = "count"         // so many of n
)

// response is one way of reading an outcome off a planting.
type response struct {
	unit   string // on bed area; see unitOf
	says   string // "the yield", for sentences
	better int    // +1: more is better, -1: less is, 0: neither
	log    bool   // compared as ratios
	zeros  bool   // a failure counts as 0 beside those that cropped
	of     func(q Question, r *row, l ledger) string
}

var responses = map[string]response{
	Yield:        {"kg/m²", "the yield per m² of bed", 1, true, true, yieldOf},
	PerPlant:     {"kg/plant", "the yield per plant", 1, true, true, perPlantOf},
	PerHour:      {"kg/h", "the yield per hour of work", 1, true, true, perHourOf},
	PieceMass:    {"kg", "the mass of a piece", 1, true, false, pieceOf},
	FirstHarvest: {"days", "the days to the first harvest", -1, true, false, daysOf},
	Energy:       {"kcal/m²", "the food energy per m² (table values)", 1, true, true, energyOf},
	"protein":    {"g/m²", "the protein per m² (table values)", 1, true, true, nutrientOf},
	"fibre":      {"g/m²", "the fibre per m² (table values)", 1, true, true, nutrientOf},
	"calcium":    {"g/m²", "the calcium per m² (table values)", 1, true, true, nutrientOf},
	"iron":       {"g/m²", "the iron per m² (table values)", 1, true, true, nutrientOf},
	"vitamin c":  {"g/m²", "the vitamin C per m² (table values)", 1, true, true, nutrientOf},
	"folate":     {"g/m²", "the folate per m² (table values)", 1, true, true, nutrientOf},
	Money:        {"per m²", "the worth per m² at your prices", 1, true, true, moneyOf},
	Hours:        {"h/m²", "the hours of work per m²", -1, true, false, hoursOf},
	Measured:     {"", "", 0, false, false, measuredOf},
	Counted:      {"", "", 0, false, false, countedOf},
}

// responseOf is the response that is asked about; of a count, what is counted says which way is better.
func responseOf(q Question) response {
	r := responses[responseKey(q.Response)]
	if responseKey(q.Response) == Counted {
		r.better = countDirection(subject(q.Response))
	}
	return r
}

// responseKey splits "measured Brix" and "count forked roots" from their subject.
func responseKey(name string) string {
	for _, k := range []string{Measured, Counted} {
		if strings.HasPrefix(name, k+" ") {
			return k
		}
	}
	return name
}

// subject is what a measured or counted response is of.
func subject(name string) string {
	return strings.TrimPrefix(strings.TrimPrefix(name, Measured+" "), Counted+" ")
}

// Responses lists the names for help and completion.
func Responses() []string {
	return []string{Yield, PerPlant, PerHour, PieceMass, FirstHarvest, Energy, "protein", "fibre", "calcium", "iron", "vitamin c", "folate", Money, Hours, Measured + " WHAT", Counted + " WHAT"}
}

func yieldOf(q Question, r *row, _ ledger) string {
	area, why := r.over(q.Per)
	if why != "" {
		return why
	}
	mass, why := r.weigh()
	if why != "" {
		return why
	}
	return r.set(float64(mass) / area)
}

// set stores a response that cannot be negative. Nothing picked from a planting that ended is a failure.
func (r *row) set(y float64) string {
	if r.failed {
		y = 0
	}
	r.y = y
	r.failed = y == 0
	return ""
}

func perPlantOf(q Question, r *row, l ledger) string {
	if why := yieldOf(Question{Per: PerBed}, r, l); why != "" {
		return why
	}
	dense := r.planted.Level("spacing")
	if !dense.Known || dense.Amount <= 0 {
		return "the number of plants is not known"
	}
	r.y /= dense.Amount
	return ""
}

func perHourOf(q Question, r *row, l ledger) string {
	if why := yieldOf(Question{Per: PerBed}, r, l); why != "" {
		return why
	}
	work := r.planted.Level("work")
	if !work.Known || work.Amount <= 0 {
		return "no work noted"
	}
	r.y /= work.Amount / 60
	return ""
}

func pieceOf(_ Question, r *row, _ ledger) string {
	if _, why := r.over(PerBed); why != "" {
		return why
	}
	var mass unit.Mass
	count := 0
	for _, h := range r.planted.Harvests {
		if net := h.Net(); net.Known && h.Count.Or(0) > 0 {
			mass += net.Value
			count += h.Count.Value
		}
	}
	if count == 0 || mass <= 0 {
		return "no pieces were counted and weighed together"
	}
	r.failed = false
	r.y = float64(mass) / float64(count)
	return ""
}

func daysOf(_ Question, r *row, _ ledger) string {
	if r.planted.FirstHarvest.IsZero() || r.planted.Start.IsZero() {
		return "start or first harvest not noted"
	}
	r.area = float64(r.planted.Area.Or(0))
	days := r.planted.FirstHarvest.Sub(r.planted.Start)
	if days <= 0 {
		return "harvested before it was started: is one of the dates wrong?"
	}
	r.failed = false
	r.y = float64(days)
	return ""
}

// nutrientOf is the yield times what a food table says is in the crop; the response's name is the nutrient's.
func nutrientOf(q Question, r *row, l ledger) string {
	if why := yieldOf(q, r, l); why != "" {
		return why
	}
	if l.Nutrient == nil {
		return "no food table"
	}
	grams, ok := l.Nutrient(r.crop, q.Response)
	if !ok || grams <= 0 {
		return "the food table has no such nutrient for the crop"
	}
	r.y *= grams
	return ""
}

func energyOf(q Question, r *row, l ledger) string {
	if why := yieldOf(q, r, l); why != "" {
		return why
	}
	if l.Food == nil {
		return "no food table"
	}
	kcal, ok := l.Food(r.crop)
	if !ok {
		return "the crop is in no food table"
	}
	r.y *= kcal
	return ""
}

func moneyOf(q Question, r *row, l ledger) string {
	if why := yieldOf(q, r, l); why != "" {
		return why
	}
	if l.Price == nil {
		return "no price per kg is known"
	}
	price, ok := l.Price(r.crop)
	if !ok {
		return "the crop has no price per kg"
	}
	r.y *= price
	return ""
}

// hoursOf is the work of the planting itself and its share of what was done on the bed; a crop that failed took its hours all the same.
func hoursOf(_ Question, r *row, _ ledger) string {
	if _, why := r.over(PerBed); why != "" {
		return why
	}
	work := r.planted.Level(practice.WorkTime)
	if !work.Known || work.Amount <= 0 {
		return "no work noted"
	}
	r.failed = false
	r.y = work.Amount / 60
	return ""
}

// measuredOf is the mean of a measurement over the planting, each reading weighing as many pieces as it is of.
func measuredOf(q Question, r *row, l ledger) string {
	sum, n := 0.0, 0.0
	for _, m := range l.measured[r.planted.Planting.ID] {
		if m.What == subject(q.Response) {
			w := float64(m.N.Or(1))
			sum += w * m.Value
			n += w
		}
	}
	if n == 0 {
		return "not measured"
	}
	r.area = float64(r.planted.Area.Or(0))
	r.failed = false
	r.y = sum / n
	return ""
}

// countedOf adds up a count of some of n pieces.
func countedOf(q Question, r *row, l ledger) string {
	for _, m := range l.measured[r.planted.Planting.ID] {
		if m.What == subject(q.Response) && m.N.Known {
			r.y += m.Value
			r.n += float64(m.N.Value)
		}
	}
	switch {
	case r.n == 0:
		return "not counted"
	case r.y < 0 || r.y > r.n:
		return "more were counted than there were: is n missing a digit?"
	}
	r.area = float64(r.planted.Area.Or(0))
	r.failed = false
	return ""
}
