package practice

import (
	"slices"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// diary is the records laid out by the ground they touch, once for all plantings.
type diary struct {
	o            Options
	beds         map[garden.BedID]garden.Bed
	gardens      map[garden.GardenID]garden.Garden
	bedArea      map[garden.GardenID][]garden.Bed
	materials    map[string]garden.Material
	cultivations map[garden.BedID][]garden.Cultivation
	amendments   map[garden.BedID][]garden.Amendment
	waterings    map[garden.BedID][]garden.Watering
	coversOn     map[garden.BedID][]garden.Cover
	plantings    map[garden.BedID][]garden.Planting
	harvests     map[garden.PlantingID][]*garden.Harvest
	works        map[garden.BedID][]garden.Work
	ownWork      map[garden.PlantingID][]garden.Work
	rain         map[garden.SiteID]map[civil.Date]unit.Length
}

func newDiary(r garden.Records, o Options) *diary {
	d := &diary{
		o:            o,
		beds:         make(map[garden.BedID]garden.Bed, len(r.Beds)),
		gardens:      make(map[garden.GardenID]garden.Garden, len(r.Gardens)),
		bedArea:      map[garden.GardenID][]garden.Bed{},
		materials:    make(map[string]garden.Material, len(r.Materials)),
		cultivations: byBed(r.Cultivations, func(c garden.Cultivation) []garden.BedID { return c.Beds }),
		amendments:   byBed(r.Amendments, func(a garden.Amendment) []garden.BedID { return a.Beds }),
		waterings:    byBed(r.Waterings, func(w garden.Watering) []garden.BedID { return w.Beds }),
		coversOn:     byBed(r.Covers, func(c garden.Cover) []garden.BedID { return c.Beds }),
		plantings:    byBed(r.Plantings, func(p garden.Planting) []garden.BedID { return []garden.BedID{p.Bed} }),
		harvests:     make(map[garden.PlantingID][]*garden.Harvest, len(r.Plantings)),
		works:        byBed(r.Works, func(w garden.Work) []garden.BedID { return w.Beds }),
		ownWork:      map[garden.PlantingID][]garden.Work{},
		rain:         map[garden.SiteID]map[civil.Date]unit.Length{},
	}
	for _, b := range r.Beds {
		d.beds[b.ID] = b
		d.bedArea[b.Garden] = append(d.bedArea[b.Garden], b)
	}
	for _, g := range r.Gardens {
		d.gardens[g.ID] = g
	}
	for _, m := range r.Materials {
		d.materials[m.Name] = m
	}
	d.takeHarvests(r.Harvests)
	for _, w := range r.Works {
		if !w.Planting.IsZero() {
			d.ownWork[w.Planting] = append(d.ownWork[w.Planting], w)
		}
	}
	d.takeRain(r.Weather)
	return d
}

// takeHarvests lays harvests out by planting in one array of addresses, since they are by far the most entries.
func (d *diary) takeHarvests(all []garden.Harvest) {
	number := make(map[garden.PlantingID]int32, len(all)/8)
	slot := make([]int32, len(all)) // one look-up for each harvest, since they cost more than the copying
	var ids []garden.PlantingID
	var end []int // first how many each planting has, then where its next one goes
	for i := range all {
		id := all[i].Planting
		n, ok := number[id]
		if !ok {
			n = int32(len(ids))
			number[id] = n
			ids, end = append(ids, id), append(end, 0)
		}
		slot[i] = n
		end[n]++
	}
	total := 0
	for n := range end {
		total, end[n] = total+end[n], total
	}
	room := make([]*garden.Harvest, len(all))
	for i := range all {
		room[end[slot[i]]] = &all[i]
		end[slot[i]]++
	}
	byDate := func(a, b *garden.Harvest) int { return a.Date.Compare(b.Date) }
	start := 0
	for n, id := range ids {
		list := room[start:end[n]:end[n]]
		start = end[n]
		if !slices.IsSortedFunc(list, byDate) {
			slices.SortStableFunc(list, byDate)
		}
		if !id.IsZero() {
			d.harvests[id] = list
		}
	}
}

func (d *diary) takeRain(days []garden.WeatherDay) {
	for _, w := range days {
		if !w.Rain.Known || !w.Tunnel.IsZero() {
			continue
		}
		if d.rain[w.Site] == nil {
			d.rain[w.Site] = map[civil.Date]unit.Length{}
		}
		d.rain[w.Site][w.Date] = w.Rain.Value
	}
}

func byBed[T any](items []T, beds func(T) []garden.BedID) map[garden.BedID][]T {
	out := map[garden.BedID][]T{}
	for _, it := range items {
		for _, b := range beds(it) {
			out[b] = append(out[b], it)
		}
	}
	return out
}

// years returns the planting once for each growing year that its harvests fall in if it is a perennial, else once.
func (d *diary) years(p garden.Planting, bed garden.Bed) []Planted {
	one := Planted{Planting: p, Bed: bed, Garden: d.gardens[bed.Garden], Start: p.Date.Date, Year: 1}
	one.Area = plantedArea(p, bed)
	one.Ground = d.ground(one)
	picked := d.harvests[p.ID]
	if !d.o.Perennial(p.Crop) || len(picked) == 0 {
		one.take(picked)
		one.Season = d.season(one)
		return []Planted{one}
	}
	first := d.o.SeasonOf(p.Date.Date)
	if p.Date.IsZero() {
		first = d.o.SeasonOf(picked[0].Date)
	}
	var out []Planted
	for len(picked) > 0 {
		season := d.o.SeasonOf(picked[0].Date)
		n := 0
		for n < len(picked) && d.o.SeasonOf(picked[n].Date) == season {
			n++
		}
		year := one
		year.Season, year.Year = season, season-first+1
		if season > first {
			year.Start = d.o.seasonStart(season)
		}
		year.take(picked[:n])
		out = append(out, year)
		picked = picked[n:]
	}
	return out
}

// take notes the harvests and the first and last day on which something was picked.
func (p *Planted) take(picked []*garden.Harvest) {
	p.Harvests = picked
	for _, h := range picked {
		if h.Nothing {
			continue
		}
		if p.FirstHarvest.IsZero() {
			p.FirstHarvest = h.Date
		}
		p.LastHarvest = h.Date
	}
}

// season is the growing year of the first harvest; of a crop that gave none, that of its end, or else of its start.
func (d *diary) season(p Planted) int {
	for _, day := range []civil.Date{p.FirstHarvest, p.Planting.Ended, p.Start} {
		if !day.IsZero() {
			return d.o.SeasonOf(day)
		}
	}
	return 0
}

// end returns the last day the planting is known to have stood: its end, else its last harvest, else its start.
func (d *diary) end(p garden.Planting) civil.Date {
	if !p.Ended.IsZero() {
		return p.Ended
	}
	if picked := d.harvests[p.ID]; len(picked) > 0 {
		return picked[len(picked)-1].Date
	}
	return p.Date.Date
}
