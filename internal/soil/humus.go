package soil

import (
	"fmt"
	"math"
)

// OnePool is the humus of a layer as Hénin and Dupuis reckon it: what is brought turns to humus by K1, what is there goes by K2.
type OnePool struct {
	Start float64 // humus, t/ha (or any mass per area)
	Input float64 // organic dry matter a year, same unit
	K1    float64 // isohumic coefficient: share of the input that becomes humus
	K2    float64 // share of the humus that is mineralised in a year
}

// At returns the humus after so many years. HENIN1945: Y = Y0 e^(−K2 t) + K1 x (1 − e^(−K2 t))/K2.
func (p OnePool) At(years float64) float64 {
	if p.K2 == 0 {
		return p.Start + p.K1*p.Input*years
	}
	gone := -math.Expm1(-p.K2 * years)
	return p.Start*(1-gone) + p.K1*p.Input*gone/p.K2 // HENIN1945
}

// Equilibrium returns where it ends.
func (p OnePool) Equilibrium() float64 { return p.K1 * p.Input / p.K2 }

// Balance returns the gain and loss of the first year.
func (p OnePool) Balance() (gain, loss float64) { return p.K1 * p.Input, p.K2 * p.Start }

// Check refuses coefficients outside what they can be.
func (p OnePool) Check() error {
	switch {
	case p.Start < 0 || p.Input < 0:
		return fmt.Errorf("humus (%g) and yearly input (%g) must not be negative", p.Start, p.Input)
	case p.K1 <= 0 || p.K1 > 1:
		return fmt.Errorf("the share that becomes humus (K1) lies between 0 and 1, not %g", p.K1)
	case p.K2 <= 0 || p.K2 > 0.2:
		return fmt.Errorf("the share mineralised a year (K2) lies between 0 and 0.2, not %g", p.K2)
	}
	return nil
}

// Mineralisation returns K2 from clay and carbonate in g/kg, for northern France. REMY1974.
func Mineralisation(clay, carbonate float64) (float64, error) {
	if clay < 0 || carbonate < 0 || clay+carbonate > 1000 {
		return 0, fmt.Errorf("clay (%g) and carbonate (%g) are g per kg of soil and together not above 1000", clay, carbonate)
	}
	return 1200 / ((clay + 200) * (0.3*carbonate + 200)), nil // REMY1974
}

// Isohumic is a published share of an input that becomes humus; all of them are from memory.
type Isohumic struct {
	Name string
	Says string
	Range
	Mark
}

// IsohumicShares returns the usual K1.
func IsohumicShares() []Isohumic {
	m := Mark{"HENIN-K1", "M"}
	return []Isohumic{
		{"straw", "straw", Range{0.08, 0.20}, m}, {"green-manure", "green manure", Range{0.05, 0.20}, m},
		{"roots", "roots", Range{0.15, 0.30}, m}, {"fresh-manure", "fresh manure", Range{0.20, 0.30}, m},
		{"manure", "well-rotted manure", Range{0.40, 0.50}, m}, {"compost", "mature compost, at least", Range{0.50, 0.50}, m}, {"peat", "peat, at most", Range{0.90, 0.90}, m},
	}
}

// TwoPool is the carbon of the topsoil (0 to 25 cm, kg/m²) as young and old matter: the model ICBM.
type TwoPool struct {
	Input      float64 // i, kg C/m² a year
	Humified   float64 // h: share of the young outflow that becomes old
	Climate    float64 // r: what warmth and wetness do to both rates
	Young, Old float64 // at the start
}

// InputCarbon is the share of carbon in the dry matter of what is brought: 42 % in manures, of which ONTARIO2025 reckons.
const InputCarbon = 0.42

// The rates of ICBM, per year.
const (
	youngRate = 0.8     // k1, ICBM1997
	oldRate   = 0.00605 // k2, ICBM1997
)

// At returns young and old carbon after so many years, by the closed form.
func (p TwoPool) At(years float64) (young, old float64) {
	a, b := youngRate*p.Climate, oldRate*p.Climate // ICBM1997: dY/dt = i − k1 r Y; dO/dt = h k1 r Y − k2 r O
	if a == 0 {
		return p.Young + p.Input*years, p.Old
	}
	ys, os := p.Input/a, p.Humified*p.Input/b
	d := p.Humified * (a*p.Young - p.Input) / (b - a)
	ea, eb := math.Exp(-a*years), math.Exp(-b*years)
	return ys + (p.Young-ys)*ea, os + (p.Old-os-d)*eb + d*ea
}

// Total returns all carbon after so many years.
func (p TwoPool) Total(years float64) float64 {
	y, o := p.At(years)
	return y + o
}

// Steady returns where both pools end.
func (p TwoPool) Steady() (young, old float64) {
	return p.Input / (youngRate * p.Climate), p.Humified * p.Input / (oldRate * p.Climate)
}

// Check refuses values that the model does not know.
func (p TwoPool) Check() error {
	switch {
	case p.Input < 0 || p.Young < 0 || p.Old < 0:
		return fmt.Errorf("carbon in the soil and brought to it must not be negative")
	case p.Humified <= 0 || p.Humified >= 1:
		return fmt.Errorf("the share that becomes old carbon lies between 0 and 1, not %g: crop residues 0.125, manure 0.25", p.Humified)
	case p.Climate <= 0 || p.Climate > 10:
		return fmt.Errorf("the climate factor is 1 for central Sweden and lies between 0 and 10, not %g", p.Climate)
	}
	return nil
}

// Humified returns the h of ICBM for the kind of input. ICBM1997.
func Humified(input string) (float64, error) {
	switch input {
	case "crop residues":
		return 0.125, nil
	case "manure":
		return 0.25, nil
	case "sludge":
		return 0.34, nil
	}
	return 0, fmt.Errorf("input %q: the model has crop residues, manure and sludge", input)
}

// Path returns the yearly totals from the start to the last year.
func Path(at func(years float64) float64, years int) []float64 {
	out := make([]float64, years+1)
	for t := range out {
		out[t] = at(float64(t))
	}
	return out
}
