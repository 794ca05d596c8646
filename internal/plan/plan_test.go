package plan_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/num/dist"
	. "fairplot/internal/plan"
)

// row is one value of testdata/power.csv: R's noncentral t and F (source and quantity stand in the file).
type row struct {
	kind, quantity string
	value          float64
}

func published(t *testing.T, kind string) []row {
	t.Helper()
	f, err := os.Open("testdata/power.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []row
	for _, l := range lines[1:] {
		v, err := strconv.ParseFloat(l[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		if l[0] == kind {
			out = append(out, row{l[0], l[1], v})
		}
	}
	return out
}

// known is a spread that is known without error, as published tables take it to be.
func known(variance float64) Spread { return Spread{Variance: variance, DF: math.Inf(1)} }

func TestPowerOfPairs(t *testing.T) {
	n := 0
	for _, r := range published(t, "paired") {
		var pairs int
		var d float64
		if _, err := fmt.Sscanf(r.quantity, "power n=%d pairs d=delta/sd(diff)=%g", &pairs, &d); err != nil {
			continue // rows of pairs needed, which are no whole numbers
		}
		n++
		// the variance of a difference of two plots is twice that of one
		if got := known(0.5).Power(2, pairs, d, 0.05); math.Abs(got-r.value) > 1e-9 {
			t.Errorf("%s: %.10f, want %.10f", r.quantity, got, r.value)
		}
	}
	if n < 5 {
		t.Fatalf("only %d rows were read", n)
	}
}

func TestPowerOfBlocks(t *testing.T) {
	n := 0
	for _, r := range published(t, "blocks") {
		var ways, blocks int
		var d float64
		if _, err := fmt.Sscanf(r.quantity, "power of F, t=%d r=%d, two extreme means delta=%g sigma", &ways, &blocks, &d); err != nil {
			t.Fatal(err)
		}
		if ways != 2 {
			continue // the F of several ways is not the test of one pair
		}
		n++
		if got := known(1).Power(2, blocks, d, 0.05); math.Abs(got-r.value) > 1e-9 {
			t.Errorf("%s: %.10f, want %.10f", r.quantity, got, r.value)
		}
	}
	if n < 20 {
		t.Fatalf("only %d rows were read", n)
	}
}

// TestFewestBlocks: the fewest blocks for a planned pair, CV and difference in % of the mean, and the power there.
func TestFewestBlocks(t *testing.T) {
	fewest := map[string]int{}
	n := 0
	for _, r := range published(t, "fewest") {
		_, what, _ := strings.Cut(r.quantity, "t=")
		var ways int
		var cv, d float64
		if _, err := fmt.Sscanf(what, "%d CV=%g%% difference=%g%%", &ways, &cv, &d); err != nil {
			t.Fatalf("%s: %v", r.quantity, err)
		}
		key := fmt.Sprint(ways, cv, d)
		power := func(blocks int) float64 { return known(cv*cv).Power(ways, blocks, d, 0.05) }
		if strings.HasPrefix(r.quantity, "min") {
			if !strings.Contains(r.quantity, ">=.8") {
				continue
			}
			fewest[key] = int(r.value)
			n++
			if b := int(r.value); power(b) < 0.8 || b > 2 && power(b-1) >= 0.8 {
				t.Errorf("%s: power %.4f with %d blocks and %.4f with one fewer", r.quantity, power(b), b, power(b-1))
			}
		} else if b, ok := fewest[key]; ok && math.Abs(power(b)-r.value) > 1e-9 {
			t.Errorf("%s: %.10f, want %.10f", r.quantity, power(b), r.value)
		}
	}
	if n < 20 {
		t.Fatalf("only %d rows were read", n)
	}
}

// TestPowerInTheMeanOverTheSpread draws variances and trials from a fixed seed and counts; 20,000 trials tell the share to within four standard errors of 0.35 %.
func TestPowerInTheMeanOverTheSpread(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const trials, blocks, df, delta = 20000, 8, 10, 0.3
	s := Spread{Variance: 0.03, DF: df}
	limit := dist.TUpperQuantile(0.025, blocks-1)
	hits := 0
	for range trials {
		sd := math.Sqrt(2 * s.Variance * df / chiSquared(r, df))
		mean := delta + sd/math.Sqrt(blocks)*r.NormFloat64()
		se := sd * math.Sqrt(chiSquared(r, blocks-1)/(blocks-1)/blocks)
		if math.Abs(mean) > limit*se {
			hits++
		}
	}
	got, share := s.Power(2, blocks, delta, 0.05), float64(hits)/trials
	if math.Abs(got-share) > 4*math.Sqrt(share*(1-share)/trials) {
		t.Errorf("power %.4f, counted %.4f", got, share)
	}
	if sure := known(0.03).Power(2, blocks, delta, 0.05); got >= sure {
		t.Errorf("not knowing the spread must cost power above one half: %.4f against %.4f", got, sure)
	}
}

func chiSquared(r *rand.Rand, df int) float64 {
	sum := 0.0
	for range df {
		z := r.NormFloat64()
		sum += z * z
	}
	return sum
}

// ground is a garden of so many beds of 6 m².
func ground(name string, beds int) Ground {
	g := Ground{Garden: name}
	for i := range beds {
		g.Beds = append(g.Beds, Bed{Name: fmt.Sprint(i + 1), Area: 6})
	}
	return g
}

func wanted(variance float64) Wanted {
	return Wanted{Ways: []string{"double dug", "undisturbed"}, Matters: 0.25, Confidence: 0.95, Beds: known(variance)}
}

func TestTheSmallestTrialHasThePowerAndOneSmallerHasNot(t *testing.T) {
	for _, variance := range []float64{0.004, 0.01, 0.02, 0.04} {
		w := wanted(variance)
		trial, ok := Find([]Ground{ground("terrace", 12), ground("lane", 20)}, w)
		if !ok {
			t.Fatalf("variance %g: no trial", variance)
		}
		s := w.Beds
		if trial.Design == SplitBeds {
			s = s.Part(2)
		}
		total := trial.Blocks * trial.Seasons
		delta := math.Log(1.25)
		if p := s.Power(2, total, delta, 0.05); p < 0.8 || math.Abs(p-trial.Power) > 1e-12 {
			t.Errorf("variance %g: power %.3f, said %.3f", variance, p, trial.Power)
		}
		if total > 6 && s.Power(2, total-1, delta, 0.05) >= 0.8 {
			t.Errorf("variance %g: one block fewer would do", variance)
		}
		if total < 6 {
			t.Errorf("variance %g: %d pairs cannot be rarer by lot than 1 in %g", variance, total, math.Pow(2, float64(total-1)))
		}
	}
}

func TestMoreSpreadNeedsMorePlots(t *testing.T) {
	before := 0
	for _, variance := range []float64{0.01, 0.02, 0.03, 0.05} {
		trial, ok := Find([]Ground{ground("terrace", 40)}, wanted(variance))
		if !ok || trial.Plots()*trial.Seasons < before {
			t.Fatalf("variance %g: %v plots after %d", variance, trial.Plots(), before)
		}
		before = trial.Plots() * trial.Seasons
	}
}

// TestDetectableIsWhatPowerSays: at the difference that so many blocks could detect, their power is what was wanted; the difference is found to 0.1 %, the power
// with it to 1 %.
func TestDetectableIsWhatPowerSays(t *testing.T) {
	for _, blocks := range []int{6, 10, 24} {
		w := wanted(0.03)
		x := w.Detectable(Blocks, blocks)
		if p := w.Beds.Power(2, blocks, math.Log1p(x), 0.05); math.Abs(p-DefaultPower) > 0.01 {
			t.Errorf("%d blocks: power %.4f at the %.3f they could detect", blocks, p, x)
		}
	}
}

func TestEveryBlockHoldsEveryWay(t *testing.T) {
	for _, design := range []Design{SplitBeds, Blocks} {
		trial := Trial{Design: design, Ground: ground("terrace", 12), Ways: []string{"a", "b", "c"}, Blocks: 4, Seasons: 3}
		plots, err := trial.Draw(5)
		if err != nil || len(plots) != 36 {
			t.Fatalf("%s: %d plots, %v", design, len(plots), err)
		}
		again, _ := trial.Draw(5)
		other, _ := trial.Draw(6)
		if fmt.Sprint(plots) != fmt.Sprint(again) || fmt.Sprint(plots) == fmt.Sprint(other) {
			t.Errorf("%s: a seed must fix the layout, and another give another", design)
		}
		seen, at := map[string]int{}, map[string]int{}
		for _, p := range plots {
			seen[fmt.Sprint(p.Season, p.Block, p.Way)]++
			at[fmt.Sprint(p.Season, p.Bed, p.Part)]++
		}
		if len(seen) != 36 || len(at) != 36 {
			t.Errorf("%s: %d ways in blocks and %d pieces of ground, want 36 each", design, len(seen), len(at))
		}
	}
}

func TestWordsOfTheSmallestTrial(t *testing.T) {
	w := wanted(0.05)
	w.Halves = known(0.03)
	s, ok := Smallest([]Ground{ground("terrace", 12)}, w)
	want := "Six beds of yours in terrace, each cut in half, one half double dug and one undisturbed, for two seasons, drawn by lot. If the difference is really 25 %"
	if !ok || !strings.HasPrefix(s.Says, want) {
		t.Errorf("%v %q", ok, s.Says)
	}
	// a trial that leaves beds free says what they could add; more blocks show smaller differences
	if !strings.Contains(s.Says, "All twelve beds there, used so for as long, would show ") || w.Detectable(SplitBeds, 24) >= w.Detectable(SplitBeds, 12) {
		t.Errorf("%q", s.Says)
	}
	w = wanted(0.01)
	if s, ok := Smallest([]Ground{ground("terrace", 12)}, w); !ok || !strings.Contains(s.Says, "taken in pairs of neighbours, one bed double dug and one undisturbed") {
		t.Errorf("%v %q", ok, s.Says)
	}
	poor, ok := Smallest([]Ground{ground("terrace", 3)}, wanted(0.3))
	if !ok || poor.Plots != 0 || !strings.HasPrefix(poor.Says, "Even all three beds in terrace") {
		t.Errorf("%v %q", ok, poor.Says)
	}
	if s, ok := Smallest(nil, wanted(0.01)); ok {
		t.Errorf("no ground, and yet %q", s.Says)
	}
	w = wanted(0)
	w.Beds = Borrowed("carrot", 6)
	if s, ok := Smallest([]Ground{ground("terrace", 12)}, w); !ok || !strings.Contains(s.Says, "MOORE1956") {
		t.Errorf("a borrowed spread must be marked: %q", s.Says)
	}
}

// TestSmithsLaw: in the rice example of R package agricolae the variance per unit falls from 9044.539 on 1 unit to 4552.791 on 36, b = 0.19; the law with b = 0.5 must
// fall faster, and areas must work both ways.
func TestSmithsLaw(t *testing.T) {
	s := Spread{Variance: 0.04, DF: 12, Area: 4}
	if got := s.On(16).Variance; math.Abs(got-0.02) > 1e-15 {
		t.Errorf("four times the area: %g, want half of 0.04", got)
	}
	if back := s.On(16).On(4); math.Abs(back.Variance-0.04) > 1e-15 {
		t.Errorf("there and back: %g", back.Variance)
	}
	if half, two := s.Part(2), s.On(2); math.Abs(half.Variance-two.Variance) > 1e-15 || half.Area != 2 {
		t.Errorf("a half is plots of half the area: %v, %v", half, two)
	}
}
