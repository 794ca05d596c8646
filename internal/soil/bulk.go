package soil

import (
	"fmt"
	"math"

	"fairplot/internal/unit"
)

// ParticleDensity is that of mineral grains and most stones in kg/m³; sources give 2,550 to 2,700.
const ParticleDensity unit.Density = 2650

// CarbonShare is the share of carbon in soil organic matter. ONTARIO2025: organic matter = 1.72 × carbon.
const CarbonShare = 0.58

// LayerMass returns the fine earth of a layer, per area: bulk density of the fine earth × depth × (1 − stones by volume).
func LayerMass(fine unit.Density, depth unit.Length, stones float64) unit.Yield {
	return unit.Yield(float64(fine) * float64(depth) * (1 - stones))
}

// PerArea turns a concentration in the soil (mg/kg of fine earth) into kg/ha in a layer. The common "ppm × 2 is lb/acre" holds
// only for the density that it tacitly assumes; here density and depth are given.
func PerArea(mgPerKg float64, fine unit.Density, depth unit.Length, stones float64) float64 {
	return mgPerKg * float64(LayerMass(fine, depth, stones)) * 0.01 // MN-VISOCOLOR § 4.2
}

// FurrowSlice returns the bulk density that a rule such as "two million pounds an acre, six inches deep" assumes.
func FurrowSlice(perArea unit.Yield, depth unit.Length) unit.Density {
	return unit.Density(float64(perArea) / float64(depth))
}

// OvenDry turns a content found in moist soil into one of dry soil by the factor that the kit's own table gives for the moisture.
func OvenDry(moist, factor float64) (float64, error) {
	if factor < 1 {
		return 0, fmt.Errorf("a moisture factor below 1 (%g) would mean drier than dry: take it from the kit's table", factor)
	}
	return moist * factor, nil
}

// BulkDensity is a published way of guessing bulk density from organic matter.
type BulkDensity struct {
	Name  string
	Needs string // what the percentage is of
	Of    func(percent float64) unit.Density
	Mark
}

// BulkDensities returns the published regressions. None replaces a measured core.
func BulkDensities() []BulkDensity {
	return []BulkDensity{
		{"Manrique and Jones", "organic carbon, %", func(oc float64) unit.Density {
			return unit.Density(1000 * (1.660 - 0.318*math.Sqrt(oc))) // MANRIQUE1991: the square root; a code library has × 0.5
		}, Mark{"MANRIQUE1991", "V2"}},
		{"Tamminen and Starr, forest", "loss on ignition, %", func(loi float64) unit.Density {
			return unit.Density(1000 * (1.565 - 0.2298*math.Sqrt(loi))) // TAMMINEN1994
		}, Mark{"TAMMINEN1994", "V2"}},
		{"Adams, mineral part 1.33", "organic matter, %", func(om float64) unit.Density {
			return Adams(om, 1330)
		}, Mark{"ADAMS1973", "V2"}},
	}
}

// Adams mixes organic matter of density 0.224 with the mineral part of the density given.
func Adams(organicMatter float64, mineral unit.Density) unit.Density {
	return unit.Density(1000 * 100 / (organicMatter/0.224 + (100-organicMatter)/(float64(mineral)/1000))) // ADAMS1973
}

// Stock is what a layer holds, per area.
type Stock struct {
	Soil, OrganicMatter, Carbon unit.Yield
}

// StockOf returns the organic matter and carbon of a layer from its organic matter in %.
func StockOf(fine unit.Density, depth unit.Length, stones, organicMatter float64) Stock {
	s := LayerMass(fine, depth, stones)
	om := s * unit.Yield(organicMatter/100)
	return Stock{s, om, om * CarbonShare}
}

// Stones are what was taken out of, or is in, a layer.
type Stones struct {
	Share   float64     // of the layer by volume
	Solid   unit.Volume // the stones' own volume, without the air between them
	PerArea unit.Yield
}

// StonesIn returns the share of a layer that stones of the mass make up.
func StonesIn(mass unit.Mass, area unit.Area, depth unit.Length) (Stones, error) {
	if mass < 0 || area <= 0 || depth <= 0 {
		return Stones{}, fmt.Errorf("stones need a mass, an area and the depth that they came from, all above 0")
	}
	solid := unit.Volume(float64(mass) / float64(ParticleDensity))
	layer := area.Deep(depth)
	if solid >= layer {
		return Stones{}, fmt.Errorf("%s kg of stones fill %s m³, more than the layer of %s m³ that they came from: check mass, area and depth", digits(float64(mass)), digits(float64(solid)), digits(float64(layer)))
	}
	return Stones{float64(solid) / float64(layer), solid, mass.Per(area)}, nil
}

// StonesBySample returns the share by volume from the share by mass in a dug sample and the bulk density of its fine earth.
func StonesBySample(byMass float64, fine unit.Density) float64 {
	s := byMass / float64(ParticleDensity)
	return s / (s + (1-byMass)/float64(fine))
}

// RootLimit is what a penetrometer shows when roots are affected, and when they hardly pass. CORNELL-NRCCA, at field capacity.
const (
	RootsAffected = 1.38 // MPa, 200 psi
	RootsStopped  = 2.07 // MPa, 300 psi
)
