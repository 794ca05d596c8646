package evidence

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/num/glmm"
	"fairplot/internal/practice"
)

// herds reads the herds with contagious bovine pleuropneumonia (Lesnoff et al. 2004, Preventive Veterinary Medicine 64:27-40, as in R package lme4)
// as rows of a comparison: a herd is a bed, a period a level.
func herds(t *testing.T) []row {
	t.Helper()
	f, err := os.Open("testdata/herds.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for i, l := range lines[1:] {
		y, err1 := strconv.ParseFloat(l[1], 64)
		n, err2 := strconv.ParseFloat(l[2], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		one := practice.Planted{Planting: garden.Planting{ID: garden.PlantingID{byte(i + 1)}}}
		rows = append(rows, row{planted: &one, garden: "g", bed: "g/" + l[0], season: 2000, crop: "cattle", level: l[3], y: y, n: n, area: 1})
	}
	return rows
}

// TestHerdsThroughTheComparison: the columns made here, with the herd alone random, give the Laplace estimates of R 4.2.2, lme4 1.1-31 (-0.9923, -1.1287, -1.5803,
// log-likelihood -92.0263).
func TestHerdsThroughTheComparison(t *testing.T) {
	rows := herds(t)
	s := shape{levels: []string{"1", "2", "3", "4"}, reference: "1", units: []string{"bed"}, gardens: 1, seasons: 1, crops: 1}
	x := countDesign(Question{}, s, rows)
	groups := countGroups(shape{random: []string{"bed"}}, rows)[:1]
	m, err := glmm.Fit(glmm.Data{Success: column(rows, func(r row) float64 { return r.y }), Trials: column(rows, func(r row) float64 { return r.n }), X: x.matrix, Groups: groups}, glmm.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(m.LogLik - -92.0262818714972) > 1e-6 {
		t.Errorf("log-likelihood %.7f", m.LogLik)
	}
	for level, want := range map[string]float64{"2": -0.992332716885825, "3": -1.12867206401427, "4": -1.58031385970829} {
		if got := m.Beta[x.level[level]]; math.Abs(got-want) > 1e-6 {
			t.Errorf("period %s: %.7f, want %.7f", level, got, want)
		}
	}
}

// TestHerdsAsAnAnswer: every planting is random too, so limits are wider than with the herd alone; period 4 still has the smaller share.
func TestHerdsAsAnAnswer(t *testing.T) {
	rows := herds(t)
	q := Question{Response: "count cases lost", What: "start", Against: "1"}.normal()
	s := shape{levels: []string{"1", "2", "3", "4"}, reference: "1", random: []string{"bed"}, units: []string{"planting"}, gardens: 1, seasons: 1, crops: 1, within: true}
	f, plots, err := fitRows(q, s, rows, 1)
	if err != nil || len(f.pairs) != 3 {
		t.Fatalf("%d pairs, %v", len(f.pairs), err)
	}
	if len(plots.Rows) != 56 || plots.Header[len(plots.Header)-1] != "n" {
		t.Errorf("table of %d rows headed %v", len(plots.Rows), plots.Header)
	}
	for _, p := range f.pairs {
		if wald := 1.96 * 0.4274; p.a == "4" && (p.high-p.low < 2*wald || p.high >= 0) {
			t.Errorf("period 4: %.2f to %.2f", p.low, p.high)
		}
		e := f.counts.ratio("all", p, q, f.method)
		if at := f.counts.base["1"] * e.Value; math.Abs(at-f.counts.base[p.a]) > 1e-9 {
			t.Errorf("period %s: the ratio gives a share of %.6f, the fit %.6f", p.a, at, f.counts.base[p.a])
		}
	}
}

// invented makes gardens of beds in which the odds of the second level are times those of the first, with spread between beds, so many roots looked at in each.
func invented(r *rand.Rand, gardens, beds, roots int, times, sd float64) []row {
	var rows []row
	for g := range gardens {
		at := -0.5 + 0.4*r.NormFloat64()
		for b := range beds {
			level, x := "undisturbed", at+sd*r.NormFloat64()
			if b%2 == 1 {
				level, x = "double dug", x+math.Log(times)
			}
			y := 0.0
			for range roots {
				if r.Float64() < expit(x) {
					y++
				}
			}
			rows = append(rows, row{garden: fmt.Sprint("g", g), bed: fmt.Sprint("g", g, "/", b), season: 2020, crop: "carrot", level: level, y: y, n: float64(roots), area: 4})
		}
	}
	return rows
}

// TestCountsHoldTheTruth fits books of few beds and counts how often the interval of the log odds holds the truth: the share may not fall below 95 % by more than
// what one run in 10,000 would show (binomial, 3.7 standard errors).
func TestCountsHoldTheTruth(t *testing.T) {
	books := 30
	if *long {
		books = 1000
	}
	r := rand.New(rand.NewPCG(5, 6))
	q := Question{Response: "count forked", What: "cultivation"}.normal()
	held := 0
	for range books {
		rows := invented(r, 3, 6, 25, 1.8, 0.5)
		f, _, err := fitRows(q, choose(q, rows), rows, 1)
		if err != nil || len(f.pairs) != 1 {
			t.Fatalf("%d pairs, %v", len(f.pairs), err)
		}
		if p := f.pairs[0]; p.low <= math.Log(1.8) && math.Log(1.8) <= p.high {
			held++
		}
	}
	share, se := float64(held)/float64(books), math.Sqrt(0.95*0.05/float64(books))
	t.Logf("%d books: %.1f %% of the 95 %% intervals hold the truth", books, 100*share)
	if share < 0.95-3.7*se {
		t.Errorf("%.3f of the intervals hold the truth, promised are 0.95", share)
	}
}

// bookOfCounts is a book of five gardens with ten beds each over four seasons, twelve crops, the second level drawn for each bed and season. The odds of the
// second level are times those of the first in the mean; each crop and season at each level departs from that by the spreads given, on the logit scale.
func bookOfCounts(r *rand.Rand, times, byCrop, bySeason float64) []row {
	return bookOfLevels(r, byCrop, bySeason, func() (string, float64) {
		if r.Float64() < 0.45 {
			return "double dug", math.Log(times)
		}
		return "undisturbed", 0
	})
}

// bookOfLevels is the same with any levels, drawn with their log odds against the reference.
func bookOfLevels(r *rand.Rand, byCrop, bySeason float64, draw func() (level string, logOdds float64)) []row {
	effects := map[string]float64{}
	effect := func(sd float64, of ...any) float64 {
		k := fmt.Sprint(of...)
		if _, seen := effects[k]; !seen {
			effects[k] = sd * r.NormFloat64()
		}
		return effects[k]
	}
	var rows []row
	for season := range 4 {
		for plot := range 50 {
			at, bed := plot/10, fmt.Sprint("g", plot/10, "/", plot%10)
			level, x := draw()
			x -= 0.6
			for range 1 + r.IntN(5)/4 {
				crop := fmt.Sprint("crop ", r.IntN(12))
				eta := x + effect(0.3, "garden", at) + effect(0.3, "season", season) + effect(0.2, "garden", at, season) + effect(0.4, bed) + effect(0.2, bed, season) +
					effect(0.5, crop) + effect(byCrop, crop, level) + effect(bySeason, season, level) + 0.3*r.NormFloat64()
				y := 0.0
				for range 30 {
					y += indicator(r.Float64() < expit(eta))
				}
				rows = append(rows, row{garden: fmt.Sprint("g", at), bed: bed, season: 2020 + season, crop: crop, level: level, y: y, n: 30, area: 4})
			}
		}
	}
	return rows
}

// TestCountsOfManyCropsAndSeasonsHoldTheTruth: as above for books of some 240 plantings, where the practice acts alike on all crops in all seasons and where it does not.
func TestCountsOfManyCropsAndSeasonsHoldTheTruth(t *testing.T) {
	books := 8
	if *long {
		books = 400
	}
	q := Question{Response: "count forked", What: "cultivation"}.normal()
	for name, c := range map[string]struct{ byCrop, bySeason float64 }{"alike": {}, "by crop": {0.3, 0}, "by season": {0, 0.2}} {
		r := rand.New(rand.NewPCG(1, 2))
		held := 0
		for range books {
			rows := bookOfCounts(r, 1.8, c.byCrop, c.bySeason)
			s := choose(q, rows)
			for _, g := range spare {
				if !slices.Contains(s.random, g) {
					t.Fatalf("%s: the model is without %s", name, g)
				}
			}
			f, _, err := fitRows(q, s, rows, 1)
			if err != nil || len(f.pairs) != 1 || len(f.components) != 6 {
				t.Fatalf("%s: %d pairs, %d components, %v", name, len(f.pairs), len(f.components), err)
			}
			if p := f.pairs[0]; p.low <= math.Log(1.8) && math.Log(1.8) <= p.high {
				held++
			}
		}
		share, se := float64(held)/float64(books), math.Sqrt(0.95*0.05/float64(books))
		t.Logf("%s, %d books: %.1f %% of the 95 %% intervals hold the truth", name, books, 100*share)
		if share < 0.95-3.7*se {
			t.Errorf("%s: %.3f of the intervals hold the truth, promised are 0.95", name, share)
		}
	}
}

// TestThreeLevelsOfCountsAreDoubted: where the practice differs from season to season the limits of all pairs hold the truth together in some 82 to 86 of
// 100 books for the 95 promised (-long tells), and each answer says that they may fall short. Two levels have no such doubt.
func TestThreeLevelsOfCountsAreDoubted(t *testing.T) {
	books := 1
	if *long {
		books = 100
	}
	truth := map[string]float64{"undisturbed": 0, "forked": 0.3, "double dug": 0.6}
	names := []string{"undisturbed", "forked", "double dug"}
	q := Question{Response: "count forked", What: "cultivation"}.normal()
	told := func(rows []row) (f fitted, doubted bool) {
		c := comparison{q: q, rows: rows, shape: choose(q, rows)}
		var err error
		if c.fit, c.plots, err = fitRows(q, c.shape, rows, 1); err != nil {
			t.Fatal(err)
		}
		c.counted(&finding.Finding{Estimates: []finding.Estimate{c.estimate("all", c.fit.pairs[0])}})
		return c.fit, slices.ContainsFunc(c.doubts, func(d finding.Doubt) bool {
			return d.Code == finding.FewUnits && strings.Contains(d.Says, "by crop and season comes out too small")
		})
	}
	r := rand.New(rand.NewPCG(9, 1))
	held := 0
	for range books {
		f, doubted := told(bookOfLevels(r, 0, 0.2, func() (string, float64) {
			level := names[r.IntN(3)]
			return level, truth[level]
		}))
		if !doubted {
			t.Error("three levels without the doubt")
		}
		if !slices.ContainsFunc(f.pairs, func(p pair) bool { d := truth[p.a] - truth[p.b]; return d < p.low || p.high < d }) {
			held++
		}
	}
	t.Logf("by season, three levels, %d books: all pairs hold the truth together in %d", books, held)
	if _, doubted := told(bookOfCounts(r, 1.8, 0, 0.2)); doubted {
		t.Error("two levels with the doubt")
	}
}

// TestManyPlantingsAreTold: past the bound the method says what the answer went without.
func TestManyPlantingsAreTold(t *testing.T) {
	if m := countMethod(shape{}, profiled); !strings.Contains(m, "profile limits widened") {
		t.Errorf("at the bound: %s", m)
	}
	for _, want := range []string{"standard error", strconv.Itoa(profiled), "nothing is left out"} {
		if m := countMethod(shape{}, profiled+1); !strings.Contains(m, want) {
			t.Errorf("past the bound, without %q: %s", want, m)
		}
	}
}

// TestHalvesAreTwoCells: the difference of two levels of a class on ±√½ of one effect varies as that of two cells with an effect each.
func TestHalvesAreTwoCells(t *testing.T) {
	if d := halves(false) - halves(true); math.Abs(d*d-2) > 1e-15 {
		t.Errorf("the difference varies %.15g times as one cell, want 2", d*d)
	}
	rows := bookOfCounts(rand.New(rand.NewPCG(3, 3)), 1.8, 0, 0)
	q := Question{Response: "count forked", What: "cultivation"}.normal()
	for _, g := range countGroups(choose(q, rows), rows) {
		if of, apart := strings.CutSuffix(g.Name, ":level"); apart && (len(g.By) != len(rows) || g.Levels != count(rows, factorOf[of])) {
			t.Errorf("%s: %d classes, a covariate in %d of %d rows", g.Name, g.Levels, len(g.By), len(rows))
		}
	}
}

// TestEachCropsOwnRatio: a crop on which the practice acts otherwise shows it in its own ratio, and one of which none were ever counted stands aside.
func TestEachCropsOwnRatio(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	rows := bookOfCounts(r, 1, 0, 0)
	for i := range rows {
		switch rows[i].crop {
		case "crop 0":
			rows[i].y = 6 + float64(r.IntN(4))
			if rows[i].level == "double dug" {
				rows[i].y *= 2
			}
		case "crop 1":
			rows[i].y = 0
		}
	}
	q := Question{Response: "count forked", What: "cultivation"}.normal()
	c := comparison{q: q, rows: rows, shape: choose(q, rows)}
	var err error
	if c.fit, _, err = fitRows(q, c.shape, rows, 1); err != nil {
		t.Fatal(err)
	}
	lead := c.estimate("all", c.fit.pairs[0])
	own := c.countsByCrop(c.cropsAtBoth(lead), lead)
	seen := map[string]bool{}
	for _, e := range own {
		seen[e.Of] = true
		if e.A != lead.A || e.B != lead.B || !(*e.Low < e.Value && e.Value < *e.High) {
			t.Errorf("%s: %s against %s, %.3g to %.3g, best %.3g", e.Of, e.A, e.B, *e.Low, *e.High, e.Value)
		}
		if e.Of == "crop 0" && (*e.Low < 1 || math.Abs(e.Value-2) > 0.5) {
			t.Errorf("twice as many were given %.3g times, from %.3g", e.Value, *e.Low)
		}
	}
	if len(own) != 11 || seen["crop 1"] || !seen["crop 0"] {
		t.Errorf("%d crops have a ratio of their own: %v", len(own), seen)
	}
}

func TestWordsOfCounts(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	rows := invented(r, 3, 6, 60, 3.5, 0.2)
	rows[0].partly = true // a picking was missed, which no count of roots is the worse for
	for response, want := range map[string]finding.Verdict{"count forked roots": finding.Worse, "count seedlings up": finding.Better, "count striped": ""} {
		c := comparison{q: Question{Response: response, What: "cultivation"}.normal(), rows: rows}
		c.shape = choose(c.q, rows)
		var err error
		if c.fit, c.plots, err = fitRows(c.q, c.shape, rows, 1); err != nil {
			t.Fatal(err)
		}
		f := c.told()
		if f.Verdict != want || !strings.Contains(f.Answer, "in 100 in double-dug beds against ") || !strings.Contains(f.Answer, "the share of "+subject(response)) {
			t.Errorf("%s: %q %s", response, f.Verdict, f.Answer)
		}
		for _, d := range f.Doubts {
			if d.Code == finding.HarvestIncomplete {
				t.Errorf("%s: a doubt about weights: %s", response, d.Says)
			}
		}
		shares := 0
		for _, e := range f.Estimates {
			if e.Kind == finding.Share && *e.Low < e.Value && e.Value < *e.High {
				shares++
			}
		}
		if shares != 2 {
			t.Errorf("%s: %d shares with limits, want one for each level", response, shares)
		}
	}
}

// TestNoneOfMany: none forked at one level and many at the other is an answer, not an error, and its limits are the model's.
func TestNoneOfMany(t *testing.T) {
	var rows []row
	for i := range 12 {
		level, y := "undisturbed", 0.0
		if i%2 == 1 {
			level, y = "double dug", 8
		}
		rows = append(rows, row{garden: "g", bed: fmt.Sprint("g/", i), season: 2020, crop: "carrot", level: level, y: y, n: 30, area: 4})
	}
	q := Question{Response: "count forked", What: "cultivation"}.normal()
	f, _, err := fitRows(q, choose(q, rows), rows, 1)
	if err != nil || len(f.pairs) != 1 {
		t.Fatalf("%d pairs, %v", len(f.pairs), err)
	}
	e := f.counts.ratio("all", f.pairs[0], q, f.method)
	if !finite(e.Value) || !finite(*e.Low) || !finite(*e.High) || *e.Low <= 1 || *e.Low > e.Value || e.Value > *e.High {
		t.Errorf("%.3g to %.3g, best %.3g", *e.Low, *e.High, e.Value)
	}
}

// TestGroupingsWithTheSameCellsCountOnce: with one planting in a bed the bed is the planting; both together have no spread of their own to find.
func TestGroupingsWithTheSameCellsCountOnce(t *testing.T) {
	rows := invented(rand.New(rand.NewPCG(3, 1)), 2, 6, 20, 2, 0.4)
	if g := countGroups(shape{random: []string{"bed", "bed:season", "garden:season", "garden"}}, rows); len(g) != 2 || g[0].Levels != 2 || g[1].Name != "planting" {
		t.Errorf("%d groupings", len(g))
	}
}

// TestCountColumnsAreIndependent: a garden that holds one level only leaves a column that the gardens explain; it is left out rather than refused.
func TestCountColumnsAreIndependent(t *testing.T) {
	rows := []row{{garden: "a", level: "x", n: 1}, {garden: "a", level: "y", n: 1}, {garden: "b", level: "z", n: 1}}
	x := countDesign(Question{}, shape{levels: []string{"x", "y", "z"}, reference: "x", fixed: []string{"garden"}}, rows)
	if _, has := x.level["z"]; has || x.matrix.Cols != 3 {
		t.Errorf("%d columns, levels %v", x.matrix.Cols, x.level)
	}
}
