// Package soil is the ground and what is put on it: dressings by volume, depth and mass, nutrients brought and nitrogen released
// over years, lime, soil tests by laboratory scheme, compost recipes and heat, organic matter over decades, stones, and the legal
// limits. Every formula and table names its source and how far it was checked. It leaves out what a crop takes (crop), soil water
// (water) and the grower's records.
package soil

import (
	"math"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// Mark says where a figure or rule comes from and how far it was checked.
type Mark struct {
	Source string        // key in the register
	Status source.Status // "V" read in the source, "V2" quoted by another, "C" computed here, "M" from memory
}

// String returns the mark as it is shown: "RB209-2010", "NRM2017, second-hand".
func (m Mark) String() string { return m.Status.Behind(m.Source) }

// FromMemory reports whether the figure was never checked: it may be shown, and must say so.
func (m Mark) FromMemory() bool { return m.Status == "M" }

// digits writes a number with three significant digits and never with a power of ten.
func digits(x float64) string {
	if x == 0 {
		return "0"
	}
	return unit.Decimal(x, max(0, 2-int(math.Floor(math.Log10(math.Abs(x))))))
}

// Range is a published value or range.
type Range struct{ Low, High float64 }

// Mid returns the middle.
func (r Range) Mid() float64 { return (r.Low + r.High) / 2 }

// The factors from element to oxide, of IUPAC's atomic weights of 2007, on which the printed tables rest. They round them.
const (
	oxygen      = 15.9994
	P2O5PerP    = (2*30.973762 + 5*oxygen) / (2 * 30.973762)
	K2OPerK     = (2*39.0983 + oxygen) / (2 * 39.0983)
	MgOPerMg    = (24.3050 + oxygen) / 24.3050
	CaOPerCa    = (40.078 + oxygen) / 40.078
	SO3PerS     = (32.065 + 3*oxygen) / 32.065
	NO3PerN     = (14.0067 + 3*oxygen) / 14.0067
	CaCO3PerCaO = (40.078 + 12.0107 + 3*oxygen) / (40.078 + oxygen)

	// StatutoryPPerP2O5 is the rounded factor of the German ordinance's printed P column (DUV-A7).
	StatutoryPPerP2O5 = 0.44
)

// PoundsPerAcre and the like are kg/ha in one of the named unit; tons are US short tons.
const (
	PoundsPerAcre      = 0.45359237 / 0.40468564224
	ShortTonsPerAcre   = 2000 * PoundsPerAcre // kg/ha
	PoundsPer1000SqFt  = 0.45359237 / 92.90304 * 1e4
	PoundsPer100SqFt   = 0.45359237 / 9.290304 // kg/m²
	OuncesPerSqYard    = 0.028349523125 / 0.83612736
	PoundsPerCubicYard = 0.45359237 / 0.764554857984 // kg/m³
)
