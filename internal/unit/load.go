package unit

import (
	"fmt"
	"strings"
)

// Load is one of the grower's own measures: what one barrow, bucket or tray holds. Zero means that it is not known by
// that quantity.
type Load struct {
	Plural string // where it is not the name with an s
	Volume Volume
	Mass   Mass
}

// Amount is what was put on or taken out, in the quantity it was given in.
type Amount struct {
	Volume Volume
	Mass   Mass
	ByMass bool   // else by volume
	Loads  string // as written, if it was given in loads: "2 barrows"
}

// Amount reads a volume, a mass or a number of loads; a load known by both counts by volume.
func (r Reader) Amount(s string, bare Default) (Amount, error) {
	loads := ""
	if name := lastUnit(s); name != "" {
		if _, ok := r.named(name); ok {
			loads = strings.Join(strings.Fields(s), " ")
		}
	}
	v, err := r.read(volume, s, bare)
	if err == nil {
		return Amount{Volume: Volume(v), Loads: loads}, nil
	}
	m, massErr := r.read(mass, s, bare)
	if massErr == nil {
		return Amount{Mass: Mass(m), ByMass: true, Loads: loads}, nil
	}
	if terms, cut := split(clean(s)); cut == nil && len(terms) == 1 && terms[0].unit == "" && bare == NoDefault {
		return Amount{}, &Error{Text: fmt.Sprintf("%q has no unit: it could be a volume, a weight or a number of loads", shorten(s)),
			Hint: "write it as in " + r.example(volume) + ", or as in " + r.example(mass)}
	}
	return Amount{}, err
}

func lastUnit(s string) string {
	terms, err := split(clean(s))
	if err != nil || len(terms) == 0 {
		return ""
	}
	return terms[len(terms)-1].unit
}

// load returns what one load of the name is, in the dimension wanted.
func (r Reader) load(d dimension, name string) (float64, bool) {
	l, ok := r.named(name)
	switch {
	case ok && d == volume:
		return float64(l.Volume), l.Volume > 0
	case ok && d == mass:
		return float64(l.Mass), l.Mass > 0
	}
	return 0, false
}

// named finds a load by its singular or plural.
func (r Reader) named(name string) (Load, bool) {
	name = strings.Join(strings.Fields(strings.ToLower(name)), " ")
	if l, ok := r.Loads[name]; ok {
		return l, true
	}
	for _, end := range []string{"s", "es"} {
		if one, cut := strings.CutSuffix(name, end); cut {
			if l, ok := r.Loads[one]; ok {
				return l, true
			}
		}
	}
	for _, l := range r.Loads {
		if l.Plural != "" && strings.EqualFold(l.Plural, name) {
			return l, true
		}
	}
	return Load{}, false
}
