package unit_test

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairplot/internal/unit"
)

// Factors as printed in NIST SP 811 (2008), appendix B.8, to the digits given there; bold (exact) values in full.
func TestFactorsOfSP811(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
		digits    float64 // relative
	}{
		{"inch to m", float64(unit.Inch), 2.54e-2, 0}, {"foot to m", float64(unit.Foot), 3.048e-1, 0}, {"yard to m", float64(unit.Yard), 9.144e-1, 0},
		{"square foot to m2", float64(unit.SquareFoot), 9.290304e-2, 1e-15}, {"square yard to m2", float64(unit.SquareYard), 8.361274e-1, 1e-7},
		{"acre to m2 (international foot)", float64(unit.Acre), 4.046856e3, 2e-7}, {"hectare to m2", float64(unit.Hectare), 1e4, 0},
		{"cubic foot to m3", float64(unit.CubicFoot), 2.831685e-2, 2e-7}, {"cubic yard to m3", float64(unit.CubicYard), 7.645549e-1, 1e-7},
		{"gallon to m3", float64(unit.Gallon), 3.785412e-3, 1e-7}, {"quart to m3", float64(unit.Quart), 9.463529e-4, 1e-7},
		{"pound to kg", float64(unit.Pound), 4.5359237e-1, 0}, {"ounce to kg", float64(unit.Ounce), 2.834952e-2, 2e-7},
	} {
		if math.Abs(c.got-c.want) > c.digits*c.want {
			t.Errorf("%s: %v, SP 811 has %v", c.name, c.got, c.want)
		}
	}
	for text, want := range map[string]float64{"1 bushel": 3.523907e-2, "1 pt": 4.731765e-4, "1 fl oz": 2.957353e-5, "1 cup": 2.365882e-4} {
		if v, err := unit.ParseVolume(text, ""); err != nil || math.Abs(float64(v)-want) > 2e-7*want {
			t.Errorf("%s is %v, %v; SP 811 has %v m3", text, v, err, want)
		}
	}
	if v, err := (unit.Reader{System: unit.US}).Mass("1 ton", ""); err != nil || math.Abs(float64(v)-907.1847) > 1e-4 {
		t.Errorf("a short ton is %v, %v; SP 811 has 9.071847 E+02 kg", v, err)
	}
}

var book = unit.Reader{Currency: "EUR", Loads: map[string]unit.Load{
	"barrow": {Volume: 0.1}, "box": {Mass: 12}, "half tray": {Plural: "half trays", Volume: 0.003, Mass: 2}}}

