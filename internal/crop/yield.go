package crop

import (
	"fmt"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// PerArea turns a yield per length of row into one per area; without the distance between rows it cannot be done.
func PerArea(rowYield Figure, between unit.Length) (Figure, error) {
	if between <= 0 {
		return Figure{}, fmt.Errorf("a yield per length of row (%s) says nothing of area: give the distance between rows", rowYield)
	}
	out := rowYield
	out.Kind, out.Unit = UsualYield, units[UsualYield]
	out.Low, out.High = rowYield.Low/float64(between), rowYield.High/float64(between)
	return out, nil
}

// Yields returns the yields per area: those that a source gives so, then those that a chart gives by row length or by plant and
// that its own distances turn into area (mark "C"). A chart without distances is left out. The states differ: see Basis.
func (c Crop) Yields() []Figure {
	out := c.Figures(UsualYield)
	for _, f := range append(c.Figures(RowYield), c.Figures(PlantYield)...) {
		between, ok := c.from(f.Source, BetweenRows)
		room := Figure{Low: between.Low / 100, High: between.High / 100} // m
		if f.Kind == PlantYield && ok {
			var in Figure
			in, ok = c.from(f.Source, InRow)
			room.Low, room.High = room.Low*in.Low/100, room.High*in.High/100 // m²
		}
		if !ok {
			continue
		}
		f.Printed += ", rows " + between.Printed
		f.Kind, f.Unit, f.Status = UsualYield, units[UsualYield], source.Computed
		f.Low, f.High = f.Low/room.High, f.High/room.Low
		out = append(out, f)
	}
	return out
}

// from returns the source's own figure of the kind.
func (c Crop) from(key string, kind Kind) (Figure, bool) {
	for _, f := range c.Figures(kind) {
		if f.Source == key {
			return f, true
		}
	}
	return Figure{}, false
}

// Implausible returns a question when the yield is more than three times the highest that the tables usually see, "" otherwise:
// a slip in area or mass is then likelier than the crop. A crop without a usual yield is held to none.
func (c Crop) Implausible(y unit.Yield) string {
	var usual Figure
	for _, f := range c.Yields() {
		if f.High > usual.High {
			usual = f
		}
	}
	if usual.High == 0 || float64(y) <= 3*usual.High {
		return ""
	}
	return fmt.Sprintf("%.3g kg/m² of %s is more than three times the usual (%s): are mass and area right?", float64(y), c.Plural, usual)
}
