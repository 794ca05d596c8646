package water

import (
	"maps"
	"math"
	"slices"
	"sync"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// Coefficients are what a crop uses beside the reference grass: Kc of crop and soil together, Kcb of the crop alone, at the start, in full
// growth and at the end; its height, rooting and the share of the soil's water it can take before it runs short.
type Coefficients struct {
	Crop                          string
	KcInitial, KcMiddle, KcEnd    float64
	KcbInitial, KcbMiddle, KcbEnd float64
	Height                        unit.Length
	RootLow, RootHigh             unit.Length // smaller for planning waterings, larger for a crop that must search
	P                             float64     // at 5 mm/day
	Basis                         string      // "" or what the figures stand for
	Proxy                         string      // the crop whose figures stand in, "" if they are its own
	Source, KcbSource             string
	Status, KcbStatus             source.Status
}

var table = sync.OnceValue(func() map[string]Coefficients {
	out := map[string]Coefficients{}
	for _, r := range source.Table(data, "coefficients") {
		v := source.Numbers(r[1:11])
		out[r[0]] = Coefficients{
			Crop: r[0], KcInitial: v[0], KcMiddle: v[1], KcEnd: v[2], Height: unit.Length(v[3]), KcbInitial: v[4], KcbMiddle: v[5], KcbEnd: v[6],
			RootLow: unit.Length(v[7]), RootHigh: unit.Length(v[8]), P: v[9], Basis: r[11],
			Source: r[12], Status: source.Status(r[13]), KcbSource: r[14], KcbStatus: source.Status(r[15]),
		}
	}
	return out
})

// groups are the Kc of whole groups of crops, for those without their own line.
var groups = map[string][3]float64{ // FAO56 table 12
	"small vegetables":     {0.7, 1.05, 0.95},
	"nightshades":          {0.6, 1.15, 0.80},
	"cucurbits":            {0.5, 1.00, 0.80},
	"roots and tubers":     {0.5, 1.10, 0.95},
	"legumes":              {0.4, 1.15, 0.55},
	"perennial vegetables": {0.5, 1.00, 0.80},
}

// Of returns the coefficients of the crop. A crop that FAO-56 does not list gets the Kc of its group, and height, rooting and p of a
// relative, and says so; false if there is none.
func Of(crop string) (Coefficients, bool) {
	if c, ok := table()[crop]; ok {
		return c, true
	}
	p, ok := proxies()[crop]
	if !ok {
		return Coefficients{}, false
	}
	c := table()[p.as]
	g := groups[p.group]
	c.Crop, c.Proxy, c.Basis = crop, p.as, "Kc of "+p.group+"; height, roots and p of "+p.as
	c.KcInitial, c.KcMiddle, c.KcEnd = g[0], g[1], g[2]
	c.KcbInitial, c.KcbMiddle, c.KcbEnd = 0.15, g[1]-0.10, g[2]-0.10 // FAO56 table 18
	c.Status, c.KcbStatus, c.KcbSource = source.Derived, source.Derived, "FAO56"
	return c, true
}

// Adjusted returns the coefficients for a place with this wind (m/s at 2 m) and lowest humidity (0 to 1) in full growth.
func (c Coefficients) Adjusted(wind, lowest float64) Coefficients {
	add := weatherTerm(wind, lowest, c.Height)
	out := c
	out.KcMiddle += add // FAO56 eq. 62
	out.KcbMiddle += add
	for _, end := range []*float64{&out.KcEnd, &out.KcbEnd} {
		if *end >= 0.45 {
			*end += add // FAO56 eq. 65, FAO56 eq. 70
		}
	}
	return out
}

// weatherTerm is what a windier and drier place than the standard one adds to a coefficient. Outside the range for which it was made the
// nearest value in the range is taken.
func weatherTerm(wind, lowest float64, height unit.Length) float64 {
	u, rh, h := clamp(wind, 1, 6), clamp(100*lowest, 20, 80), clamp(float64(height), 0.1, 10)
	return (0.04*(u-2) - 0.004*(rh-45)) * math.Pow(h/3, 0.3) // FAO56 eq. 62
}

// Most is the most that crop and wet soil together can use.
func Most(kcb, wind, lowest float64, height unit.Length) float64 {
	return math.Max(1.2+weatherTerm(wind, lowest, height), kcb+0.05) // FAO56 eq. 72
}

// Intercrop returns the Kc of two crops in one stand, each with its share of the ground and its height, no more than the most.
func Intercrop(share1, kc1 float64, height1 unit.Length, share2, kc2 float64, height2 unit.Length, most float64) float64 {
	w1, w2 := share1*float64(height1), share2*float64(height2)
	return math.Min(most, (w1*kc1+w2*kc2)/(w1+w2)) // FAO56 eq. 104
}

// Named returns every crop that the tables of this package name, those that stand in for others included.
func Named() []string {
	seen := map[string]bool{}
	for _, file := range []string{"coefficients", "stages", "salt", "response"} {
		for _, r := range source.Table(data, file) {
			seen[r[0]] = true
		}
	}
	for _, r := range source.Table(data, "proxies") {
		seen[r[0]], seen[r[1]] = true, true
	}
	return slices.Sorted(maps.Keys(seen))
}
