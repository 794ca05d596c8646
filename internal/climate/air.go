package climate

import (
	"math"

	"fairplot/internal/unit"
)

// AirPressure returns the pressure of the air at the height above the sea.
func AirPressure(z unit.Length) Pressure {
	return Pressure(101.3 * math.Pow((293-0.0065*float64(z))/293, 5.26)) // FAO56 eq. 7
}

// Psychrometric returns the psychrometric constant in kPa/°C.
func Psychrometric(p Pressure) float64 { return 0.665e-3 * float64(p) } // FAO56 eq. 8

// Saturation returns the vapour pressure of saturated air.
func Saturation(t unit.Temperature) Pressure {
	return Pressure(0.6108 * math.Exp(17.27*float64(t)/(float64(t)+237.3))) // FAO56 eq. 11
}

// MeanSaturation returns the mean of the saturation pressures at maximum and minimum, which is higher than that at the mean.
func MeanSaturation(tmin, tmax unit.Temperature) Pressure {
	return (Saturation(tmax) + Saturation(tmin)) / 2 // FAO56 eq. 12
}

// Slope returns the slope of the saturation pressure in kPa/°C.
func Slope(t unit.Temperature) float64 {
	return 4098 * float64(Saturation(t)) / math.Pow(float64(t)+237.3, 2) // FAO56 eq. 13
}

// The psychrometer coefficients of FAO-56, 1/°C: ventilated at 5 m/s, natural ventilation, indoors.
const (
	Ventilated = 0.000662 // FAO56 eq. 16
	Natural    = 0.000800 // FAO56 eq. 16
	Indoors    = 0.001200 // FAO56 eq. 16
)

// VapourFromWetBulb returns the vapour pressure from dry and wet bulb.
func VapourFromWetBulb(dry, wet unit.Temperature, coefficient float64, p Pressure) Pressure {
	return Saturation(wet) - Pressure(coefficient*float64(p)*float64(dry-wet)) // FAO56 eq. 15
}

// VapourFromRange returns the vapour pressure from the day's highest and lowest humidity, 0 to 1.
func VapourFromRange(tmin, tmax unit.Temperature, rhMin, rhMax float64) Pressure {
	return Pressure((float64(Saturation(tmin))*rhMax + float64(Saturation(tmax))*rhMin) / 2) // FAO56 eq. 17
}

// VapourFromHighest returns the vapour pressure from the day's highest humidity, 0 to 1, where the lowest is doubtful.
func VapourFromHighest(tmin unit.Temperature, rhMax float64) Pressure {
	return Pressure(float64(Saturation(tmin)) * rhMax) // FAO56 eq. 18
}

// VapourFromMean returns the vapour pressure from the mean humidity, 0 to 1.
func VapourFromMean(tmin, tmax unit.Temperature, rh float64) Pressure {
	return Pressure(rh * float64(MeanSaturation(tmin, tmax))) // FAO56 eq. 19
}

// VapourFromMinimum returns the vapour pressure where humidity was not measured: dew is taken to form at the minimum, or 2 °C
// below it in arid country.
func VapourFromMinimum(tmin unit.Temperature, arid bool) Pressure {
	if arid {
		tmin -= 2
	}
	return Saturation(tmin) // FAO56 eq. 48
}

// LowestHumidity returns the lowest humidity of the day, 0 to 1, where dew forms at the minimum (2 °C lower in arid country).
func LowestHumidity(tmin, tmax unit.Temperature, arid bool) float64 {
	return float64(VapourFromMinimum(tmin, arid) / Saturation(tmax)) // FAO56 eq. 64
}

// WindAt2m returns the wind at 2 m from that measured at another height over short grass.
func WindAt2m(wind float64, height unit.Length) float64 {
	if height == 0 || height == 2 {
		return wind
	}
	return wind * 4.87 / math.Log(67.8*float64(height)-5.42) // FAO56 eq. 47
}
