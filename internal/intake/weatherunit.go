package intake

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairplot/internal/word"
)

// scale turns a figure in some unit into that of package climate.
type scale struct {
	names   string // spellings, apart by blanks, as unitName leaves them
	convert func(float64) float64
}

func times(k float64) func(float64) float64 { return func(x float64) float64 { return k * x } }

// The units in which weather is handed out, by field; the first is the one that results are in. Factors are exact by definition (NIST SP
// 811, appendix B.8); a langley is the thermochemical calorie on a square centimetre.
var (
	temperatureScales = []scale{
		{"c degc degreec degreesc celsius", times(1)},
		{"f degf degreef degreesf fahrenheit", func(x float64) float64 { return (x - 32) / 1.8 }},
		{"k kelvin", func(x float64) float64 { return x - 273.15 }},
		{"0.1c 0.1degc tenthsc tenthsofc", times(0.1)},
	}
	rainScales = []scale{
		{"mm millimetre millimetres millimeter millimeters l/m2 kg/m2", times(1)},
		{"in inch inches", times(25.4)},
		{"cm", times(10)},
		{"0.1mm tenthsmm tenthsofmm", times(0.1)},
		{"0.01in hundredthsin", times(0.254)},
	}
	sunshineScales = []scale{{"h hour hours hr hrs", times(1)}, {"min minute minutes", times(1.0 / 60)}, {"s sec seconds", times(1.0 / 3600)}, {"0.1h", times(0.1)}}
	sunScales      = []scale{
		{"mj/m2 mj/m*m mj mjm-2 mjm-2day-1 mjm-2d-1", times(1)}, {"kj/m2", times(0.001)}, {"j/cm2", times(0.01)}, {"j/m2", times(1e-6)}, {"kwh/m2", times(3.6)},
		{"wh/m2", times(0.0036)}, {"w/m2", times(0.0864)}, {"cal/cm2 langley ly", times(0.04184)},
	}
	windScales     = []scale{{"m/s ms mps", times(1)}, {"km/h kmh kph", times(1 / 3.6)}, {"mph mi/h", times(0.44704)}, {"kn kt kts knot knots", times(1852.0 / 3600)}, {"0.1m/s", times(0.1)}}
	humidityScales = []scale{{"share 1", times(1)}, {"% percent pct", times(0.01)}}
	dayScales      = []scale{{"days day d", times(1)}}
)

var scalesOf = map[string][]scale{
	"min": temperatureScales, "max": temperatureScales, "rain": rainScales, "sunshine": sunshineScales, "radiation": sunScales,
	"wind": windScales, "humidity": humidityScales, "rain-days": dayScales,
}

// headImplies are units that the words of a head imply.
var headImplies = map[string]string{
	"sunshine hours": "h", "sun hours": "h", "hours of sunshine": "h", "rain days": "days", "rainy days": "days", "days with rain": "days", "days of rain": "days",
}

// publishedUnits are those of heads whose files carry no units, by their published descriptions: the daily tables of German stations
// (DWD-KL), read in a list of its columns.
var publishedUnits = map[string]string{"TXK": "°C", "TNK": "°C", "RSK": "mm", "SDK": "h", "FM": "m/s", "UPM": "%"}

var unitSigns = strings.NewReplacer("°", "", "²", "2", " ", "", "⁄", "/")

// unitName brings the spelling of a unit to the one of the lists; that it is by the day goes without saying.
func unitName(s string) string {
	s = unitSigns.Replace(strings.ToLower(s))
	for _, daily := range []string{"/day", "perday", "aday", "/d"} {
		s = strings.TrimSuffix(s, daily)
	}
	return s
}

func isUnit(s string) bool {
	for _, list := range scalesOf {
		if _, ok := scaleNamed(list, s); ok {
			return true
		}
	}
	return false
}

func scaleNamed(list []scale, name string) (scale, bool) {
	name = unitName(name)
	for _, s := range list {
		if slices.Contains(strings.Fields(s.names), name) {
			return s, true
		}
	}
	return scale{}, false
}

// wholeSystems are words for the units of all columns at once.
var wholeSystems = map[string]map[string]string{
	"metric": {"min": "°C", "max": "°C", "rain": "mm", "sunshine": "h", "radiation": "MJ/m²", "wind": "m/s", "humidity": "%", "rain-days": "days"},
	"us":     {"min": "°F", "max": "°F", "rain": "in", "sunshine": "h", "radiation": "langley", "wind": "mph", "humidity": "%", "rain-days": "days"},
}

