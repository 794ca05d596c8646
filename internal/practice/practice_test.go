package practice_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// ground is one garden with one bed of 8.5 m by 0.5 m, 4.25 m², and a diary to be written into.
type ground struct {
	garden.Records
	n byte
}

func newGround() *ground {
	g := &ground{}
	g.Gardens = []garden.Garden{{ID: garden.GardenID{1}, Name: "terrace", Ground: garden.Some(unit.Area(8.5))}}
	g.Beds = []garden.Bed{{ID: garden.BedID{1}, Garden: garden.GardenID{1}, Name: "1", Length: garden.Some(unit.Length(8.5)), Width: garden.Some(unit.Length(0.5))}}
	return g
}

func (g *ground) plant(crop string, start civil.Date, more ...func(*garden.Planting)) garden.PlantingID {
	g.n++
	p := garden.Planting{ID: garden.PlantingID{g.n}, Bed: garden.BedID{1}, Crop: crop, Start: garden.Sown, Date: civil.When{Date: start}}
	for _, f := range more {
		f(&p)
	}
	g.Plantings = append(g.Plantings, p)
	return p.ID
}

func (g *ground) pick(p garden.PlantingID, day civil.Date, kg float64) {
	g.n++
	g.Harvests = append(g.Harvests, garden.Harvest{ID: garden.HarvestID{g.n}, Planting: p, Date: day, Mass: garden.Some(unit.Mass(kg))})
}

func (g *ground) dig(how garden.Loosening, day civil.Date, more ...func(*garden.Cultivation)) {
	c := garden.Cultivation{Beds: []garden.BedID{{1}}, How: how, Date: day}
	for _, f := range more {
		f(&c)
	}
	g.Cultivations = append(g.Cultivations, c)
}

func (g *ground) feed(material string, litres float64, day civil.Date, meantFor string) {
	g.Amendments = append(g.Amendments, garden.Amendment{Beds: []garden.BedID{{1}}, Material: material,
		Volume: garden.Some(unit.Volume(litres) * unit.Litre), Date: day, MeantFor: meantFor})
}

func (g *ground) nothing(k garden.Kind) {
	g.Gardens[0].Nothing = append(g.Gardens[0].Nothing, garden.NothingPeriod{Kind: k})
}

func (g *ground) of(t *testing.T, id garden.PlantingID, o practice.Options) practice.Planted {
	t.Helper()
	for _, p := range practice.Of(g.Records, o) {
		if p.Planting.ID == id {
			return p
		}
	}
	t.Fatal("planting not derived")
	return practice.Planted{}
}

func day(y int, m time.Month, d int) civil.Date { return civil.Of(y, m, d) }

func ended(d civil.Date) func(*garden.Planting) { return func(p *garden.Planting) { p.Ended = d } }

func wantWord(t *testing.T, p practice.Planted, n practice.Name, want string) {
	t.Helper()
	if l := p.Level(n); !l.Known || l.Word != want {
		t.Errorf("%s = %v (%s), want %q", n, l, l.Rule, want)
	}
}

func wantAmount(t *testing.T, p practice.Planted, n practice.Name, want float64) {
	t.Helper()
	if l := p.Level(n); !l.Known || math.Abs(l.Amount-want) > 1e-9*math.Max(1, math.Abs(want)) {
		t.Errorf("%s = %v (%s), want %g", n, l, l.Rule, want)
	}
}

func wantUnknown(t *testing.T, p practice.Planted, n practice.Name) {
	t.Helper()
	if l := p.Level(n); l.Known {
		t.Errorf("%s = %v, want not known", n, l)
	}
}

func TestARakedSeedbedAfterDeepDiggingIsDeepDug(t *testing.T) {
	g := newGround()
	g.dig(garden.DoubleDug, day(2024, 11, 2))
	g.dig(garden.Raked, day(2025, 4, 1))
	p := g.of(t, g.plant("carrot", day(2025, 4, 1)), practice.Options{})
	wantWord(t, p, practice.Cultivation, "double dug")
	why := strings.Join(p.Level(practice.Cultivation).Why(), "\n")
	if !strings.Contains(why, "2024-11-02") || !strings.Contains(why, "deepest") {
		t.Errorf("the reason does not name the entry and the rule:\n%s", why)
	}
}

func TestDiggingLongAgoOrAfterSowingDoesNotCount(t *testing.T) {
	g := newGround()
	g.dig(garden.DoubleDug, day(2023, 3, 1))
	g.dig(garden.SingleDug, day(2025, 9, 1))
	p := g.of(t, g.plant("carrot", day(2025, 4, 1)), practice.Options{})
	wantUnknown(t, p, practice.Cultivation)
	wantAmount(t, p, practice.SinceDeepDug, float64(day(2025, 4, 1).Sub(day(2023, 3, 1)))/365.25)
}

