package soil

import (
	"cmp"
	"slices"
	"strings"
)

// What is what a value of a material is of; each has one unit.
type What string

// The values of materials.
const (
	DensityOf      What = "density"         // kg/m³, fresh
	DryMatterOf    What = "dry matter"      // % of fresh
	MoistureOf     What = "moisture"        // % of fresh
	NitrogenFresh  What = "nitrogen"        // kg/t fresh, total
	PhosphateFresh What = "phosphate"       // kg P2O5/t fresh
	PotashFresh    What = "potash"          // kg K2O/t fresh
	NitrogenDry    What = "nitrogen of dry" // % of dry matter
	CarbonNitrogen What = "C:N"
	ReadyNitrogen  What = "ready nitrogen" // kg/t fresh, at once available
	OrganicMatter  What = "organic matter" // % of dry matter
)

// Value is one published value or range of a material.
type Value struct {
	What What
	Range
	Mark
}

// Use is what a material is mostly spread or heaped for.
type Use string

// The uses.
const (
	Compost    Use = "compost"
	Manure     Use = "manure"
	Feed       Use = "organic fertiliser"
	Mineral    Use = "mineral fertiliser"
	ForHeap    Use = "for the heap"
	GreenStuff Use = "green manure"
)

// Material is something to spread or to heap, with every published value of it: they differ, and the label on the sack goes
// before all of them.
type Material struct {
	Name   string
	Use    Use
	Values []Value
}

// Materials returns the built-in materials, by name.
func Materials() []Material {
	out := slices.Clone(materials)
	slices.SortFunc(out, func(a, b Material) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

// FindMaterial returns the material of the name, in any case.
func FindMaterial(name string) (Material, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	for _, m := range materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// NearMaterial returns the names of materials that share a word with the name.
func NearMaterial(name string) []string {
	var out []string
	for _, m := range Materials() {
		for word := range strings.FieldsSeq(strings.ToLower(name)) {
			if len(word) > 2 && strings.Contains(m.Name, strings.TrimSuffix(word, "s")) && !slices.Contains(out, m.Name) {
				out = append(out, m.Name)
			}
		}
	}
	return out
}

// Value returns the first, preferred, value of the kind.
func (m Material) Value(w What) (Value, bool) {
	for _, v := range m.Values {
		if v.What == w && w != "" {
			return v, true
		}
	}
	return Value{}, false
}

// All returns every value of the kind, so that the spread of authorities can be shown.
func (m Material) All(w What) []Value {
	var out []Value
	for _, v := range m.Values {
		if v.What == w {
			out = append(out, v)
		}
	}
	return out
}

// Labelled returns the material with the values of its own label or analysis before the built-in ones.
func (m Material) Labelled(own ...Value) Material {
	out := m
	out.Values = slices.Concat(own, m.Values)
	for i := range own {
		out.Values[i].Mark = Mark{"own", "own"}
	}
	return out
}

// Moisture returns the moisture in %, from the dry matter where only that is known.
func (m Material) Moisture() (float64, bool) {
	if v, ok := m.Value(MoistureOf); ok {
		return v.Mid(), true
	}
	if v, ok := m.Value(DryMatterOf); ok {
		return 100 - v.Mid(), true
	}
	return 0, false
}
