package water

import "math"

// Wetting is how the bare soil is wetted: by how much and how often.
type Wetting uint8

// The wettings for which FAO-56 gives curves.
const (
	Light       Wetting = iota // 10 mm or less
	HeavyCoarse                // 40 mm or more on coarse soil
	HeavyFine                  // 40 mm or more on medium and fine soil
)

// BareKc returns Kc before the crop covers the ground, with the days between wettings and the evaporation in mm a day. The figures of
// FAO-56 are drawn from this formula.
func BareKc(w Wetting, interval float64, et0 MM) float64 {
	all, first := w.limits(float64(et0))
	potential := 1.15 * float64(et0)
	t1 := first / potential
	if t1 >= interval {
		return 1.15 // FAO56 annex 7
	}
	left := (all - first) * math.Exp(-(interval-t1)*potential*(1+first/(all-first))/all)
	return (all - left) / (interval * float64(et0)) // FAO56 eq. 7-3
}

// limits returns all the water that can evaporate and that which goes as fast as the sky takes it, mm.
func (w Wetting) limits(et0 float64) (all, first float64) {
	root := math.Sqrt(et0)
	switch w {
	case Light:
		return 10, math.Min(math.Max(2.5, 6/root), 7) // FAO56 annex 7
	case HeavyCoarse:
		all = math.Min(15, 7*root)
		return all, math.Min(6, all-0.01) // FAO56 annex 7
	}
	all = math.Min(28, 13*root)
	return all, math.Min(9, all-0.01) // FAO56 annex 7
}

// Between returns Kc for wettings of a depth between light and heavy ones.
func Between(light, heavy float64, depth MM) float64 {
	return light + (clamp(float64(depth), 10, 40)-10)/(40-10)*(heavy-light) // FAO56 eq. 59
}

// InWetted returns the depth in the wetted part of the ground from the depth over all of it.
func InWetted(depth MM, wetted float64) MM { return depth / MM(wetted) } // FAO56 eq. 61

// Mulch is what lies on the soil.
type Mulch struct {
	Organic float64 // share of the ground covered with straw, leaves or compost, 0 to 1
	Plastic float64 // share of the ground covered with film, 0 to 1
}

// evaporates is the share of the evaporation from the soil that the mulch lets through.
func (m Mulch) evaporates() float64 {
	return (1 - 0.5*clamp(m.Organic, 0, 1)) * (1 - 0.65*clamp(m.Plastic, 0, 1)) // FAO56 ch. 10; film: the middle of 50 to 80 % in FAO56 table 25
}

// Under returns the coefficients of a mulched bed for an account with one coefficient: under organic mulch the cut is in full at the start,
// and later only on the part that is not the crop's own; under film as FAO-56 advises, with the middle of its 10 to 30 %.
func (m Mulch) Under(c Coefficients) Coefficients {
	out := c
	cut := 0.5 * clamp(m.Organic, 0, 1)
	out.KcInitial -= cut * c.KcInitial               // FAO56 ch. 10
	out.KcMiddle -= cut * (c.KcMiddle - c.KcbMiddle) // FAO56 ch. 10
	out.KcEnd -= cut * (c.KcEnd - c.KcbEnd)          // FAO56 ch. 10
	film := clamp(m.Plastic, 0, 1)
	out.KcInitial -= film * math.Max(0, out.KcInitial-0.10) // FAO56 ch. 10
	out.KcMiddle *= 1 - 0.20*film                           // FAO56 ch. 10
	out.KcEnd *= 1 - 0.20*film                              // FAO56 ch. 10
	return out
}
