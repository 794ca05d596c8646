package season_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/demo"
	"fairplot/internal/garden"
	"fairplot/internal/season"
	"fairplot/internal/unit"
)

var (
	site   = garden.SiteID{1}
	plot   = garden.GardenID{2}
	bed    = garden.BedID{3}
	tunnel = garden.BedID{4}
	from   = civil.Of(2025, time.April, 1)
	to     = civil.Of(2025, time.August, 31)
)

// records are one place with one open bed and one under a tunnel, and a plain invented summer.
func records() garden.Records {
	r := garden.Records{
		Sites:   []garden.Site{{ID: site, Name: "home", Latitude: garden.Some(52.0), Elevation: garden.Some(unit.Length(80))}},
		Gardens: []garden.Garden{{ID: plot, Site: site, Name: "back", Soil: "a good sandy loam over gravel"}},
		Beds: []garden.Bed{
			{ID: bed, Garden: plot, Name: "1", Length: garden.Some(unit.Length(5)), Width: garden.Some(unit.Length(1.2))},
			{ID: tunnel, Garden: plot, Name: "2", Length: garden.Some(unit.Length(3)), Width: garden.Some(unit.Length(1)), Tunnel: true},
		},
		Plantings: []garden.Planting{
			{ID: garden.PlantingID{5}, Bed: bed, Crop: "Potatoes", Date: civil.When{Date: civil.Of(2025, time.April, 10)}, Ended: civil.Of(2025, time.August, 20)},
			{ID: garden.PlantingID{6}, Bed: tunnel, Crop: "tomato", Date: civil.When{Date: civil.Of(2025, time.May, 1)}},
			{ID: garden.PlantingID{7}, Bed: bed, Crop: "moon flower", Date: civil.When{Date: civil.Of(2025, time.May, 1)}},
			{ID: garden.PlantingID{8}, Bed: bed, Crop: "lettuce"},
		},
	}
	for d := civil.Of(2025, time.January, 1); d.Year() == 2025; d = d.AddDays(1) {
		warm := 10 - 8*math.Cos(2*math.Pi*float64(d.YearDay()-15)/365)
		w := garden.WeatherDay{Site: site, Date: d, Min: garden.Some(unit.Temperature(warm - 4)), Max: garden.Some(unit.Temperature(warm + 6)), Rain: garden.Some(unit.Length(0))}
		if d.Day()%5 == 0 {
			w.Rain = garden.Some(8 * unit.Millimetre)
		}
		r.Weather = append(r.Weather, w)
	}
	return r
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s is %.6g, want %g ± %g", what, got, want, within)
	}
}

func TestSeasonAddsUp(t *testing.T) {
	s, err := season.Of(records(), site, from, to, season.Options{Base: 5})
	if err != nil {
		t.Fatal(err)
	}
	whole := s.Whole()
	var rain, et0, warmth float64
	days := 0
	for _, m := range s.Months() {
		rain, et0, warmth, days = rain+float64(m.Rain), et0+float64(m.ET0), warmth+m.Warmth, days+m.Days
		near(t, "warmth so far", m.WarmthSoFar, warmth, 1e-9)
	}
	if len(s.Months()) != 5 || days != 153 || whole.Days != 153 || whole.Unknown != 0 {
		t.Errorf("%d months, %d days, %+v", len(s.Months()), days, whole)
	}
	near(t, "rain: six days in five months", float64(whole.Rain), 5*6*8, 1e-9)
	near(t, "rain by month", rain, float64(whole.Rain), 1e-9)
	near(t, "evaporation by month", et0, float64(whole.ET0), 1e-9)
	byHand := 0.0
	for _, d := range s.Days {
		byHand += math.Max(0, (d.Min.Value+d.Max.Value)/2-5)
	}
	near(t, "warmth, MCMASTER1997 method 1 by hand", whole.Warmth, byHand, 1e-9)
	// FAO56 eq. 34, worked out apart from this program, gives 16.37 h for the middle of June at 51.5° north; half a degree more and the mean
	// of the month instead of its middle make a few minutes.
	june := s.Months()[2]
	near(t, "day length in June at 52° north", june.DayLength, 16.37, 0.15)
	if june.Sun <= 0 || june.Sun >= 42 || june.Sun <= s.Months()[0].Sun {
		t.Errorf("radiation of June is %g, of April %g", float64(june.Sun), float64(s.Months()[0].Sun))
	}
	if s.Gaps[climate.GapWind] != 153 || len(s.Notes) == 0 {
		t.Errorf("wind was never noted, but the gaps are %v and the notes %q", s.Gaps, s.Notes)
	}
	if n := len(s.Weeks()); n != 22 {
		t.Errorf("153 days are %d weeks, want 22 with the last one short", n)
	}
}

