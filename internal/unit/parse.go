package unit

import (
	"fmt"
	"math"
	"strings"
)

// Length reads a length: 30 cm, 1,2 m, 5 ft 6 in, 5'6".
func (r Reader) Length(s string, bare Default) (Length, error) {
	v, err := r.read(length, s, bare)
	return Length(v), err
}

// Area reads an area: 4.5 m2, 48 sq ft, 0.3 acre.
func (r Reader) Area(s string, bare Default) (Area, error) {
	v, err := r.read(area, s, bare)
	return Area(v), err
}

// Volume reads a volume: 10 L, 0.1 m3, 2 gal, 2 barrows.
func (r Reader) Volume(s string, bare Default) (Volume, error) {
	v, err := r.read(volume, s, bare)
	return Volume(v), err
}

// Mass reads a mass: 1,5 kg, 3 lb 4 oz, 2 crates.
func (r Reader) Mass(s string, bare Default) (Mass, error) {
	v, err := r.read(mass, s, bare)
	return Mass(v), err
}

// Time reads a span of time: 1h30, 90 min, 1 h 30 min, 1:30.
func (r Reader) Time(s string, bare Default) (Time, error) {
	if h, m, ok := strings.Cut(clean(s), ":"); ok && digitRun(h) == len(h) && h != "" && len(m) == 2 && digitRun(m) == 2 && m < "60" {
		s = h + " h " + m + " min"
	}
	v, err := r.read(duration, s, bare)
	return Time(v), err
}

// Temperature reads a temperature: 12 °C, 54 F, -3 C.
func (r Reader) Temperature(s string, bare Default) (Temperature, error) {
	text := clean(s)
	if text == "" {
		return 0, &Error{Text: "there is no temperature", Hint: "write one such as " + r.example(temperature)}
	}
	value, _, rest, err := number(text)
	if err != nil {
		return 0, err
	}
	name := key(rest)
	if name == "" {
		name = key(string(bare))
	}
	for _, word := range []string{"degrees", "degree", "deg", "°"} {
		name = strings.TrimPrefix(name, word)
	}
	switch name {
	case "c", "celsius", "centigrade":
		return Temperature(value), nil
	case "f", "fahrenheit":
		return Temperature((value - 32) / 1.8), nil // NIST SP 811, appendix B.8
	case "":
		return 0, &Error{Text: fmt.Sprintf("%q has no unit: it could be °C or °F", shorten(s)), Hint: "write it as in " + r.example(temperature)}
	}
	return 0, r.unknown(temperature, s, strings.TrimSpace(rest))
}

// Yield reads a mass per area: 3 kg/m2, 40 t/ha, 60 lb/100 sq ft.
func (r Reader) Yield(s string, bare Default) (Yield, error) {
	v, err := r.read(yield, s, bare)
	return Yield(v), err
}

// Depth reads a depth or a volume per area: 8 mm, 1 in, 25 L/m2, 2 barrows/m2.
func (r Reader) Depth(s string, bare Default) (Depth, error) {
	v, err := r.read(depth, s, bare)
	return Depth(v), err
}

// Crowding reads a number per area: 36/m2, 36 plants per m2, 4/sq ft.
func (r Reader) Crowding(s string, bare Default) (Crowding, error) {
	v, err := r.read(crowding, s, bare)
	return Crowding(v), err
}

// Density reads a mass per volume: 600 kg/m3, 40 lb/cu ft.
func (r Reader) Density(s string, bare Default) (Density, error) {
	v, err := r.read(density, s, bare)
	return Density(v), err
}

// Number reads a number without a unit.
func (r Reader) Number(s string) (float64, error) { return r.read(count, s, NoDefault) }

// Count reads a whole number of 0 or more.
func (r Reader) Count(s string) (int, error) {
	v, err := r.Number(s)
	if err != nil {
		return 0, err
	}
	if v != math.Trunc(v) || v < 0 || v > 1e9 {
		return 0, &Error{Text: fmt.Sprintf("%q is no count", shorten(s)), Hint: "write a whole number, without marks"}
	}
	return int(v), nil
}

// Share reads a part of one: 40 %, or 0.4 or 1/3, which need no unit. A bare number above 1 is taken as per cent if bare is "%", else refused.
func (r Reader) Share(s string, bare Default) (float64, error) {
	terms, err := split(clean(s))
	if err == nil && len(terms) == 1 && terms[0].unit == "" && bare == NoDefault {
		if v := terms[0].value; v >= -1 && v <= 1 {
			return v, nil
		}
		return 0, &Error{Text: fmt.Sprintf("%q could be per cent or times", shorten(s)), Hint: "write 40 % or 0.4"}
	}
	return r.read(share, s, bare)
}

// ParseLength reads a length in a metric book without loads; see Reader.Length.
func ParseLength(s string, bare Default) (Length, error) { return Reader{}.Length(s, bare) }

// ParseArea is Reader.Area in a metric book without loads.
func ParseArea(s string, bare Default) (Area, error) { return Reader{}.Area(s, bare) }

// ParseVolume is Reader.Volume in a metric book without loads.
func ParseVolume(s string, bare Default) (Volume, error) { return Reader{}.Volume(s, bare) }

// ParseMass is Reader.Mass in a metric book without loads.
func ParseMass(s string, bare Default) (Mass, error) { return Reader{}.Mass(s, bare) }

// ParseTime is Reader.Time in a metric book without loads.
func ParseTime(s string, bare Default) (Time, error) { return Reader{}.Time(s, bare) }

// ParseTemperature is Reader.Temperature in a metric book.
func ParseTemperature(s string, bare Default) (Temperature, error) {
	return Reader{}.Temperature(s, bare)
}

// ParseYield is Reader.Yield in a metric book without loads.
func ParseYield(s string, bare Default) (Yield, error) { return Reader{}.Yield(s, bare) }

// ParseDepth is Reader.Depth in a metric book without loads.
func ParseDepth(s string, bare Default) (Depth, error) { return Reader{}.Depth(s, bare) }

// ParseCrowding is Reader.Crowding in a metric book.
func ParseCrowding(s string, bare Default) (Crowding, error) { return Reader{}.Crowding(s, bare) }

// ParseDensity is Reader.Density in a metric book without loads.
func ParseDensity(s string, bare Default) (Density, error) { return Reader{}.Density(s, bare) }

// ParseNumber is Reader.Number.
func ParseNumber(s string) (float64, error) { return Reader{}.Number(s) }

// ParseCount is Reader.Count.
func ParseCount(s string) (int, error) { return Reader{}.Count(s) }

// ParseShare is Reader.Share.
func ParseShare(s string, bare Default) (float64, error) { return Reader{}.Share(s, bare) }

// ParseMoney is Reader.Money in a metric book without a currency of its own.
func ParseMoney(s string) (Money, error) { return Reader{}.Money(s) }