func TestNothingWrittenIsUnknownUnlessTheGrowerSaysSo(t *testing.T) {
	g := newGround()
	id := g.plant("carrot", day(2025, 4, 1))
	wantUnknown(t, g.of(t, id, practice.Options{}), practice.Cultivation)
	wantUnknown(t, g.of(t, id, practice.Options{}), practice.Compost)
	g.nothing(garden.KindCultivation)
	g.nothing(garden.KindAmendment)
	wantWord(t, g.of(t, id, practice.Options{}), practice.Cultivation, "undisturbed")
	wantAmount(t, g.of(t, id, practice.Options{}), practice.Compost, 0)
}

func TestANothingPeriodMustHoldForTheWholeTwelveMonths(t *testing.T) {
	g := newGround()
	id := g.plant("carrot", day(2025, 4, 1))
	g.Gardens[0].Nothing = []garden.NothingPeriod{{Kind: garden.KindCultivation, From: day(2024, 9, 1)}}
	wantUnknown(t, g.of(t, id, practice.Options{}), practice.Cultivation)
	g.Beds[0].From = day(2024, 9, 1) // the bed was made that day: before it there was nothing to write
	wantWord(t, g.of(t, id, practice.Options{}), practice.Cultivation, "undisturbed")
}

// A relay: lettuce is set out in August between beans that end in September; both share what was done before.
func TestRelayCrops(t *testing.T) {
	g := newGround()
	g.dig(garden.DoubleDug, day(2025, 3, 20))
	g.feed("leaf compost", 42.5, day(2025, 3, 21), "")
	beans := g.plant("bean", day(2025, 5, 10), ended(day(2025, 9, 10)))
	lettuce := g.plant("lettuce", day(2025, 8, 20), ended(day(2025, 11, 1)))
	g.pick(beans, day(2025, 7, 20), 3)
	g.pick(lettuce, day(2025, 10, 10), 2)
	family := func(c string) string { return map[string]string{"bean": "Fabaceae", "lettuce": "Asteraceae"}[c] }
	p := g.of(t, lettuce, practice.Options{Family: family})
	wantWord(t, p, practice.Cultivation, "double dug")
	wantAmount(t, p, practice.Compost, 10)
	wantWord(t, p, practice.PreviousFamily, "Fabaceae")
	// 21 of the lettuce's 73 days were shared, more than a quarter; of the bean's 123 days fewer than a quarter.
	wantWord(t, p, practice.Companions, "with bean")
	wantWord(t, g.of(t, beans, practice.Options{}), practice.Companions, "alone")
}

func TestIntercropsShareTheGround(t *testing.T) {
	g := newGround()
	half := func(p *garden.Planting) {
		p.Part.Share = garden.Some(0.5)
		p.Plants = garden.Some(34)
		p.Ended = day(2025, 9, 1)
	}
	maize := g.plant("maize", day(2025, 5, 1), half)
	squash := g.plant("squash", day(2025, 5, 5), half)
	p := g.of(t, maize, practice.Options{})
	wantWord(t, p, practice.Companions, "with squash")
	wantAmount(t, p, practice.Spacing, 34/2.125)
	wantWord(t, g.of(t, squash, practice.Options{}), practice.Companions, "with maize")
	if math.Abs(float64(p.Area.Value)-2.125) > 1e-12 || math.Abs(float64(p.Ground.Value)-4.25) > 1e-12 {
		t.Errorf("area %v, ground %v; want half of 4.25 and of 8.5 m²", p.Area, p.Ground)
	}
}

func TestAnOverwinteringCropCountsInTheYearOfItsFirstHarvest(t *testing.T) {
	g := newGround()
	g.dig(garden.SingleDug, day(2024, 9, 20))
	id := g.plant("garlic", day(2024, 10, 15), ended(day(2025, 7, 10)))
	g.pick(id, day(2025, 7, 8), 4)
	if p := g.of(t, id, practice.Options{}); p.Season != 2025 {
		t.Errorf("season %d, want 2025", p.Season)
	}
	south := practice.Options{YearStart: garden.MonthDay{Month: 7, Day: 1}}
	if p := g.of(t, id, south); p.Season != 2026 {
		t.Errorf("season %d with a growing year from July, want 2026, the year it ends in", p.Season)
	}
}

