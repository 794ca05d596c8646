package demo

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// plant invents one crop in one bed from sowing to the last picking and returns its end.
func (m *maker) plant(p plot, c species, year int, dense, log float64, dug, hail bool) civil.Date {
	if c.month == time.October {
		year-- // set the autumn before, so that it is harvested in this season
	}
	start := civil.Of(year, c.month, c.day).AddDays(m.rng.IntN(9))
	variety := m.rng.IntN(len(c.varieties))
	q := garden.Planting{ID: garden.PlantingID(m.id(start)), Bed: p.ID, Crop: c.name, Variety: c.varieties[variety], Start: c.start,
		Date: civil.When{Date: start}, Plants: garden.Some(max(1, int(math.Round(c.plants*dense*p.area)))), Arrangement: arrangement(dense)}
	log += math.Log(c.kg) + m.spacing(dense) + m.truth.Variety*float64(variety) + m.normal(m.truth.Planting)
	if m.fails(&q, c, start, dug, hail) {
		m.Plantings = append(m.Plantings, q)
		return q.Ended
	}
	q.Ended = m.pick(q, c, start.AddDays(c.ripe+m.rng.IntN(9)-4), math.Exp(log)*p.area)
	q.Weighed = garden.AllWeighed
	if !m.plan.Plain && m.chance(0.05) {
		q.Weighed, q.Missed = garden.SomeMissed, garden.Some(1)
	}
	m.Plantings = append(m.Plantings, q)
	m.spend([]garden.BedID{p.ID}, "sowing and weeding", 4*p.area*math.Exp(m.normal(0.2)), start.AddDays(20))
	return q.Ended
}

func arrangement(dense float64) garden.Arrangement {
	if dense > 1.3 {
		return garden.Triangular
	}
	return garden.InRows
}

func (m *maker) spacing(dense float64) float64 {
	switch {
	case dense > 1.3:
		return m.truth.Close
	case dense < 0.8:
		return m.truth.Wide
	}
	return 0
}

// fails ends a planting without a harvest: hail, which strikes every bed alike, or slugs, which like undug ground better.
func (m *maker) fails(q *garden.Planting, c species, start civil.Date, dug, hail bool) bool {
	if m.plan.Plain {
		return false
	}
	odds := 0.01
	if c.slugs && !dug {
		odds = 0.12
	}
	switch {
	case hail && m.chance(0.4):
		q.Why, q.StrikesAll = "hail", garden.Some(true)
	case m.chance(odds):
		q.Why, q.StrikesAll = "slugs", garden.Some(false)
	default:
		return false
	}
	q.Failed, q.Ended = true, start.AddDays(30)
	m.Losses = append(m.Losses, garden.Loss{ID: garden.Ref[garden.Loss](m.id(q.Ended)), Planting: q.ID, Share: 1, Cause: q.Why, StrikesAll: q.StrikesAll, Date: q.Ended})
	return true
}

// pick shares the crop's mass over its pickings and returns the day of the last.
func (m *maker) pick(q garden.Planting, c species, first civil.Date, kg float64) civil.Date {
	n := c.picks
	every := c.every
	if m.plan.Pickings > n {
		every = 1
		n = m.plan.Pickings
	}
	parts := make([]float64, n)
	sum := 0.0
	for i := range parts {
		parts[i] = 0.3 + m.rng.ExpFloat64()
		sum += parts[i]
	}
	day := first
	for i, part := range parts {
		day = first.AddDays(i * every)
		m.Harvests = append(m.Harvests, m.weigh(q, c, day, kg*part/sum))
	}
	return day
}

// weigh notes one picking: on a scale that shows 10 g, or now and then by eye.
func (m *maker) weigh(q garden.Planting, c species, day civil.Date, kg float64) garden.Harvest {
	h := garden.Harvest{ID: garden.HarvestID(m.id(day)), Planting: q.ID, Date: day, State: c.state, Weighing: garden.ByScale, Use: garden.Eaten}
	grams := math.Max(10, math.Round(kg*100)*10)
	if !m.plan.Plain && m.chance(0.04) {
		h.Weighing = garden.ByEye
		grams = math.Max(100, math.Round(kg*math.Exp(m.normal(0.15))*4)*250)
	}
	if !m.plan.Plain && m.chance(0.006) { // the label was lost: it waits to be sorted out
		h.Planting, h.Crop, h.Beds = garden.PlantingID{}, q.Crop, nil
		h.Note = "label lost"
		m.crate++
		h.Round = fmt.Sprintf("round %d", m.crate)
	}
	h.Mass = garden.Some(unit.Mass(grams) / 1000)
	return h
}

// weather invents daily weather: a yearly wave with noise, rain on two days in five.
func (m *maker) weather() {
	from := civil.Of(m.plan.First-1, time.October, 1)
	to := civil.Of(m.plan.First+m.plan.Seasons-1, time.December, 31)
	drift := 0.0
	for day := from; !day.After(to); day = day.AddDays(1) {
		wave := math.Cos(2 * math.Pi * float64(day.YearDay()-200) / 365.25)
		drift = 0.8*drift + m.normal(1.5)
		mean := 10 + 6.5*wave + drift
		half := 3.2 + 1.6*wave + math.Abs(m.normal(1))
		rain := 0.0
		if m.chance(0.4) {
			rain = math.Round(m.rng.ExpFloat64()*50) / 10
		}
		sun := math.Max(0, math.Round((4.2+3*wave+m.normal(2.4))*10)/10)
		tenth := func(x float64) float64 { return math.Round(x*10) / 10 }
		m.Weather = append(m.Weather, garden.WeatherDay{ID: garden.Ref[garden.WeatherDay](m.id(day)), Site: m.Sites[0].ID, Date: day,
			Min: garden.Some(unit.Temperature(tenth(mean - half))), Max: garden.Some(unit.Temperature(tenth(mean + half))),
			Rain: garden.Some(unit.Length(rain) / 1000), Sunshine: garden.Some(unit.Time(math.Min(sun, 16)*10) * 360),
			Wind: garden.Some(tenth(math.Max(0.5, 3+m.normal(1)))), Humidity: garden.Some(math.Round(math.Min(0.98, 0.8-0.06*wave+m.normal(0.05))*100) / 100),
			Source: "invented for the demo"})
	}
}

// sortByDay puts every list in order of day, then of id, as a book hands them over.
func sortByDay(r *garden.Records) {
	sortRecords(r.Plantings)
	sortRecords(r.Harvests)
	sortRecords(r.Works)
	sortRecords(r.Cultivations)
	sortRecords(r.Amendments)
	sortRecords(r.SoilTests)
	sortRecords(r.Losses)
	sortRecords(r.Weather)
}

func sortRecords[T garden.Record](list []T) {
	slices.SortFunc(list, func(a, b T) int {
		if c := a.Day().Compare(b.Day()); c != 0 {
			return c
		}
		x, y := a.Identity(), b.Identity()
		return cmp.Compare(string(x[:]), string(y[:]))
	})
}
