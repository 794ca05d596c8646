package climate

import (
	"fmt"
	"math"
	"sync"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// Sprout is how long seed takes at one soil temperature.
type Sprout struct {
	Days      float64
	Low, High float64 // days at the tested temperatures on either side; High is 0 where none came up at one of them
	Source    string
	Status    source.Status
}

// trial is one temperature of a germination table; no days: none came up.
type trial struct {
	soil unit.Temperature
	days float64
}

var trials = sync.OnceValue(func() map[string][]trial {
	out := map[string][]trial{}
	for _, r := range source.Table(data, "emergence") {
		t := trial{soil: unit.Temperature(source.Number(r[1]))}
		if r[2] != "" {
			t.days = source.Number(r[2])
		}
		out[r[0]] = append(out[r[0]], t)
	}
	return out
})

// rate is the share of the way from seed to seedling in a day.
func (t trial) rate() float64 {
	if t.days == 0 {
		return 0
	}
	return 1 / t.days
}

// DaysToEmerge returns the days from sowing 13 mm deep to seedlings at a steady soil temperature, between the tested ones by the rate, 1/days.
// An error says where no seed came up or nobody tried.
func DaysToEmerge(crop string, soil unit.Temperature) (Sprout, error) {
	below, above, err := around(crop, soil)
	if err != nil {
		return Sprout{}, err
	}
	rate := between(below, above, soil)
	if rate == 0 {
		return Sprout{}, &Error{Field: "soil", Text: fmt.Sprintf("%s does not come up at %.3g °C", crop, float64(soil)), Hint: "wait for warmer soil, or cooler soil if it is hot"}
	}
	s := Sprout{Days: 1 / rate, Source: "HARRINGTON1954", Status: source.Reprinted}
	s.Low, s.High = min(below.days, above.days), max(below.days, above.days)
	if s.Low == 0 {
		s.Low, s.High = s.High, 0
	}
	return s, nil
}

// between returns the rate on a straight line between two tested temperatures.
func between(below, above trial, soil unit.Temperature) float64 {
	if above.soil == below.soil {
		return below.rate()
	}
	share := float64((soil - below.soil) / (above.soil - below.soil))
	return below.rate() + share*(above.rate()-below.rate())
}

// around returns the tested temperatures on either side.
func around(crop string, soil unit.Temperature) (below, above trial, err error) {
	tested := trials()[crop]
	if len(tested) == 0 {
		return trial{}, trial{}, &Error{Field: "crop", Text: "nobody's table of emergence holds " + crop, Hint: "the heat sums may: see the thermal time"}
	}
	first, last := tested[0], tested[len(tested)-1]
	if soil < first.soil || soil > last.soil {
		return first, last, &Error{Field: "soil", Text: fmt.Sprintf("%s was tried from %.3g to %.3g °C, not at %.3g °C", crop, float64(first.soil), float64(last.soil), float64(soil)),
			Hint: "outside what was tried nothing can be said"}
	}
	below, above = first, last
	for _, t := range tested {
		if t.soil <= soil {
			below = t
		}
		if t.soil >= soil {
			return below, t, nil
		}
	}
	return below, above, nil
}

// EmergesOn follows daily soil temperatures from the day of sowing and returns the number of days until the seedlings show; false if they do not
// within the days given. Days at which nothing moves, or which are not in the table, add nothing.
func EmergesOn(crop string, soil []unit.Temperature) (int, bool) {
	way := 0.0
	for i, t := range soil {
		below, above, err := around(crop, t)
		if err == nil {
			way += between(below, above, t)
		}
		if way >= 1-1e-9 {
			return i + 1, true
		}
	}
	return 0, false
}

// Thermal is a heat sum to emergence: days × (soil temperature − Base) = Sum.
type Thermal struct {
	Base     unit.Temperature
	Sum      float64          // °C d
	From, To unit.Temperature // where it was fitted; both 0: not said
	Basis    string
	Source   string
	Status   source.Status
}

var thermals = sync.OnceValue(func() map[string][]Thermal {
	out := map[string][]Thermal{}
	for _, r := range source.Table(data, "thermal") {
		t := Thermal{Base: celsius(r[4], "C"), Sum: source.Number(r[5]), Basis: r[7], Source: r[8], Status: source.Status(r[9])}
		if r[1] != "" {
			t.From, t.To = celsius(r[1], "C"), celsius(r[2], "C")
		}
		out[r[0]] = append(out[r[0]], t)
	}
	return out
})

// Thermals returns the heat sums of the crop, surest first.
func Thermals(crop string) []Thermal { return thermals()[crop] }

// Days returns the days at a steady soil temperature; false at or below the base.
func (t Thermal) Days(soil unit.Temperature) (float64, bool) {
	if soil <= t.Base {
		return math.Inf(1), false
	}
	return t.Sum / float64(soil-t.Base), true // 1/t = (T - Tb)/S
}

// Within reports whether the temperature lies where the sum was fitted.
func (t Thermal) Within(soil unit.Temperature) bool {
	return t.From == t.To || soil >= t.From && soil <= t.To
}

// Seedlings returns the share of seed that became normal seedlings at the nearest tested temperatures, on a straight line between; false
// if the table has none.
func Seedlings(crop string, soil unit.Temperature) (float64, bool) {
	var tested []trial
	for _, r := range source.Table(data, "seedlings") {
		if r[0] == crop {
			tested = append(tested, trial{celsius(r[1], "C"), source.Number(r[2]) / 100})
		}
	}
	for i := 1; i < len(tested); i++ {
		a, b := tested[i-1], tested[i]
		if a.soil <= soil && soil <= b.soil {
			return a.days + (b.days-a.days)*float64((soil-a.soil)/(b.soil-a.soil)), true
		}
	}
	return 0, false
}

// SoilLimits are the soil temperatures at which seed comes up, and comes up best. No highest: High is 0.
type SoilLimits struct {
	Low, BestLow, BestHigh, High unit.Temperature
	Source                       string
	Status                       source.Status
}

// SoilLimitsOf returns the limits for the crop's seed.
func SoilLimitsOf(crop string) (SoilLimits, bool) {
	for _, r := range source.Table(data, "soil_limits") {
		if r[0] != crop {
			continue
		}
		l := SoilLimits{Low: celsius(r[1], "F"), BestLow: celsius(r[2], "F"), BestHigh: celsius(r[3], "F"), Source: r[5], Status: source.Status(r[6])}
		if r[4] != "" {
			l.High = celsius(r[4], "F")
		}
		return l, true
	}
	return SoilLimits{}, false
}
