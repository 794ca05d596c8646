package unit

import (
	"math"
	"strconv"
	"strings"
)

// What Format writes, the readers of this package read back as the same text and, to the digits shown, the same quantity.

// Decimal returns the number with at most places digits behind the mark, without zeros at the end and never with a power of ten.
func Decimal(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// Full returns the shortest number that is read back as exactly v, for files.
func Full[T ~float64](v T) string { return strconv.FormatFloat(float64(v), 'f', -1, 64) }

// rounded reports whether v, rounded to places digits, reaches the limit; so 999.6 g is written as 1 kg, not as 1000 g.
func rounded(v float64, places int, limit float64) bool {
	p := math.Pow10(places)
	return math.Round(math.Abs(v)*p)/p >= limit
}

// Format returns the mass to the gram: 850 g, 1.5 kg; or 12 oz, 3 lb 4 oz.
func (m Mass) Format(s System) string {
	v := float64(m)
	switch {
	case s == US && !rounded(v/float64(Ounce), 1, 16):
		return Decimal(v/float64(Ounce), 1) + " oz"
	case s == US && !rounded(v/float64(Pound), 1, 20):
		return mixed(v/float64(Ounce), 16, 1, "lb", "oz")
	case s == US:
		return Decimal(v/float64(Pound), 1) + " lb"
	case !rounded(v*1000, 1, 10):
		return Decimal(v*1000, 1) + " g"
	case !rounded(v*1000, 0, 1000):
		return Decimal(v*1000, 0) + " g"
	}
	return Decimal(v, 3) + " kg"
}

// mixed writes an amount of small units as large and small ones.
func mixed(v, ratio float64, places int, large, small string) string {
	p := math.Pow10(places)
	v = math.Round(v*p) / p
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	whole := math.Floor(v / ratio)
	rest := Decimal(v-whole*ratio, places)
	if rest == "0" {
		return sign + Decimal(whole, 0) + " " + large
	}
	return sign + Decimal(whole, 0) + " " + large + " " + rest + " " + small
}

// Format returns the length to the millimetre: 4 mm, 30 cm, 1.25 m; or 6.5 in, 5 ft 6 in.
func (l Length) Format(s System) string {
	v := float64(l)
	switch {
	case s == US && !rounded(v/float64(Inch), 2, 12):
		return Decimal(v/float64(Inch), 2) + " in"
	case s == US:
		return mixed(v/float64(Inch), 12, 2, "ft", "in")
	case !rounded(v*1000, 1, 10):
		return Decimal(v*1000, 1) + " mm"
	case !rounded(v*100, 1, 100):
		return Decimal(v*100, 1) + " cm"
	}
	return Decimal(v, 3) + " m"
}

// Water returns a depth of rain or watering: 12.5 mm; or 0.49 in.
func (l Length) Water(s System) string {
	if s == US {
		return Decimal(float64(l/Inch), 2) + " in"
	}
	return Decimal(float64(l/Millimetre), 1) + " mm"
}

// Dressing returns a volume per area: 25 L/m²; or 8.2 cu ft/100 sq ft.
func (l Length) Dressing(s System) string {
	if s == US {
		return Decimal(float64(l/Foot)*100, 2) + " cu ft/100 sq ft"
	}
	return Decimal(float64(l)/float64(Litre), 2) + " L/m²"
}

// Format returns the area: 4.25 m², 1.2 ha; or 45.75 sq ft, 0.5 acre.
func (a Area) Format(s System) string {
	v := float64(a)
	switch {
	case s == US && !rounded(v/float64(Acre), 3, 0.5):
		return Decimal(v/float64(SquareFoot), 2) + " sq ft"
	case s == US:
		return Decimal(v/float64(Acre), 3) + " acre"
	case !rounded(v, 2, 1e4):
		return Decimal(v, 2) + " m²"
	}
	return Decimal(v/float64(Hectare), 4) + " ha"
}

// Format returns the volume: 250 mL, 12.5 L, 1.5 m³; or 12 fl oz, 2.5 gal.
func (v Volume) Format(s System) string {
	x := float64(v)
	switch {
	case s == US && !rounded(x/float64(Gallon)*128, 1, 128):
		return Decimal(x/float64(Gallon)*128, 1) + " fl oz"
	case s == US:
		return Decimal(x/float64(Gallon), 2) + " gal"
	case !rounded(x*1e6, 0, 1000):
		return Decimal(x*1e6, 0) + " mL"
	case !rounded(x*1e3, 2, 1000):
		return Decimal(x*1e3, 2) + " L"
	}
	return Decimal(x, 3) + " m³"
}

// Bulk returns the volume of compost or soil: as Format in metric books, else 3.5 cu ft, 2 cu yd.
func (v Volume) Bulk(s System) string {
	switch x := float64(v); {
	case s == Metric:
		return v.Format(s)
	case !rounded(x/float64(CubicFoot), 2, 27):
		return Decimal(x/float64(CubicFoot), 2) + " cu ft"
	default:
		return Decimal(x/float64(CubicYard), 2) + " cu yd"
	}
}

// Format returns the time: 30 s, 45 min, 1 h 30 min; from an hour on to the minute.
func (t Time) Format(System) string {
	v := float64(t)
	switch {
	case !rounded(v, 0, 60):
		return Decimal(v, 0) + " s"
	case !rounded(v, 0, 3600):
		return mixed(v, 60, 0, "min", "s")
	}
	return mixed(v/60, 60, 0, "h", "min")
}

// Format returns the temperature: 12.5 °C; or 54.5 °F.
func (t Temperature) Format(s System) string {
	if s == US {
		return Decimal(float64(t)*1.8+32, 1) + " °F"
	}
	return Decimal(float64(t), 1) + " °C"
}

// Format returns the yield: 850 g/m², 3.2 kg/m²; or 65.5 lb/100 sq ft.
func (y Yield) Format(s System) string {
	v := float64(y)
	switch {
	case s == US:
		return Decimal(v*float64(SquareFoot)*100/float64(Pound), 2) + " lb/100 sq ft"
	case !rounded(v*1000, 1, 1000):
		return Decimal(v*1000, 1) + " g/m²"
	}
	return Decimal(v, 3) + " kg/m²"
}

// Format returns the crowding: 36/m²; or 3.34/sq ft.
func (c Crowding) Format(s System) string {
	if s == US {
		return Decimal(float64(c)*float64(SquareFoot), 3) + "/sq ft"
	}
	return Decimal(float64(c), 2) + "/m²"
}

// Format returns the density: 600 kg/m³; or 37.5 lb/cu ft.
func (d Density) Format(s System) string {
	if s == US {
		return Decimal(float64(d)*float64(CubicFoot)/float64(Pound), 2) + " lb/cu ft"
	}
	return Decimal(float64(d), 1) + " kg/m³"
}

// FormatShare returns the share in per cent: 40 %.
func FormatShare(v float64) string { return Decimal(v*100, 1) + " %" }
