package water

import "math"

// surface is the drying topsoil of one bed.
type surface struct {
	all, first MM      // TEW and REW
	gone       MM      // De
	wetted     float64 // fw of the last wetting
}

// leastRain is the rain in mm from which the whole surface counts as wetted.
const leastRain = 3.0 // FAO56-ERRATA note on fw

// wet takes up the day's rain and watering, which come before its evaporation, and returns what runs through.
func (s *surface) wet(rain, given MM, wettedByGiven float64) (through MM) {
	if given > 0 {
		s.wetted = wettedByGiven
	}
	if rain >= leastRain {
		s.wetted = 1
	}
	in := rain
	if given > 0 {
		in += given / MM(wettedByGiven)
	}
	s.gone -= in // FAO56 eq. 77
	if s.gone < 0 {
		through = -s.gone // FAO56 eq. 79
		s.gone = 0
	}
	return through
}

// slows returns the share of the sky's demand that the drying surface still meets (Kr).
func (s *surface) slows() float64 {
	if s.gone <= s.first || s.all <= s.first {
		return 1
	}
	return clamp(float64((s.all-s.gone)/(s.all-s.first)), 0, 1) // FAO56 eq. 74
}

// dry takes the day's evaporation out of the exposed wetted part of the surface.
func (s *surface) dry(e MM, exposed float64) {
	s.gone = min(s.all, s.gone+e/MM(exposed)) // FAO56 eq. 77
}

// Cover returns the share of the ground that leaves of the crop shade.
func Cover(kcb, least, most, height float64) float64 {
	share := (kcb - least) / math.Max(0.01, most-least)
	return clamp(math.Pow(math.Max(0.01, share), 1+0.5*height), 0, 0.99) // FAO56 eq. 76
}

// bareKcb is the coefficient of dry bare soil without a crop.
const bareKcb = 0.15 // FAO56 eq. 76

// Evaporates returns Ke, what evaporates from the soil beside the crop, from the most that both can use, the share kr that
// the drying surface still meets, and the share of the surface that is both wetted and in the open.
func Evaporates(most, kcb, kr, exposed float64) float64 {
	return math.Max(0, math.Min(kr*(most-kcb), exposed*most)) // FAO56 eq. 71
}
