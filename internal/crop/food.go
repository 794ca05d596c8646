package crop

import (
	"sync"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// Food is what 100 g of the edible part hold, from a national food table.
type Food struct {
	Entry                                          string  // number and description in the table
	Energy                                         float64 // kcal
	Water, Protein, Fibre                          float64 // g
	Calcium, Iron, Phosphorus, Potassium, VitaminC float64 // mg
	VitaminA, Folate                               float64 // µg (A as retinol activity equivalents)
	Refuse                                         float64 // % of the bought or lifted item that is not eaten
	RefuseIs                                       string  // what that is: it tells the state the share starts from
	Source                                         string
	Status                                         source.Status
}

var foods = sync.OnceValue(func() map[string][]Food {
	out := map[string][]Food{}
	for _, r := range source.Table(data, "food") {
		v := make([]float64, 12)
		for i := range v {
			v[i] = source.Number(r[3+i])
		}
		out[r[0]] = append(out[r[0]], Food{
			Entry: r[1] + " " + r[2], Energy: v[0], Water: v[1], Protein: v[2], Fibre: v[3], Calcium: v[4], Iron: v[5],
			Phosphorus: v[6], Potassium: v[7], VitaminC: v[8], VitaminA: v[9], Folate: v[10], Refuse: v[11], RefuseIs: r[15],
			Source: r[16], Status: source.Status(r[17]),
		})
	}
	return out
})

// Foods returns the food table's entries for the crop, the plainest first; none if the table lacks it.
func (c Crop) Foods() []Food { return append([]Food(nil), foods()[c.Name]...) }

// Food returns the crop's first entry.
func (c Crop) Food() (Food, bool) {
	if all := foods()[c.Name]; len(all) > 0 {
		return all[0], true
	}
	return Food{}, false
}

// EdibleShare returns the part of the whole that is eaten.
func (f Food) EdibleShare() float64 { return 1 - f.Refuse/100 }

// DryMatter returns the share of dry matter in the edible part.
func (f Food) DryMatter() float64 { return 1 - f.Water/100 }

// Of returns what the edible mass holds: the table's values, which stand for 100 g, times the hundreds of grams.
func (f Food) Of(edible unit.Mass) Food {
	k := float64(edible) / 0.1
	out := f
	for _, v := range []*float64{&out.Energy, &out.Water, &out.Protein, &out.Fibre, &out.Calcium, &out.Iron, &out.Phosphorus,
		&out.Potassium, &out.VitaminC, &out.VitaminA, &out.Folate} {
		*v *= k
	}
	return out
}

// The nutrient contents of the edible part in kg per tonne, as growers count them: protein holds 16 % nitrogen, and phosphorus
// and potassium are given as oxides.
func (f Food) nitrogen() float64  { return f.Protein / 6.25 * 10 }
func (f Food) phosphate() float64 { return f.Phosphorus * 2.2914 / 100 }
func (f Food) potash() float64    { return f.Potassium * 1.2046 / 100 }
