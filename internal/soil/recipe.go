package soil

import (
	"fmt"

	"fairplot/internal/unit"
)

// Ingredient is one material of a compost heap.
type Ingredient struct {
	Name           string
	Mass           unit.Mass // fresh
	Moisture       float64   // % of fresh
	Nitrogen       float64   // % of dry matter
	CarbonNitrogen float64
	Density        unit.Density // fresh, 0 unknown
}

// Dry returns the dry matter.
func (i Ingredient) Dry() unit.Mass { return i.Mass * unit.Mass(1-i.Moisture/100) }

// Carbon returns the carbon in % of dry matter. RYNK1992: %C = %N × C:N.
func (i Ingredient) Carbon() float64 { return i.Nitrogen * i.CarbonNitrogen }

func (i Ingredient) check() error {
	switch {
	case i.Mass < 0:
		return fmt.Errorf("%s: a mass of %g kg cannot be", i.Name, float64(i.Mass))
	case i.Moisture < 0 || i.Moisture >= 100:
		return fmt.Errorf("%s: moisture of %g %% leaves no dry matter; it lies between 0 and 100", i.Name, i.Moisture)
	case i.Nitrogen <= 0 || i.Nitrogen > 30 || i.CarbonNitrogen <= 0:
		return fmt.Errorf("%s: nitrogen (%g %% of dry matter) and C:N (%g) must be above 0", i.Name, i.Nitrogen, i.CarbonNitrogen)
	}
	return nil
}

// Mix is a heap as put together.
type Mix struct {
	Mass           unit.Mass
	Moisture       float64
	CarbonNitrogen float64
	Volume         unit.Volume // 0 when a density is missing
}

// Put returns what the ingredients make together.
func Put(of []Ingredient) (Mix, error) {
	var m Mix
	var water, carbon, nitrogen float64
	known := true
	for _, i := range of {
		if err := i.check(); err != nil {
			return Mix{}, err
		}
		q := float64(i.Mass)
		m.Mass += i.Mass
		water += q * i.Moisture                       // RYNK1992: G = Σ Q M / Σ Q
		carbon += q * i.Carbon() * (100 - i.Moisture) // RYNK1992: R = Σ Q C (100 − M) / Σ Q N (100 − M)
		nitrogen += q * i.Nitrogen * (100 - i.Moisture)
		if i.Density > 0 {
			m.Volume += unit.Volume(q / float64(i.Density))
		} else {
			known = false
		}
	}
	if m.Mass <= 0 {
		return Mix{}, fmt.Errorf("a heap needs at least one ingredient with a mass above 0")
	}
	if !known {
		m.Volume = 0
	}
	m.Moisture, m.CarbonNitrogen = water/float64(m.Mass), carbon/nitrogen
	return m, nil
}

// Goal is what a heap starts from.
type Goal struct {
	CarbonNitrogen, Moisture Range
}

// UsualGoal is C:N 25 to 40 (the legal range of the US organic rule) and 50 to 60 % moisture. CWMI.
func UsualGoal() Goal { return Goal{Range{25, 40}, Range{50, 60}} }

// Judge says how a mix stands beside the goals, each in a sentence; nothing when both are met.
func (m Mix) Judge(g Goal) []string {
	var out []string
	switch {
	case m.CarbonNitrogen < g.CarbonNitrogen.Low:
		out = append(out, fmt.Sprintf("C:N %.3g is below %g: nitrogen will go off as ammonia; add straw, leaves or other brown stuff", m.CarbonNitrogen, g.CarbonNitrogen.Low))
	case m.CarbonNitrogen > g.CarbonNitrogen.High:
		out = append(out, fmt.Sprintf("C:N %.3g is above %g: it will heat slowly; add grass, manure or other green stuff", m.CarbonNitrogen, g.CarbonNitrogen.High))
	}
	switch {
	case m.Moisture > g.Moisture.High:
		out = append(out, fmt.Sprintf("Moisture %.3g %% is above %g: it will lack air; add something dry", m.Moisture, g.Moisture.High))
	case m.Moisture < 30:
		out = append(out, fmt.Sprintf("Moisture %.3g %% is below 30: rotting stops; add %s L of water", m.Moisture, digits(m.WaterTo(g.Moisture.Mid()))))
	case m.Moisture < g.Moisture.Low:
		out = append(out, fmt.Sprintf("Moisture %.3g %% is below %g: add %s L of water", m.Moisture, g.Moisture.Low, digits(m.WaterTo(g.Moisture.Mid()))))
	}
	return out
}

// WaterTo returns the litres of water that bring the mix to the moisture in %; 0 if it is wetter already.
func (m Mix) WaterTo(moisture float64) float64 {
	return max(0, float64(m.Mass)*(moisture-m.Moisture)/(100-moisture))
}

