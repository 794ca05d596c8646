package glmm_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/num/dense"
	. "fairplot/internal/num/glmm"
)

// salamanders are 360 crosses of two populations with crossed random females and males, McCullagh & Nelder (1989),
// Generalized Linear Models, sec. 14.5, the three experiments with animals of their own each.
func salamanders(t testing.TB) Data {
	c := table(t, "salamander.csv")
	n := len(c["mated"])
	d := Data{X: dense.New(n, 4), Groups: []Grouping{{Name: "female", Levels: 60}, {Name: "male", Levels: 60}}}
	for i := range n {
		d.Success, d.Trials = append(d.Success, float64(c["mated"][i])), append(d.Trials, 1)
		f, m := c["female"][i]-1, c["male"][i]-1
		cross := 0 // rough butt with rough butt; then female rough butt, male whiteside; the reverse; both whiteside
		if f >= 10 {
			cross += 2
		}
		if m >= 10 {
			cross++
		}
		d.X.Set(i, cross, 1)
		shift := 20 * (c["experiment"][i] - 1)
		d.Groups[0].Of = append(d.Groups[0].Of, int32(f+shift))
		d.Groups[1].Of = append(d.Groups[1].Of, int32(m+shift))
	}
	return d
}

// TestCrossedGroupings: lme4's glmer by Laplace, mated ~ 0 + cross + (1|female) + (1|male): effects 1.0082, 0.3062, -1.8960,
// 0.9904, variances 1.174 and 1.041 (from memory, as widely printed).
func TestCrossedGroupings(t *testing.T) {
	m := fit(t, salamanders(t), 1)
	for j, want := range []float64{1.0082, 0.3062, -1.8960, 0.9904} {
		near(t, "effect", m.Beta[j], want, 6e-5)
	}
	near(t, "females", m.Spread[0].SD*m.Spread[0].SD, 1.174, 6e-4)
	near(t, "males", m.Spread[1].SD*m.Spread[1].SD, 1.041, 6e-4)
}

// simulated lays beds in gardens over seasons, each planting with its trials, and a treatment by bed.
func simulated(r *rand.Rand, gardens, beds, seasons, trials int, effect, sdGarden, sdBed float64) Data {
	n := gardens * beds * seasons
	d := Data{X: dense.New(n, 2), Groups: []Grouping{{Name: "garden", Levels: gardens}, {Name: "garden:bed", Levels: gardens * beds}}}
	i := 0
	for g := range gardens {
		ug := sdGarden * r.NormFloat64()
		for b := range beds {
			ub := sdBed * r.NormFloat64()
			for range seasons {
				eta := -0.5 + effect*float64(b%2) + ug + ub
				y := 0.0
				for range trials {
					if r.Float64() < 1/(1+math.Exp(-eta)) {
						y++
					}
				}
				d.Success, d.Trials = append(d.Success, y), append(d.Trials, float64(trials))
				d.X.Set(i, 0, 1)
				d.X.Set(i, 1, float64(b%2))
				d.Groups[0].Of, d.Groups[1].Of = append(d.Groups[0].Of, int32(g)), append(d.Groups[1].Of, int32(g*beds+b))
				i++
			}
		}
	}
	return d
}

// TestCoverage: 95 % profile limits of a log odds ratio laid on beds. Maximum likelihood makes the spread between beds too small
// with few of them, so coverage falls short of nominal: the floor of 0.90 at 16 beds was fixed before running.
func TestCoverage(t *testing.T) {
	runs := 60
	if *long {
		runs = 1000
	}
	r := rand.New(rand.NewPCG(5, 5))
	const effect = 0.8
	hits := 0
	for range runs {
		m, err := Fit(simulated(r, 4, 4, 3, 12, effect, 0.5, 0.7), Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := m.Profile([]float64{0, 1}, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if p.Low <= effect && effect <= p.High {
			hits++
		}
	}
	share := float64(hits) / float64(runs)
	t.Logf("coverage %.3f of nominal 0.95 in %d runs", share, runs)
	if share < 0.90-3*math.Sqrt(0.9*0.1/float64(runs)) {
		t.Errorf("coverage %.3f", share)
	}
}
