package soil

import "fmt"

// LimeProduct is a liming material.
type LimeProduct struct {
	Name         string
	Neutralising Range // % CaO
	Burns        bool  // skin and eyes, at a touch
	Mark
}

// LimeProducts returns the usual products with their neutralising values, as teaching slides after RB209 give them.
func LimeProducts() []LimeProduct {
	return []LimeProduct{
		{"ground limestone", Range{50, 55}, false, Mark{"LIME-SLIDES", "V2"}},
		{"magnesian limestone", Range{50, 55}, false, Mark{"LIME-SLIDES", "V2"}},
		{"hydrated lime", Range{70, 70}, true, Mark{"LIME-SLIDES", "V2"}},
		{"burnt lime", Range{80, 80}, true, Mark{"LIME-SLIDES", "V2"}},
		{"sugar-factory lime", Range{26, 27}, false, Mark{"LIME-SLIDES", "V2"}},
	}
}

// Base is a pure compound's strength beside calcium carbonate at 100. UNL-LIME, table 4.4.
type Base struct {
	Formula    string
	Molecular  float64
	Strength   float64 // % of calcium carbonate
	PoundsEach float64 // that do the work of a short ton of carbonate
}

// Bases returns the pure compounds.
func Bases() []Base {
	return []Base{
		{"CaCO3", 100, 100, 2000}, {"MgCO3", 84, 119, 1680}, {"Ca(OH)2", 74, 135, 1480}, {"Mg(OH)2", 58, 172, 1160},
		{"CaO", 56, 178, 1120}, {"MgO", 40, 250, 800},
	}
}

// EffectiveStrength returns the strength that counts in the first year, from a product's calcium carbonate equivalent in % and its
// shares by fineness: all of what passes 100 mesh, 0.6 of what passes 20, none of the coarse. CORNELL-AFS7.
func EffectiveStrength(equivalent, fine, middle, coarse float64) (float64, error) {
	if sum := fine + middle + coarse; sum < 0.995 || sum > 1.005 {
		return 0, fmt.Errorf("the shares by fineness make %.3g, not 1: give what passes 100 mesh, what passes 20 only, and the rest", sum)
	}
	return equivalent * (fine + 0.6*middle), nil // CORNELL-AFS7
}

// ProductShare returns by what the recommended amount of carbonate is multiplied for a product of the equivalent in %. CLEMSON.
func ProductShare(equivalent float64) (float64, error) {
	if equivalent <= 0 {
		return 0, fmt.Errorf("a calcium carbonate equivalent of %g %% cannot be", equivalent)
	}
	return 100 / equivalent, nil // CLEMSON
}

// TargetPH returns the pH that a garden of the kind is limed to. RB209-LIME: optimum plus 0.2; only mineral and peaty soils are
// certain in the copy read.
func TargetPH(peat bool) (optimum, target float64, m Mark) {
	if peat {
		return 5.8, 6.0, Mark{"RB209-LIME", "V"}
	}
	return 6.5, 6.7, Mark{"RB209-LIME", "V"}
}

// GardenLime returns popular tables to pH 6.5, no authority named, as bounds of plausibility: present pH, then lb of limestone per
// 100 sq ft on sandy loam, loam and clay loam. GARDEN-LIME.
func GardenLime() [][4]float64 {
	return [][4]float64{{6.0, 3, 4, 5.5}, {5.5, 6, 8, 10.5}, {5.0, 8, 10.5, 15}, {4.5, 9.5, 13.5, 19.5}, {4.0, 11.5, 16, 23}}
}