// Sizes follow from the SP 811 factors by hand.
func TestReading(t *testing.T) {
	asFloat := func(v any, err error) (float64, error) {
		switch v := v.(type) {
		case unit.Length:
			return float64(v), err
		case unit.Area:
			return float64(v), err
		case unit.Volume:
			return float64(v), err
		case unit.Mass:
			return float64(v), err
		case unit.Time:
			return float64(v), err
		case unit.Temperature:
			return float64(v), err
		case unit.Yield:
			return float64(v), err
		case unit.Crowding:
			return float64(v), err
		case unit.Density:
			return float64(v), err
		}
		return v.(float64), err
	}
	kinds := map[string]func(string, unit.Default) (float64, error){
		"length":      func(s string, d unit.Default) (float64, error) { v, e := book.Length(s, d); return asFloat(v, e) },
		"area":        func(s string, d unit.Default) (float64, error) { v, e := book.Area(s, d); return asFloat(v, e) },
		"volume":      func(s string, d unit.Default) (float64, error) { v, e := book.Volume(s, d); return asFloat(v, e) },
		"mass":        func(s string, d unit.Default) (float64, error) { v, e := book.Mass(s, d); return asFloat(v, e) },
		"time":        func(s string, d unit.Default) (float64, error) { v, e := book.Time(s, d); return asFloat(v, e) },
		"temperature": func(s string, d unit.Default) (float64, error) { v, e := book.Temperature(s, d); return asFloat(v, e) },
		"yield":       func(s string, d unit.Default) (float64, error) { v, e := book.Yield(s, d); return asFloat(v, e) },
		"depth":       func(s string, d unit.Default) (float64, error) { v, e := book.Depth(s, d); return asFloat(v, e) },
		"crowding":    func(s string, d unit.Default) (float64, error) { v, e := book.Crowding(s, d); return asFloat(v, e) },
		"density":     func(s string, d unit.Default) (float64, error) { v, e := book.Density(s, d); return asFloat(v, e) },
		"number":      func(s string, _ unit.Default) (float64, error) { return book.Number(s) },
		"share":       book.Share,
	}
	for _, c := range []struct {
		kind, text string
		bare       unit.Default
		want       float64
	}{
		{"mass", "1,5 kg", "", 1.5}, {"mass", "1.5kg", "", 1.5}, {"mass", "3 lb 4 oz", "", 1.4741752025}, {"mass", "3lb4oz", "", 1.4741752025}, {"mass", "850 g", "", 0.85},
		{"mass", "½ lb", "", 0.226796185}, {"mass", "1½ lb", "", 0.680388555}, {"mass", "1 1/2 lb", "", 0.680388555}, {"mass", "3/4 lb", "", 0.3401942775}, {"mass", "2 boxes", "", 24},
		{"mass", "4", "kg", 4}, {"mass", "1,234 kg", "", 1.234}, {"mass", "-2 kg", "", -2}, {"mass", ",5 kg", "", 0.5}, {"mass", "1 Half tray", "", 2}, {"mass", "1 kg 250 g", "", 1.25}, {"mass", "1.2e-1 kg", "", 0.12},
		{"length", `5'6"`, "", 1.6764}, {"length", "5'6", "", 1.6764}, {"length", "5’6”", "", 1.6764}, {"length", "5 ft 6 in", "", 1.6764}, {"length", "30 cm", "", 0.3}, {"length", "1 m 20 cm", "", 1.2}, {"length", "1.2", "m", 1.2},
		{"length", "6 1/2 in", "", 0.1651}, {"length", "-5 ft 6 in", "", -1.6764},
		{"area", "4.5 m²", "", 4.5}, {"area", "4.5 m2", "", 4.5}, {"area", "100 sq. ft.", "", 9.290304}, {"area", "100 square feet", "", 9.290304}, {"area", "2 ha", "", 2e4}, {"area", "10 ft2", "", 0.9290304},
		{"volume", "2 barrows", "", 0.2}, {"volume", "1 Barrow", "", 0.1}, {"volume", "10 L", "", 0.01}, {"volume", "0.1 m³", "", 0.1}, {"volume", "3 half trays", "", 0.009}, {"volume", "2 cubic feet", "", 0.056633693184}, {"volume", "1 gal 2 qt", "", 0.005678117676},
		{"time", "1h30", "", 5400}, {"time", "90 min", "", 5400}, {"time", "1 h 30 min", "", 5400}, {"time", "1:30", "", 5400}, {"time", "1,5 h", "", 5400}, {"time", "45", "min", 2700}, {"time", "2 days", "", 172800},
		{"temperature", "12 °C", "", 12}, {"temperature", "50 °F", "", 10}, {"temperature", "-3C", "", -3}, {"temperature", "14 deg F", "", -10}, {"temperature", "7", "C", 7},
		{"yield", "3 kg/m²", "", 3}, {"yield", "40 t/ha", "", 4}, {"yield", "100 lb/100 sq ft", "", 4.882427636383051}, {"yield", "2 kg per m2", "", 2}, {"yield", "3", "kg/m2", 3},
		{"depth", "8 mm", "", 0.008}, {"depth", "25 L/m2", "", 0.025}, {"depth", "1 in", "", 0.0254}, {"depth", "10 m3/ha", "", 0.001}, {"depth", "2 barrows/10 m2", "", 0.02}, {"depth", "25", "L/m2", 0.025},
		{"crowding", "36/m2", "", 36}, {"crowding", "36 per m²", "", 36}, {"crowding", "36 plants per m2", "", 36}, {"crowding", "36/100 m2", "", 0.36}, {"crowding", "1/sq ft", "", 10.763910416709722}, {"crowding", "36", "/m2", 36},
		{"density", "600 kg/m3", "", 600}, {"density", "0.6 kg/L", "", 600}, {"density", "10 lb/cu ft", "", 160.18463},
		{"number", "1,5", "", 1.5}, {"number", "0.5", "", 0.5}, {"number", "1 234", "", math.NaN()}, {"share", "40 %", "", 0.4}, {"share", "40%", "", 0.4}, {"share", "0.4", "", 0.4}, {"share", "1/4", "", 0.25}, {"share", "40", "%", 0.4},
	} {
		got, err := kinds[c.kind](c.text, c.bare)
		if math.IsNaN(c.want) {
			if err == nil {
				t.Errorf("%s %q was read as %v", c.kind, c.text, got)
			}
			continue
		}
		if err != nil || math.Abs(got-c.want) > 1e-7*math.Max(1e-3, math.Abs(c.want)) {
			t.Errorf("%s %q (bare %q) is %v, %v; want %v", c.kind, c.text, c.bare, got, err, c.want)
		}
	}
}

