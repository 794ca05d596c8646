// Package water follows the water of a bed from day to day: what the crop would use, what the soil still holds, when it runs short and
// how much to give. It takes the evaporation of package climate and plain amounts of rain and watering. What a shortage costs in yield
// is worked out here as a share; what the yield is, in package ceiling.
package water

import (
	"math"

	"fairplot/internal/climate"
	"fairplot/internal/unit"
)

// MM is water in millimetres, which are litres per square metre.
type MM = climate.MM

func clamp(x, low, high float64) float64 { return math.Min(math.Max(x, low), high) }

// millimetres returns a length in mm of water.
func millimetres(l unit.Length) float64 { return float64(l / unit.Millimetre) }