// ForMoisture returns how much of the second material brings the first to the moisture. RYNK1992.
func ForMoisture(first, second Ingredient, moisture float64) (unit.Mass, error) {
	q := float64(first.Mass) * (moisture - first.Moisture) / (second.Moisture - moisture) // Q2 = (Q1 G − Q1 M1)/(M2 − G)
	return reachable(q, "moisture", moisture, first.Name, first.Moisture, second.Name, second.Moisture)
}

// ForCarbonNitrogen returns how much of the second material brings the first to the C:N. RYNK1992.
func ForCarbonNitrogen(first, second Ingredient, ratio float64) (unit.Mass, error) {
	up := float64(first.Mass) * first.Nitrogen * (ratio - first.CarbonNitrogen) * (100 - first.Moisture)
	down := second.Nitrogen * (second.CarbonNitrogen - ratio) * (100 - second.Moisture)
	return reachable(up/down, "C:N", ratio, first.Name, first.CarbonNitrogen, second.Name, second.CarbonNitrogen)
}

func reachable(q float64, what string, goal float64, a string, atA float64, b string, atB float64) (unit.Mass, error) {
	if !(q >= 0 && q < 1e12) {
		return 0, fmt.Errorf("%s %.3g cannot be reached with %s (%.3g) and %s (%.3g): it must lie between the two, so take another material", what, goal, a, atA, b, atB)
	}
	return unit.Mass(q), nil
}

// Recipe is two materials put together for a C:N, with the moisture that comes of it, and the other way round. The two goals
// seldom meet; both mixes are shown.
type Recipe struct {
	ByCN, ByMoisture       unit.Mass // of the second material
	MixByCN, MixByMoisture Mix
	CNError, MoistureError error // a goal that the two cannot reach
}

// TwoFor works out a recipe of two materials. It fails only when neither goal can be reached.
func TwoFor(first, second Ingredient, ratio, moisture float64) (Recipe, error) {
	for _, i := range []Ingredient{first, second} {
		if err := i.check(); err != nil {
			return Recipe{}, err
		}
	}
	var r Recipe
	if r.ByCN, r.CNError = ForCarbonNitrogen(first, second, ratio); r.CNError == nil {
		r.MixByCN, _ = Put([]Ingredient{first, second.of(r.ByCN)})
	}
	if r.ByMoisture, r.MoistureError = ForMoisture(first, second, moisture); r.MoistureError == nil {
		r.MixByMoisture, _ = Put([]Ingredient{first, second.of(r.ByMoisture)})
	}
	if r.CNError != nil && r.MoistureError != nil {
		return r, r.CNError
	}
	return r, nil
}

func (i Ingredient) of(m unit.Mass) Ingredient {
	i.Mass = m
	return i
}

// ThreeFor returns how much of the second and third material bring the first to both goals at once.
func ThreeFor(first, second, third Ingredient, ratio, moisture float64) (b, c unit.Mass, err error) {
	nitrogen := func(i Ingredient) float64 { return i.Nitrogen * (i.CarbonNitrogen - ratio) * (100 - i.Moisture) }
	wet := func(i Ingredient) float64 { return i.Moisture - moisture }
	p, q := -float64(first.Mass)*nitrogen(first), -float64(first.Mass)*wet(first)
	det := nitrogen(second)*wet(third) - nitrogen(third)*wet(second)
	if det == 0 {
		return 0, 0, fmt.Errorf("%s and %s pull C:N and moisture the same way: take another third material", second.Name, third.Name)
	}
	x, y := (p*wet(third)-nitrogen(third)*q)/det, (nitrogen(second)*q-p*wet(second))/det
	if x < 0 || y < 0 {
		return 0, 0, fmt.Errorf("C:N %.3g and moisture %.3g %% cannot both be reached with %s, %s and %s: take another material, or add water", ratio, moisture, first.Name, second.Name, third.Name)
	}
	return unit.Mass(x), unit.Mass(y), nil
}

// HeapIngredient returns the ingredient of a material of the table; values that it lacks are an error.
func HeapIngredient(m Material, mass unit.Mass) (Ingredient, error) {
	wet, okWet := m.Moisture()
	n, okN := m.Value(NitrogenDry)
	cn, okCN := m.Value(CarbonNitrogen)
	if !okWet || !okN || !okCN {
		return Ingredient{}, fmt.Errorf("%s has no published moisture, nitrogen and C:N of its dry matter: give your own, or take a material like it", m.Name)
	}
	i := Ingredient{Name: m.Name, Mass: mass, Moisture: wet, Nitrogen: n.Mid(), CarbonNitrogen: cn.Mid()}
	if d, ok := m.Value(DensityOf); ok {
		i.Density = unit.Density(d.Mid())
	}
	return i, nil
}

// SampleMoisture returns the moisture in % of a sample weighed wet and dried. RYNK1992.
func SampleMoisture(wet, dry unit.Mass) (float64, error) {
	if wet <= 0 || dry < 0 || dry > wet {
		return 0, fmt.Errorf("a sample of %g kg cannot dry to %g kg", float64(wet), float64(dry))
	}
	return float64((wet - dry) / wet * 100), nil
}
