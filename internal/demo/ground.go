package demo

import (
	"fmt"
	"math"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// plot is a bed with what the invention knows of it and the records do not.
type plot struct {
	garden.Bed
	good float64 // the bed's own effect
	dug  bool    // in gardens where the same beds are always dug
	area float64
}

// garden invents one garden: its beds, then every season.
func (m *maker) garden(w Way) {
	founded := civil.Of(m.plan.First-1, time.January, 3)
	beds := float64(w.Beds) * float64(w.Length.Times(w.Width))
	g := garden.Garden{ID: garden.GardenID(m.id(founded)), Site: m.Sites[0].ID, Name: w.Name, Ground: garden.Some(unit.Area(math.Round(beds * w.Paths))),
		Soil: w.Soil, Shelter: w.Shelter, UseBefore: "grass", From: founded}
	for _, k := range []garden.Kind{garden.KindCultivation, garden.KindAmendment, garden.KindCover} {
		g.Nothing = append(g.Nothing, garden.NothingPeriod{Kind: k, From: founded})
	}
	m.Gardens = append(m.Gardens, g)
	plots := m.beds(g, w)
	effect := m.normal(m.truth.Garden)
	for s := range m.plan.Seasons {
		year := m.plan.First + s
		here := effect + m.season[year] + m.normal(m.truth.GardenSea)
		m.year(w, plots, year, here)
		if s%2 == 0 {
			m.soilTest(g, year)
		}
	}
}

func (m *maker) beds(g garden.Garden, w Way) []plot {
	var plots []plot
	dug := m.rng.Perm(w.Beds)
	east := float64(len(m.Gardens)-1) * 30
	for i := range w.Beds {
		b := garden.Bed{ID: garden.BedID(m.id(g.From)), Garden: g.ID, Name: fmt.Sprint(i + 1), Length: garden.Some(w.Length), Width: garden.Some(w.Width),
			At: garden.Some(garden.Point{X: east + float64(i%2)*(float64(w.Length)+1), Y: float64(i/2) * (float64(w.Width) + 0.6)}), From: g.From}
		m.Beds = append(m.Beds, b)
		plots = append(plots, plot{Bed: b, good: m.normal(m.truth.Bed), dug: dug[i] < w.Beds/2, area: float64(b.Area().Value)})
	}
	return plots
}

// year works, feeds and plants every bed of a garden for one season.
func (m *maker) year(w Way, plots []plot, year int, here float64) {
	hail := !m.plan.Plain && w.Name == "hill" && year == m.plan.First+1
	turn := m.rng.IntN(len(crops))
	for i, p := range plots {
		dug := m.dug(w, p)
		litres := m.litres(w, dug)
		how := m.work(p, dug, litres, year)
		bedSeason := m.normal(m.truth.BedSeason)
		log := here + p.good + bedSeason + m.truth.Dug[how] + m.truth.Compost(litres)
		crop := crops[(i+turn)%len(crops)]
		dense := w.Spacing[m.rng.IntN(len(w.Spacing))]
		end := m.plant(p, crop, year, dense, log, dug, hail)
		if end.Month() < time.August && crop.name != "garlic" && end.Year() == year {
			m.plant(p, second[m.rng.IntN(len(second))], year, dense, log, dug, false)
		}
	}
}

func (m *maker) dug(w Way, p plot) bool {
	switch w.Dig {
	case AllDug:
		return true
	case ByBed:
		return p.dug
	case BySeason:
		return m.chance(1 / (1 + math.Exp(-m.truth.Better*p.good/m.truth.Bed)))
	}
	return false
}

func (m *maker) litres(w Way, dug bool) float64 {
	if w.Tied {
		if dug {
			return w.Litres[len(w.Litres)-1]
		}
		return w.Litres[0]
	}
	return w.Litres[m.rng.IntN(len(w.Litres))]
}

// work digs and feeds a bed in autumn before the season and notes the hours. It returns how the ground counts.
func (m *maker) work(p plot, dug bool, litres float64, year int) garden.Loosening {
	day := civil.Of(year-1, time.October, 1).AddDays(m.rng.IntN(9))
	beds := []garden.BedID{p.ID}
	m.Amendments = append(m.Amendments, garden.Amendment{ID: garden.Ref[garden.Amendment](m.id(day)), Beds: beds, Material: "heap compost",
		Volume: garden.Some(unit.Volume(math.Round(litres*p.area)) * unit.Litre), Placement: placed(dug), Date: day})
	m.spend(beds, "spreading compost", (3+litres*0.15)*p.area/4, day)
	how := garden.Undisturbed
	if dug {
		how = garden.DoubleDug
		m.Cultivations = append(m.Cultivations, garden.Cultivation{ID: garden.Ref[garden.Cultivation](m.id(day)), Beds: beds, How: how, Depth: garden.Some(unit.Length(0.5)), Date: day})
		m.spend(beds, "digging", 22*p.area*math.Exp(m.normal(0.15)), day)
		spring := civil.Of(year, time.March, 18).AddDays(m.rng.IntN(8))
		m.Cultivations = append(m.Cultivations, garden.Cultivation{ID: garden.Ref[garden.Cultivation](m.id(spring)), Beds: beds, How: garden.Raked, Date: spring})
	}
	return how
}

func placed(dug bool) garden.Placement {
	if dug {
		return garden.MixedIn
	}
	return garden.OnSurface
}

// spend notes work of about the minutes, in steps of five.
func (m *maker) spend(beds []garden.BedID, task string, minutes float64, day civil.Date) {
	five := max(5, math.Round(minutes/5)*5)
	who := m.Persons[m.rng.IntN(len(m.Persons))].Name
	m.Works = append(m.Works, garden.Work{ID: garden.Ref[garden.Work](m.id(day)), Beds: beds, Task: task, Time: unit.Time(five) * unit.Minute, Who: who, Date: day})
}

func (m *maker) soilTest(g garden.Garden, year int) {
	day := civil.Of(year, time.February, 10).AddDays(m.rng.IntN(10))
	one := func(mean, sd, step float64) float64 { return math.Round((mean+m.normal(sd))/step) * step }
	m.SoilTests = append(m.SoilTests, garden.SoilTest{ID: garden.Ref[garden.SoilTest](m.id(day)), Garden: g.ID, Date: day, Depth: garden.Some(unit.Length(0.2)), Cores: garden.Some(20),
		Laboratory: "Quill Hollow kit", Extractant: "Olsen", Values: []garden.SoilValue{
			{What: "pH", Value: math.Round(one(6.6, 0.2, 0.1)*10) / 10}, {What: "P", Value: one(28, 6, 1), Unit: "mg/L"}}})
}
