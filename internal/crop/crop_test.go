package crop

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fairplot/internal/source"
)

func need(t *testing.T, name string) Crop {
	t.Helper()
	c, ok := Find(name)
	if !ok {
		t.Fatalf("no crop %q", name)
	}
	return c
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance || math.IsNaN(got) {
		t.Errorf("%s: got %.6g, want %g ± %g", what, got, want, tolerance)
	}
}

func TestEveryFigureHasItsUnitSourceAndMark(t *testing.T) {
	marks := []source.Status{"V", "V2"} // nothing from memory, nothing computed, stands in the tables
	n := 0
	for name, kinds := range figures() {
		if !slices.ContainsFunc(list, func(c Crop) bool { return c.Name == name }) {
			t.Errorf("figures of an unknown crop %q", name)
		}
		for kind, all := range kinds {
			for _, f := range all {
				n++
				if f.Unit == "" || units[kind] == "" {
					t.Errorf("%s %s has no unit", name, kind)
				}
				if _, ok := source.Find(f.Source); !ok {
					t.Errorf("%s %s: source %q is not registered", name, kind, f.Source)
				}
				if !slices.Contains(marks, f.Status) {
					t.Errorf("%s %s %s: mark %q", name, kind, f.Source, f.Status)
				}
				if f.Low > f.High {
					t.Errorf("%s %s %s: %s runs backwards", name, kind, f.Source, f)
				}
			}
		}
	}
	if n < 1500 {
		t.Errorf("only %d figures were read", n)
	}
}

// The printed unit of each row must be the unit of its kind or have a factor: a row in an unknown unit would pass unturned.
func TestEveryPrintedUnitIsUnderstood(t *testing.T) {
	for _, table := range []string{"planting", "harvest", "keeping"} {
		for _, row := range source.Table(data, table) {
			kind, printed := Kind(row[1]), row[4]
			_, turned := factors[printed]
			if !turned && printed != units[kind] && !(printed == "F" && units[kind] == "°C") {
				t.Errorf("%s, %s: unit %q is neither %q nor turned into it", row[0], kind, printed, units[kind])
			}
		}
	}
}

func TestNamesLeadToOneCropEach(t *testing.T) {
	seen := map[string]string{}
	for _, c := range All() {
		names := append([]string{c.Name, c.Plural}, c.Aliases...)
		slices.Sort(names)
		for _, n := range slices.Compact(names) {
			if other, twice := seen[plain(n)]; twice && other != c.Name {
				t.Errorf("%q is both %s and %s", n, other, c.Name)
			}
			seen[plain(n)] = c.Name
			if got, ok := Find(strings.ToUpper(n)); !ok || got.Name != c.Name {
				t.Errorf("Find(%q) gave %q, want %q", strings.ToUpper(n), got.Name, c.Name)
			}
		}
		if c.Family == "" || c.Botanical == "" || c.Life == "" || c.Frost == "" || c.Part == "" || len(c.States()) < 2 || len(c.Stages()) < 4 {
			t.Errorf("%s is incomplete: %+v", c.Name, c)
		}
		if (c.FrostStatus == "M") != (c.FrostSource == "") {
			t.Errorf("%s: a frost class from memory has no source, any other has one", c.Name)
		}
	}
	if len(All()) < 55 {
		t.Errorf("%d crops", len(All()))
	}
}

func TestNear(t *testing.T) {
	for _, c := range []struct{ wrote, want string }{
		{"parsnap", "parsnip"}, {"leak", "leek"}, {"raddish", "radish"}, {"bean", "French bean"}, {"brocoli", "broccoli"},
		{"aubregine", "aubergine"}, {"Kohl-rabi", "kohlrabi"}, {"lettucce", "lettuce"},
	} {
		if got := Near(c.wrote); !slices.Contains(got, c.want) {
			t.Errorf("Near(%q) = %q, want %q in it", c.wrote, got, c.want)
		}
	}
	if got := Near("xyzzyq"); len(got) != 0 {
		t.Errorf("Near of nonsense = %q", got)
	}
}

func ExampleFind() {
	c, _ := Find("Eggplants")
	fmt.Println(c.Name, c.Family)
	// Output: aubergine Solanaceae
}

// The families on which the rotation lists agree.
func TestFamilies(t *testing.T) {
	for family, crops := range map[string]string{
		"Amaryllidaceae": "onion garlic leek chives shallot", "Brassicaceae": "cabbage kale turnip swede radish mustard",
		"Apiaceae": "carrot parsnip celery celeriac parsley fennel dill coriander", "Asteraceae": "lettuce endive chicory artichoke salsify",
		"Amaranthaceae": "beetroot chard spinach", "Solanaceae": "tomato pepper aubergine potato", "Malvaceae": "okra",
		"Fabaceae": "pea fava", "Lamiaceae": "basil", "Poaceae": "maize", "Polygonaceae": "rhubarb", "Cucurbitaceae": "cucumber courgette pumpkin melon",
	} {
		for _, name := range strings.Fields(crops) {
			if c := need(t, name); c.Family != family {
				t.Errorf("%s is %s, want %s", name, c.Family, family)
			}
		}
	}
}

