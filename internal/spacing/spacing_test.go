package spacing

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fairplot/internal/unit"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.7g, want %g ± %g", what, got, want, tolerance)
	}
}

const in = unit.Inch

// Printed plants per acre and per square rod. Three prints are cut short instead of rounded (WEATHERS1913: 612 for 612.56 and 6,969
// for 6,969.6), so the whole part must agree.
func TestPrintedPlantsPerArea(t *testing.T) {
	rod := float64(272.25 * unit.SquareFoot)
	acre := float64(unit.Acre)
	for _, c := range []struct {
		source  string
		s, r    unit.Length
		area    float64
		printed float64
	}{
		{"BAILEY", 1 * in, 1 * in, acre, 6272640}, {"BAILEY", 3 * in, 7 * in, acre, 298697}, {"BAILEY", 1 * in, 7 * in, acre, 896091},
		{"BAILEY", 4 * in, 7 * in, acre, 224022}, {"BAILEY", 24 * in, 36 * in, acre, 7260},
		{"WEATHERS1913", 3 * in, 3 * in, rod, 4356}, {"WEATHERS1913", 4 * in, 4 * in, rod, 2450}, {"WEATHERS1913", 6 * in, 6 * in, rod, 1089},
		{"WEATHERS1913", 8 * in, 8 * in, rod, 612}, {"WEATHERS1913", 12 * in, 12 * in, rod, 272},
		{"WEATHERS1913", 30 * in, 12 * in, acre, 17424}, {"WEATHERS1913", 30 * in, 30 * in, acre, 6969}, {"WEATHERS1913", 30 * in, 36 * in, acre, 5808},
		{"WEATHERS1913", 30 * in, 42 * in, acre, 4978}, {"trade table", 34 * in, 6 * in, acre, 30748}, {"trade table", 34 * in, 7 * in, acre, 26356},
	} {
		got := float64(Layout{Arrangement: Rows, InRow: c.s, Between: c.r}.Crowding()) * c.area
		if math.Floor(got+1e-6) != c.printed && math.Round(got) != c.printed {
			t.Errorf("%s %v × %v: got %.2f, printed %g", c.source, c.s, c.r, got, c.printed)
		}
	}
}

// A 24-ft row at 3 inches goes into a bed of 3 × 2 ft on 3-inch centres: 96 plants. CSU-713.
func ExampleLayout_On() {
	p, _ := Layout{Arrangement: Square, InRow: 3 * unit.Inch}.On(Bed{3 * unit.Foot, 2 * unit.Foot})
	fmt.Println(p.Plants, len(p.PerRow))
	// Output: 96 8
}

func TestSameCrowdingUnlikeArrangement(t *testing.T) {
	last := 1000.0
	for _, c := range [][2]unit.Length{{1, 0.01}, {0.5, 0.02}, {0.1, 0.1}} { // KZN
		l := Layout{Arrangement: Rows, InRow: c[1], Between: c[0]}
		near(t, "plants/m²", float64(l.Crowding()), 100, 1e-9)
		if r := l.Rectangularity(); r >= last {
			t.Errorf("rectangularity %g after %g", r, last)
		} else {
			last = r
		}
	}
}

// Triangular is 15.47 % closer than square, with rows at 0.866 of the distance; a well-known handbook prints 0.87 and 1.13, and 159
// plants on 120 sq ft at 12 inches, where endless ground has 138.6.
func TestTriangularAgainstSquare(t *testing.T) {
	tri, sq := Layout{Arrangement: Triangular, InRow: 12 * in}, Layout{Arrangement: Square, InRow: 12 * in}
	near(t, "gain", float64(tri.Crowding()/sq.Crowding()), 1.154701, 5e-7)
	near(t, "row distance", float64(tri.between()/(12*in)), 0.866025, 5e-7)
	near(t, "120 sq ft at 12 in", float64(tri.Crowding())*120*float64(unit.SquareFoot), 138.6, 0.05)
	p, err := tri.On(Bed{24 * unit.Foot, 5 * unit.Foot})
	if err != nil || p.Plants > 159 || p.Plants < 115 {
		t.Errorf("5 × 24 ft at 12 in triangular: %d plants (%v)", p.Plants, err)
	}
}

// A flat of 14 × 21 in has 294 sq in; a handbook prints 273, which is 13 × 21.
func TestFlat(t *testing.T) {
	near(t, "flat", float64((14*in).Times(21*in)/(in.Times(in))), 294, 1e-9)
}

