package plan

import "math"

// LeastDF is the number of degrees of freedom from which the records' own spread is used; below it a published one stands in.
const LeastDF = 10

// published are residual coefficients of variation between plots of uniformity trials, as printed (MOORE1956).
var published = []struct {
	crop string
	cv   float64 // %
	area float64 // m²
}{
	{"pole bean", 6.73, 4.65},
	{"bush bean", 10.8, 1.39},
	{"sweet corn", 13.6, 2.79},
	{"carrot", 27.6, 0.70},
	{"cauliflower", 19.5, 4.18}, // the spring crop, the more variable of two
}

// Borrowed is the published spread of the crop on plots of the area, or of the most variable crop there is a figure for. It counts as if it were
// known from LeastDF degrees of freedom, since another ground's figure says little more than that.
func Borrowed(crop string, area float64) Spread {
	use := published[3]
	for _, p := range published {
		if p.crop == crop {
			use = p
		}
	}
	cv := use.cv / 100
	s := Spread{Variance: math.Log1p(cv * cv), DF: LeastDF, Area: use.area, Source: "MOORE1956"}
	if area > 0 {
		s = s.On(area)
	}
	return s
}

// heterogeneity is the exponent of Smith's law: 0 where neighbouring plots are alike all through, 1 where they have nothing in common.
// Published values run from 0.2 to 0.8; the middle is from memory.
const heterogeneity = 0.5

// On is the spread of plots of another area by Smith's law: the variance per area falls as the area to the power of the ground's
// heterogeneity (SMITH1938).
func (s Spread) On(area float64) Spread {
	if s.Area > 0 && area > 0 {
		s.Variance *= math.Pow(s.Area/area, heterogeneity)
		s.Area = area
	}
	return s
}

// Part is the spread of the n-th parts of such plots, what the bed has of its own left in: more than the parts of one bed really differ.
func (s Spread) Part(n int) Spread {
	s.Variance *= math.Pow(float64(n), heterogeneity)
	s.Area /= float64(n)
	return s
}