func TestAPerennialGivesOneRecordAYear(t *testing.T) {
	g := newGround()
	id := g.plant("rhubarb", day(2022, 3, 1))
	for y := 2023; y <= 2025; y++ {
		g.feed("stable manure", 42.5, day(y-1, 11, 1), "")
		g.pick(id, day(y, 5, 1), 2)
		g.pick(id, day(y, 6, 1), 2)
	}
	always := practice.Options{Perennial: func(string) bool { return true }}
	var got []string
	for _, p := range practice.Of(g.Records, always) {
		got = append(got, fmt.Sprintf("%d year %d: %d pickings, manure %v, residual %v", p.Season, p.Year, len(p.Harvests), p.Level(practice.Manure), p.Level(practice.Residual(practice.Manure))))
	}
	want := []string{
		"2023 year 2: 2 pickings, manure 10 L/m², residual not known",
		"2024 year 3: 2 pickings, manure 10 L/m², residual 10 L/m²",
		"2025 year 4: 2 pickings, manure 10 L/m², residual 20 L/m²",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestAnAutumnDressingMeantForACropCountsThereAlone(t *testing.T) {
	g := newGround()
	g.nothing(garden.KindAmendment)
	g.feed("garden compost", 85, day(2024, 10, 20), "leek")
	lettuce := g.plant("lettuce", day(2025, 3, 15), ended(day(2025, 5, 30)))
	leek := g.plant("leek", day(2025, 6, 5), ended(day(2025, 9, 30)))
	again := g.plant("leek", day(2025, 10, 1))
	wantAmount(t, g.of(t, lettuce, practice.Options{}), practice.Compost, 0)
	wantAmount(t, g.of(t, leek, practice.Options{}), practice.Compost, 20)
	wantAmount(t, g.of(t, again, practice.Options{}), practice.Compost, 0)
}

func TestDressingsAfterTheStartAreLaterDressings(t *testing.T) {
	g := newGround()
	g.nothing(garden.KindAmendment)
	id := g.plant("leek", day(2025, 4, 1))
	g.feed("garden compost", 42.5, day(2025, 3, 1), "")
	g.feed("garden compost", 8.5, day(2025, 6, 1), "")
	g.pick(id, day(2025, 9, 1), 5)
	p := g.of(t, id, practice.Options{})
	wantAmount(t, p, practice.Compost, 10)
	wantAmount(t, p, practice.Later(practice.Compost), 2)
}

func TestAMassCountsByTheMaterialsDensityAndIsElseUnknown(t *testing.T) {
	g := newGround()
	id := g.plant("leek", day(2025, 4, 1))
	g.Amendments = []garden.Amendment{{Beds: []garden.BedID{{1}}, Material: "compost", Mass: garden.Some(unit.Mass(25.5)), Date: day(2025, 3, 1)}}
	wantUnknown(t, g.of(t, id, practice.Options{}), practice.Compost)
	g.Materials = []garden.Material{{Name: "compost", Density: garden.Some(unit.Density(600)), DryMatter: garden.Some(0.5), N: garden.Some(0.01)}}
	p := g.of(t, id, practice.Options{})
	wantAmount(t, p, practice.Compost, 10)
	base := p.Base[practice.Compost]
	if math.Abs(base.DryMatter.Value-3) > 1e-12 || math.Abs(base.Nitrogen.Value-0.06) > 1e-12 {
		t.Errorf("dry matter %v, nitrogen %v; want 3 and 0.06 kg/m² (25.5 kg over 4.25 m² is 6 kg/m²)", base.DryMatter, base.Nitrogen)
	}
}

// Common practice, no source: two loads of 0.1 m³ on 4.25 m² lie just under 5 cm deep, one about 2.5 cm.
func TestLoadsOnABed(t *testing.T) {
	g := newGround()
	id := g.plant("leek", day(2025, 4, 1))
	g.feed("compost", 200, day(2025, 3, 1), "")
	l := g.of(t, id, practice.Options{}).Level(practice.Compost)
	if cm := l.Amount / 10; cm <= 4.6 || cm >= 5 {
		t.Errorf("two loads lie %.2f cm deep, want just under 5", cm)
	}
}

func TestThinningIsTheSpacingAndSlugsAreNot(t *testing.T) {
	g := newGround()
	id := g.plant("carrot", day(2025, 4, 1), func(p *garden.Planting) {
		p.Plants = garden.Some(400)
		p.Stands = []garden.Stand{
			{Date: day(2025, 5, 20), What: garden.Thinned, Plants: garden.Some(170)},
			{Date: day(2025, 7, 1), What: garden.Standing, Plants: garden.Some(85)},
		}
	})
	p := g.of(t, id, practice.Options{})
	wantAmount(t, p, practice.Spacing, 40)
	wantAmount(t, p, practice.StandingPlants, 20)
}

func TestSpacingFromDistances(t *testing.T) {
	cm := unit.Centimetre
	for _, c := range []struct {
		name           string
		inRow, between unit.Length
		how            garden.Arrangement
		want           float64
	}{
		{"rows", 10 * cm, 25 * cm, garden.InRows, 40},
		{"square", 20 * cm, 0, garden.Square, 25},
		{"triangular", 20 * cm, 0, garden.Triangular, 25 * 2 / math.Sqrt(3)},
	} {
		g := newGround()
		id := g.plant("beet", day(2025, 4, 1), func(p *garden.Planting) {
			p.InRow, p.Arrangement = garden.Some(c.inRow), c.how
			if c.between > 0 {
				p.BetweenRows = garden.Some(c.between)
			}
		})
		t.Run(c.name, func(t *testing.T) { wantAmount(t, g.of(t, id, practice.Options{}), practice.Spacing, c.want) })
	}
}

func TestDiggingAnotherStretchOfTheBedDoesNotCount(t *testing.T) {
	g := newGround()
	half := func(from, to float64) garden.Part {
		return garden.Part{From: garden.Some(unit.Length(from)), To: garden.Some(unit.Length(to))}
	}
	g.dig(garden.DoubleDug, day(2025, 3, 1), func(c *garden.Cultivation) { c.Part = half(0, 4) })
	near := g.plant("carrot", day(2025, 4, 1), func(p *garden.Planting) { p.Part = half(0, 4) })
	far := g.plant("carrot", day(2025, 4, 1), func(p *garden.Planting) { p.Part = half(4, 8.5) })
	wantWord(t, g.of(t, near, practice.Options{}), practice.Cultivation, "double dug")
	wantUnknown(t, g.of(t, far, practice.Options{}), practice.Cultivation)
}

func TestASplitBedKeepsTheHistoryOfItsGround(t *testing.T) {
	g := newGround()
	g.dig(garden.DoubleDug, day(2024, 11, 1))
	g.Beds = append(g.Beds, garden.Bed{ID: garden.BedID{2}, Garden: garden.GardenID{1}, Name: "1a", From: day(2025, 1, 1), GrewFrom: []garden.BedID{{1}}})
	id := g.plant("carrot", day(2025, 4, 1), func(p *garden.Planting) { p.Bed = garden.BedID{2} })
	wantWord(t, g.of(t, id, practice.Options{}), practice.Cultivation, "double dug")
}

func TestWaterAndRainPerDay(t *testing.T) {
	g := newGround()
	id := g.plant("lettuce", day(2025, 5, 1))
	g.pick(id, day(2025, 5, 11), 1)
	for i := range 10 {
		g.Weather = append(g.Weather, garden.WeatherDay{Date: day(2025, 5, 1+i), Rain: garden.Some(2 * unit.Millimetre)})
	}
	g.Waterings = []garden.Watering{{Beds: []garden.BedID{{1}}, Date: day(2025, 5, 4), Volume: garden.Some(42.5 * unit.Litre)}}
	p := g.of(t, id, practice.Options{})
	wantAmount(t, p, practice.Water, 1)
	wantAmount(t, p, practice.Rain, 2)
	g.Weather = g.Weather[:8]
	wantUnknown(t, g.of(t, id, practice.Options{}), practice.Rain)
}

func TestWorkIsSharedByGroundAndOneOffWorkByYears(t *testing.T) {
	g := newGround()
	id := g.plant("carrot", day(2025, 4, 1), ended(day(2025, 10, 1)))
	g.pick(id, day(2025, 8, 1), 5)
	g.Works = []garden.Work{
		{Planting: id, Task: "weeding", Time: 17 * unit.Minute, Date: day(2025, 6, 1)},
		{Beds: []garden.BedID{{1}}, Task: "digging", Time: 34 * unit.Minute, Date: day(2025, 3, 1)},
		{Beds: []garden.BedID{{1}}, Task: "stone picking", Time: 425 * unit.Minute, Date: day(2024, 1, 5), OverYears: 10},
		{Beds: []garden.BedID{{1}}, Task: "long ago", Time: 60 * unit.Minute, Date: day(2023, 1, 5)},
	}
	wantAmount(t, g.of(t, id, practice.Options{}), practice.WorkTime, 4+8+10)
}

func TestDerivingChangesNothingAndGivesTheSameTwice(t *testing.T) {
	g := newGround()
	id := g.plant("carrot", day(2025, 4, 1))
	g.pick(id, day(2025, 9, 1), 3)
	g.pick(id, day(2025, 8, 1), 3) // out of order on purpose
	before := fmt.Sprint(g.Records)
	a := fmt.Sprint(practice.Of(g.Records, practice.Options{}))
	b := fmt.Sprint(practice.Of(g.Records, practice.Options{}))
	if a != b || fmt.Sprint(g.Records) != before {
		t.Error("deriving twice differs, or the records were changed")
	}
	if p := g.of(t, id, practice.Options{}); p.FirstHarvest != day(2025, 8, 1) {
		t.Errorf("first harvest %v, want 2025-08-01", p.FirstHarvest)
	}
}