// settleUnits gives every column its unit, or asks for it. What the caller says goes before the head, that before a row of units below it.
func (c weatherColumns) settleUnits(t Table, o WeatherOptions) error {
	for field := range o.Units {
		if field != "all" && scalesOf[field] == nil {
			return refuse("units", fmt.Sprintf("%q is no field of the weather", field), word.Hint(field, weatherFields))
		}
	}
	system, known := wholeSystems[word.Fold(o.Units["all"])]
	if o.Units["all"] != "" && !known {
		return refuse("units", fmt.Sprintf("%q is no system of units", o.Units["all"]), "say metric or us, or one unit for each column: min=F,rain=in")
	}
	below := unitRow(t)
	for i := range c {
		w := &c[i]
		if scalesOf[w.field] == nil {
			continue
		}
		w.unit = firstText(o.Units[w.field], w.unit, headImplies[headName(w.head)], at(below, w.at), publishedUnits[w.head], system[w.field])
		if err := w.settle(t); err != nil {
			return err
		}
	}
	return nil
}

// unitRow is the first row, if it holds no digit: the units of the columns.
func unitRow(t Table) []string {
	if len(t.Rows) == 0 || strings.ContainsAny(strings.Join(t.Rows[0], ""), "23456789") {
		return nil
	}
	if !slices.ContainsFunc(t.Rows[0], isUnit) {
		return nil
	}
	return t.Rows[0]
}

func at(row []string, i int) string {
	if i < len(row) {
		return row[i]
	}
	return ""
}

func firstText(texts ...string) string {
	for _, s := range texts {
		if strings.TrimSpace(s) != "" {
			return strings.TrimSpace(s)
		}
	}
	return ""
}

// settle finds the scale of the column, or asks for its unit.
func (w *weatherColumn) settle(t Table) error {
	list := scalesOf[w.field]
	if w.unit == "" && w.field == "humidity" {
		w.unit = humidityUnit(t.Column(w.at))
	}
	if w.unit == "" && !w.unitless(t) {
		w.unit, w.convert = "as each cell says", nil
		return nil
	}
	if w.unit == "" {
		return ask("column "+w.head, "it does not say its unit"+w.looks(t), fmt.Sprintf("say it, such as --units %s=%s; it may be %s", w.field, firstName(list[0]), firstNames(list)))
	}
	s, ok := scaleNamed(list, w.unit)
	if !ok {
		return refuse("column "+w.head, fmt.Sprintf("%q is no unit for %s", w.unit, w.field), fmt.Sprintf("it may be %s: --units %s=%s", firstNames(list), w.field, firstName(list[0])))
	}
	if w.field == "humidity" && firstName(s) == "%" && humidityUnit(t.Column(w.at)) == "share" {
		return ask("column "+w.head, "it is headed as per cent, but no figure is above 1", "if 0.8 means 80 %, say --units humidity=share")
	}
	w.convert = s.convert
	return nil
}

// unitless reports whether the column has a bare number.
func (w weatherColumn) unitless(t Table) bool {
	for _, cell := range t.Column(w.at) {
		if _, unitText, ok := figure(cell); ok && unitText == "" {
			return true
		}
	}
	return false
}

// looks says what a column of temperatures without a unit looks like.
func (w weatherColumn) looks(t Table) string {
	low, high := spanOf(t.Column(w.at))
	if low > high {
		return ""
	}
	text := fmt.Sprintf("; its figures run from %g to %g", low, high)
	switch {
	case w.field != "min" && w.field != "max":
	case high > hottest:
		text += ", which looks like °F"
	case low < 0 && high < 50:
		text += ", which looks like °C"
	}
	return text
}

func spanOf(cells []string) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, cell := range cells {
		if x, _, ok := figure(cell); ok {
			low, high = math.Min(low, x), math.Max(high, x)
		}
	}
	return low, high
}

// humidityUnit tells shares from per cents by the whole column: 80 can only be per cent, and a column that never passes 1 a share.
func humidityUnit(cells []string) string {
	low, high := spanOf(cells)
	switch {
	case low > high:
		return ""
	case high <= 1:
		return "share"
	}
	return "%"
}

// firstName and firstNames name units as people write them.
func firstName(s scale) string { return strings.Fields(s.names)[0] }

func firstNames(list []scale) string {
	var out []string
	for _, s := range list {
		out = append(out, firstName(s))
	}
	return word.Or(out)
}
