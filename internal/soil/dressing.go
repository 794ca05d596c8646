package soil

import (
	"fmt"

	"fairplot/internal/unit"
)

// Dressing is one material spread on an area, in every way of saying how much. A part that could not be worked out is 0 and
// not Known.
type Dressing struct {
	Area      unit.Area
	Volume    unit.Volume
	Depth     unit.Depth
	Mass      unit.Mass // fresh
	Dry       unit.Mass // dry matter
	MassKnown bool
	DryKnown  bool
}

// Amount is how much was spread: exactly one of volume, depth and mass, with the density and dry matter share as far as known.
type Amount struct {
	Volume    unit.Volume
	Depth     unit.Depth
	Mass      unit.Mass
	Density   unit.Density // fresh bulk density; 0 unknown
	DryMatter float64      // share of the fresh mass; 0 unknown
}

// Spread works out a dressing on the area.
func Spread(a Amount, on unit.Area) (Dressing, error) {
	if err := a.check(on); err != nil {
		return Dressing{}, err
	}
	d := Dressing{Area: on, Volume: a.Volume, Mass: a.Mass}
	switch {
	case a.Depth > 0:
		d.Volume = on.Deep(a.Depth)
	case a.Mass > 0 && a.Density > 0:
		d.Volume = unit.Volume(float64(a.Mass) / float64(a.Density))
	}
	d.Depth = d.Volume.Per(on)
	if a.Density > 0 && a.Mass == 0 {
		d.Mass = a.Density.Of(d.Volume)
	}
	d.MassKnown = d.Mass > 0
	if d.MassKnown && a.DryMatter > 0 {
		d.Dry, d.DryKnown = d.Mass*unit.Mass(a.DryMatter), true
	}
	return d, nil
}

func (a Amount) check(on unit.Area) error {
	given := 0
	for _, x := range []float64{float64(a.Volume), float64(a.Depth), float64(a.Mass)} {
		if x < 0 {
			return fmt.Errorf("a dressing cannot be negative (%g)", x)
		}
		if x > 0 {
			given++
		}
	}
	switch {
	case on <= 0:
		return fmt.Errorf("a dressing needs the area that it was spread on, above 0 m²")
	case given != 1:
		return fmt.Errorf("give exactly one of volume, depth and mass of the dressing; %d were given", given)
	case a.DryMatter < 0 || a.DryMatter > 1:
		return fmt.Errorf("dry matter is a share of the fresh mass between 0 and 1 (60 %% is 0.6), not %g", a.DryMatter)
	case a.Density < 0:
		return fmt.Errorf("a density of %g kg/m³ cannot be", float64(a.Density))
	}
	return nil
}

// Share is how much of the worked soil a dressing makes up by volume. The two readings differ by what the depth is measured on.
type Share struct {
	OfWorked float64 // the depth is that of the finished mixture: layer / depth
	OnTop    float64 // the depth is that of the old soil, the layer comes on top: layer / (depth + layer)
}

// ShareWhenWorked returns the share by volume of a layer worked in to a depth.
func ShareWhenWorked(layer, depth unit.Length) (Share, error) {
	switch {
	case layer < 0 || depth <= 0:
		return Share{}, fmt.Errorf("the layer must not be negative and the depth must be above 0")
	case layer > depth:
		return Share{}, fmt.Errorf("a layer of %.3g cm cannot be worked into %.3g cm: it is thicker than the depth", float64(layer)*100, float64(depth)*100)
	}
	return Share{float64(layer / depth), float64(layer / (depth + layer))}, nil
}

// Brought is what a dressing brings, per area. A nutrient whose content is not known is missing, not zero.
type Brought struct {
	Nitrogen, Phosphate, Potash Nutrient
}

// Nutrient is one nutrient brought: the range where the content is one.
type Nutrient struct {
	Known     bool
	Low, High unit.Yield // kg/m²
	Content   Value
}

// Mid returns the middle of the range.
func (n Nutrient) Mid() unit.Yield { return (n.Low + n.High) / 2 }

// Brings returns the nutrients that a dressing of the material brings. Contents of fresh material go before contents of dry
// matter; the latter need the dry matter.
func Brings(d Dressing, m Material) (Brought, error) {
	if !d.MassKnown {
		return Brought{}, fmt.Errorf("nutrients go by mass: give the mass of the %s, or its density", m.Name)
	}
	b := Brought{}
	for _, n := range []struct {
		to         *Nutrient
		fresh, dry What
	}{{&b.Nitrogen, NitrogenFresh, NitrogenDry}, {&b.Phosphate, PhosphateFresh, ""}, {&b.Potash, PotashFresh, ""}} {
		if v, ok := m.Value(n.fresh); ok {
			*n.to = Nutrient{true, perTonne(d.Mass, v.Low, d.Area), perTonne(d.Mass, v.High, d.Area), v}
		} else if v, ok := m.Value(n.dry); ok && d.DryKnown {
			*n.to = Nutrient{true, perTonne(d.Dry, 10*v.Low, d.Area), perTonne(d.Dry, 10*v.High, d.Area), v}
		}
	}
	if _, ok := m.Value(NitrogenDry); ok && !b.Nitrogen.Known {
		return b, fmt.Errorf("the nitrogen of %s is known per dry matter: give its share of dry matter, above 0 %%", m.Name)
	}
	return b, nil
}

func perTonne(m unit.Mass, kgPerTonne float64, a unit.Area) unit.Yield {
	return (m * unit.Mass(kgPerTonne/1000)).Per(a)
}

// PerHectare returns the yield in kg/ha, as laws print it.
func PerHectare(y unit.Yield) float64 { return float64(y) * 1e4 }
