package soil

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Scheme is one laboratory's way of reading one nutrient: its extractant, its unit and its classes. Figures of one scheme say
// nothing in another.
type Scheme struct {
	Name       string // "morgan-ireland"
	Says       string
	Nutrient   string // "P", "K", "Mg", "Ca", "NO3-N", "S"
	Extractant string
	Unit       string    // "mg/l", "mg/kg", "lb/acre"
	Step       float64   // the table's last digit: a value is rounded to it, halves up, before it is looked up
	Tops       []float64 // highest value of each class but the last
	Classes    []string
	Target     string // the class aimed at, "" if the source names none
	Mark
}

// Reading is a soil test value as the laboratory's sheet gives it.
type Reading struct {
	Nutrient   string
	Value      float64
	Unit       string
	Extractant string // "" if the sheet does not say; then the scheme's is taken on the grower's word
}

// Class is what a scheme says of a reading.
type Class struct {
	Scheme   Scheme
	Name     string
	Low      float64 // of the class
	High     float64 // +Inf for the last
	Looked   float64 // the value as looked up
	AtTarget int     // -1 below the class aimed at, 0 in it or none named, 1 above
}

// Schemes returns the built-in schemes.
func Schemes() []Scheme { return slices.Clone(schemes) }

// FindScheme returns the scheme of the name for the nutrient.
func FindScheme(name, nutrient string) (Scheme, bool) {
	for _, s := range schemes {
		if s.Name == name && strings.EqualFold(s.Nutrient, nutrient) {
			return s, true
		}
	}
	return Scheme{}, false
}

// Classify reads the value by the scheme. Another unit or extractant is refused with a sentence, never turned silently.
func (s Scheme) Classify(r Reading) (Class, error) {
	if !strings.EqualFold(r.Nutrient, s.Nutrient) {
		return Class{}, fmt.Errorf("this scheme reads %s, the value is of %s", s.Nutrient, r.Nutrient)
	}
	if r.Value < 0 || math.IsNaN(r.Value) {
		return Class{}, fmt.Errorf("a soil test of %g cannot be: give the value on the laboratory's sheet", r.Value)
	}
	if r.Extractant != "" && !strings.EqualFold(r.Extractant, s.Extractant) {
		return Class{}, fmt.Errorf("the sheet's extractant is %s, the scheme's is %s: the figures do not compare. Choose the scheme of your laboratory", r.Extractant, s.Extractant)
	}
	if err := s.sameUnit(r.Unit); err != nil {
		return Class{}, err
	}
	looked := math.Floor(r.Value/s.Step+0.5+1e-9) * s.Step
	at := slices.IndexFunc(s.Tops, func(top float64) bool { return looked <= top+1e-9 })
	c := Class{Scheme: s, Looked: looked, High: math.Inf(1)}
	if at < 0 {
		at = len(s.Classes) - 1
	} else {
		c.High = s.Tops[at]
	}
	if at > 0 {
		c.Low = s.Tops[at-1] + s.Step
	}
	c.Name = s.Classes[at]
	if aim := slices.Index(s.Classes, s.Target); aim >= 0 {
		c.AtTarget = min(1, max(-1, at-aim))
	}
	return c, nil
}

func (s Scheme) sameUnit(given string) error {
	given = strings.ReplaceAll(strings.ToLower(strings.TrimSpace(given)), " ", "")
	alike := map[string]string{"ppm": "mg/kg", "mg/l": "mg/l", "mg/kg": "mg/kg", "lb/acre": "lb/acre", "lb/ac": "lb/acre", "lbs/acre": "lb/acre"}
	switch is, known := alike[given]; {
	case given == "":
		return fmt.Errorf("say in which unit the laboratory gives the value; this scheme reads %s", s.Unit)
	case !known:
		return fmt.Errorf("the unit %q is not one of mg/l, mg/kg, ppm and lb/acre", given)
	case is == s.Unit:
		return nil
	case is == "mg/kg" && s.Unit == "mg/l" || is == "mg/l" && s.Unit == "mg/kg":
		return fmt.Errorf("the value is in %s, the scheme reads %s: ppm is by mass of soil and mg/l by volume, and they differ by the weight of a litre of the sieved sample. Ask the laboratory for %s, or give that weight", given, s.Unit, s.Unit)
	default:
		return fmt.Errorf("the value is in %s, the scheme reads %s: one is by area of ground, the other by amount of soil, and depth and density stand between them. Take the figure that the sheet gives in %s", given, s.Unit, s.Unit)
	}
}

// ByVolume turns mg/kg into mg/l by the weight of a litre of the laboratory's dried and sieved sample in kg, which must be given.
func ByVolume(mgPerKg, kgPerLitre float64) (float64, error) {
	if kgPerLitre < 0.1 || kgPerLitre > 2 {
		return 0, fmt.Errorf("a litre of sieved soil weighs between 0.1 kg (peat) and 2 kg, not %g", kgPerLitre)
	}
	return mgPerKg * kgPerLitre, nil
}

// ManganeseIndex returns the manganese availability index of New Jersey from manganese in ppm and pH; below 25 is critical, above
// 100 high. RUTGERS.
func ManganeseIndex(ppm, ph float64) float64 { return 101.7 + 3.75*ppm - 15.2*ph }

