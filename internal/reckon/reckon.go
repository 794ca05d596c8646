// Package reckon is the science as calculators: one number worked out by hand from named inputs with units,
// with the steps as one would write them on paper, the source and the usual cautions. It reads no records.
package reckon

// Kind says how an input is read and in which quantity.
type Kind string

// The kinds of input; each is read by package unit or civil, or is one of the listed words.
const (
	Number      Kind = "number"
	Share       Kind = "share" // "40 %" or 0.4
	Length      Kind = "length"
	Area        Kind = "area"
	Volume      Kind = "volume"
	Mass        Kind = "mass"
	Time        Kind = "time"
	Temperature Kind = "temperature"
	Density     Kind = "density"
	Date        Kind = "date"
	Word        Kind = "word"
	Text        Kind = "text" // a list such as a recipe; the calculator's own reader says what is wrong
)

// Input is one named input of a calculator. Low and High bound the value in Unit (both 0: no bounds).
type Input struct {
	Name      string
	Says      string
	Kind      Kind
	Unit      string   // the unit a bare number is understood in, and that bounds and defaults are given in
	Words     []string // the choices of a Word
	Default   string   // "" means it must be given, unless Optional
	Optional  bool
	Low, High float64
}

// Result is one number worked out.
type Result struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Low   float64 `json:"low,omitzero"`
	High  float64 `json:"high,omitzero"`
	Unit  string  `json:"unit"`
	Says  string  `json:"says"`
}

// Answer is what a calculator returns.
type Answer struct {
	Name     string            `json:"name"`
	Inputs   map[string]string `json:"inputs"` // as understood, said back
	Results  []Result          `json:"results"`
	Steps    []string          `json:"steps"` // formula lines with the numbers put in
	Source   []string          `json:"source"`
	Status   string            `json:"status"`  // how far the figures were checked: see source.Status
	Checked  string            `json:"checked"` // the same in words
	Cautions []string          `json:"cautions,omitempty"`
}

// Calculator is one entry of the registry.
type Calculator struct {
	Name    string // "compost-depth"
	Subject string // "climate", "water", "soil", "crop", "yield"
	Says    string // one line: what it works out
	Inputs  []Input
	Example map[string]string // inputs of a worked example, run by a test
	Run     func(Values) (Answer, error)
}

// All returns every calculator, by subject and name.
func All() []Calculator {
	return sorted(climateCalculators(), waterCalculators(), soilCalculators(), cropCalculators(), yieldCalculators())
}