func TestWhatCannotBeReadIsExplained(t *testing.T) {
	mass := func(s string) error { _, err := book.Mass(s, ""); return err }
	length := func(s string) error { _, err := book.Length(s, ""); return err }
	volume := func(s string) error { _, err := book.Volume(s, ""); return err }
	money := func(s string) error { _, err := book.Money(s); return err }
	amount := func(s string) error { _, err := book.Amount(s, ""); return err }
	count := func(s string) error { _, err := book.Count(s); return err }
	share := func(s string) error { _, err := book.Share(s, ""); return err }
	temperature := func(s string) error { _, err := book.Temperature(s, ""); return err }
	for _, c := range []struct {
		read func(string) error
		text string
		says string
	}{
		{mass, "4", "no unit for a weight"}, {mass, "", "there is no weight"}, {mass, "1.234,5 kg", "two marks"}, {mass, "1,234,567 g", "two marks"}, {mass, "1 234 g", "blank inside a number"},
		{mass, "4 m", "is a length, but a weight is wanted"}, {mass, "4 foo", `"foo" is no unit of weight`}, {mass, "4 ton", "tonnes of 1000 kg or tons"}, {mass, "kg", "does not begin with a number"},
		{mass, "4 oz 3 lb", "larger unit to the smaller"}, {mass, "3 lb -4 oz", "larger unit to the smaller"}, {mass, "2 barrows", "volume"}, {mass, "1e999 kg", "no number that can be kept"}, {mass, "5. kg", "no digits behind"}, {mass, "1 d 2 d 3 d 4 d 5 d", "more than one quantity"},
		{length, "1 m2", "is an area"}, {volume, "3 boxes", "is a weight"}, {volume, "3 sacks", "measure of your own"}, {money, "3.505", "more than two digits"}, {money, "$ 5", "which dollar"}, {money, "5 bucks", "no currency"},
		{amount, "4", "a volume, a weight or a number of loads"}, {count, "1.5", "no count"}, {count, "-1", "no count"}, {share, "40", "per cent or times"}, {temperature, "12", "°C or °F"}, {temperature, "12 kg", "wanted here"},
	} {
		err := c.read(c.text)
		var e *unit.Error
		if !errors.As(err, &e) || !strings.Contains(e.Error(), c.says) || e.Hint == "" {
			t.Errorf("%q gives %v; want a sentence with %q and a hint", c.text, err, c.says)
		}
	}
}

func TestAmounts(t *testing.T) {
	for _, c := range []struct {
		text string
		want unit.Amount
	}{
		{"2  barrows", unit.Amount{Volume: 0.2, Loads: "2 barrows"}}, {"2 boxes", unit.Amount{Mass: 24, ByMass: true, Loads: "2 boxes"}},
		{"40 L", unit.Amount{Volume: 0.04}}, {"3 kg", unit.Amount{Mass: 3, ByMass: true}}, {"1 half tray", unit.Amount{Volume: 0.003, Loads: "1 half tray"}},
	} {
		if got, err := book.Amount(c.text, ""); err != nil || got != c.want {
			t.Errorf("%q is %+v, %v; want %+v", c.text, got, err, c.want)
		}
	}
}

func TestMoney(t *testing.T) {
	us := unit.Reader{System: unit.US, Currency: "USD"}
	for _, c := range []struct {
		r    unit.Reader
		text string
		want unit.Money
	}{
		{book, "€ 3,50", unit.Money{Hundredths: 350}}, {unit.Reader{}, "€ 3,50", unit.Money{Hundredths: 350, Currency: "EUR"}}, {book, "12.40 GBP", unit.Money{Hundredths: 1240, Currency: "GBP"}},
		{us, "$5", unit.Money{Hundredths: 500}}, {book, "5", unit.Money{Hundredths: 500}}, {book, "-0.05", unit.Money{Hundredths: -5}}, {book, "0,29 €", unit.Money{Hundredths: 29}},
	} {
		got, err := c.r.Money(c.text)
		if err != nil || got != c.want {
			t.Errorf("%q is %+v, %v; want %+v", c.text, got, err, c.want)
		}
		if again, err := c.r.Money(got.Format(c.r.Currency)); err != nil || again != got {
			t.Errorf("%q reads back as %+v, %v; want %+v", got.Format(c.r.Currency), again, err, got)
		}
	}
	if got := (unit.Money{Hundredths: -5}).Format("EUR"); got != "-0.05 EUR" {
		t.Errorf("five cents owed are written %q", got)
	}
	if m, per, err := book.Price("€ 30/m3"); err != nil || m.Hundredths != 3000 || per != "m3" {
		t.Errorf("a price is %+v per %q, %v", m, per, err)
	}
	if _, _, err := book.Price("€ 30/h"); err == nil {
		t.Error("a price per hour was read as one of material")
	}
}