const (
	olsen   = "Olsen (sodium bicarbonate)"
	nitrate = "ammonium nitrate"
	morgan  = "Morgan (sodium acetate)"
	mehlich = "Mehlich-3"
	alberta = "as the Alberta guide's laboratories"
	bray    = "Bray P1"
	acetate = "ammonium acetate"
)

var (
	five   = []string{"very low", "low", "medium", "high", "very high"}
	nine   = []string{"deficient 1", "deficient 2", "deficient 3", "marginal 1", "marginal 2", "marginal 3", "adequate 1", "adequate 2", "adequate 3"}
	four   = []string{"1", "2", "3", "4"}
	rb209  = Mark{"RB209-INDEX", "M"}
	oregon = Mark{"EC1478", "M"}
)

var schemes = []Scheme{
	{"olsen-ni", "phosphorus index of Northern Ireland", "P", olsen, "mg/l", 1, []float64{9, 15, 20, 25, 45, 70}, []string{"0", "1", "2-", "2+", "3", "4", "above 4"}, "", Mark{"NI2019-81", "V"}},
	{"rb209", "phosphorus index of England and Wales", "P", olsen, "mg/l", 1, []float64{9, 15, 25, 45, 70, 100, 140, 200, 280}, []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9"}, "3", rb209},
	{"rb209", "potassium index of England and Wales", "K", nitrate, "mg/l", 1, []float64{60, 120, 180, 240, 400, 600, 900, 1500, 2400, 3600}, []string{"0", "1", "2-", "2+", "3", "4", "5", "6", "7", "8", "9"}, "2+", rb209},
	{"rb209", "magnesium index of England and Wales", "Mg", nitrate, "mg/l", 1, []float64{25, 50, 100, 175, 250, 350, 600, 1000, 1500}, []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9"}, "2", rb209},
	{"morgan-ireland", "phosphorus index of Ireland, worked ground", "P", morgan, "mg/l", 0.1, []float64{3.0, 6.0, 10.0}, four, "3", Mark{"FAI-INDEX", "V"}},
	{"morgan-ireland-grass", "phosphorus index of Ireland, grassland", "P", morgan, "mg/l", 0.1, []float64{3.0, 5.0, 8.0}, four, "3", Mark{"FAI-INDEX", "V"}},
	{"morgan-ireland", "potassium index of Ireland", "K", morgan, "mg/l", 1, []float64{50, 100, 150}, four, "3", Mark{"FAI-INDEX", "V"}},
	// The page prints 26-50 and 50-100 for magnesium; 50 is read as index 2.
	{"morgan-ireland", "magnesium index of Ireland", "Mg", morgan, "mg/l", 1, []float64{25, 50, 100}, four, "3", Mark{"FAI-INDEX", "V"}},
	{"mehlich3-nj", "levels of New Jersey", "P", mehlich, "lb/acre", 1, []float64{24, 45, 71, 137}, five, "high", Mark{"RUTGERS", "V"}},
	{"mehlich3-nj", "levels of New Jersey", "K", mehlich, "lb/acre", 1, []float64{40, 81, 145, 277}, five, "high", Mark{"RUTGERS", "V"}},
	{"mehlich3-nj", "levels of New Jersey", "Mg", mehlich, "lb/acre", 1, []float64{45, 83, 143, 295}, five, "high", Mark{"RUTGERS", "V"}},
	{"mehlich3-nj", "levels of New Jersey", "Ca", mehlich, "lb/acre", 1, []float64{615, 1007, 1400, 1790}, five, "high", Mark{"RUTGERS", "V"}},
	{"alberta", "classes of Alberta, 0-15 cm", "P", alberta, "lb/acre", 1, []float64{10, 20, 25, 30, 40, 50, 70, 90}, nine, "", Mark{"ALBERTA2007", "V"}},
	{"alberta", "classes of Alberta, 0-15 cm", "K", alberta, "lb/acre", 1, []float64{50, 100, 150, 200, 250, 300, 400, 600}, nine, "", Mark{"ALBERTA2007", "V"}},
	{"alberta", "classes of Alberta, not watered, 0-60 cm", "NO3-N", alberta, "lb/acre", 1, []float64{10, 20, 30, 40, 50, 60, 70, 80}, nine, "", Mark{"ALBERTA2007", "V"}},
	{"alberta-watered", "classes of Alberta, watered, 0-60 cm", "NO3-N", alberta, "lb/acre", 1, []float64{20, 40, 60, 80, 100, 120, 140, 160}, nine, "", Mark{"ALBERTA2007", "V"}},
	{"alberta", "classes of Alberta, 0-60 cm", "S", alberta, "lb/acre", 1, []float64{5, 10, 15, 20, 25, 30, 40, 50}, nine, "", Mark{"ALBERTA2007", "V"}},
	{"oregon-bray", "classes of Oregon, west of the Cascades", "P", bray, "mg/kg", 1, []float64{19, 40, 100}, []string{"low", "medium", "high", "excessive"}, "", oregon},
	{"oregon-olsen", "classes of Oregon, east", "P", olsen, "mg/kg", 1, []float64{9, 20, 40}, []string{"low", "medium", "high", "excessive"}, "", oregon},
	{"oregon", "classes of Oregon", "K", acetate, "mg/kg", 1, []float64{149, 250, 800}, []string{"low", "medium", "high", "excessive"}, "", oregon},
}
