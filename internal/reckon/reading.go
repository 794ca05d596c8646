package reckon

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// read reads one input as written.
func (in Input) read(text string) (value, error) {
	switch in.Kind {
	case Word:
		return in.readWord(text)
	case Text:
		return value{word: text, said: text}, nil
	case Date:
		return in.readDate(text)
	case Share:
		return in.readShare(text)
	}
	return in.readAmount(text)
}

func (in Input) readWord(text string) (value, error) {
	for _, w := range in.Words {
		if plainName(w) == plainName(text) {
			return value{word: w, said: w}, nil
		}
	}
	return value{}, refuse(in.Name, fmt.Sprintf("%q is not among its words", text), offer(text, in.Words))
}

// commonYear stands in where a day was written without its year.
const commonYear = " 2025"

func (in Input) readDate(text string) (value, error) {
	d, err := civil.Reader{}.Date(text)
	said := ""
	if err != nil {
		if yearless, e := (civil.Reader{}).Date(text + commonYear); e == nil {
			d, err, said = yearless, nil, " (no year was given: one of 365 days)"
		}
	}
	if err != nil {
		return value{}, in.wrong(err)
	}
	return value{date: d, said: d.String() + said}, nil
}

// wrong says an error of unit or civil about this input.
func (in Input) wrong(err error) error {
	var u *unit.Error
	var c *civil.Error
	switch {
	case errors.As(err, &u):
		return refuse(in.Name, u.Text, u.Hint)
	case errors.As(err, &c):
		return refuse(in.Name, c.Text, c.Hint)
	}
	return refuse(in.Name, err.Error(), "")
}

// readShare reads "40 %" or 0.4. A bare number above 1 could be either and is asked about.
func (in Input) readShare(text string) (value, error) {
	x, err := unit.ParseShare(text, unit.NoDefault)
	if err != nil {
		if bare, e := unit.ParseNumber(text); e == nil && bare > 1 && bare <= 100 {
			return value{}, refuse(in.Name, fmt.Sprintf("%s is more than the whole", short(bare)), fmt.Sprintf("did you mean %s %%?", short(bare)))
		}
		return value{}, in.wrong(err)
	}
	if err := in.within(x); err != nil {
		return value{}, err
	}
	return value{num: x, said: short(100*x) + " %"}, nil
}

// readAmount reads a number with the input's unit or another of its kind.
func (in Input) readAmount(text string) (value, error) {
	x, err := in.amount(text)
	if err != nil {
		return value{}, err
	}
	if err := in.within(x); err != nil {
		return value{}, err
	}
	return value{num: x, said: strings.TrimSpace(short(x) + " " + in.Unit)}, nil
}

// amount returns the number written, in the input's own unit.
func (in Input) amount(text string) (float64, error) {
	if in.Kind == Number {
		return in.number(text)
	}
	si, err := quantity(in.Kind, text, in.Unit)
	if err != nil {
		return 0, in.wrong(err)
	}
	return fromSI(in.Kind, si, in.Unit), nil
}

// number reads a bare number, one followed by the input's own unit, or a rate in another unit of the same dimension.
func (in Input) number(text string) (float64, error) {
	figure := strings.TrimSpace(text)
	for cut := len(figure); cut > 0; cut-- {
		if sameUnit(figure[cut:], in.Unit) {
			if x, err := unit.ParseNumber(figure[:cut]); err == nil {
				return x, nil
			}
		}
	}
	x, err := unit.ParseNumber(figure)
	if err == nil {
		return x, nil
	}
	if y, ok := in.bearing(figure); ok {
		return y, nil
	}
	for _, read := range rates {
		size, e1 := read("1 " + in.Unit)
		si, e2 := read(figure)
		if e1 == nil && e2 == nil {
			return si / size, nil
		}
	}
	if in.Unit != "" && in.Unit != "°" {
		return 0, refuse(in.Name, fmt.Sprintf("%q is not understood", text), "it is a number in "+in.Unit)
	}
	return 0, in.wrong(err)
}

// rates reads the dimensions that a Number's unit may have.
var rates = []func(string) (float64, error){
	func(s string) (float64, error) { v, err := unit.ParseYield(s, unit.NoDefault); return float64(v), err },
	func(s string) (float64, error) {
		v, err := unit.ParseCrowding(s, unit.NoDefault)
		return float64(v), err
	},
	func(s string) (float64, error) { v, err := unit.ParseDepth(s, unit.NoDefault); return float64(v), err },
	func(s string) (float64, error) {
		v, err := unit.ParseDensity(s, unit.NoDefault)
		return float64(v), err
	},
}

// bearing reads 22.9 S as -22.9 where degrees of the globe are asked for.
func (in Input) bearing(text string) (float64, bool) {
	if in.Unit != "°" || text == "" {
		return 0, false
	}
	sign := 1.0
	switch text[len(text)-1] {
	case 'S', 's', 'W', 'w':
		sign = -1
	case 'N', 'n', 'E', 'e':
	default:
		return 0, false
	}
	x, err := unit.ParseNumber(strings.Trim(text[:len(text)-1], " °"))
	return sign * math.Abs(x), err == nil
}

// within refuses what lies outside the input's bounds.
func (in Input) within(x float64) error {
	if in.Low == 0 && in.High == 0 || x >= in.Low && x <= in.High {
		return nil
	}
	show := func(x float64) string {
		if in.Kind == Share {
			return short(100*x) + " %"
		}
		return strings.TrimSpace(short(x) + " " + in.Unit)
	}
	return refuse(in.Name, fmt.Sprintf("%s lies outside %s to %s", show(x), show(in.Low), show(in.High)), "is the figure or its unit a slip?")
}

// quantity reads an amount of the kind in SI, °C for temperatures; a bare number is in the named unit.
func quantity(k Kind, text, bare string) (float64, error) {
	d := unit.Default(bare)
	switch k {
	case Length:
		v, err := unit.ParseDepth(text, d)
		return float64(v), err
	case Area:
		v, err := unit.ParseArea(text, d)
		return float64(v), err
	case Volume:
		v, err := unit.ParseVolume(text, d)
		return float64(v), err
	case Mass:
		v, err := unit.ParseMass(text, d)
		return float64(v), err
	case Time:
		v, err := unit.ParseTime(text, d)
		return float64(v), err
	case Density:
		v, err := unit.ParseDensity(text, d)
		return float64(v), err
	}
	v, err := unit.ParseTemperature(text, d)
	return float64(v), err
}

// toSI turns x of the calculator's own unit into SI; temperatures are always in °C.
func toSI(k Kind, x float64, name string) float64 { return x * size(k, name) }

func fromSI(k Kind, x float64, name string) float64 { return x / size(k, name) }

// size returns one of the unit in SI; a unit that package unit cannot read is a mistake of the calculator's author.
func size(k Kind, name string) float64 {
	if k == Number || k == Temperature {
		return 1
	}
	one, err := quantity(k, "1", name)
	if err != nil {
		panic("reckon: " + err.Error())
	}
	return one
}

// sameUnit compares the written unit with the input's own, whatever signs it was written with.
func sameUnit(a, b string) bool {
	plain := strings.NewReplacer("²", "2", "³", "3", " ", "", "·", "", "per", "/", "aday", "d", "day", "d")
	return a != "" && strings.EqualFold(plain.Replace(a), plain.Replace(b))
}
