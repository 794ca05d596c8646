package climate

import (
	"fmt"
	"math"
	"slices"

	"fairplot/internal/unit"
)

// Frosts are the last frosts of spring, or the first of autumn, over some years: days of the year, and how many years were
// looked at, those without frost included.
type Frosts struct {
	Days  []float64
	Years int
}

// FrostLaw is the law that frost dates are taken to follow: normal, with a share of years that have a frost at all.
type FrostLaw struct {
	Mean, SD float64 // day of the year
	Share    float64 // of years with a frost
	N        int     // years with a frost
}

// leastYears is what a spread needs.
const leastYears = 3

// Law fits the law to the dates. A spread needs three years with a frost.
func (f Frosts) Law() (FrostLaw, error) {
	n := len(f.Days)
	if n < leastYears {
		return FrostLaw{}, &Error{Field: "dates", Text: fmt.Sprintf("%d years with a frost tell no spread", n), Hint: "give at least three, better ten or more"}
	}
	if f.Years < n {
		return FrostLaw{}, &Error{Field: "years", Text: fmt.Sprintf("%d dates of frost cannot come from %d years", n, f.Years), Hint: "count the years without a frost as well"}
	}
	mean, sum := 0.0, 0.0
	for _, d := range f.Days {
		mean += d / float64(n)
	}
	for _, d := range f.Days {
		sum += (d - mean) * (d - mean)
	}
	sd := math.Sqrt(sum / float64(n-1))
	return FrostLaw{Mean: mean, SD: sd, Share: float64(n) / float64(f.Years), N: n}, nil // THOM1959
}

// After returns the probability that the last frost of spring comes after the day.
func (l FrostLaw) After(day float64) float64 { return l.Share * (1 - l.below(day)) } // THOM1959

// Before returns the probability that the first frost of autumn comes before the day.
func (l FrostLaw) Before(day float64) float64 { return l.Share * l.below(day) } // THOM1959

// below is the share of the normal law under the day.
func (l FrostLaw) below(day float64) float64 {
	if l.SD == 0 {
		if day < l.Mean {
			return 0
		}
		return 1
	}
	return math.Erfc(-(day-l.Mean)/(l.SD*math.Sqrt2)) / 2
}

// SpringDay returns the day after which the last frost of spring comes with the risk; false if frost is rarer than that.
func (l FrostLaw) SpringDay(risk float64) (float64, bool) {
	if risk <= 0 || risk >= l.Share {
		return 0, false
	}
	return l.Mean + l.SD*normalQuantile(1-risk/l.Share), true // THOM1959
}

// AutumnDay returns the day before which the first frost of autumn comes with the risk; false if frost is rarer than that.
func (l FrostLaw) AutumnDay(risk float64) (float64, bool) {
	if risk <= 0 || risk >= l.Share {
		return 0, false
	}
	return l.Mean + l.SD*normalQuantile(risk/l.Share), true // THOM1959
}

// Spread returns the standard error, in days, of the day that SpringDay or AutumnDay gives for the risk: with few years it
// is wide.
func (l FrostLaw) Spread(risk float64) float64 {
	if risk <= 0 || risk >= l.Share {
		return 0
	}
	z := normalQuantile(1 - risk/l.Share)
	return l.SD * math.Sqrt((1+z*z/2)/float64(l.N)) // the usual large-sample error of a normal quantile; common practice
}

// normalQuantile returns the value under which the share p of a standard normal law lies.
func normalQuantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// SeenAfter returns the share of the years in which a frost came after the day.
func (f Frosts) SeenAfter(day float64) float64 {
	return f.share(func(d float64) bool { return d > day }) // MRCC
}

// SeenBefore returns the share of the years in which a frost came before the day.
func (f Frosts) SeenBefore(day float64) float64 {
	return f.share(func(d float64) bool { return d < day }) // MRCC
}

func (f Frosts) share(in func(float64) bool) float64 {
	n := 0
	for _, d := range f.Days {
		if in(d) {
			n++
		}
	}
	return float64(n) / float64(max(1, f.Years))
}

// Half is the half of the year in which frosts are looked for.
type Half uint8

// The halves: from midwinter to midsummer and on to midwinter.
const (
	Spring Half = iota
	Autumn
)

// enoughDays is the share of a half year that must have a minimum for the year to count.
const enoughDays = 0.9

// FrostsOf reads the last frosts of spring and first frosts of autumn from days with minima: a frost is a minimum at or below
// the threshold. The year turns at the end of June and of December, so that days of the year serve both hemispheres. A half
// year with a minimum on fewer than nine days in ten does not count and is returned in leftOut.
func FrostsOf(days []Weather, threshold unit.Temperature, southern bool) (spring, autumn Frosts, leftOut int) {
	type key struct {
		year int
		half Half
	}
	seen := map[key][]Weather{}
	for _, d := range days {
		if !d.Min.Known || d.Normal {
			continue
		}
		half := Autumn
		if (d.Date.Month() <= 6) != southern {
			half = Spring
		}
		k := key{d.Date.Year(), half}
		seen[k] = append(seen[k], d)
	}
	for k, half := range seen {
		if float64(len(half)) < enoughDays*181 {
			leftOut++
			continue
		}
		if k.half == Spring {
			spring.add(half, threshold, true)
		} else {
			autumn.add(half, threshold, false)
		}
	}
	slices.Sort(spring.Days)
	slices.Sort(autumn.Days)
	return spring, autumn, leftOut
}

// add counts a half year and notes its last or first frost.
func (f *Frosts) add(days []Weather, threshold unit.Temperature, last bool) {
	f.Years++
	found := 0
	for _, d := range days {
		n := d.Date.YearDay()
		if d.Min.Value <= float64(threshold) && (found == 0 || (n > found) == last) {
			found = n
		}
	}
	if found > 0 {
		f.Days = append(f.Days, float64(found))
	}
}