// Where three guides name equal spacing for kale they differ by a factor of 2.5 to 3 in distance, 6 to 9 in plants: the range is
// shown, not one of them.
func TestRangeShowsTheSpreadOfSources(t *testing.T) {
	f, keys, ok := need(t, "kale").Range(Equidistant)
	if !ok || len(keys) < 3 {
		t.Fatalf("kale: %v %v", f, keys)
	}
	near(t, "kale, lowest", f.Low, 6*2.54, 1e-9)
	near(t, "kale, highest", f.High, 18*2.54, 1e-9)
	if r := f.High * f.High / (f.Low * f.Low); r < 6 || r > 9.0001 {
		t.Errorf("plants per area differ by %.2f, the guides by 6 to 9", r)
	}
}

func TestOwnFiguresGoFirstAndSaySo(t *testing.T) {
	c := need(t, "carrot")
	mine := c.With(Figure{Kind: Seeds, Low: 700})
	f, _ := mine.Figure(Seeds)
	if f.Low != 700 || f.High != 700 || f.Source != OwnSource || !strings.Contains(f.Cite(), "your own") || f.Unit != "1/g" {
		t.Errorf("own figure came back as %+v, %s", f, f.Cite())
	}
	if r, keys, _ := mine.Range(Seeds); r.High != 700 || !slices.Equal(keys, []string{OwnSource}) {
		t.Errorf("range over an own figure: %v %v", r, keys)
	}
	if f, _ := c.Figure(Seeds); f.Low != 825 {
		t.Errorf("the built-in carrot was changed: %v", f)
	}
}

// What no source gives of red cabbage is lent by cabbage and says so; the law's figures and yields are never lent.
func TestLentFigures(t *testing.T) {
	red, white := need(t, "red cabbage"), need(t, "cabbage")
	got, _ := red.Figure(InRow)
	want, _ := white.Figure(InRow)
	if got.Low != want.Low || got.Status != source.Derived || !strings.HasPrefix(got.Basis, "as for cabbage") {
		t.Errorf("red cabbage in the row: %+v", got)
	}
	if f, ok := need(t, "swede").Figure(UsualYield); ok {
		t.Errorf("a yield was lent to swedes: %v", f)
	}
	for _, c := range All() {
		if c.Like == "" {
			continue
		}
		if like := need(t, c.Like); like.Family != c.Family || like.Like != "" {
			t.Errorf("%s borrows of %s", c.Name, c.Like)
		}
	}
}

func TestRootingClasses(t *testing.T) {
	for name, want := range map[string]Depth{"lettuce": Shallow, "onion": Shallow, "carrot": Medium, "leek": Medium, "parsnip": Deep, "tomato": Deep} {
		if got, _, ok := need(t, name).Rooting(); !ok || got != want { // UC-ROOTS: 18, 8-12, 18-24, 18-36, 48, 18-48 inches
			t.Errorf("%s roots %s, want %s", name, got, want)
		}
	}
}

func TestAfter(t *testing.T) {
	cabbage, turnip, radish, carrot := need(t, "cabbage"), need(t, "turnip"), need(t, "radish"), need(t, "carrot")
	if got := turnip.After(cabbage, 2); !slices.ContainsFunc(got, func(b Break) bool { return b.Disease == "clubroot" }) {
		t.Errorf("turnip two years after cabbage: %v", got) // UCONN: seven years, turnip and radish among the hosts
	}
	if got := radish.After(cabbage, 50); len(got) != 0 {
		t.Errorf("radish fifty years after cabbage: %v", got)
	}
	if got := carrot.After(cabbage, 0); len(got) != 0 {
		t.Errorf("carrot after cabbage shares nothing: %v", got)
	}
	cucumber := need(t, "cucumber") // a page has clubroot attack cucumbers: wrong, it is a disease of brassicas
	for _, b := range cucumber.Breaks() {
		if b.Disease == "clubroot" {
			t.Error("clubroot on cucumber")
		}
	}
}

func TestCountBack(t *testing.T) {
	got, err := CountBack(0, 65, 0, 14, Hardy)
	near(t, "McDaniel: a 65-day crop needs close to 80 days", got, 80, 1)
	low, _ := CountBack(28, 48, 15, 10, Hardy)
	high, _ := CountBack(28, 48, 20, 14, Hardy)
	near(t, "broccoli, a page prints 98", low, 101, 0)
	near(t, "broccoli, a page prints 98", high, 110, 0)
	if bean, _ := CountBack(0, 65, 0, 14, Tender); bean != got+14 {
		t.Errorf("tender crops need a fortnight more, got %g after %g", bean, got)
	}
	if _, err2 := CountBack(0, -1, 0, 14, Hardy); err != nil || err2 == nil {
		t.Error("minus one day to maturity was taken")
	}
}

func BenchmarkFind(b *testing.B) {
	for b.Loop() {
		if _, ok := Find("rutabagas"); !ok {
			b.Fatal("lost")
		}
	}
}

func BenchmarkReadTables(b *testing.B) {
	for b.Loop() {
		for _, name := range []string{"planting", "harvest", "keeping"} {
			for _, row := range source.Table(data, name) {
				_ = figure(row)
			}
		}
	}
}
