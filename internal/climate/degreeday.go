package climate

import (
	"math"

	"fairplot/internal/unit"
)

// Method is a way to count the warmth of a day. Figures of different methods do not mix.
type Method string

// The methods.
const (
	Average        Method = "average"         // mean less base, never below 0
	Clamped        Method = "clamped average" // extremes moved to the limits first, then as Average
	Triangle       Method = "triangle"
	DoubleTriangle Method = "double triangle" // each half day with its own minimum
	Sine           Method = "sine"
	DoubleSine     Method = "double sine"
	Quarters       Method = "quarters" // the four cases of the British and Irish weather services
)

// Methods lists every method.
func Methods() []Method {
	return []Method{Average, Clamped, Triangle, DoubleTriangle, Sine, DoubleSine, Quarters}
}

// Limits are the temperatures between which a plant or insect develops. Upper at or below Lower: there is no upper limit. Above it
// development goes on at the pace that it has there (horizontal cut-off).
type Limits struct{ Lower, Upper unit.Temperature }

func (l Limits) capped() bool { return l.Upper > l.Lower }

// Heat is a day's minimum and maximum, and the minimum of the next morning, which the double methods need.
type Heat struct{ Min, Max, NextMin unit.Temperature }

// DegreeDays counts the warmth of one day in °C d.
func DegreeDays(m Method, h Heat, l Limits) float64 {
	switch m {
	case Average:
		return average(h, l)
	case Clamped:
		return clampedAverage(h, l)
	case DoubleTriangle, DoubleSine:
		single := map[Method]Method{DoubleTriangle: Triangle, DoubleSine: Sine}[m]
		evening := Heat{Min: h.NextMin, Max: h.Max}
		return (DegreeDays(single, h, l) + DegreeDays(single, evening, l)) / 2 // ZALOM1983 double methods, after ALLEN1976
	}
	above := map[Method]func(low, high, limit float64) float64{Triangle: triangleAbove, Sine: sineAbove, Quarters: quartersAbove}[m]
	low, high := float64(h.Min), float64(h.Max)
	days := above(low, high, float64(l.Lower))
	if l.capped() {
		days -= above(low, high, float64(l.Upper)) // ZALOM1983 horizontal cut-off
	}
	return days
}

func average(h Heat, l Limits) float64 {
	mean := (h.Max + h.Min) / 2
	if l.capped() {
		mean = min(mean, l.Upper)
	}
	return float64(max(0, mean-l.Lower)) // MCMASTER1997 method 1
}

func clampedAverage(h Heat, l Limits) float64 {
	low, high := max(h.Min, l.Lower), max(h.Max, l.Lower)
	if l.capped() {
		low, high = min(low, l.Upper), min(high, l.Upper)
	}
	return float64((low+high)/2 - l.Lower) // MCMASTER1997 method 2
}

// sineAbove returns the degree days above the limit of a sine wave between low and high.
func sineAbove(low, high, limit float64) float64 {
	mean, half := (high+low)/2, (high-low)/2
	switch {
	case low >= limit:
		return mean - limit
	case high <= limit:
		return 0
	}
	t := math.Asin((limit - mean) / half)
	return ((mean-limit)*(math.Pi/2-t) + half*math.Cos(t)) / math.Pi // BASKERVILLE1969
}

// triangleAbove returns the degree days above the limit of a straight rise and fall.
func triangleAbove(low, high, limit float64) float64 {
	switch {
	case low >= limit:
		return (high+low)/2 - limit
	case high <= limit:
		return 0
	}
	return (high - limit) * (high - limit) / (2 * (high - low)) // ZALOM1983 single triangle
}

// quartersAbove is the rule of the British and Irish weather services.
func quartersAbove(low, high, limit float64) float64 {
	mean := (high + low) / 2
	switch {
	case low >= limit:
		return mean - limit
	case high <= limit:
		return 0
	case mean >= limit:
		return (high-limit)/2 - (limit-low)/4 // METEIREANN
	}
	return (high - limit) / 4 // METEIREANN
}

// CucumberDay counts one day towards the cucumber harvest in °F d: the maximum over 60 °F, the part over 90 °F taken off again.
func CucumberDay(maximum unit.Temperature) float64 {
	f := float64(maximum)*1.8 + 32
	if f > 90 {
		f = 90 - (f - 90)
	}
	return math.Max(0, f-60) // PERRY1996
}

// Warmth adds up the degree days of consecutive days; days without both temperatures are left out and counted.
func Warmth(m Method, days []Weather, l Limits) (sum float64, leftOut int) {
	for i, d := range days {
		if !d.Min.Known || !d.Max.Known {
			leftOut++
			continue
		}
		h := Heat{Min: unit.Temperature(d.Min.Value), Max: unit.Temperature(d.Max.Value), NextMin: unit.Temperature(d.Min.Value)}
		if i+1 < len(days) && days[i+1].Min.Known {
			h.NextMin = unit.Temperature(days[i+1].Min.Value)
		}
		sum += DegreeDays(m, h, l)
	}
	return sum, leftOut
}
