package water

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"sync"

	"fairplot/internal/source"
)

// Stages are the lengths of a crop's growth in days: until the ground is a tenth covered, until it is closed, until ripening, until
// the harvest. The sum is always worked out, since some sums printed by FAO-56 are not those of their stages.
type Stages struct {
	Initial, Development, Middle, Late int
	Planted, Region, Basis             string
	Proxy                              string
	Source                             string
	Status                             source.Status
}

// Total returns the days from sowing or setting out to the last harvest.
func (s Stages) Total() int { return s.Initial + s.Development + s.Middle + s.Late }

var stages = sync.OnceValue(func() map[string][]Stages {
	out := map[string][]Stages{}
	for _, r := range source.Table(data, "stages") {
		v := source.Numbers(r[1:5])
		out[r[0]] = append(out[r[0]], Stages{
			Initial: int(v[0]), Development: int(v[1]), Middle: int(v[2]), Late: int(v[3]),
			Planted: r[5], Region: r[6], Basis: r[7], Source: r[8], Status: source.Status(r[9]),
		})
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b Stages) int { return cmp.Compare(a.remote(), b.remote()) })
	}
	return out
})

// remote ranks where the lengths were found: gardens are mostly in temperate summers.
func (s Stages) remote() int {
	rank := 0
	switch {
	case s.Basis == "dry" || s.Basis == "crucifers":
		rank = 20
	case strings.Contains(s.Region, "Europe"), strings.Contains(s.Region, "high latitudes"):
	case strings.Contains(s.Region, "Medit"):
		rank = 2
	default:
		rank = 4
	}
	if !strings.ContainsAny(s.Planted, "AM") || strings.Contains(s.Planted, "Aug") {
		rank++ // not planted in March, April or May
	}
	return rank
}

// StagesOf returns every set of lengths for the crop, those of temperate spring sowings first. A crop that FAO-56 does not list has
// those of a relative and says so; none if there is no relative either.
func StagesOf(crop string) []Stages {
	if list := stages()[crop]; len(list) > 0 {
		return slices.Clone(list)
	}
	p := proxies()[crop]
	list := slices.Clone(stages()[p.as])
	if len(list) == 0 && p.as != "" {
		list = StagesOf(p.as)
	}
	for i := range list {
		list[i].Proxy, list[i].Status = p.as, source.Derived
	}
	return list
}

// Scaled returns the stages stretched or shrunk to a season of the days, each in proportion.
func (s Stages) Scaled(days int) Stages {
	total := s.Total()
	if total == 0 || days <= 0 || days == total {
		return s
	}
	at := func(n int) int { return int(math.Round(float64(n) * float64(days) / float64(total))) }
	out := s
	out.Initial = at(s.Initial)
	out.Development = at(s.Initial+s.Development) - out.Initial
	out.Middle = at(s.Initial+s.Development+s.Middle) - out.Initial - out.Development
	out.Late = days - out.Initial - out.Development - out.Middle
	return out
}

// Curve returns the coefficient on the day (1 is the first) that runs from initial over middle to end. After the last day it stays at
// the end.
func (s Stages) Curve(day int, initial, middle, end float64) float64 {
	grown := s.Initial + s.Development
	ripe := grown + s.Middle
	switch {
	case day <= s.Initial:
		return initial
	case day <= grown:
		return initial + float64(day-s.Initial)/float64(s.Development)*(middle-initial) // FAO56 eq. 66
	case day <= ripe || s.Late == 0:
		return middle
	case day >= s.Total():
		return end
	}
	return middle + float64(day-ripe)/float64(s.Late)*(end-middle) // FAO56 eq. 66
}

// Grown returns how far leaves and roots have grown on the day, 0 to 1.
func (s Stages) Grown(day int) float64 { return s.Curve(day, 0, 1, 1) }
