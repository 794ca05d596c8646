package crop

import (
	"fmt"

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

// Implausible returns a question when the yield is more than three times the highest that the tables usually see, "" otherwise:
// a slip in area or mass is then likelier than the crop. A crop without a usual yield is held to none.
func (c Crop) Implausible(y unit.Yield) string {
	usual, _, ok := c.Range(UsualYield)
	if !ok || float64(y) <= 3*usual.High {
		return ""
	}
	return fmt.Sprintf("%.3g kg/m² of %s is more than three times the usual (%s): are mass and area right?", float64(y), c.Plural, usual)
}
