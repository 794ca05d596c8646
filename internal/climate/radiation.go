package climate

import (
	"math"

	"fairplot/internal/unit"
)

// Albedo is the share of light that the reference grass throws back.
const Albedo = 0.23 // FAO56 eq. 38

// stefanBoltzmann is in MJ/K⁴/m² a day.
const stefanBoltzmann = 4.903e-9 // FAO56 eq. 39

// FromSunshine returns the radiation at the ground from the hours of bright sunshine. On a day without sun it is 0.
func FromSunshine(above Radiation, hours, dayLength float64) Radiation {
	if dayLength <= 0 {
		return 0
	}
	return Radiation((0.25 + 0.50*clamp(hours/dayLength, 0, 1)) * float64(above)) // FAO56 eq. 35
}

// ClearSky returns the radiation at the ground under a clear sky.
func ClearSky(above Radiation, z unit.Length) Radiation {
	return Radiation((0.75 + 2e-5*float64(z)) * float64(above)) // FAO56 eq. 37
}

// The factors by which the daily range of temperature tells the sunshine.
const (
	Inland = 0.16 // FAO56 eq. 50
	Coast  = 0.19 // FAO56 eq. 50
)

// FromRange returns the radiation at the ground from the daily range of temperature, never above that of a clear sky.
func FromRange(above, clear Radiation, tmin, tmax unit.Temperature, factor float64) Radiation {
	r := factor * math.Sqrt(math.Max(0, float64(tmax-tmin))) * float64(above) // FAO56 eq. 50
	return Radiation(math.Min(r, float64(clear)))
}

// FromIsland returns the radiation at the ground on an island no higher than 100 m, for months.
func FromIsland(above Radiation) Radiation { return 0.7*above - 4 } // FAO56 eq. 51

// NetShort returns what the reference grass keeps of the radiation.
func NetShort(solar Radiation) Radiation { return (1 - Albedo) * solar } // FAO56 eq. 38

// BlackBody returns the radiation of a black body over a day.
func BlackBody(t unit.Temperature) Radiation {
	return Radiation(stefanBoltzmann * math.Pow(float64(t)+273.16, 4)) // FAO56 eq. 39
}

// NetLong returns the heat radiation lost; clearness is Rs/Rso, at most 1.
func NetLong(tmin, tmax unit.Temperature, vapour Pressure, clearness float64) Radiation {
	heat := float64(BlackBody(tmax)+BlackBody(tmin)) / 2
	return Radiation(heat * (0.34 - 0.14*math.Sqrt(float64(vapour))) * (1.35*math.Min(clearness, 1) - 0.35)) // FAO56 eq. 39
}

// Clearness returns Rs/Rso, at most 1; without sun it is the 0.8 that FAO-56 assumes for a night.
func Clearness(solar, clear Radiation) float64 {
	if clear <= 0 {
		return 0.8 // FAO56 ex. 19
	}
	return math.Min(1, float64(solar/clear))
}

// GroundHeatOfMonth returns the heat going into the ground in a month from the mean temperatures of the month before and after.
func GroundHeatOfMonth(before, after unit.Temperature) Radiation {
	return Radiation(0.07 * float64(after-before)) // FAO56 eq. 43
}

// GroundHeatSince returns the heat going into the ground in a month from its mean temperature and that of the month before.
func GroundHeatSince(before, month unit.Temperature) Radiation {
	return Radiation(0.14 * float64(month-before)) // FAO56 eq. 44
}
