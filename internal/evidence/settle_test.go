package evidence

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairplot/internal/plan"
	"fairplot/internal/practice"
)

// spreadRows invents rows with known variances on the log: gardens in seasons and beds differ, and plantings by what is left.
func spreadRows(beds, seasons int, bed, left float64) []row {
	r := rand.New(rand.NewPCG(2, 3))
	var rows []row
	for b := range beds {
		own := bed * r.NormFloat64()
		for s := range seasons {
			level := "undisturbed"
			if (b+s)%2 == 0 {
				level = "double dug"
			}
			rows = append(rows, row{garden: fmt.Sprint("g", b%3), bed: fmt.Sprint("g", b%3, "/", b), season: 2020 + s, crop: []string{"carrot", "leek"}[(b+s)/2%2], level: level,
				y: math.Exp(own + 0.3*float64(s) + left*r.NormFloat64()), area: 5})
		}
	}
	return rows
}

// TestTheRecordsOwnSpread: between beds the variances of bed and planting together, within beds that of the planting alone; both within four standard errors.
func TestTheRecordsOwnSpread(t *testing.T) {
	rows := spreadRows(60, 4, 0.2, 0.15)
	y, used := relative(rows, true)
	between := spreadOf(y, used, row.gardenSeason)
	in := spreadOf(y, used, func(r row) string { return r.bed })
	near := func(name string, got plan.Spread, want, df float64) {
		if got.DF < 100 || math.Abs(got.Variance-want) > 4*want*math.Sqrt(2/df) {
			t.Errorf("%s: %.4f on %g df, want about %.4f", name, got.Variance, got.DF, want)
		}
	}
	near("between beds", between, 0.2*0.2+0.15*0.15, 60) // as sure as the 60 beds make it
	near("within beds", in, 0.15*0.15, in.DF)
}

func TestFewRecordsBorrowASpread(t *testing.T) {
	for _, beds := range []int{3, 30} {
		c := comparison{q: Question{What: practice.Cultivation}.normal(), rows: spreadRows(beds, 2, 0.2, 0.15)}
		var w plan.Wanted
		c.spreads(&w)
		if own := w.Beds.Source == ""; own != (beds == 30) || w.Beds.DF < plan.LeastDF {
			t.Errorf("%d beds: spread from %q on %g df", beds, w.Beds.Source, w.Beds.DF)
		}
	}
}

// TestWaysReadAsAPlotGetsThem: every practice that a lot can deal out has words for its levels, every other says why not.
func TestWaysReadAsAPlotGetsThem(t *testing.T) {
	for _, c := range []struct {
		what        practice.Name
		level, want string
	}{
		{practice.Cultivation, "double dug", "double dug"}, {practice.Compost, "10 to 25 L/m²", "with 10 to 25 L/m² of compost"}, {practice.Compost, "none", "without compost"},
		{practice.Spacing, "close", "set close"}, {practice.Spacing, "usual", "at the usual spacing"}, {practice.Variety, "Amber", "of Amber"},
		{practice.Cover, "fleece", "under fleece"}, {practice.Cover, "bare", "bare"}, {practice.SowingDay, "before April", "started before April"},
		{practice.Water, "1 to 3 mm/day", "given 1 to 3 mm/day of water"}, {practice.Water, "none", "without water"},
	} {
		if got := way(c.what, c.level); got != c.want {
			t.Errorf("%s %q: %q, want %q", c.what, c.level, got, c.want)
		}
	}
	for _, what := range []practice.Name{Gardens, practice.Rain, practice.WorkTime, practice.PreviousFamily, practice.Residual(practice.Compost)} {
		if why := undealt(what); len(why) < 40 || strings.Contains(why, "%!") {
			t.Errorf("%s: %q", what, why)
		}
	}
	if undealt(practice.Compost) != "" {
		t.Error("compost can be dealt out")
	}
}
