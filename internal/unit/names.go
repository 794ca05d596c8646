package unit

import "strings"

// dimension is what a text is read as.
type dimension uint8

const (
	length dimension = iota
	area
	volume
	mass
	duration // a span of time
	temperature
	yield
	depth
	crowding
	density
	count // a plain number
	share
	dimensions
)

// about describes a dimension in messages.
type about struct {
	name       string // with its article
	metric, us string // examples of whole entries
}

var abouts = [dimensions]about{
	length:      {"a length", "30 cm or 1.2 m", "12 in or 4 ft"},
	area:        {"an area", "4.5 m2", "48 sq ft"},
	volume:      {"a volume", "10 L or 0.1 m3", "2.5 gal or 3 cu ft"},
	mass:        {"a weight", "850 g or 1.5 kg", "12 oz or 3 lb 4 oz"},
	duration:    {"a time", "45 min or 1h30", "45 min or 1h30"},
	temperature: {"a temperature", "12 °C", "54 °F"},
	yield:       {"a weight per area", "3 kg/m2", "60 lb/100 sq ft"},
	depth:       {"a depth or a volume per area", "8 mm or 25 L/m2", "0.5 in or 6 gal/100 sq ft"},
	crowding:    {"a number per area", "36/m2", "4/sq ft"},
	density:     {"a weight per volume", "600 kg/m3", "40 lb/cu ft"},
	count:       {"a plain number", "12 or 1.5", "12 or 1.5"},
	share:       {"a share", "40 %", "40 %"},
}

// names maps spellings to sizes in SI, by dimension; compound units are made of them. The factors are the constants of
// this package (NIST SP 811, appendix B.8); a pint, fluid ounce, cup and bushel are 1/8, 1/128, 1/16 gallon and
// 2150.42 cubic inches (NIST Handbook 44, appendix C).
var names = [dimensions]map[string]float64{
	length: spell(map[string]Length{
		"m metre metres meter meters": Metre, "cm centimetre centimetres centimeter centimeters": Centimetre,
		"mm millimetre millimetres millimeter millimeters": Millimetre, "km kilometre kilometres kilometer kilometers": 1000,
		`in inch inches "`: Inch, "ft foot feet '": Foot, "yd yds yard yards": Yard}),
	area: spell(map[string]Area{
		"m2 sqm sqmetre sqmetres sqmeter sqmeters": SquareMetre, "cm2 sqcm": 1e-4, "ha hectare hectares": Hectare, "are ares": 100,
		"ft2 sqft sqfoot sqfeet": SquareFoot, "in2 sqin sqinch sqinches": Area(Inch * Inch), "yd2 sqyd sqyds sqyard sqyards": SquareYard, "ac acre acres": Acre}),
	volume: spell(map[string]Volume{
		"m3 cum cumetre cumetres cumeter cumeters": CubicMetre, "l lt ltr litre litres liter liters": Litre, "ml millilitre millilitres milliliter milliliters": Millilitre,
		"cl": 1e-5, "dl": 1e-4, "cm3 cc": Millilitre, "dm3": Litre, "ft3 cuft cufoot cufeet": CubicFoot, "yd3 cuyd cuyds cuyard cuyards": CubicYard,
		"gal gals gallon gallons": Gallon, "qt qts quart quarts": Quart, "pt pts pint pints": Gallon / 8, "floz fluidounce fluidounces": Gallon / 128,
		"cup cups": Gallon / 16, "bu bushel bushels": 2150.42 * Volume(Inch*Inch*Inch)}),
	mass: spell(map[string]Mass{
		"kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes": Kilogram, "g gr gm gram grams gramme grammes": Gram, "mg": 1e-6,
		"t tonne tonnes": Tonne, "lb lbs pound pounds": Pound, "oz ounce ounces": Ounce}),
	duration: spell(map[string]Time{
		"s sec secs second seconds": Second, "min mins minute minutes": Minute, "h hr hrs hour hours": Hour, "d day days": Day}),
	count: {"": 1},
	share: spell(map[string]float64{"% percent pct": 0.01, "‰ permille": 0.001}),
}

// shortTon is 2000 pounds (NIST SP 811, appendix B.8). Only US books read "ton" as that; elsewhere it could be either ton.
const shortTon = 2000 * Pound

// spell gives every spelling of a key its size.
func spell[T ~float64](sizes map[string]T) map[string]float64 {
	out := map[string]float64{}
	for spellings, size := range sizes {
		for _, s := range strings.Fields(spellings) {
			out[s] = float64(size)
		}
	}
	return out
}

// parts are the dimensions above and below the stroke of a compound unit.
var parts = map[dimension][2]dimension{
	yield: {mass, area}, depth: {volume, area}, crowding: {count, area}, density: {mass, volume},
}

var oneSpelling = strings.NewReplacer("square", "sq", "cubic", "cu", "per cent", "percent", ".", "", "-", "", " ", "")

// key brings the spelling of a unit to the one that names uses.
func key(s string) string { return oneSpelling.Replace(strings.ToLower(s)) }