func TestSaidBack(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{unit.Mass(1.5).Format(unit.Metric), "1.5 kg"}, {unit.Mass(0.85).Format(unit.Metric), "850 g"}, {unit.Mass(1.474175).Format(unit.US), "3 lb 4 oz"},
		{unit.Mass(0.9996).Format(unit.Metric), "1 kg"}, {unit.Mass(0.00999).Format(unit.Metric), "10 g"}, {unit.Mass(0.0025).Format(unit.Metric), "2.5 g"}, {unit.Length(1.6764).Format(unit.US), "5 ft 6 in"},
		{unit.Length(0.3).Format(unit.Metric), "30 cm"}, {unit.Length(0.9999).Format(unit.Metric), "1 m"}, {unit.Time(5400).Format(unit.Metric), "1 h 30 min"}, {unit.Time(3599.7).Format(unit.Metric), "1 h"},
		{unit.Area(4.25).Format(unit.Metric), "4.25 m²"}, {unit.Volume(0.1).Format(unit.Metric), "100 L"}, {unit.Volume(0.1).Bulk(unit.US), "3.53 cu ft"}, {unit.Temperature(10).Format(unit.US), "50 °F"},
		{unit.Depth(0.025).Dressing(unit.Metric), "25 L/m²"}, {unit.Depth(0.008).Water(unit.Metric), "8 mm"}, {unit.Crowding(36).Format(unit.Metric), "36/m²"}, {unit.Yield(3.2).Format(unit.Metric), "3.2 kg/m²"},
		{unit.FormatShare(0.4), "40 %"}, {unit.Full(1e-7), "0.0000001"}, {unit.Full(unit.Mass(0.1)), "0.1"}, {unit.Mass(-1.474175).Format(unit.US), "-3 lb 4 oz"}, {unit.Mass(0).Format(unit.Metric), "0 g"},
	} {
		if c.got != c.want {
			t.Errorf("said back %q, want %q", c.got, c.want)
		}
	}
	data, _ := json.Marshal(unit.Mass(1.5))
	if string(data) != "1.5" {
		t.Errorf("1.5 kg is %s in JSON", data)
	}
}

// again reads a formatted quantity back and formats it: the text must stand, and the quantity must be the same to the last digit shown.
func again[T ~float64](t *testing.T, v T, text string, read func(string, unit.Default) (T, error), format func(T) string, rel, abs float64) {
	t.Helper()
	back, err := read(text, "")
	if err != nil {
		t.Fatalf("%v is written %q, which cannot be read: %v", v, text, err)
	}
	if once := format(back); once != text {
		t.Fatalf("%v is written %q, read back as %v and written %q", v, text, back, once)
	}
	if math.Abs(float64(back-v)) > rel*math.Abs(float64(v))+abs {
		t.Fatalf("%v is written %q and read back as %v", v, text, back)
	}
}

