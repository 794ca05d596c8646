package climate

import (
	"fairplot/internal/civil"
)

// Filled counts what was put in place of missing readings, by rule.
type Filled struct {
	Days        int // asked for
	Joined      int // temperatures on a straight line between the days around, at most ten days apart
	OtherYears  int // temperatures as the mean of the same month (fifteen days to either side) of other years
	Rain        int // rain as the mean of the fifteen days before and after
	RainOthers  int // rain as the mean of the same month of other years
	Normals     int // days made from monthly normals
	StillEmpty  int // days that have no temperatures for all that
	StillNoRain int // days that have no rain; it counts as none
}

// The gap rules: longestJoin days may be joined by a straight line; window days to either side stand in for a day.
const (
	longestJoin = 10
	window      = 15
)

// Fill returns the days from one date to another, both included, each once and in order, with gaps in temperatures and rain filled: a
// gap of temperatures of at most ten days by a straight line, a longer one by the mean of the days within fifteen days of the
// same date in other years; rain by the mean of the known days within fifteen days, else by that of other years. Sunshine, wind and
// humidity stay missing: evaporation has rules of its own for them.
func Fill(days []Weather, from, to civil.Date) ([]Weather, Filled) {
	if to.Before(from) {
		return nil, Filled{}
	}
	byDate := make(map[civil.Date]Weather, len(days))
	for _, d := range days {
		had, ok := byDate[d.Date]
		if !ok || had.Normal && !d.Normal {
			byDate[d.Date] = d
		}
	}
	n := to.Sub(from) + 1
	f := filler{byDate: byDate, out: make([]Weather, n), count: Filled{Days: n}}
	for i := range f.out {
		f.out[i] = byDate[from.AddDays(i)]
		f.out[i].Date = from.AddDays(i)
		if f.out[i].Normal {
			f.count.Normals++
		}
	}
	for i := range f.out {
		f.warm(i)
		f.rain(i)
	}
	return f.out, f.count
}

type filler struct {
	byDate map[civil.Date]Weather
	out    []Weather
	count  Filled
}

// warm fills the temperatures of the day.
func (f *filler) warm(i int) {
	d := &f.out[i]
	if d.Min.Known && d.Max.Known {
		return
	}
	date := d.Date
	before, after := f.neighbour(date, -1), f.neighbour(date, 1)
	if span := after.Date.Sub(before.Date); before.Min.Known && after.Min.Known && span <= longestJoin+1 {
		share := float64(date.Sub(before.Date)) / float64(span)
		d.Min = Some(before.Min.Value + share*(after.Min.Value-before.Min.Value))
		d.Max = Some(before.Max.Value + share*(after.Max.Value-before.Max.Value))
		f.count.Joined++
		return
	}
	low, n := f.others(date, func(w Weather) Reading { return both(w.Min, w.Max) })
	high, _ := f.others(date, func(w Weather) Reading { return both(w.Max, w.Min) })
	if n == 0 {
		f.count.StillEmpty++
		return
	}
	d.Min, d.Max = Some(low), Some(high)
	f.count.OtherYears++
}

// both is the first reading if both are known, so that a mean minimum and a mean maximum come from the same days.
func both(a, b Reading) Reading {
	a.Known = a.Known && b.Known
	return a
}

// neighbour returns the nearest day with temperatures in the direction, within reach of a join.
func (f *filler) neighbour(date civil.Date, step int) Weather {
	for k := 1; k <= longestJoin+1; k++ {
		if w, ok := f.byDate[date.AddDays(k*step)]; ok && w.Min.Known && w.Max.Known {
			return w
		}
	}
	return Weather{}
}

// rain fills the rain of the day.
func (f *filler) rain(i int) {
	d := &f.out[i]
	if d.Rain.Known {
		return
	}
	rain := func(w Weather) Reading { return w.Rain }
	if mm, n := f.around(d.Date, rain); n > 0 {
		d.Rain = Some(mm)
		f.count.Rain++
		return
	}
	if mm, n := f.others(d.Date, rain); n > 0 {
		d.Rain = Some(mm)
		f.count.RainOthers++
		return
	}
	f.count.StillNoRain++
}

// around returns the mean of the known readings within the window of the date.
func (f *filler) around(date civil.Date, get func(Weather) Reading) (mean float64, n int) {
	for k := -window; k <= window; k++ {
		if w, ok := f.byDate[date.AddDays(k)]; ok {
			if r := get(w); r.Known {
				mean += r.Value
				n++
			}
		}
	}
	return mean / float64(max(1, n)), n
}

// otherYears is how far back and ahead the same season is looked for.
const otherYears = 30

// others returns the mean within the window of the same date in other years.
func (f *filler) others(date civil.Date, get func(Weather) Reading) (mean float64, n int) {
	for y := -otherYears; y <= otherYears; y++ {
		if y == 0 {
			continue
		}
		m, k := f.around(date.AddYears(y), get)
		mean += m * float64(k)
		n += k
	}
	return mean / float64(max(1, n)), n
}
