package evidence

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/demo"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/num/dist"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// long runs the simulations that take minutes.
var long = flag.Bool("long", false, "run the long simulations")

// inquiry is one question with what is true about its levels: the log of the ratio of a to b.
type inquiry struct {
	what   practice.Name
	levels []string
	truth  func(demo.Truth, string) float64
}

func dug(t demo.Truth, level string) float64 { return t.Dug[garden.Loosening(level)] }

// fed is the truth of a band of compost: the invented books give 6, 18 or 36 L/m², one in each band.
func fed(t demo.Truth, level string) float64 {
	return t.Compost(map[string]float64{"under 10 L/m²": 6, "10 to 25 L/m²": 18, "25 to 50 L/m²": 36}[level])
}

func set(t demo.Truth, level string) float64 {
	return map[string]float64{"close": t.Close, "usual": 0, "wide": t.Wide}[level]
}

var inquiries = []inquiry{{practice.Cultivation, nil, dug}, {practice.Compost, nil, fed}, {practice.Spacing, nil, set}}

// world is a kind of book that truth is looked for in.
type world struct {
	name  string
	plan  demo.Plan
	truth demo.Truth
	moods float64 // standard deviation of what digging does from season to season and from crop to crop, on the log
}

// moody makes digging do more in some seasons and on some crops than in others, about the same mean.
func (w world) moody(r garden.Records, seed uint64) garden.Records {
	if w.moods == 0 {
		return r
	}
	rng := rand.New(rand.NewPCG(seed, 0x6d6f6f64))
	effect, times := map[string]float64{}, map[garden.PlantingID]float64{}
	mood := func(key string) float64 {
		if _, ok := effect[key]; !ok {
			effect[key] = w.moods * rng.NormFloat64()
		}
		return effect[key]
	}
	for _, p := range practice.Of(r, practice.Options{}) {
		if p.Level(practice.Cultivation).Word == string(garden.DoubleDug) {
			times[p.Planting.ID] = math.Exp(mood(fmt.Sprint(p.Season)) + mood(p.Planting.Crop))
		}
	}
	for i, h := range r.Harvests {
		if f, ok := times[h.Planting]; ok {
			r.Harvests[i].Mass.Value *= unit.Mass(f)
		}
	}
	return r
}

func worlds() []world {
	way := func(name string, dig demo.Digging, litres []float64, spacing []float64) demo.Way {
		return demo.Way{Name: name, Beds: 10, Length: 5, Width: 1.2, Paths: 1.6, Dig: dig, Litres: litres, Spacing: spacing}
	}
	by := func(dig demo.Digging) demo.Plan {
		return demo.Plan{First: 2020, Seasons: 3, Plain: true, Ways: []demo.Way{
			way("terrace", dig, []float64{6, 18, 36}, []float64{1, 1.6}), way("orchard", dig, []float64{18, 36}, []float64{0.6, 1}), way("yard", dig, []float64{6, 18}, []float64{0.6, 1, 1.6})}}
	}
	better, none := demo.Usual(), demo.None()
	better.Better, none.Better = 1, 1
	two := by(demo.BySeason)
	two.Seasons = 2
	return []world{
		{"drawn anew each season, real effects", by(demo.BySeason), demo.Usual(), 0},
		{"the same beds always dug, real effects", by(demo.ByBed), demo.Usual(), 0},
		{"better beds dug more often, real effects", by(demo.BySeason), better, 0},
		{"drawn anew each season, nothing differs", by(demo.BySeason), demo.None(), 0},
		{"the same beds always dug, nothing differs", by(demo.ByBed), demo.None(), 0},
		{"better beds dug more often, nothing differs", by(demo.BySeason), none, 0},
		{"two seasons, nothing differs", two, demo.None(), 0},
		{"digging moody, real effects", by(demo.BySeason), demo.Usual(), 0.1},
		{"digging moody, nothing differs in the mean", by(demo.ByBed), demo.None(), 0.1},
	}
}

// score counts intervals that held the truth, all pairs of a question together, and answers that were sure.
type score struct{ asked, held, sure, wrong int }

