package season

import (
	"slices"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/crop"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
	"fairplot/internal/water"
)

// BedWater is the water account of one planting within the season.
type BedWater struct {
	Planting garden.Planting
	Bed      garden.Bed
	From, To civil.Date
	Area     garden.Maybe[unit.Area]
	Sheet    water.Sheet
	Advice   water.Advice // what to do after the last day; its volume is 0 where the area is not known
	Proxy    string       // the crop whose figures stand in, "" if its own
	Notes    []string
}

// Reasons why a planting has no account.
const (
	NoCoefficients = "no crop coefficients are known"
	NoStart        = "no day of sowing or setting out"
	NoWeather      = "no weather of its first day"
)

// longLife is how many days before the season a planting may have started for its account to begin there; an older one is taken to have been
// full grown when the season began.
const longLife = 400

// earliest is the first day that an account of the season's plantings needs.
func (s *Season) earliest(r garden.Records, beds map[garden.BedID]placed, from, to civil.Date) civil.Date {
	early := from
	for _, p := range r.Plantings {
		start := p.Date.Date
		if _, ok := beds[p.Bed]; !ok || start.IsZero() || !start.Before(early) || from.Sub(start) > longLife || start.After(to) {
			continue
		}
		if p.Ended.IsZero() || !p.Ended.Before(from) {
			early = start
		}
	}
	return early
}

// water works out the account of every planting of the site's gardens that grew on the days of the season. days begin early enough for all.
func (s *Season) water(r garden.Records, beds map[garden.BedID]placed, days []Day) {
	given := waterings(r)
	first, last := s.Days[0].Date, s.Days[len(s.Days)-1].Date
	for _, p := range r.Plantings {
		b, ok := beds[p.Bed]
		switch {
		case !ok, p.Date.Date.After(last), !p.Ended.IsZero() && p.Ended.Before(first):
			continue
		case p.Date.IsZero():
			s.Left[NoStart]++
			continue
		}
		plan, reason := accountOf(p, b, first, last)
		if reason == "" && plan.to.Before(first) {
			continue
		}
		w, ok := BedWater{}, false
		if reason == "" {
			plan.bed.Mulch = mulchOf(r.Covers, p.Bed, plan.from, plan.to)
			w, ok = plan.run(days, given[p.Bed])
			if !ok {
				reason = NoWeather
			}
		}
		if reason != "" {
			s.Left[reason]++
			continue
		}
		s.Beds = append(s.Beds, w)
	}
}

// placed is a bed with its garden.
type placed struct {
	garden.Bed
	garden garden.Garden
}

func bedsOf(r garden.Records, site garden.SiteID) map[garden.BedID]placed {
	at := map[garden.GardenID]garden.Garden{}
	for _, g := range r.Gardens {
		if g.Site == site {
			at[g.ID] = g
		}
	}
	out := map[garden.BedID]placed{}
	for _, b := range r.Beds {
		if g, ok := at[b.Garden]; ok {
			out[b.ID] = placed{b, g}
		}
	}
	return out
}

// account is a planting's account before it is run.
type account struct {
	bed      water.Bed
	from, to civil.Date
	out      BedWater
}

// accountOf sets up the account of one planting; a reason if there can be none.
func accountOf(p garden.Planting, b placed, first, last civil.Date) (account, string) {
	name := p.Crop
	if c, ok := crop.Find(p.Crop); ok {
		name = c.Name
	}
	k, ok := water.Of(name)
	stages := water.StagesOf(name)
	if !ok || len(stages) == 0 {
		return account{}, NoCoefficients
	}
	a := account{from: p.Date.Date, to: last, out: BedWater{Planting: p, Bed: b.Bed, Area: b.Area(), Proxy: k.Proxy}}
	soil, note := soilOf(b.garden.Soil)
	a.out.note(note)
	a.bed = water.Bed{Crop: k, Stages: stages[0], Soil: soil, Tunnel: b.Tunnel}
	a.grow(p, first, last)
	if k.Proxy != "" {
		a.out.note("figures of " + k.Proxy + " stand in")
	}
	if b.Tunnel {
		a.out.note("no rain reaches it; the evaporation is that of the open")
	}
	return a, ""
}

// grow fits the stages to the days on which the planting stood.
func (a *account) grow(p garden.Planting, first, last civil.Date) {
	switch {
	case first.Sub(a.from) > longLife:
		a.from = first
		a.bed.Stages = water.Stages{Middle: last.Sub(first) + 1}
		a.out.note("it stood long before: taken as full grown")
	case !p.Ended.IsZero():
		a.bed.Stages = a.bed.Stages.Scaled(p.Ended.Sub(a.from) + 1)
	default:
		if usual := a.from.AddDays(a.bed.Stages.Total() * 3 / 2); usual.Before(last) {
			a.to = usual
			a.out.note("it was never ended: followed for one and a half times its usual days")
		}
	}
	if !p.Ended.IsZero() && p.Ended.Before(a.to) {
		a.to = p.Ended
	}
}

