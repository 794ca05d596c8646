package climate

import "math"

// solarConstant is the sun's energy above the air, MJ/m² a minute.
const solarConstant = 0.0820 // FAO56 eq. 21

// Sun is the geometry of one day at one latitude.
type Sun struct {
	Distance    float64 // inverse relative distance of earth and sun
	Declination float64 // rad
	SunsetAngle float64 // rad, 0 in polar night, π in polar day
	Latitude    float64 // rad
}

// SunOn returns the geometry on the day of the year (1 to 366) at the latitude in degrees, north positive.
func SunOn(latitude float64, yearDay int) Sun {
	turn := 2 * math.Pi * float64(yearDay) / 365
	s := Sun{
		Latitude:    math.Pi / 180 * latitude,    // FAO56 eq. 22
		Distance:    1 + 0.033*math.Cos(turn),    // FAO56 eq. 23
		Declination: 0.409 * math.Sin(turn-1.39), // FAO56 eq. 24
	}
	s.SunsetAngle = math.Acos(clamp(-math.Tan(s.Latitude)*math.Tan(s.Declination), -1, 1)) // FAO56 eq. 25
	return s
}

// DayLength returns the hours of possible sunshine: geometric day, without refraction and twilight.
func (s Sun) DayLength() float64 { return 24 / math.Pi * s.SunsetAngle } // FAO56 eq. 34

// PolarNight reports whether the sun does not rise.
func (s Sun) PolarNight() bool { return s.SunsetAngle == 0 }

// PolarDay reports whether the sun does not set.
func (s Sun) PolarDay() bool { return s.SunsetAngle == math.Pi }

// Above returns the radiation above the air. FAO-56 warns that it has limited validity in winter beyond 55° of latitude.
func (s Sun) Above() Radiation {
	slant := s.SunsetAngle*math.Sin(s.Latitude)*math.Sin(s.Declination) +
		math.Cos(s.Latitude)*math.Cos(s.Declination)*math.Sin(s.SunsetAngle)
	return Radiation(math.Max(0, 24*60/math.Pi*solarConstant*s.Distance*slant)) // FAO56 eq. 21
}

// AboveBetween returns the radiation above the air between two solar angles in rad, MJ/m² in that time.
func (s Sun) AboveBetween(from, to float64) Radiation {
	slant := (to-from)*math.Sin(s.Latitude)*math.Sin(s.Declination) +
		math.Cos(s.Latitude)*math.Cos(s.Declination)*(math.Sin(to)-math.Sin(from))
	return Radiation(12 * 60 / math.Pi * solarConstant * s.Distance * slant) // FAO56 eq. 28
}

// Hour is a span of clock time on a day of the year. Longitudes are in degrees west of Greenwich.
type Hour struct {
	YearDay   int
	Middle    float64 // clock time of its middle, h
	Span      float64 // h
	Zone      float64 // longitude of the zone's centre
	Longitude float64
}

// Angle returns the solar time angle of the middle, rad.
func (h Hour) Angle() float64 {
	return math.Pi / 12 * (h.Middle + 0.06667*(h.Zone-h.Longitude) + h.season() - 12) // FAO56 eq. 31
}

// season returns the seasonal correction of solar time, h.
func (h Hour) season() float64 {
	b := 2 * math.Pi * float64(h.YearDay-81) / 364                       // FAO56 eq. 33
	return 0.1645*math.Sin(2*b) - 0.1255*math.Cos(b) - 0.025*math.Sin(b) // FAO56 eq. 32
}

// Ends returns the solar time angles of beginning and end, rad.
func (h Hour) Ends() (from, to float64) {
	half := math.Pi * h.Span / 24
	return h.Angle() - half, h.Angle() + half // FAO56 eq. 29
}
