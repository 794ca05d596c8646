package soil

import "math"

// The rates of RothC-26.3 per year, and how plant input and farmyard manure are split. ROTHC.
const (
	RothCDPM, RothCRPM, RothCBIO, RothCHUM = 10.0, 0.3, 0.66, 0.02
	RothCPlantSplit                        = 1.44 // DPM : RPM
)

// RothCManure returns the split of farmyard manure into decomposable, resistant and humified matter.
func RothCManure() (dpm, rpm, hum float64) { return 0.49, 0.49, 0.02 } // ROTHC

// RothCShares returns what becomes of decomposed carbon at the clay content in %: given off as CO2, living, humus. They sum to 1.
func RothCShares(clay float64) (co2, bio, hum float64) {
	x := 1.67 * (1.85 + 1.60*math.Exp(-0.0786*clay)) // ROTHC
	return x / (x + 1), 0.46 / (x + 1), 0.54 / (x + 1)
}

// RothCTemperature returns the rate factor of the monthly mean temperature, 0 below −5 °C.
func RothCTemperature(celsius float64) float64 {
	if celsius < -5 {
		return 0
	}
	return 47.91 / (1 + math.Exp(106.06/(celsius+18.27))) // ROTHC
}

// RothCMaxDeficit returns the largest deficit of the topsoil in mm, negative, for its depth in cm and clay in %.
func RothCMaxDeficit(clay, depth float64) float64 {
	return -(20 + 1.3*clay - 0.01*clay*clay) * depth / 23 // ROTHC
}

// RothCMoisture returns the accumulated deficit in mm and the rate factor of each month, from monthly rain and open-pan
// evaporation in mm. The deficit starts at 0 in the first month given.
func RothCMoisture(rain, pan []float64, clay, depth float64) (deficit, factor []float64) {
	most := RothCMaxDeficit(clay, depth)
	acc := 0.0
	for m := range rain {
		acc = min(0, max(most, acc+rain[m]-0.75*pan[m])) // ROTHC
		b := 1.0
		if acc < 0.444*most {
			b = 0.2 + 0.8*(most-acc)/(most-0.444*most) // ROTHC
		}
		deficit, factor = append(deficit, acc), append(factor, b)
	}
	return deficit, factor
}
