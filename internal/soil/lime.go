package soil

import (
	"fmt"
	"math"
	"slices"

	"fairplot/internal/unit"
)

// Lime is a lime need by one scheme.
type Lime struct {
	Scheme    string
	Rate      unit.Yield // of the product that the scheme counts in
	Product   string     // "ground limestone, NV 50", "CaO", "pure calcium carbonate"
	Single    unit.Yield // largest dressing at a time; 0: the scheme names none
	Depth     unit.Length
	Step      string  // the formula with its numbers
	Reference float64 // neutralising value of that product, % CaO; 0: the scheme does not say
	Mark
}

// Carbonate returns the rate as pure calcium carbonate, so that schemes can be laid side by side; 0 if the strength is not known.
func (l Lime) Carbonate() unit.Yield { return l.Rate * unit.Yield(l.Reference/100*CaCO3PerCaO) }

// Of returns the rate of another product by its neutralising value in % CaO. RB209-LIME.
func (l Lime) Of(neutralising float64) (unit.Yield, error) {
	if neutralising <= 0 || neutralising > 180 {
		return 0, fmt.Errorf("a neutralising value of %g %% CaO cannot be: ground limestone has 50 to 55, hydrated lime about 70", neutralising)
	}
	if l.Reference == 0 {
		return 0, fmt.Errorf("the %s scheme does not say how strong its own lime is, so no other product can be reckoned from it", l.Scheme)
	}
	return l.Rate * unit.Yield(l.Reference/neutralising), nil
}

const (
	tonnePerHectare unit.Yield = 0.1
	limestoneNV                = 50.0
	pureCarbonateNV            = 100 / CaCO3PerCaO
)

// Texture is a group of soils by how much lime they take.
type Texture struct {
	Name   string
	Says   string
	Factor float64 // t/ha of ground limestone for one unit of pH
	Mark
}

// LimeTextures returns the lime factors of the UK. Only that of sands is confirmed by a printed table; the others are from memory.
func LimeTextures() []Texture {
	return []Texture{
		{"sand", "sands and loamy sands", 6, Mark{"DBL-LIME", "V2"}},
		{"loam", "sandy loams and silt loams", 7, Mark{"RB209-LIME", "M"}},
		{"clay", "clay loams and clays", 8, Mark{"RB209-LIME", "M"}},
		{"peat", "peaty soils", 16, Mark{"RB209-LIME", "M"}},
	}
}

func checkPH(names ...any) error {
	for i := 0; i+1 < len(names); i += 2 {
		if ph := names[i+1].(float64); ph < 3 || ph > 10 || math.IsNaN(ph) {
			return fmt.Errorf("%s %g is outside what soils have (3 to 10)", names[i], ph)
		}
	}
	return nil
}

func checkTarget(now, target float64) error {
	if err := checkPH("present pH", now, "target pH", target); err != nil {
		return err
	}
	if target < now {
		return fmt.Errorf("the target pH %g is below the present %g: lime only raises pH, so leave the soil as it is or set a target above it", target, now)
	}
	return nil
}

// LimeByFactor returns the need by the UK lime factor of a texture.
func LimeByFactor(texture string, now, target float64) (Lime, error) {
	if err := checkTarget(now, target); err != nil {
		return Lime{}, err
	}
	for _, t := range LimeTextures() {
		if t.Name != texture {
			continue
		}
		rate := (target - now) * t.Factor // RB209-LIME: t/ha
		return Lime{Scheme: "lime factor of " + t.Says, Rate: unit.Yield(rate) * tonnePerHectare, Product: "ground limestone of NV 50",
			Single: 5 * tonnePerHectare, Depth: 20 * unit.Centimetre, Reference: limestoneNV, Mark: t.Mark,
			Step: fmt.Sprintf("(%g − %g) × %g = %.3g t/ha", target, now, t.Factor, rate)}, nil
	}
	return Lime{}, fmt.Errorf("texture %q: the scheme knows sand, loam, clay and peat", texture)
}

// LimeByMehlichBuffer returns the need from a Mehlich buffer pH. NCDA: acidity × (target − pH)/(6.6 − pH) − credit, US tons an acre.
func LimeByMehlichBuffer(now, target, acidity, credit float64) (Lime, error) {
	if err := checkTarget(now, target); err != nil {
		return Lime{}, err
	}
	if now >= 6.6 || target > 6.6 {
		return Lime{}, fmt.Errorf("this method ends at pH 6.6: a soil of pH %g with target %g needs another scheme", now, target)
	}
	factor := (target - now) / (6.6 - now) // NCDA
	tons := max(0, acidity*factor-credit)  // NCDA
	return Lime{Scheme: "Mehlich buffer", Rate: unit.Yield(tons * ShortTonsPerAcre * 1e-4), Product: "agricultural lime as North Carolina rates it",
		Mark: Mark{"NCDA", "V"}, // the page read gives no strength of its lime, so other products cannot be reckoned from it
		Step: fmt.Sprintf("%.3g × (%g − %g)/(6.6 − %g) − %g = %.3g US tons an acre", acidity, target, now, now, credit, tons)}, nil
}

// MehlichAcidity returns the acidity in meq/100 cm³ from the buffer pH. NCDA.
func MehlichAcidity(bufferPH float64) float64 { return max(0, (6.6-bufferPH)*4) }

// LimeCredit returns what is left of a residual credit after so many months: 8 % a month goes on mineral soils, 16 % on organic.
func LimeCredit(credit, months float64, organic bool) float64 {
	rate := 0.08
	if organic {
		rate = 0.16
	}
	return max(0, credit*(1-rate*months)) // NCDA
}

