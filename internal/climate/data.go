package climate

import (
	"embed"
	"sync"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

//go:embed data/*.csv
var data embed.FS

// celsius turns a printed temperature into °C.
func celsius(s, in string) unit.Temperature {
	if in == "F" {
		return unit.Temperature((source.Number(s) - 32) / 1.8)
	}
	return unit.Temperature(source.Number(s))
}

// Base is a base temperature for counting warmth, from one source; sources differ by 2 to 8 °C for crops of warm countries, so it is never
// a bare number.
type Base struct {
	Temperature unit.Temperature
	Optimum     unit.Temperature
	HasOptimum  bool
	Basis       string
	Source      string
	Status      source.Status
}

// Bases returns the base temperatures of the crop, those from memory last; none if no source gives one.
func Bases(crop string) []Base { return bases()[crop] }

var bases = sync.OnceValue(func() map[string][]Base {
	out := map[string][]Base{}
	for _, r := range source.Table(data, "base") {
		if r[1] != "base" {
			continue
		}
		b := Base{Temperature: celsius(r[2], r[6]), Basis: r[7], Source: r[8], Status: source.Status(r[9])}
		if r[3] != "" {
			b.Optimum, b.HasOptimum = celsius(r[3], r[6]), true
		}
		out[r[0]] = append(out[r[0]], b)
	}
	return out
})

// Comfort is the range of monthly mean temperatures in which a crop grows, and grows best.
type Comfort struct {
	Low, BestLow, BestHigh, High unit.Temperature
	Source                       string
	Status                       source.Status
}

// ComfortOf returns the monthly means at which the crop does well.
func ComfortOf(crop string) (Comfort, bool) {
	for _, r := range source.Table(data, "base") {
		if r[0] == crop && r[1] == "range" {
			return Comfort{celsius(r[2], r[6]), celsius(r[3], r[6]), celsius(r[4], r[6]), celsius(r[5], r[6]), r[8], source.Status(r[9])}, true
		}
	}
	return Comfort{}, false
}
