package crop

import (
	"fmt"
	"strings"

	"fairplot/internal/unit"
)

// Removed is what a harvest carries off, with the content that each part rests on. A nutrient without a published content is
// missing, not zero.
type Removed struct {
	Nitrogen, Phosphate, Potash Carried
}

// Carried is one nutrient carried off.
type Carried struct {
	Known     bool
	Mass      unit.Mass
	Content   Figure // kg/t fresh; a range where sources differ
	Low, High unit.Mass
}

// Removal returns what the fresh mass of the harvested part carries off. The basis picks among the crop's contents, "" takes the
// first. Potash that no removal table gives is taken from the food table's potassium, which is that of the edible part.
func (c Crop) Removal(mass unit.Mass, basis string) (Removed, error) {
	if mass < 0 {
		return Removed{}, fmt.Errorf("a harvest of %g kg cannot be: give its mass", float64(mass))
	}
	if basis != "" {
		if _, ok := c.On(NitrogenIn, basis); !ok {
			return Removed{}, fmt.Errorf("no contents of %s for %q; there are: %s", c.Name, basis, strings.Join(c.Bases(NitrogenIn), "; "))
		}
	}
	return Removed{
		Nitrogen:  c.carried(mass, NitrogenIn, basis, Food.nitrogen),
		Phosphate: c.carried(mass, PhosphateIn, basis, Food.phosphate),
		Potash:    c.carried(mass, PotashIn, "", Food.potash),
	}, nil
}

func (c Crop) carried(mass unit.Mass, kind Kind, basis string, edible func(Food) float64) Carried {
	f, ok := c.On(kind, basis)
	low, high := f.Low, f.High
	if food, has := c.Food(); has {
		x := edible(food)
		if !ok {
			f = Figure{kind, x, x, "kg/t", food.Entry, "edible part", food.Source, food.Status}
			low, high, ok = x, x, true
		}
		low, high = min(low, x), max(high, x)
	}
	for _, other := range c.Figures(kind) {
		if basis == "" || strings.HasPrefix(other.Basis, basis) {
			low, high = min(low, other.Low), max(high, other.High)
		}
	}
	tonnes := float64(mass) / 1000
	return Carried{ok, unit.Mass(tonnes * f.Mid()), f, unit.Mass(tonnes * low), unit.Mass(tonnes * high)}
}

// Contents returns every figure of the kind: for nutrients those of the food table (edible part) too, for yields those that Yields
// turns into area.
func (c Crop) Contents(kind Kind) []Figure {
	if kind == UsualYield {
		return c.Yields()
	}
	out := c.Figures(kind)
	edible := map[Kind]func(Food) float64{NitrogenIn: Food.nitrogen, PhosphateIn: Food.phosphate, PotashIn: Food.potash}[kind]
	if edible == nil {
		return out
	}
	for _, food := range c.Foods() {
		x := edible(food)
		out = append(out, Figure{kind, x, x, "kg/t", food.Entry, "edible part", food.Source, food.Status})
	}
	return out
}