func TestBedsHaveTheirWater(t *testing.T) {
	r := records()
	r.Waterings = []garden.Watering{
		{Beds: []garden.BedID{bed, tunnel}, Volume: garden.Some(90 * unit.Litre), Date: civil.Of(2025, time.June, 10)},
		{Beds: []garden.BedID{tunnel}, Depth: garden.Some(20 * unit.Millimetre), Date: civil.Of(2025, time.June, 12)},
	}
	s, err := season.Of(r, site, from, to, season.Options{Base: 5})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Beds) != 2 || s.Left[season.NoCoefficients] != 1 || s.Left[season.NoStart] != 1 {
		t.Fatalf("%d accounts, left out %v", len(s.Beds), s.Left)
	}
	potato, tomato := s.Beds[0], s.Beds[1]
	if potato.From != civil.Of(2025, time.April, 10) || potato.To != civil.Of(2025, time.August, 20) || len(potato.Sheet.Lines) != 133 {
		t.Errorf("potatoes from %s to %s, %d days", potato.From, potato.To, len(potato.Sheet.Lines))
	}
	near(t, "90 L on 6 + 3 m²", float64(potato.Sheet.Sum.Given), 10, 1e-9)
	near(t, "90 L on 6 + 3 m², and 20 mm", float64(tomato.Sheet.Sum.Given), 30, 1e-9)
	near(t, "rain under the tunnel", float64(tomato.Sheet.Sum.Rain), 0, 0)
	near(t, "balance of the potatoes", float64(potato.Sheet.Sum.Balance()), 0, 1e-9)
	if len(potato.Notes) != 0 {
		t.Errorf("the soil names a texture and the crop is listed, but %q", potato.Notes)
	}
	near(t, "litres to fill up", float64(tomato.Advice.Volume/unit.Litre), 3*float64(tomato.Advice.Depth), 1e-9)
	if tomato.Sheet.Sum.StressDays == 0 || len(tomato.Notes) == 0 {
		t.Errorf("tomatoes without rain ran short on %d days, notes %q", tomato.Sheet.Sum.StressDays, tomato.Notes)
	}
}