// run follows the planting through the days until its end or the first day without weather; false if that is its first day.
func (a *account) run(days []Day, given map[civil.Date]climate.MM) (BedWater, bool) {
	at := a.from.Sub(days[0].Date)
	n := a.to.Sub(a.from) + 1
	if at < 0 || n <= 0 || at+n > len(days) {
		return BedWater{}, false
	}
	in := make([]water.Day, 0, n)
	for _, d := range days[at : at+n] {
		if !d.Worked {
			a.out.note("followed until there was no more weather")
			break
		}
		in = append(in, water.Day{ET0: d.ET0, Rain: d.Rain, Given: given[d.Date], Wind: d.Wind, LowestHumidity: d.Low})
	}
	if len(in) == 0 {
		return BedWater{}, false
	}
	out := a.out
	out.From, out.To = a.from, a.from.AddDays(len(in)-1)
	out.Sheet = a.bed.Account(in)
	out.Advice = out.Sheet.Advise(out.Area.Or(0))
	return out, true
}

func (b *BedWater) note(s string) {
	if s != "" {
		b.Notes = append(b.Notes, s)
	}
}

// waterings returns what each bed was given by day, in mm; amounts of several beds are shared by area, or alike where an area is missing.
func waterings(r garden.Records) map[garden.BedID]map[civil.Date]climate.MM {
	area := map[garden.BedID]garden.Maybe[unit.Area]{}
	for _, b := range r.Beds {
		area[b.ID] = b.Area()
	}
	out := map[garden.BedID]map[civil.Date]climate.MM{}
	for _, w := range r.Waterings {
		mm, ok := depthOf(w, area)
		if !ok {
			continue
		}
		for _, b := range w.Beds {
			if out[b] == nil {
				out[b] = map[civil.Date]climate.MM{}
			}
			out[b][w.Date] += mm
		}
	}
	return out
}

// depthOf is the depth of a watering on each of its beds; shared by area it is the same on all.
func depthOf(w garden.Watering, area map[garden.BedID]garden.Maybe[unit.Area]) (climate.MM, bool) {
	if w.Depth.Known {
		return climate.MM(w.Depth.Value / unit.Millimetre), true
	}
	var all unit.Area
	for _, b := range w.Beds {
		if !area[b].Known {
			return 0, false
		}
		all += area[b].Value
	}
	if !w.Volume.Known || all <= 0 {
		return 0, false
	}
	return climate.MM(w.Volume.Value.Per(all) / unit.Millimetre), true
}

// standIns are textures that the table of soils lacks, with the nearest that it has.
var standIns = [][2]string{{"sandy clay loam", "loam"}, {"clay loam", "silt clay loam"}, {"sandy clay", "clay"}}

// soilOf finds the texture that the garden's soil names; loam if none. It says what it took for what.
func soilOf(words string) (water.Soil, string) {
	named := garden.Fold(words)
	for _, s := range standIns {
		if strings.Contains(named, s[0]) && !strings.Contains(named, s[1]) {
			t, _ := water.TextureOf(s[1])
			return t.Soil(), s[0] + " is not in the table of soils: taken as " + s[1]
		}
	}
	all := water.Textures()
	slices.SortStableFunc(all, func(a, b water.Texture) int { return len(b.Name) - len(a.Name) })
	for _, t := range all {
		if strings.Contains(named, t.Name) {
			return t.Soil(), ""
		}
	}
	loam, _ := water.TextureOf("loam")
	return loam.Soil(), "the garden's soil names no texture: taken as loam"
}

// mulchOf is the mulch on a bed over the span: a cover that lay for part of it counts for that part.
func mulchOf(covers []garden.Cover, bed garden.BedID, from, to civil.Date) water.Mulch {
	var m water.Mulch
	days := float64(to.Sub(from) + 1)
	for _, c := range covers {
		for _, b := range c.Beds {
			if b != bed {
				continue
			}
			share := float64(overlap(c, from, to)) / days
			switch {
			case holds(c.What, "film", "plastic"):
				m.Plastic = min(1, m.Plastic+share)
			case holds(c.What, "mulch", "straw", "hay", "leaves", "compost", "grass", "bark", "chip"):
				m.Organic = min(1, m.Organic+share)
			}
		}
	}
	return m
}

func holds(text string, words ...string) bool {
	for _, w := range words {
		if strings.Contains(garden.Fold(text), w) {
			return true
		}
	}
	return false
}

// overlap counts the days of the span on which the cover lay.
func overlap(c garden.Cover, from, to civil.Date) int {
	if c.On.After(from) {
		from = c.On
	}
	if !c.Off.IsZero() && c.Off.Before(to) {
		to = c.Off
	}
	return max(0, to.Sub(from)+1)
}