// ask fits the question without what stands beside it and scores the pairs.
func (s *score) ask(t *testing.T, r garden.Records, q inquiry, truth demo.Truth) {
	t.Helper()
	setup := Setup{Today: civil.Of(2030, time.January, 1), Usual: usualPlants, Seed: 1}
	c := comparison{q: Question{What: q.what}.normal(), l: newLedger(r, setup), records: r}
	c.sample = collect(c.q, c.l)
	if c.narrow() != "" {
		return
	}
	c.shape = choose(c.q, c.rows)
	if c.tooFewUnits() != "" {
		return
	}
	fit, _, err := fitRows(c.q, c.shape, c.rows, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(fit.pairs) == 0 {
		return
	}
	c.fit = fit
	held, sure, wrong := true, false, false
	for _, p := range fit.pairs {
		real := q.truth(truth, p.a) - q.truth(truth, p.b)
		held = held && p.low <= real && real <= p.high
		v := c.estimate("all", p).Verdict
		if v == finding.Better || v == finding.Worse {
			sure = true
			wrong = wrong || real == 0 || (real > 0) != (v == finding.Better)
		}
	}
	s.asked++
	s.held += count01(held)
	s.sure += count01(sure)
	s.wrong += count01(wrong)
}

func count01(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// usualPlants are the densities that the invented books call usual, plants/m², as demo.Make takes them.
func usualPlants(crop string) (float64, bool) {
	d, ok := map[string]float64{"carrot": 80, "potato": 5, "onion": 40, "beetroot": 45, "lettuce": 14, "bush bean": 16, "leek": 25, "kale": 4, "parsnip": 30, "squash": 1,
		"chard": 12, "garlic": 35, "spinach": 60}[crop]
	return d, ok
}

// TestTruth asks invented books, whose truth is known, and counts. The bounds are those that a run whose real share is as promised passes but for one in 10,000
// (binomial). -long runs 500 books of each kind and prints more sharply.
func TestTruth(t *testing.T) {
	books := 2
	if *long {
		books = 60 // of nine kinds: 540
	}
	var all, nothing score
	for k, w := range worlds() {
		scores := make([]score, len(inquiries))
		for seed := range books {
			r := w.moody(demo.Make(uint64(1000*k+seed+1), w.plan, w.truth), uint64(seed))
			for i, q := range inquiries {
				scores[i].ask(t, r, q, w.truth)
			}
		}
		for i, s := range scores {
			t.Logf("%-45s %-12s %4d asked, %5.1f %% hold the truth, %5.1f %% sure, %5.1f %% sure and wrong", w.name, inquiries[i].what, s.asked, s.of(s.held), s.of(s.sure), s.of(s.wrong))
			all.add(s)
			if w.truth.Dug == nil {
				nothing.add(s)
			}
		}
	}
	t.Logf("all: %d asked, %.1f %% of the 95 %% intervals hold the truth; where nothing differs %d asked, %.1f %% falsely better or worse", all.asked, all.of(all.held), nothing.asked, nothing.of(nothing.wrong))
	if all.asked < 20*books || nothing.asked < 10*books {
		t.Fatalf("only %d questions were answered, %d where nothing differs", all.asked, nothing.asked)
	}
	if least := dist.BinomialQuantile(1e-4, all.asked, 0.95); all.held < least {
		t.Errorf("%d of %d intervals hold the truth, at least %d should", all.held, all.asked, least)
	}
	if most := dist.BinomialQuantile(1-1e-4, nothing.asked, 0.05); nothing.wrong > most {
		t.Errorf("%d of %d answers are sure where nothing differs, at most %d should be", nothing.wrong, nothing.asked, most)
	}
}

func (s *score) add(o score) {
	s.asked, s.held, s.sure, s.wrong = s.asked+o.asked, s.held+o.held, s.sure+o.sure, s.wrong+o.wrong
}

func (s score) of(n int) float64 { return 100 * float64(n) / math.Max(1, float64(s.asked)) }