func TestFormattedQuantitiesReadBack(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 20000 {
		x := math.Exp(r.Float64()*14 - 7)
		if r.IntN(8) == 0 {
			x = -x
		}
		for _, s := range []unit.System{unit.Metric, unit.US} {
			again(t, unit.Mass(x), unit.Mass(x).Format(s), unit.ParseMass, func(v unit.Mass) string { return v.Format(s) }, 0.006, 0.0015)
			again(t, unit.Length(x), unit.Length(x).Format(s), unit.ParseLength, func(v unit.Length) string { return v.Format(s) }, 0.006, 0.0006)
			again(t, unit.Area(x), unit.Area(x).Format(s), unit.ParseArea, func(v unit.Area) string { return v.Format(s) }, 0.002, 0.006)
			again(t, unit.Volume(x), unit.Volume(x).Format(s), unit.ParseVolume, func(v unit.Volume) string { return v.Format(s) }, 0.006, 2e-6)
			again(t, unit.Volume(x), unit.Volume(x).Bulk(s), unit.ParseVolume, func(v unit.Volume) string { return v.Bulk(s) }, 0.006, 0.0002)
			again(t, unit.Time(x*1000), unit.Time(x*1000).Format(s), unit.ParseTime, func(v unit.Time) string { return v.Format(s) }, 0.009, 0.51)
			again(t, unit.Temperature(x), unit.Temperature(x).Format(s), unit.ParseTemperature, func(v unit.Temperature) string { return v.Format(s) }, 0, 0.051)
			again(t, unit.Yield(x), unit.Yield(x).Format(s), unit.ParseYield, func(v unit.Yield) string { return v.Format(s) }, 0, 0.0006)
			again(t, unit.Crowding(x), unit.Crowding(x).Format(s), unit.ParseCrowding, func(v unit.Crowding) string { return v.Format(s) }, 0, 0.006)
			again(t, unit.Density(x), unit.Density(x).Format(s), unit.ParseDensity, func(v unit.Density) string { return v.Format(s) }, 0, 0.09)
			again(t, unit.Depth(x), unit.Depth(x).Dressing(s), unit.ParseDepth, func(v unit.Depth) string { return v.Dressing(s) }, 0, 1.6e-5)
			again(t, unit.Depth(x), unit.Depth(x).Water(s), unit.ParseDepth, func(v unit.Depth) string { return v.Water(s) }, 0, 1.3e-4)
		}
		again(t, x, unit.FormatShare(x), unit.ParseShare, unit.FormatShare, 0, 0.0006)
		again(t, x, unit.Full(x), func(s string, _ unit.Default) (float64, error) { return unit.ParseNumber(s) }, unit.Full[float64], 0, 0)
	}
}

// The decimal mark is the reader's own: exchanging comma and point never changes what is read.
func TestCommaAndPointAreTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 2000 {
		text := unit.Decimal(r.Float64()*100, r.IntN(5)) + " kg"
		point, err := unit.ParseMass(text, "")
		comma, err2 := unit.ParseMass(strings.Replace(text, ".", ",", 1), "")
		if err != nil || err2 != nil || point != comma {
			t.Fatalf("%q is %v, %v with a point and %v, %v with a comma", text, point, err, comma, err2)
		}
	}
}

func TestColumns(t *testing.T) {
	for _, c := range []struct {
		cells string
		says  string
	}{
		{"1,5;2,25;3", ""}, {"1.234;0.250", ""}, {"1,234;12,5", ""}, {"1;2;3", ""}, {"x;;n/a", ""}, {"1234,567", ""},
		{"1,234;2,500", "decimals, or does it mean 1234"}, {"1.234 kg;7", "decimals, or does it mean 1234"}, {"1,234,567;5", "two marks"}, {"1.234,5", "two marks"},
	} {
		err := unit.Column(strings.Split(c.cells, ";"))
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("column %q: %v; want %q", c.cells, err, c.says)
		}
	}
}

func FuzzReaders(f *testing.F) {
	for _, s := range []string{"1,5 kg", "3 lb 4 oz", `5'6"`, "1h30", "25 L/m2", "36/m2", "lb/100 sq ft", "½", "1 1/2 in", "€ 3,50", "-.5e-3 m", "2 barrows/10 m2", "1:30", "40 %", "5 /0 m2", "3 kg/"} {
		f.Add(s, "kg", false)
	}
	f.Fuzz(func(t *testing.T, s, bare string, us bool) {
		r := book
		if us {
			r.System = unit.US
		}
		d := unit.Default(bare)
		finite := func(v float64, err error) {
			if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
				t.Fatalf("%q was read as %v", s, v)
			}
		}
		check(finite, s, d, r.Length)
		check(finite, s, d, r.Area)
		check(finite, s, d, r.Volume)
		check(finite, s, d, r.Mass)
		check(finite, s, d, r.Time)
		check(finite, s, d, r.Temperature)
		check(finite, s, d, r.Yield)
		check(finite, s, d, r.Crowding)
		check(finite, s, d, r.Density)
		check(finite, s, d, r.Depth)
		check(finite, s, d, r.Share)
		finite(r.Number(s))
		if m, err := r.Money(s); err == nil {
			if back, err := r.Money(m.Format(r.Currency)); err != nil || back != m {
				t.Fatalf("%q is %+v, read back as %+v, %v", s, m, back, err)
			}
		}
		_, _ = r.Amount(s, d)
		_ = unit.Column([]string{s, bare})
	})
}

func check[T ~float64](finite func(float64, error), s string, d unit.Default, read func(string, unit.Default) (T, error)) {
	v, err := read(s, d)
	finite(float64(v), err)
}

func BenchmarkMass(b *testing.B) {
	for range b.N {
		if _, err := book.Mass("3 lb 4 oz", ""); err != nil {
			b.Fatal(err)
		}
	}
}
