package resample_test

import (
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	. "fairplot/internal/num/resample"
)

var long = flag.Bool("long", false, "run the long simulations")

func stream(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

// table reads a CSV file of testdata by column.
func table(t testing.TB, name string) map[string][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for j, h := range rows[0] {
		for _, r := range rows[1:] {
			out[h] = append(out[h], r[j])
		}
	}
	return out
}

func numbers(t testing.TB, s []string) []float64 {
	t.Helper()
	out := make([]float64, len(s))
	for i, v := range s {
		var err error
		if out[i], err = strconv.ParseFloat(v, 64); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// codes numbers the distinct texts in order of appearance.
func codes(s []string) []int32 {
	index := map[string]int32{}
	out := make([]int32, len(s))
	for i, v := range s {
		if _, ok := index[v]; !ok {
			index[v] = int32(len(index))
		}
		out[i] = index[v]
	}
	return out
}

func joined(a, b []string) []string {
	out := make([]string, len(a))
	for i := range a {
		out[i] = a[i] + "/" + b[i]
	}
	return out
}

func must(t testing.TB, p Plan, s Statistic, o Options) Result {
	t.Helper()
	r, err := Randomise(p, s, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// pairs lays differences out as pairs: treatment 1 has d, treatment 0 has nothing.
func pairs(d []float64) ([]float64, Plan) {
	var y []float64
	var p Plan
	for i, v := range d {
		y = append(y, v, 0)
		p.Treatment = append(p.Treatment, 1, 0)
		p.Block = append(p.Block, int32(i), int32(i))
	}
	return y, p
}

func tomato() ([]float64, Plan) {
	// Box, Hunter & Hunter (1978), Statistics for Experimenters, ch. 4: pounds of tomatoes, fertilisers A and B.
	y := []float64{29.9, 11.4, 25.3, 16.5, 21.1, 26.6, 23.7, 28.5, 14.2, 17.9, 24.3}
	return y, Plan{Treatment: []int32{0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1}}
}

func TestPublishedRandomisationTests(t *testing.T) {
	darwin, darwinPlan := pairs(numbers(t, table(t, "darwin.csv")["y"]))
	boys := table(t, "shoes.csv")
	a, b := numbers(t, boys["A"]), numbers(t, boys["B"])
	d := make([]float64, len(a))
	for i := range a {
		d[i] = b[i] - a[i]
	}
	shoes, shoesPlan := pairs(d)
	tom, tomPlan := tomato()
	pg := table(t, "plantgrowth.csv")
	keep := func(s []string) []string { return slices.Concat(s[:10], s[20:]) }
	growth, growthPlan := numbers(t, keep(pg["weight"])), Plan{Treatment: codes(keep(pg["group"]))}
	tea := []float64{1, 1, 1, 0, 1, 0, 0, 0}
	teaPlan := Plan{Treatment: []int32{1, 1, 1, 1, 0, 0, 0, 0}}

	for _, c := range []struct {
		source       string
		y            []float64
		plan         Plan
		tail         Tail
		all          float64
		above, equal int
		p            float64
	}{
		{"Fisher (1935), The Design of Experiments, sec. 21: 1726 of 32768", darwin, darwinPlan, TwoSided, 32768, -1, -1, 1726. / 32768},
		{"Fisher (1935), sec. 21: 835 above, 28 equal", darwin, darwinPlan, Greater, 32768, 835, 28, 863. / 32768},
		{"Box, Hunter & Hunter, boys' shoes: (3 + 4/2)/1024", shoes, shoesPlan, Greater, 1024, 3, 4, 7. / 1024},
		{"the same, both sides", shoes, shoesPlan, TwoSided, 1024, -1, -1, 14. / 1024},
		{"Box, Hunter & Hunter, tomatoes: 154 of 462", tom, tomPlan, Greater, 462, 151, 3, 154. / 462},
		{"the same, both sides, R", tom, tomPlan, TwoSided, 462, -1, -1, 0.66017316017316},
		{"PlantGrowth, control and second treatment, R: 8930 of 184756", growth, growthPlan, TwoSided, 184756, -1, -1, 8930. / 184756},
		{"Fisher (1935), the lady tasting tea: 17 of 70", tea, teaPlan, Greater, 70, 1, 16, 17. / 70},
	} {
		r := must(t, c.plan, Difference(c.y, c.plan.Treatment, 1, 0, c.tail), Options{})
		if !r.Exact || r.Arrangements != c.all || float64(r.Counted) != c.all {
			t.Errorf("%s: %g arrangements, %d counted, exact %v; want all %g", c.source, r.Arrangements, r.Counted, r.Exact, c.all)
		}
		if math.Abs(r.P-c.p) > 1e-13 {
			t.Errorf("%s: p %.15g, want %.15g", c.source, r.P, c.p)
		}
		if c.above >= 0 && (r.Above != c.above || r.Equal != c.equal) {
			t.Errorf("%s: %d above and %d equal, want %d and %d", c.source, r.Above, r.Equal, c.above, c.equal)
		}
		if r.P < r.Smallest {
			t.Errorf("%s: p %g below the smallest possible %g", c.source, r.P, r.Smallest)
		}
	}
}

func TestMidP(t *testing.T) {
	y, p := tomato()
	r := must(t, p, Difference(y, p.Treatment, 1, 0, Greater), Options{})
	if want := 0.33008658008658; math.Abs(r.MidP-want) > 1e-13 { // R, one-sided mid-p of the tomatoes
		t.Errorf("mid-p %.15g, want %.15g", r.MidP, want)
	}
}

func TestSmallestP(t *testing.T) {
	square := func(k int) Plan {
		var p Plan
		for i := range k {
			for j := range k {
				p.Treatment = append(p.Treatment, int32((i+j)%k))
				p.Row, p.Column = append(p.Row, int32(i)), append(p.Column, int32(j))
			}
		}
		return p
	}
	blocks := func(k, b int) Plan {
		var p Plan
		for i := range k * b {
			p.Treatment, p.Block = append(p.Treatment, int32(i%k)), append(p.Block, int32(i/k))
		}
		return p
	}
	y := func(p Plan) []float64 {
		r := stream(3)
		out := make([]float64, len(p.Treatment))
		for i := range out {
			out[i] = r.NormFloat64()
		}
		return out
	}
	for _, c := range []struct {
		what string
		plan Plan
		f    bool
		tail Tail
		want float64
	}{
		{"three pairs, both sides", blocks(2, 3), false, TwoSided, 2. / 8},
		{"three pairs, one side", blocks(2, 3), false, Greater, 1. / 8},
		{"three pairs, F", blocks(2, 3), true, TwoSided, 2. / 8},
		{"five pairs", blocks(2, 5), false, TwoSided, 2. / 32},
		{"six pairs", blocks(2, 6), false, TwoSided, 2. / 64},
		{"3 treatments in 3 blocks, F", blocks(3, 3), true, TwoSided, 6. / 216},
		{"3 treatments in 3 blocks, one pair", blocks(3, 3), false, TwoSided, 2. / 216},
		{"square of 3, F: the squares are 12, all one by exchange of letters", square(3), true, TwoSided, 6. / 12},
		// The cyclic square of order 4 has 432 of the 576 squares in its isotopy class (Dénes & Keedwell 1974).
		{"square of 4, F", square(4), true, TwoSided, 24. / 432},
	} {
		v := y(c.plan)
		s := Difference(v, c.plan.Treatment, 1, 0, c.tail)
		if c.f {
			var err error
			if s, err = TreatmentF(v, c.plan); err != nil {
				t.Fatal(c.what, err)
			}
		}
		r := must(t, c.plan, s, Options{})
		if math.Abs(r.Smallest-c.want) > 1e-15 {
			t.Errorf("%s: smallest p %g, want %g", c.what, r.Smallest, c.want)
		}
	}
}

// TestSmallestPIsReached lays yields out so that the observed arrangement is the most extreme one.
func TestSmallestPIsReached(t *testing.T) {
	y, p := pairs([]float64{1, 2.3, 4.1})
	for tail, want := range map[Tail]float64{TwoSided: 0.25, Greater: 0.125} {
		r := must(t, p, Difference(y, p.Treatment, 1, 0, tail), Options{})
		if r.P != want || r.Smallest != want {
			t.Errorf("tail %d: p %g, smallest %g, want both %g", tail, r.P, r.Smallest, want)
		}
	}
}

func TestTreatmentFAgainstTables(t *testing.T) {
	oats := table(t, "oats.csv")
	whole := codes(joined(oats["Block"], oats["Variety"]))
	orchard := table(t, "orchardsprays.csv")
	penicillin := []float64{89, 88, 97, 94, 84, 77, 92, 79, 81, 87, 87, 85, 87, 92, 89, 84, 79, 81, 80, 88}
	var blend, way []int32
	for i := range penicillin {
		blend, way = append(blend, int32(i/4)), append(way, int32(i%4))
	}
	for _, c := range []struct {
		source string
		y      []float64
		plan   Plan
		want   float64
		tol    float64
	}{
		{"Yates (1935) oats, varieties on whole plots", numbers(t, oats["yield"]),
			Plan{Treatment: codes(oats["Variety"]), Unit: whole, Block: codes(oats["Block"])}, 1.48534037943634, 1e-11},
		{"Finney (1947) orchard sprays, 8 x 8 square, R lm", numbers(t, orchard["decrease"]),
			Plan{Treatment: codes(orchard["treatment"]), Row: codes(orchard["rowpos"]), Column: codes(orchard["colpos"])}, 21.066700922364, 1e-11},
		{"Box, Hunter & Hunter, penicillin: SS 70 and 226 on 3 and 12 df", penicillin,
			Plan{Treatment: way, Block: blend}, (70. / 3) / (226. / 12), 1e-12},
	} {
		s, err := TreatmentF(c.y, c.plan)
		if err != nil {
			t.Fatal(c.source, err)
		}
		if got := s.Value(c.plan.Treatment); math.Abs(got-c.want) > c.tol*c.want {
			t.Errorf("%s: F %.14g, want %.14g", c.source, got, c.want)
		}
	}
}

// TestFWithUnequalBlocks compares with two nested least-squares fits solved here by brute force.
func TestFWithUnequalBlocks(t *testing.T) {
	p := Plan{Treatment: []int32{0, 1, 2, 0, 1, 1, 2, 0, 2, 2}, Block: []int32{0, 0, 0, 1, 1, 1, 2, 2, 2, 2}}
	r := stream(9)
	y := make([]float64, 10)
	for i := range y {
		y[i] = r.NormFloat64() + float64(p.Treatment[i])
	}
	small, large := residual(y, p.Block), residual(y, p.Block, p.Treatment)
	want := (small - large) / 2 / (large / 5)
	s, err := TreatmentF(y, p)
	if err != nil {
		t.Fatal(err)
	}
	if got := s.Value(p.Treatment); math.Abs(got-want) > 1e-9*want {
		t.Errorf("F %.12g, want %.12g", got, want)
	}
}

// residual sweeps factors out in turn until nothing changes (backfitting), and returns the sum of squares left.
func residual(y []float64, factors ...[]int32) float64 {
	e := slices.Clone(y)
	for range 5000 {
		for _, f := range factors {
			sum, n := map[int32]float64{}, map[int32]float64{}
			for i, l := range f {
				sum[l] += e[i]
				n[l]++
			}
			for i, l := range f {
				e[i] -= sum[l] / n[l]
			}
		}
	}
	ss := 0.0
	for _, v := range e {
		ss += v * v
	}
	return ss
}

func TestDrawnAgreesWithCounted(t *testing.T) {
	darwin, plan := pairs(numbers(t, table(t, "darwin.csv")["y"]))
	s := Difference(darwin, plan.Treatment, 1, 0, TwoSided)
	exact := must(t, plan, s, Options{})
	drawn := must(t, plan, s, Options{Limit: 1, Draws: 20_000, Rand: stream(5)})
	if drawn.Exact || drawn.Error == 0 || !math.IsNaN(drawn.MidP) {
		t.Fatalf("%+v is not a drawn test", drawn)
	}
	if math.Abs(drawn.P-exact.P) > 4*drawn.Error {
		t.Errorf("drawn p %g ± %g, counted %g", drawn.P, drawn.Error, exact.P)
	}
	if want := float64(drawn.Above+drawn.Equal+1) / 20_001; drawn.P != want {
		t.Errorf("p %g is not (b+1)/(m+1) = %g", drawn.P, want)
	}
	again := must(t, plan, s, Options{Limit: 1, Draws: 20_000, Rand: stream(5)})
	if again.P != drawn.P {
		t.Error("the same seed gave another p")
	}
}

func TestSquareDrawnAgreesWithCounted(t *testing.T) {
	var p Plan
	var y []float64
	r := stream(8)
	for i := range 16 {
		p.Treatment = append(p.Treatment, int32((i/4)^(i%4)))
		p.Row, p.Column = append(p.Row, int32(i/4)), append(p.Column, int32(i%4))
		y = append(y, r.NormFloat64()+float64(p.Treatment[i])*0.5)
	}
	for name, s := range map[string]Statistic{"difference": Difference(y, p.Treatment, 3, 0, TwoSided), "F": f(t, y, p)} {
		exact := must(t, p, s, Options{})
		drawn := must(t, p, s, Options{Limit: 1, Draws: 4000, Rand: stream(2)})
		if exact.Arrangements != 144 { // the other isotopy class of order 4: 576 - 432
			t.Errorf("%s: %g squares, want 144", name, exact.Arrangements)
		}
		if !exact.Exact || math.Abs(drawn.P-exact.P) > 4*drawn.Error {
			t.Errorf("%s: drawn %g ± %g, counted %g", name, drawn.P, drawn.Error, exact.P)
		}
	}
}

func f(t testing.TB, y []float64, p Plan) Statistic {
	t.Helper()
	s, err := TreatmentF(y, p)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestEveryArrangementOnce collects what is visited.
func TestEveryArrangementOnce(t *testing.T) {
	plans := map[string]Plan{
		"blocks of unequal treatments": {Treatment: []int32{7, 7, 3, 3, 5, 7}, Block: []int32{0, 0, 0, 1, 1, 1}},
		"whole plots": {Treatment: []int32{0, 0, 1, 1, 1, 1, 0, 0}, Unit: []int32{0, 0, 1, 1, 2, 2, 3, 3},
			Block: []int32{0, 0, 0, 0, 1, 1, 1, 1}},
		"square": {Treatment: []int32{0, 1, 2, 1, 2, 0, 2, 0, 1}, Row: []int32{0, 0, 0, 1, 1, 1, 2, 2, 2}, Column: []int32{0, 1, 2, 0, 1, 2, 0, 1, 2}},
	}
	for name, p := range plans {
		seen := map[string]int{}
		spy := Statistic{Value: func(tr []int32) float64 {
			seen[fmt.Sprint(tr)]++
			return 0
		}}
		r := must(t, p, spy, Options{})
		seen[fmt.Sprint(p.Treatment)]-- // the look at the observed arrangement
		if float64(len(seen)) != r.Arrangements {
			t.Errorf("%s: %d distinct arrangements visited, %g promised", name, len(seen), r.Arrangements)
		}
		for arrangement, n := range seen {
			if n != r.Counted/len(seen) {
				t.Errorf("%s: %s visited %d times of %d", name, arrangement, n, r.Counted)
			}
		}
	}
}

// TestLevelIsHeld takes every arrangement in turn as the observed one on fixed ground: a share a of them at most
// may get p <= a.
func TestLevelIsHeld(t *testing.T) {
	r := stream(4)
	p := Plan{Treatment: []int32{0, 1, 2, 0, 1, 2, 0, 1, 2}, Block: []int32{0, 0, 0, 1, 1, 1, 2, 2, 2}}
	y := make([]float64, 9)
	for i := range y {
		y[i] = r.ExpFloat64() * float64(i+1)
	}
	var ps []float64
	collect := Statistic{Value: func(tr []int32) float64 {
		q := p
		q.Treatment = slices.Clone(tr)
		ps = append(ps, must(t, q, f(t, y, q), Options{}).P)
		return 0
	}}
	must(t, p, collect, Options{})
	ps = ps[1:] // the first is the observed arrangement itself
	for _, level := range []float64{0.03, 0.05, 0.1, 0.25, 0.5} {
		n := 0
		for _, v := range ps {
			if v <= level+1e-12 {
				n++
			}
		}
		if share := float64(n) / float64(len(ps)); share > level {
			t.Errorf("%.3f of the arrangements have p <= %g", share, level)
		}
	}
	if len(ps) != 216 {
		t.Errorf("%d arrangements, want 6^3", len(ps))
	}
}

func TestOrderAndScaleOfRowsChangeNothing(t *testing.T) {
	oats := table(t, "oats.csv")
	y := numbers(t, oats["yield"])
	p := Plan{Treatment: codes(oats["Variety"]), Unit: codes(joined(oats["Block"], oats["Variety"])), Block: codes(oats["Block"])}
	want := must(t, p, f(t, y, p), Options{})
	perm := stream(1).Perm(len(y))
	q, z := Plan{}, []float64{}
	for _, i := range perm {
		z = append(z, 1e-6*y[i]-3e-4)
		q.Treatment, q.Unit, q.Block = append(q.Treatment, p.Treatment[i]+10), append(q.Unit, p.Unit[i]), append(q.Block, p.Block[i])
	}
	got := must(t, q, f(t, z, q), Options{})
	if got.P != want.P || got.Equal != want.Equal {
		t.Errorf("p %g became %g by reordering and rescaling", want.P, got.P)
	}
	if want.Arrangements != 46656 || !want.Exact { // 6 blocks of 3 whole plots: 6^6
		t.Errorf("%g arrangements, want 46656", want.Arrangements)
	}
}

func TestPlansThatCannotBe(t *testing.T) {
	y := []float64{1, 2, 3, 4}
	for name, p := range map[string]Plan{
		"no rows":                {},
		"a block for some":       {Treatment: []int32{0, 1, 0, 1}, Block: []int32{0}},
		"two treatments a unit":  {Treatment: []int32{0, 1, 0, 1}, Unit: []int32{0, 0, 1, 1}},
		"a unit in two blocks":   {Treatment: []int32{0, 0, 1, 1}, Unit: []int32{0, 0, 1, 1}, Block: []int32{0, 1, 1, 1}},
		"no square":              {Treatment: []int32{0, 0, 1, 1}, Row: []int32{0, 0, 1, 1}, Column: []int32{0, 1, 0, 1}},
		"rows without columns":   {Treatment: []int32{0, 1, 1, 0}, Row: []int32{0, 0, 1, 1}},
		"two plots on one place": {Treatment: []int32{0, 1, 1, 0}, Row: []int32{0, 0, 0, 1}, Column: []int32{0, 1, 1, 1}},
		"square with blocks":     {Treatment: []int32{0, 1, 1, 0}, Row: []int32{0, 0, 1, 1}, Column: []int32{0, 1, 0, 1}, Block: []int32{0, 0, 0, 0}},
	} {
		if _, err := Randomise(p, Statistic{Value: func([]int32) float64 { return 0 }}, Options{}); err == nil {
			t.Errorf("%s: accepted", name)
		}
		if _, err := TreatmentF(y, p); err == nil {
			t.Errorf("%s: F accepted", name)
		}
	}
	flat := Plan{Treatment: []int32{0, 1, 0, 1}, Block: []int32{0, 0, 1, 1}}
	if _, err := Randomise(flat, f(t, []float64{5, 5, 5, 5}, flat), Options{}); err == nil {
		t.Error("constant values: accepted")
	}
	if _, err := TreatmentF([]float64{1, math.NaN(), 2, 3}, flat); err == nil {
		t.Error("a missing value: accepted")
	}
	if _, err := TreatmentF(y, Plan{Treatment: []int32{0, 0, 1, 1}, Block: []int32{0, 0, 1, 1}}); err == nil {
		t.Error("treatments that are the blocks: accepted")
	}
	if _, err := Randomise(flat, f(t, y, flat), Options{Limit: 1}); err == nil {
		t.Error("drawing without a stream: accepted")
	}
}

func BenchmarkRandomise(b *testing.B) {
	for _, n := range []int{6, 10, 16} {
		y, p := pairs(make([]float64, n))
		r := stream(1)
		for i := range y {
			y[i] = r.NormFloat64()
		}
		b.Run(fmt.Sprintf("pairs=%d", n), func(b *testing.B) {
			for range b.N {
				must(b, p, f(b, y, p), Options{})
			}
		})
	}
}