func TestSoilsAreTakenForWhatTheyAre(t *testing.T) {
	for words, note := range map[string]bool{"sandy loam": false, "Silty clay, stony": false, "clay loam": true, "silt clay loam": false, "chalk": true, "": true} {
		r := records()
		r.Gardens[0].Soil = words
		s, err := season.Of(r, site, from, to, season.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if told := len(s.Beds[0].Notes) > 0; told != note {
			t.Errorf("soil %q: notes %q", words, s.Beds[0].Notes)
		}
	}
}

// A window late in the season shows the same account as a long one.
func TestTheWindowDoesNotChangeTheAccount(t *testing.T) {
	long, err := season.Of(records(), site, from, to, season.Options{})
	if err != nil {
		t.Fatal(err)
	}
	short, err := season.Of(records(), site, civil.Of(2025, time.July, 20), to, season.Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "missing in the end", float64(short.Beds[0].Sheet.Sum.End), float64(long.Beds[0].Sheet.Sum.End), 1e-12)
	if len(short.Days) != 43 || short.Days[0].Date != civil.Of(2025, time.July, 20) {
		t.Errorf("%d days from %s", len(short.Days), short.Days[0].Date)
	}
}

func TestMulchSavesWater(t *testing.T) {
	bare, err := season.Of(records(), site, from, to, season.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r := records()
	r.Covers = []garden.Cover{{Beds: []garden.BedID{bed}, What: "Straw mulch", On: civil.Of(2025, time.April, 10)}, {Beds: []garden.BedID{bed}, What: "fleece", On: from}}
	straw, err := season.Of(r, site, from, to, season.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if straw.Beds[0].Sheet.Sum.Full >= bare.Beds[0].Sheet.Sum.Full {
		t.Errorf("under straw the need is %.1f mm, bare %.1f", float64(straw.Beds[0].Sheet.Sum.Full), float64(bare.Beds[0].Sheet.Sum.Full))
	}
}

func TestOddAndMissingDays(t *testing.T) {
	r := records()
	r.Weather[160].Min, r.Weather[160].Max = r.Weather[160].Max, r.Weather[160].Min
	r.Weather[170].Humidity = garden.Some(80.0)
	r.Weather = r.Weather[:200] // to 19 July
	s, err := season.Of(r, site, from, to, season.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if s.Odd != 1 || s.Filled.Joined != 1 || s.Whole().Unknown != 153-(200-90) {
		t.Errorf("%d odd days, %+v, %d unknown", s.Odd, s.Filled, s.Whole().Unknown)
	}
	if b := s.Beds[0]; b.To != civil.Of(2025, time.July, 19) || len(b.Notes) != 1 {
		t.Errorf("the account runs to %s, notes %q", b.To, b.Notes)
	}
	r.Weather = r.Weather[:60]
	s, err = season.Of(r, site, from, to, season.Options{})
	if err != nil || len(s.Beds) != 0 || s.Left[season.NoWeather] != 2 {
		t.Errorf("without weather there are %d accounts, left out %v, %v", len(s.Beds), s.Left, err)
	}
}

func TestFrostsOfThePlace(t *testing.T) {
	spring, autumn, leftOut, err := season.Frosts(records(), site, 0)
	if err != nil || leftOut != 0 || spring.Years != 1 || autumn.Years != 1 || len(spring.Days) != 1 || len(autumn.Days) != 1 {
		t.Fatalf("%+v %+v, %d left out, %v", spring, autumn, leftOut, err)
	}
	// 10 - 8 cos(2π(day - 15)/365) - 4 reaches 0 where the cosine is 3/4, 42 days from mid-January.
	near(t, "last frost", spring.Days[0], 15+41, 1)
	near(t, "first frost", autumn.Days[0], 365+15-41, 1)
}

func TestWhatIsMissingIsSaid(t *testing.T) {
	nowhere, dry := records(), records()
	nowhere.Sites[0].Latitude = garden.Maybe[float64]{}
	dry.Weather = nil
	for name, r := range map[string]garden.Records{"latitude": nowhere, "weather": dry} {
		_, err := season.Of(r, site, from, to, season.Options{})
		var e *garden.Error
		if !errors.As(err, &e) || e.Field != name || e.Hint == "" {
			t.Errorf("without %s: %v", name, err)
		}
	}
	if _, err := season.Of(records(), site, to, from, season.Options{}); err == nil {
		t.Error("a season that ends before it begins was worked out")
	}
	if _, err := season.Of(records(), garden.SiteID{9}, from, to, season.Options{}); err == nil {
		t.Error("an unknown place has a season")
	}
}

func TestCeilingOfAPlanting(t *testing.T) {
	r := records()
	s, err := season.Of(r, site, from, to, season.Options{})
	if err != nil {
		t.Fatal(err)
	}
	c, err := season.Ceiling(r, site, "potato", s.Beds[0].From, s.Beds[0].To, &s.Beds[0].Sheet)
	if err != nil {
		t.Fatal(err)
	}
	if c.WithWater.High > c.Fresh.High || c.Fresh.Low <= 0 || c.Fresh.Low >= c.Fresh.High {
		t.Errorf("%.2f to %.2f kg/m², with water %.2f to %.2f", c.Fresh.Low, c.Fresh.High, c.WithWater.Low, c.WithWater.High)
	}
	if _, err := season.Ceiling(r, site, "potato", civil.Of(2019, 4, 1), civil.Of(2019, 8, 1), nil); err != nil {
		t.Errorf("2019 has weather of another year to stand in: %v", err)
	}
	r.Weather = nil
	if _, err := season.Ceiling(r, site, "potato", from, to, nil); err == nil {
		t.Error("a ceiling came out of no weather")
	}
}

// The invented book of the demonstration goes through whole.
func TestTheInventedBookHasSeasons(t *testing.T) {
	r := demo.Make(1, demo.Book(), demo.Usual())
	s, err := season.Of(r, r.Sites[0].ID, civil.Of(2024, time.January, 1), civil.Of(2024, time.December, 31), season.Options{Base: 5})
	if err != nil {
		t.Fatal(err)
	}
	whole := s.Whole()
	if whole.ET0 < 300 || whole.ET0 > 1200 || len(s.Beds) == 0 {
		t.Errorf("a year evaporates %.0f mm and has %d accounts, left out %v", float64(whole.ET0), len(s.Beds), s.Left)
	}
	for _, b := range s.Beds {
		near(t, "balance", float64(b.Sheet.Sum.Balance()), 0, 1e-9)
	}
}

// The spells of a planting add up to its whole account, and end where the account stands then.
func TestSpellsAddUp(t *testing.T) {
	s, err := season.Of(records(), site, from, to, season.Options{Base: 5})
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range s.Beds {
		for _, sums := range [][]season.Sum{s.Months(), s.Weeks(), {s.Whole()}} {
			var used, rain, drained float64
			stress, days := 0, 0
			spells := b.Over(sums)
			for _, w := range spells {
				used, rain, drained = used+float64(w.Used), rain+float64(w.Rain), drained+float64(w.Drained)
				stress, days = stress+w.StressDays, days+w.Days
			}
			all := b.Sheet.Sum
			near(t, "used", used, float64(all.Used), 1e-9)
			near(t, "rain", rain, float64(all.Rain), 1e-9)
			near(t, "drained", drained, float64(all.Drained), 1e-9)
			near(t, "missing in the end", float64(spells[len(spells)-1].Missing), float64(all.End), 1e-12)
			if stress != all.StressDays || days != all.Days || spells[0].From != b.From || spells[len(spells)-1].To != b.To {
				t.Errorf("%d of %d stress days, %d of %d days, %s to %s", stress, all.StressDays, days, all.Days, spells[0].From, spells[len(spells)-1].To)
			}
		}
	}
}

// Frosts of a year made by hand: the last of spring and the first of autumn, on either side of the equator.
func TestFrostsLieOnEitherSideOfMidsummer(t *testing.T) {
	for name, c := range map[string]struct {
		latitude    float64
		from        civil.Date
		frosts      []civil.Date
		last, first civil.Date
	}{
		"north": {52, civil.Of(2025, 1, 1), []civil.Date{civil.Of(2025, 2, 3), civil.Of(2025, 4, 28), civil.Of(2025, 10, 9), civil.Of(2025, 12, 1)}, civil.Of(2025, 4, 28), civil.Of(2025, 10, 9)},
		"south": {-42, civil.Of(2024, 7, 1), []civil.Date{civil.Of(2024, 8, 3), civil.Of(2024, 10, 28), civil.Of(2025, 4, 9), civil.Of(2025, 6, 1)}, civil.Of(2024, 10, 28), civil.Of(2025, 4, 9)},
		"none":  {52, civil.Of(2025, 1, 1), nil, civil.Date{}, civil.Date{}},
	} {
		r := garden.Records{Sites: []garden.Site{{ID: site, Name: "home", Latitude: garden.Some(c.latitude)}}}
		for i := range 365 {
			w := garden.WeatherDay{Site: site, Date: c.from.AddDays(i), Min: garden.Some(unit.Temperature(4)), Max: garden.Some(unit.Temperature(12))}
			for _, f := range c.frosts {
				if w.Date == f {
					w.Min.Value = -1
				}
			}
			r.Weather = append(r.Weather, w)
		}
		s, err := season.Of(r, site, c.from, c.from.AddDays(364), season.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Frost(); got.Days != len(c.frosts) || got.Last != c.last || got.First != c.first {
			t.Errorf("%s: %+v, want last %s, first %s", name, got, c.last, c.first)
		}
	}
}

// Under a cover that is six degrees warmer by day the warmth is that of its own thermometer, no rain falls, and the evaporation stays.
func TestWarmthUnderCoverIsItsOwn(t *testing.T) {
	r := records()
	for _, d := range records().Weather {
		d.Tunnel = plot
		d.Max.Value += 6
		d.Rain = garden.Maybe[unit.Length]{}
		r.Weather = append(r.Weather, d)
	}
	open, err := season.Of(r, site, from, to, season.Options{Base: -20})
	if err != nil {
		t.Fatal(err)
	}
	under, err := season.Of(r, site, from, to, season.Options{Base: -20, Tunnel: plot})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "warmth: half of six degrees more on each of 153 days", under.Whole().Warmth-open.Whole().Warmth, 3*153, 1e-6)
	near(t, "rain", float64(under.Whole().Rain), 0, 0)
	near(t, "evaporation", float64(under.Whole().ET0), float64(open.Whole().ET0), 1e-12)
	if _, err := season.Of(records(), site, from, to, season.Options{Tunnel: plot}); err == nil {
		t.Error("a cover without a thermometer had warmth")
	}
}

func BenchmarkYear(b *testing.B) {
	r := demo.Make(1, demo.Book(), demo.Usual())
	for b.Loop() {
		if _, err := season.Of(r, r.Sites[0].ID, civil.Of(2024, time.January, 1), civil.Of(2024, time.December, 31), season.Options{Base: 5}); err != nil {
			b.Fatal(err)
		}
	}
}
