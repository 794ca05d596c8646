package water

import (
	"math"

	"fairplot/internal/unit"
)

// Bed is a planting as the account sees it.
type Bed struct {
	Crop   Coefficients
	Stages Stages
	Soil   Soil
	Mulch  Mulch
	Tunnel bool        // no rain reaches it
	Wetted float64     // share of the ground that watering wets; 0 is all of it
	Single bool        // one coefficient for crop and soil together instead of two
	Roots  unit.Length // greatest depth; 0 is the crop's smaller one

	Start, Surface MM   // missing from the first roots' soil and from the topsoil at the beginning
	FixedP         bool // keep p as tabulated, whatever the day's use
}

// Day is what the account needs of one day.
type Day struct {
	ET0, Rain, Given MM
	Wind             float64 // m/s at 2 m
	LowestHumidity   float64 // 0 to 1
}

// Line is one day of the account, mm.
type Line struct {
	Kcb, Ke, Ks     float64 // with one coefficient Kcb is Kc and Ke is 0
	Full, Used      MM      // what crop and soil would have used, and did use
	Rain, Given     MM      // what reached the ground
	Held, Ready     MM      // what the root zone can hold for the crop (TAW), and the part free to take (RAW)
	Missing         MM      // from the root zone at the end of the day (Dr)
	Drained         MM      // below the roots
	SurfaceMissing  MM      // from the topsoil at the end of the day (De)
	Roots           unit.Length
	SurfaceThrough  MM
	RunningShort    bool // Ks below 1
	WaterTheNextDay bool // more than the ready part is missing at the end of the day
}

// Sheet is the account of a planting.
type Sheet struct {
	Lines []Line
	Sum   Sum
}

// Sum adds up a sheet.
type Sum struct {
	Days, StressDays           int
	Rain, Given, Used, Drained MM
	Full                       MM
	Start, End                 MM // missing at the beginning and the end
}

// Balance returns what came in less what went out and was stored: 0 but for rounding.
func (s Sum) Balance() MM { return s.Rain + s.Given - s.Used - s.Drained - (s.Start - s.End) }

// UsedShare returns the share of the full use that was met.
func (s Sum) UsedShare() float64 {
	if s.Full <= 0 {
		return 1
	}
	return float64(s.Used / s.Full)
}

// firstRoots is the depth from which seed and young plants drink. Common practice.
const firstRoots = 0.15 * unit.Metre

// Account follows the bed through the days from its sowing or setting out. Rain and watering come at the start of the day; nothing runs
// off a small level bed.
func (b Bed) Account(days []Day) Sheet {
	a := b.open()
	sheet := Sheet{Lines: make([]Line, len(days)), Sum: Sum{Start: a.missing}}
	for i, d := range days {
		sheet.Lines[i] = a.step(i+1, d)
		sheet.Sum.add(sheet.Lines[i])
	}
	sheet.Sum.End = a.missing
	return sheet
}

func (s *Sum) add(l Line) {
	s.Days++
	if l.RunningShort {
		s.StressDays++
	}
	s.Rain, s.Given, s.Used, s.Drained, s.Full = s.Rain+l.Rain, s.Given+l.Given, s.Used+l.Used, s.Drained+l.Drained, s.Full+l.Full
}

// account is a bed under way.
type account struct {
	Bed
	top     surface
	missing MM
	deepest unit.Length
}

func (b Bed) open() *account {
	if b.Wetted <= 0 || b.Wetted > 1 {
		b.Wetted = 1
	}
	a := &account{Bed: b, deepest: b.Roots}
	if a.deepest == 0 {
		a.deepest = b.Crop.RootLow
	}
	if b.Single {
		a.Crop = b.Mulch.Under(b.Crop)
	}
	a.missing = MM(clamp(float64(b.Start), 0, float64(b.Soil.Held(a.rootsOn(1)))))
	all := b.Soil.Surface(topsoil)
	a.top = surface{all: all, first: min(b.Soil.FirstMM, all-0.01), gone: b.Surface, wetted: 1}
	return a
}

// step works through one day; n is 1 on the first.
func (a *account) step(n int, d Day) Line {
	rain := d.Rain
	if a.Tunnel {
		rain = 0
	}
	l := Line{Rain: rain, Given: d.Given}
	l.SurfaceThrough = a.top.wet(rain, d.Given, a.Wetted)
	l.Roots = a.rootsOn(n)
	l.Held = a.Soil.Held(l.Roots)
	if a.Single {
		l.Kcb = a.Stages.Curve(n, a.Crop.KcInitial, a.Crop.KcMiddle, a.Crop.KcEnd)
	} else {
		l.Kcb = a.Stages.Curve(n, a.Crop.KcbInitial, a.Crop.KcbMiddle, a.Crop.KcbEnd)
		l.Ke = a.evaporate(n, l.Kcb, d)
	}
	a.draw(&l, d.ET0, rain+d.Given)
	l.SurfaceMissing = a.top.gone
	return l
}

// draw takes the day's use out of the root zone and lets through what it cannot hold.
func (a *account) draw(l *Line, et0, in MM) {
	l.Full = MM(l.Kcb+l.Ke) * et0 // FAO56 eq. 69, or FAO56 eq. 58 for one coefficient
	p := a.Crop.P
	if !a.FixedP {
		p = Ready(p, l.Full)
	}
	l.Ready = MM(p) * l.Held               // FAO56 eq. 83
	l.Drained = max(0, in-a.missing)       // FAO56 ex. 38: what exceeds field capacity is gone before the day's use
	a.missing += l.Drained - in            // FAO56 eq. 85
	l.Ks = Stress(a.missing, l.Held, p)    // FAO56 eq. 84
	l.Used = MM(l.Ks*l.Kcb+l.Ke) * et0     // FAO56 eq. 80
	l.Used = min(l.Used, l.Held-a.missing) // no more than there is
	a.missing += l.Used                    // FAO56 eq. 85
	l.Missing = a.missing
	l.RunningShort = l.Ks < 1
	l.WaterTheNextDay = a.missing > l.Ready
}

// evaporate dries the topsoil and returns Ke.
func (a *account) evaporate(n int, kcb float64, d Day) float64 {
	height := math.Max(0.1, float64(a.Crop.Height)*a.Stages.Grown(n))
	most := Most(kcb, d.Wind, d.LowestHumidity, unit.Length(height))
	open := 1 - Cover(kcb, bareKcb, most, height)
	exposed := math.Min(open, a.top.wetted) // FAO56 eq. 75
	ke := Evaporates(most, kcb, a.top.slows(), exposed) * a.Mulch.evaporates()
	ke = math.Min(ke, float64((a.top.all-a.top.gone)*MM(exposed)/max(d.ET0, 1e-9))) // no more than the topsoil has
	a.top.dry(MM(ke)*d.ET0, exposed)
	return ke
}

// rootsOn returns the depth of the roots on the day.
func (a *account) rootsOn(n int) unit.Length {
	first := min(firstRoots, a.deepest)
	return first + unit.Length(a.Stages.Grown(n))*(a.deepest-first) // FAO56 eq. 8-1
}
