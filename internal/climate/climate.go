// Package climate works out what the sky does to a garden on a day: sunshine, evaporation, warmth, frost, and how soon seed comes
// up. It is fed plain weather days and returns quantities. What plants then do with water is package water's, what they yield
// package ceiling's.
package climate

import (
	"math"

	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// MM is water in millimetres, which are litres per square metre.
type MM float64

// Pressure is a pressure in kPa.
type Pressure float64

// Radiation is energy on level ground in MJ/m² a day.
type Radiation float64

// Length returns the water as a length.
func (m MM) Length() unit.Length { return unit.Length(m) * unit.Millimetre }

// Over returns the volume of the water on the area.
func (m MM) Over(a unit.Area) unit.Volume { return a.Deep(m.Length()) }

// Evaporates returns the water that the energy can turn into vapour.
func (r Radiation) Evaporates() MM { return MM(0.408 * float64(r)) } // FAO56 eq. 20

// Reading is a measured value that may be absent: missing is not zero.
type Reading struct {
	Value float64
	Known bool
}

// Some is a known reading.
func Some(x float64) Reading { return Reading{Value: x, Known: true} }

// Place is where the weather is. The zero value of the last three is a level inland place with the wind measured at 2 m.
type Place struct {
	Latitude   float64     // degrees, north positive
	Elevation  unit.Length // above the sea
	Coastal    bool        // air from a large water nearby: the daily range of temperature is small for its sunshine
	Arid       bool        // dry ground around the station: the dew point lies below the minimum
	WindHeight unit.Length // at which the wind was measured; 0 is 2 m
}

// Weather is one day's weather as far as it is known.
type Weather struct {
	Date      civil.Date
	Min, Max  Reading // °C
	Rain      Reading // mm
	Sunshine  Reading // hours of bright sunshine
	Radiation Reading // MJ/m²
	Wind      Reading // m/s, mean of the day
	Humidity  Reading // mean relative humidity, 0 to 1
	Normal    bool    // made from a monthly normal, not observed
}

// Mean returns the mean temperature as FAO-56 defines it, half of maximum and minimum.
func (w Weather) Mean() (unit.Temperature, bool) {
	return unit.Temperature((w.Max.Value + w.Min.Value) / 2), w.Max.Known && w.Min.Known // FAO56 eq. 9
}

func clamp(x, low, high float64) float64 { return math.Min(math.Max(x, low), high) }
