package soil

import "fmt"

// Limit is one legal limit on farms, shown as a yardstick: gardens mostly do not fall under it, and local rules hold.
type Limit struct {
	Name   string
	Says   string
	Counts Counts
	PerHa  float64 // kg/ha, for Drys t of dry matter/ha
	Years  float64
	Mark
}

// Counts is what a limit counts.
type Counts string

// What limits count.
const (
	ManureN  Counts = "total nitrogen of livestock manure"
	OrganicN Counts = "total nitrogen of organic manures"
	CompostN Counts = "total nitrogen of compost"
	CompostD Counts = "dry matter of compost"
)

// Limits returns the limits on nitrogen and compost, kg/ha.
func Limits() []Limit {
	return []Limit{
		{"manure-year", "livestock manure, mean of a farm (EU, England, Germany)", ManureN, 170, 1, Mark{"SI2015-668", "V"}},
		{"organic-year", "any organic manure on one hectare in twelve months (England, Wales)", OrganicN, 250, 1, Mark{"SI2015-668", "V"}},
		{"compost-2-years", "certified compost alone, in any two years (England, Wales)", CompostN, 500, 2, Mark{"SI2015-668", "V"}},
		{"compost-orchard", "certified compost as a mulch in orchards, in four years (England, Wales)", CompostN, 1000, 4, Mark{"SI2015-668", "V"}},
		{"compost-3-years", "compost, in three years, mean of a farm (Germany)", CompostN, 510, 3, Mark{"DUV-P6", "V"}},
		{"compost-dry", "compost as dry matter, in three years (Germany)", CompostD, 20000, 3, Mark{"BIOABFV", "V"}},
	}
}

// Beside is how a dressing stands beside a limit.
type Beside struct {
	Limit
	Given float64 // kg/ha over the limit's years
	Times float64 // of the limit
}

// String returns the sentence.
func (b Beside) String() string {
	years := "a year"
	if b.Years != 1 {
		years = digits(b.Years) + " years"
	}
	return fmt.Sprintf("%s kg/ha of %s in %s is %s times the %s kg/ha that the law allows farms: %s. Local rules hold.", digits(b.Given), b.Counts, years,
		digits(b.Times), digits(b.PerHa), b.Says)
}

// BesideLimits lays a yearly dressing (kg/ha of what is counted) beside every limit on it, given every year of the limit.
func BesideLimits(what Counts, perHaYear float64) []Beside {
	var out []Beside
	for _, l := range Limits() {
		if l.Counts == what || what == CompostN && l.Counts == OrganicN {
			given := perHaYear * l.Years
			out = append(out, Beside{l, given, given / l.PerHa})
		}
	}
	return out
}

// HighP is a soil phosphorus above which no more is given than the crop removes, or that a laboratory calls excessive.
type HighP struct {
	Says  string
	Above float64
	Unit  string
	Test  string
	Mark
}

// HighPhosphorus returns the thresholds, each in its own test's unit.
func HighPhosphorus() []HighP {
	return []HighP{
		{"Germany", 20, "mg P2O5/100 g", "CAL", Mark{"DUV-P3", "V"}},
		{"Germany", 25, "mg P2O5/100 g", "double lactate", Mark{"DUV-P3", "V"}},
		{"Germany", 3.6, "mg P/100 g", "EUF", Mark{"DUV-P3", "V"}},
		{"New Jersey, very high", 137, "lb/acre", mehlich, Mark{"RUTGERS", "V"}},
		{"index 4 and above", 45, "mg/l", olsen, Mark{"NI2019-81", "V"}},
		{"Oregon, excessive", 100, "mg/kg", bray, oregon},
	}
}

// PhosphateOverload returns how many times the phosphate that a crop removes comes with a material spread for its nitrogen:
// (nitrogen wanted / share that counts / content of N) × content of P2O5 / removal, contents in kg/t, the rest in kg/ha.
func PhosphateOverload(wantedN, share, contentN, contentP2O5, removedP2O5 float64) (tonnesPerHa, brought, times float64, err error) {
	if share <= 0 || contentN <= 0 || removedP2O5 <= 0 {
		return 0, 0, 0, fmt.Errorf("the share of nitrogen that counts, the nitrogen content and the phosphate removed must be above 0")
	}
	tonnesPerHa = wantedN / share / contentN
	brought = tonnesPerHa * contentP2O5
	return tonnesPerHa, brought, brought / removedP2O5, nil
}
