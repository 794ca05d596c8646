// Package demo invents a grower: gardens, beds, seasons and what was done and weighed there, from a seed, with effects and
// variances that are known, so that tests can see whether answers hold the truth. Everything in it is made up,
// the place and its weather included; only the sizes are such as gardens have (common practice).
package demo

import (
	"math"
	"math/rand/v2"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// Truth is what the invented ground really does to yields: effects on the log of kg/m², and standard deviations.
type Truth struct {
	Dug       map[garden.Loosening]float64 // against undisturbed
	Compost   func(litres float64) float64 // of the base dressing in L/m²
	Close     float64                      // close against usual spacing
	Wide      float64                      // wide against usual spacing
	Variety   float64                      // second variety against the first
	Garden    float64                      // standard deviations from here on
	Season    float64
	GardenSea float64
	Bed       float64
	BedSeason float64
	Planting  float64
	Better    float64 // how much likelier the better beds are dug: 0 is by lot
}

// Usual is the truth of the demo book.
func Usual() Truth {
	return Truth{
		Dug:     map[garden.Loosening]float64{garden.DoubleDug: math.Log(1.28), garden.SingleDug: math.Log(1.1)},
		Compost: func(l float64) float64 { return 0.22 * (1 - math.Exp(-l/18)) },
		Close:   0.03, Wide: -0.04, Variety: 0.02,
		Garden: 0.15, Season: 0.12, GardenSea: 0.06, Bed: 0.08, BedSeason: 0.06, Planting: 0.16,
	}
}

// None is a truth in which no practice does anything; the ground varies as usual.
func None() Truth {
	t := Usual()
	t.Dug, t.Compost, t.Close, t.Wide, t.Variety = nil, func(float64) float64 { return 0 }, 0, 0, 0
	return t
}

// Way is how a garden is worked.
type Way struct {
	Name    string
	Beds    int
	Length  unit.Length
	Width   unit.Length
	Paths   float64 // ground over bed area
	Dig     Digging
	Litres  []float64 // base dressings in L/m² that occur
	Tied    bool      // the deepest digging always with the most compost
	Spacing []float64 // of the usual density
	Soil    string
	Shelter string
}

// Digging says how beds come to be dug.
type Digging int

// The ways of choosing.
const (
	AllUndug Digging = iota
	AllDug
	ByBed    // half the beds, always the same
	BySeason // drawn anew for each bed and season
)

// Plan is the size of an invented book.
type Plan struct {
	Ways     []Way
	First    int // year of the first season
	Seasons  int
	Pickings int  // harvests a planting at least; 0 for as many as that crop usually has
	Weather  bool // also invent weather days
	Plain    bool // no failures, estimates or entries to sort out
}

// Book is the plan of the demo: five gardens whose methods are partly crossed and partly tangled. In "terrace" and
// "orchard" digging varies between and within beds, in "yard" it always goes with compost, and "lane" and "hill" differ in
// everything at once.
func Book() Plan {
	return Plan{First: 2022, Seasons: 4, Weather: true, Ways: []Way{
		{Name: "terrace", Beds: 12, Length: 6, Width: 1.2, Paths: 1.6, Dig: BySeason, Litres: []float64{6, 18, 36}, Spacing: []float64{1, 1.6}, Soil: "silt loam", Shelter: "hedge to the west"},
		{Name: "orchard", Beds: 12, Length: 4, Width: 1.2, Paths: 1.9, Dig: BySeason, Litres: []float64{18}, Spacing: []float64{0.6, 1}, Soil: "clay loam", Shelter: "old apple trees to the north"},
		{Name: "yard", Beds: 10, Length: 5, Width: 1, Paths: 1.7, Dig: ByBed, Litres: []float64{6, 36}, Tied: true, Spacing: []float64{1}, Soil: "loam", Shelter: "walls"},
		{Name: "lane", Beds: 10, Length: 8, Width: 0.9, Paths: 2.1, Dig: AllUndug, Litres: []float64{6}, Spacing: []float64{0.6}, Soil: "sandy loam", Shelter: "open"},
		{Name: "hill", Beds: 6, Length: 3, Width: 1.5, Paths: 1.5, Dig: AllDug, Litres: []float64{36}, Spacing: []float64{1.6}, Soil: "stony loam", Shelter: "open, windy"},
	}}
}

// Large is the plan of a book of about 200,000 entries: 96 beds, ten seasons.
func Large() Plan {
	var ways []Way
	for _, name := range []string{"north", "east", "south", "west", "upper", "lower"} {
		ways = append(ways, Way{Name: name, Beds: 16, Length: 5, Width: 1.2, Paths: 1.6, Dig: BySeason,
			Litres: []float64{6, 18, 36}, Spacing: []float64{1, 1.6}, Soil: "loam", Shelter: "open"})
	}
	return Plan{First: 2016, Seasons: 10, Ways: ways, Pickings: 205}
}

// maker is one invention under way.
type maker struct {
	garden.Records
	rng    *rand.Rand
	truth  Truth
	plan   Plan
	season map[int]float64
	crate  int
}

// Make invents the records of the plan from the seed.
func Make(seed uint64, plan Plan, truth Truth) garden.Records {
	m := &maker{rng: rand.New(rand.NewPCG(seed, 0x6661697270)), truth: truth, plan: plan, season: map[int]float64{}}
	m.setting()
	for _, w := range plan.Ways {
		m.garden(w)
	}
	if plan.Weather {
		m.weather()
	}
	sortByDay(&m.Records)
	return m.Records
}

// id draws an identity of the form of a UUID of version 7 (RFC 9562), dated by the entry's day so that ids sort as the days do.
func (m *maker) id(day civil.Date) garden.ID {
	var id garden.ID
	ms := uint64(day.Time().UnixMilli()) + m.rng.Uint64N(86_400_000)
	for i := range 6 {
		id[i] = byte(ms >> (40 - 8*i))
	}
	a, b := m.rng.Uint64(), m.rng.Uint64()
	for i := range 8 {
		id[6+i] = byte(a >> (8 * i))
	}
	id[14], id[15] = byte(b), byte(b>>8)
	id[6] = id[6]&0x0f | 0x70
	id[8] = id[8]&0x3f | 0x80
	return id
}

func (m *maker) normal(sd float64) float64 { return sd * m.rng.NormFloat64() }

// chance reports true with probability p.
func (m *maker) chance(p float64) bool { return m.rng.Float64() < p }

func (m *maker) setting() {
	founded := civil.Of(m.plan.First, time.January, 2)
	m.Sites = []garden.Site{{ID: garden.SiteID(m.id(founded)), Name: "Quill Hollow", Latitude: garden.Some(51.3), Longitude: garden.Some(-2.4),
		Elevation: garden.Some(unit.Length(85)), LastFrost: garden.MonthDay{Month: 5, Day: 4}, FirstFrost: garden.MonthDay{Month: 10, Day: 18}}}
	m.Persons = []garden.Person{{ID: garden.PersonID(m.id(founded)), Name: "Odo"}, {ID: garden.PersonID(m.id(founded)), Name: "Wren"}}
	m.Measures = []garden.Measure{
		{ID: garden.Ref[garden.Measure](m.id(founded)), Name: "barrow", Plural: "barrows", Volume: garden.Some(80 * unit.Litre), Loads: 4},
		{ID: garden.Ref[garden.Measure](m.id(founded)), Name: "can", Plural: "cans", Volume: garden.Some(10 * unit.Litre), Loads: 3},
	}
	m.Materials = []garden.Material{
		{ID: garden.Ref[garden.Material](m.id(founded)), Name: "heap compost", Density: garden.Some(unit.Density(600)), DryMatter: garden.Some(0.5), N: garden.Some(0.007), P2O5: garden.Some(0.004), K2O: garden.Some(0.006), CN: garden.Some(15.0), Source: "invented for the demo"},
		{ID: garden.Ref[garden.Material](m.id(founded)), Name: "leaf mould", Density: garden.Some(unit.Density(350)), DryMatter: garden.Some(0.45), N: garden.Some(0.004), Source: "invented for the demo"},
	}
	for _, c := range crops {
		for _, v := range c.varieties {
			m.Varieties = append(m.Varieties, garden.Variety{ID: garden.Ref[garden.Variety](m.id(founded)), Crop: c.name, Name: v})
		}
	}
	for s := range m.plan.Seasons {
		m.season[m.plan.First+s] = m.normal(m.truth.Season)
	}
}
