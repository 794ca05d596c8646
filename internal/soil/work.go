package soil

import "fairplot/internal/unit"

// Rate is a published pace of work by hand, in hours per m² of bed. Paces of different soils, skills and aims are never mixed, and
// the grower's own clock goes before all of them.
type Rate struct {
	Work string
	Says string
	Range
	Mark
}

// dayHours is the working day that old rates a day are turned by; no source prints it.
const dayHours = 10.0

// rod is a square rod.
const rod = 272.25 * float64(unit.SquareFoot)

// Rates returns the paces of soil work and weeding.
func Rates() []Rate {
	hundred := 100 * float64(unit.SquareFoot)
	return []Rate{
		{"single-dig", "single digging, one spit, by an expert (day of 10 h assumed)", Range{dayHours / (15 * rod), dayHours / (8 * rod)}, Mark{"WEATHERS1913", "V"}},
		{"trench", "trenching by a skilled man (day of 10 h assumed)", Range{dayHours / (4 * rod), dayHours / (4 * rod)}, Mark{"TRENCHING", "V2"}},
		{"double-dig", "double digging for the first time", Range{2 / hundred, 6 / hundred}, Mark{"JEAVONS", "V"}},
		{"double-dig-again", "double digging later, bed shaped", Range{2 / hundred, 2 / hundred}, Mark{"JEAVONS", "V"}},
		{"weed-drilled", "hand weeding of drilled onions and leeks", Range{0.01, 0.06}, Mark{"BREWSTER", "V"}},
	}
}

// Hours returns the hours for the area.
func (r Rate) Hours(a unit.Area) Range { return Range{r.Low * float64(a), r.High * float64(a)} }

// Effort is the energy that work takes, as a multiple of rest. The text is the key: copies of the compendium give its codes to
// other work.
type Effort struct {
	Says string
	MET  float64
	Mark
}

// Efforts returns garden work by effort. MET2011.
func Efforts() []Effort {
	m := Mark{"MET2011", "V2"}
	return []Effort{
		{"digging, light to moderate", 3.5, m}, {"digging", 5.0, m}, {"digging, vigorous", 7.8, m}, {"pushing a wheelbarrow", 5.5, m},
		{"shovelling dirt or mud", 5.5, m}, {"planting, stooping", 4.3, m}, {"raking", 4.0, m}, {"watering", 1.5, m}, {"weeding", 4.5, m},
		{"weeding with a hoe", 5.0, m}, {"gardening", 3.8, m}, {"picking", 3.5, m}, {"potting", 2.0, m},
	}
}

// Energy returns the energy in kcal: one MET is taken as 1 kcal per kg and hour.
func (e Effort) Energy(body unit.Mass, hours float64) float64 { return e.MET * float64(body) * hours }

// Animal is what one head of own stock drops in a day, by law.
type Animal struct {
	Name                string
	Litres              float64
	Nitrogen, Phosphate float64 // g a day, N and P2O5
	Mark
}

// Animals returns the daily droppings of small stock. A Welsh print of the ewe has 3 g of nitrogen; the English table has 33.
func Animals() []Animal {
	law := Mark{"SI2008-2349", "V"}
	return []Animal{
		{"sheep, 6 to 9 months", 1.8, 5.5, 0.76, law}, {"ewe above 60 kg", 5, 33, 10.0, law}, {"goat", 3.5, 41, 18.8, law},
		{"horse", 24, 58, 56, law}, {"pullet below 17 weeks", 0.04, 0.64, 0.47, law},
	}
}

// DensityLimit is a bulk density at which roots suffer, by texture.
type DensityLimit struct {
	Texture         string
	Ideal, Restrict unit.Density
	Mark
}

// DensityLimits returns the general limits for sandy, silty and clayey soil. NRCS-BD.
func DensityLimits() []DensityLimit {
	m := Mark{"NRCS-BD", "V2"}
	return []DensityLimit{{"sandy", 1600, 1800, m}, {"silty", 1400, 1650, m}, {"clayey", 1100, 1470, m}}
}

// TrenchSoil returns the soil of a trench across a bed, such as the first one of double digging.
func TrenchSoil(bedWidth, trenchWidth, depth unit.Length) unit.Volume {
	return bedWidth.Times(trenchWidth).Deep(depth)
}