// On any bed no plan has more plants than the bed grown by one spacing holds without edges, and closer is never fewer.
func TestPlanProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for range 2000 {
		b := Bed{unit.Length(0.5 + 10*r.Float64()), unit.Length(0.4 + 2*r.Float64())}
		l := Layout{Arrangement: []Arrangement{Rows, Square, Triangular}[r.IntN(3)], InRow: unit.Length(0.05 + 0.5*r.Float64()),
			Between: unit.Length(0.05 + 0.6*r.Float64()), AcrossBed: r.IntN(2) == 1}
		p, err := l.On(b)
		if err != nil {
			t.Fatal(err)
		}
		most := float64(l.Crowding()) * float64((b.Length + l.InRow + l.between()).Times(b.Width+l.InRow+l.between()))
		if float64(p.Plants) > most || p.OnEdge > p.Plants || p.Margin < -1e-6 && p.Plants > 0 {
			t.Fatalf("%+v on %+v: %+v, at most %g", l, b, p, most)
		}
		if l.Arrangement != Triangular {
			if got := len(p.PerRow); got > 0 && p.Plants != got*p.PerRow[0] {
				t.Fatalf("rows of unlike length in a rectangular layout: %+v", p)
			}
		}
		closer := l
		closer.InRow /= 2
		closer.Between /= 2
		if q, _ := closer.On(b); q.Plants < p.Plants {
			t.Fatalf("%d plants at half the distance of %d", q.Plants, p.Plants)
		}
	}
}

func TestEdgePlants(t *testing.T) {
	p, _ := Layout{Arrangement: Rows, InRow: 0.1, Between: 0.3}.On(Bed{1, 1.2}) // four rows of ten: 2 × 10 and 2 × 2
	if p.Plants != 40 || p.OnEdge != 24 {
		t.Errorf("%+v", p)
	}
	one, _ := Layout{Arrangement: Square, InRow: 1}.On(Bed{1, 1})
	if one.Plants != 1 || one.OnEdge != 1 {
		t.Errorf("%+v", one)
	}
	none, _ := Layout{Arrangement: Square, InRow: 1}.On(Bed{0.9, 3})
	if none.Plants != 0 {
		t.Errorf("a bed narrower than the plant's own room holds %d", none.Plants)
	}
	rim, _ := Layout{Arrangement: Square, InRow: 1, Edge: 0.1}.On(Bed{0.9, 3})
	if rim.Plants != 3 {
		t.Errorf("nearer to the rim it holds %d, want 3", rim.Plants)
	}
}

func TestEquidistantFor(t *testing.T) {
	for _, a := range []Arrangement{Square, Triangular} {
		s, err := EquidistantFor(36, a)
		if err != nil {
			t.Fatal(err)
		}
		near(t, string(a), float64(Layout{Arrangement: a, InRow: s}.Crowding()), 36, 1e-9)
	}
}