// LimeBySikora returns the need from a Sikora buffer pH, between the rows and columns of EM 9585's table by straight lines; outside
// the table it refuses.
func LimeBySikora(now, bufferPH, target float64) (Lime, error) {
	if err := checkTarget(now, target); err != nil {
		return Lime{}, err
	}
	if err := checkPH("buffer pH", bufferPH); err != nil {
		return Lime{}, err
	}
	if bufferPH > sikoraTop || bufferPH < sikoraTop-0.1*float64(len(sikora)-1)-1e-9 {
		return Lime{}, fmt.Errorf("buffer pH %g is outside the table, which runs from %.1f to 6.9", bufferPH, sikoraTop-0.1*float64(len(sikora)-1))
	}
	if target < sikoraTargets[0] || target > sikoraTargets[len(sikoraTargets)-1] {
		return Lime{}, fmt.Errorf("target pH %g is outside the table, which runs from 5.6 to 7.2", target)
	}
	x := (sikoraTop - bufferPH) / 0.1
	row := min(int(x+1e-9), len(sikora)-2)
	column := max(0, slices.IndexFunc(sikoraTargets, func(p float64) bool { return p >= target })-1)
	u, v := x-float64(row), (target-sikoraTargets[column])/(sikoraTargets[column+1]-sikoraTargets[column])
	between := func(r []float64) float64 { return r[column] + v*(r[column+1]-r[column]) }
	tons := between(sikora[row]) + u*(between(sikora[row+1])-between(sikora[row]))
	return Lime{Scheme: "Sikora buffer", Rate: unit.Yield(tons * ShortTonsPerAcre * 1e-4), Product: "lime of score 100", Depth: 6 * unit.Inch,
		Reference: pureCarbonateNV, Mark: Mark{"EM9585", "V"}, Step: fmt.Sprintf("buffer pH %g to pH %g = %.3g US tons an acre", bufferPH, target, tons)}, nil
}

const sikoraTop = 6.9

var sikoraTargets = []float64{5.6, 6.0, 6.4, 6.8, 7.2}

// sikora is table 1 of EM9585: US tons an acre, buffer pH 6.9 downwards by 0.1.
var sikora = [][]float64{
	{0.0, 0.0, 0.5, 0.8, 1.0}, {0.0, 0.4, 0.8, 1.2, 1.6}, {0.2, 0.7, 1.1, 1.6, 2.2}, {0.4, 0.9, 1.5, 2.1, 2.7}, {0.7, 1.2, 1.8, 2.5, 3.3},
	{0.9, 1.5, 2.1, 2.9, 3.8}, {1.1, 1.7, 2.5, 3.3, 4.4}, {1.3, 2.0, 2.8, 3.7, 4.9}, {1.5, 2.3, 3.1, 4.2, 5.5}, {1.7, 2.5, 3.5, 4.6, 6.0},
	{1.9, 2.8, 3.8, 5.0, 6.6}, {2.2, 3.1, 4.1, 5.4, 7.1}, {2.7, 4.0, 5.5, 7.2, 9.9}, {3.1, 4.5, 6.2, 8.3, 11.4}, {3.5, 5.1, 7.0, 9.3, 12.9},
	{3.8, 5.6, 7.7, 10.3, 14.3}, {4.2, 6.2, 8.5, 11.3, 15.8}, {4.6, 6.7, 9.2, 12.3, 17.3}, {5.0, 7.3, 10.0, 13, 18.7}, {5.3, 7.8, 10.7, 14, 20.2},
	{5.7, 8.4, 11.5, 15, 21.7}, {6.1, 8.9, 12.2, 16.3, 23.2},
}

// The soil weights and lime need of Poland, IUNG: pH bounds of the four grades, doses in t CaO/ha and the largest single dose.
var iung = []struct {
	name   string
	bounds [4]float64
	dose   [4]float64
	single float64
}{
	{"very light", [4]float64{4.0, 4.5, 5.0, 5.5}, [4]float64{3.0, 2.0, 1.0, 0}, 1.5},
	{"light", [4]float64{4.5, 5.0, 5.5, 6.0}, [4]float64{3.5, 2.5, 2.0, 0}, 2.0},
	{"medium", [4]float64{5.0, 5.5, 6.0, 6.5}, [4]float64{4.5, 3.0, 2.5, 1.0}, 3.0},
	{"heavy", [4]float64{5.5, 6.0, 6.5, 7.0}, [4]float64{6.0, 4.0, 3.0, 1.5}, 4.0},
}

// LimeByWeight returns the need by the Polish grades for a soil category. It has no target: the grade says how pressing it is.
func LimeByWeight(category string, now float64) (Lime, error) {
	if err := checkPH("present pH", now); err != nil {
		return Lime{}, err
	}
	grades := []string{"necessary", "needed", "advisable", "limited"}
	for _, c := range iung {
		if c.name != category {
			continue
		}
		grade, dose := "not needed", 0.0
		for i, top := range c.bounds {
			if math.Round(now*10)/10 <= top {
				grade, dose = grades[i], c.dose[i]
				break
			}
		}
		l := Lime{Scheme: "grades of Poland: " + grade, Rate: unit.Yield(dose) * tonnePerHectare, Product: "CaO", Reference: 100,
			Mark: Mark{"IUNG", "V"}, Step: fmt.Sprintf("%s soil of pH %g: %s, %g t CaO/ha", category, now, grade, dose)}
		if dose > c.single {
			l.Single = unit.Yield(c.single) * tonnePerHectare
		}
		return l, nil
	}
	return Lime{}, fmt.Errorf("soil category %q: the scheme knows very light, light, medium and heavy", category)
}
