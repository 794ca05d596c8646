// Package unit holds the quantities that growers weigh, measure and pay, SI inside, with one reader
// and one writer for all of them: metric, US customary and the grower's own loads.
// It leaves out dates (civil) and everything that knows what a quantity is for.
package unit

// Length is a length or depth in metres.
type Length float64

// Area is an area in square metres.
type Area float64

// Volume is a volume in cubic metres.
type Volume float64

// Mass is a mass in kilograms.
type Mass float64

// Time is a span of time in seconds.
type Time float64

// Temperature is a temperature in degrees Celsius.
type Temperature float64

// Density is a mass per volume in kg/m³.
type Density float64

// Yield is a mass per area in kg/m²; a dressing by mass has the same dimension.
type Yield float64

// Depth of material per area is a volume per area in m³/m², which is a length.
type Depth = Length

// Crowding is a number per area, 1/m²: plants, seeds, cores.
type Crowding float64

// The exact factors to SI of NIST SP 811 (2008), appendix B.8.
const (
	Metre      Length = 1
	Centimetre Length = 0.01
	Millimetre Length = 0.001
	Inch       Length = 0.0254
	Foot       Length = 0.3048
	Yard       Length = 0.9144

	SquareMetre Area = 1
	Hectare     Area = 1e4
	SquareFoot  Area = 0.3048 * 0.3048
	SquareYard  Area = 0.9144 * 0.9144
	Acre        Area = 4840 * 0.9144 * 0.9144

	CubicMetre Volume = 1
	Litre      Volume = 0.001
	Millilitre Volume = 1e-6
	CubicFoot  Volume = 0.3048 * 0.3048 * 0.3048
	CubicYard  Volume = 0.9144 * 0.9144 * 0.9144
	Gallon     Volume = 231 * 0.0254 * 0.0254 * 0.0254
	Quart      Volume = Gallon / 4

	Kilogram Mass = 1
	Gram     Mass = 0.001
	Tonne    Mass = 1000
	Pound    Mass = 0.45359237
	Ounce    Mass = Pound / 16

	Second Time = 1
	Minute Time = 60
	Hour   Time = 3600
	Day    Time = 86400
)

// Per returns the mass per area.
func (m Mass) Per(a Area) Yield { return Yield(float64(m) / float64(a)) }

// Over returns the mass that the yield makes on the area.
func (y Yield) Over(a Area) Mass { return Mass(float64(y) * float64(a)) }

// Per returns the volume per area, which is the depth of the layer.
func (v Volume) Per(a Area) Depth { return Depth(float64(v) / float64(a)) }

// Times returns the area of a rectangle.
func (l Length) Times(w Length) Area { return Area(float64(l) * float64(w)) }

// Deep returns the volume of a layer on the area.
func (a Area) Deep(d Depth) Volume { return Volume(float64(a) * float64(d)) }

// Of returns the mass of the volume at the density.
func (d Density) Of(v Volume) Mass { return Mass(float64(d) * float64(v)) }

// Kelvin returns the thermodynamic temperature in kelvin.
func (t Temperature) Kelvin() float64 { return float64(t) + 273.15 }

// Money is an amount in hundredths of the currency's unit.
type Money struct {
	Hundredths int64  `json:"hundredths"`
	Currency   string `json:"currency"` // ISO 4217, "" is the book's own
}