func TestBadLayouts(t *testing.T) {
	bed := Bed{4, 1}
	for name, l := range map[string]Layout{"no distance": {Arrangement: Square}, "rows without distance": {Arrangement: Rows, InRow: 0.1},
		"unknown": {Arrangement: "spiral", InRow: 0.1}, "minus edge": {Arrangement: Square, InRow: 0.1, Edge: -1}} {
		if _, err := l.On(bed); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
	if _, err := (Layout{Arrangement: Square, InRow: 0.1}).On(Bed{4, 0}); err == nil {
		t.Error("a bed without width was taken")
	}
	if _, err := EquidistantFor(0, Square); err == nil {
		t.Error("no plants were taken")
	}
}

// Onions of 1991-93 (RUMPEL: 20.5 t/ha at 20 plants/m², 32.8 at 80) and of 1996, laid through two points by hand.
func TestThroughTwo(t *testing.T) {
	l, err := ThroughTwo(20, 102.5, 80, 41.0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a", l.A, 0.00487805, 5e-9)
	near(t, "b", l.B, 0.000243902, 5e-10)
	near(t, "alone, g", l.Alone(), 205, 0.01)
	_, ceiling, reached := l.Optimum()
	near(t, "ceiling, t/ha", ceiling/100, 41.0, 0.005)
	if reached {
		t.Error("the asymptotic law has no optimum")
	}
	for c, want := range map[float64]float64{20: 20.5, 80: 32.8, 40: 27.33, 60: 30.75, 100: 34.17} {
		near(t, fmt.Sprint("t/ha at ", c), YieldAt(l, c)/100, want, 0.005)
	}
	l, _ = ThroughTwo(40, 122.25, 80, 73.75)
	near(t, "1996 a", l.A, 0.00280060, 5e-9)
	near(t, "1996 b", l.B, 0.000134484, 5e-10)
	near(t, "1996 alone", l.Alone(), 357.07, 0.01)
	near(t, "1996 at 60", YieldAt(l, 60)/100, 55.20, 0.005)
	near(t, "1996 at 100", YieldAt(l, 100)/100, 61.54, 0.005)
	if _, err := ThroughTwo(20, 40, 80, 41); err == nil {
		t.Error("weights that rise with crowding were taken")
	}
}

// The optimum by formula is the optimum by search, for every law that has one.
func TestOptimaBySearch(t *testing.T) {
	for _, l := range []Law{Power{0.02, 0.001, 0.8}, Parabolic{0.005, 0.0002, 1e-6}, Bent{0.005, 1e-5, 1.6}, Decaying{100, 0.98}} {
		at, best, ok := l.Optimum()
		if !ok {
			t.Errorf("%T has no optimum", l)
			continue
		}
		for x := at / 4; x < at*4; x *= 1.01 {
			if YieldAt(l, x) > best*(1+1e-12) {
				t.Errorf("%T: %g at %g is above %g at %g", l, YieldAt(l, x), x, best, at)
			}
		}
	}
	if _, _, ok := (Power{0.02, 0.001, 1}).Optimum(); ok {
		t.Error("θ = 1 has no optimum")
	}
}

// Self-thinning holds for the weight of a plant: the mass per area falls as the root of crowding.
func TestThinned(t *testing.T) {
	near(t, "mass per area at four times the crowding", 4*Thinned(1, 4)/Thinned(1, 1), 0.5, 1e-12)
}

// 81.6 plants/m² from 85 % germination, nine in ten coming up, 8 rows on 1.5 m at 50 mm. TIGANI.
func ExampleStand() {
	c, _ := Stand(0.85, 0.90, 8, 1.5*unit.Metre, 50*unit.Millimetre)
	fmt.Printf("%.1f plants/m², %.0f a hectare at 1.8 m centres\n", float64(c), float64(c)*1.5/1.8*1e4)
	// Output: 81.6 plants/m², 680000 a hectare at 1.8 m centres
}

// 100 plants at 85 % need 118 seeds; a page prints 115 by adding 15 %.
func ExampleSowing_Seed() {
	s, _ := Sowing{Plants: 100, Germination: 0.85, Field: 1}.Seed()
	fmt.Println(s.Seeds)
	// Output: 118
}

func TestSeedProperties(t *testing.T) {
	last := math.Inf(1)
	for g := 0.05; g <= 1; g += 0.05 {
		s, err := Sowing{Plants: 60, Germination: g, Field: 0.8, PerGram: 300}.Seed()
		if err != nil {
			t.Fatal(err)
		}
		if s.Seeds > last || s.Seeds*g*0.8 < 60-1e-6 {
			t.Errorf("%g seeds at %g", s.Seeds, g)
		}
		near(t, "grams", float64(s.Mass)*1000, s.Seeds/300, 1e-9)
		last = s.Seeds
	}
	three, _ := Sowing{Plants: 60, Germination: 0.6, Field: 0.8, PerStation: 3}.Seed()
	near(t, "three at each station", three.Seeds, 180, 0)
	near(t, "empty stations", Sowing{Germination: 0.6, Field: 0.8, PerStation: 3}.Empty(), 0.52*0.52*0.52, 1e-12)
	for _, s := range []Sowing{{Plants: 10, Germination: 85, Field: 1}, {Plants: 0, Germination: 0.5, Field: 1}, {Plants: 10, Germination: 0.5}} {
		if _, err := s.Seed(); err == nil {
			t.Errorf("%+v was taken", s)
		}
	}
}

// The binomial standard error at 85 %: 1.79 points for 400 seeds, 3.57 for 100, 7.98 for 20, 11.29 for 10.
func TestHomeTest(t *testing.T) {
	for n, want := range map[int]float64{400: 1.79, 100: 3.57, 20: 7.98, 10: 11.29} {
		got, _ := HomeTest(0.85, n)
		near(t, fmt.Sprint(n, " seeds"), 100*got, want, 0.006)
	}
	for mean, want := range map[float64]float64{97: 5, 96: 5, 95: 6, 85: 7, 75: 8, 65: 9, 50: 10} { // CFR201.63
		near(t, "tolerance", LabelTolerance(mean), want, 0)
	}
}
