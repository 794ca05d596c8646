package ask

import (
	"fmt"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/crop"
	"fairplot/internal/diary"
	"fairplot/internal/evidence"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
)

// Setup is what the questions need to know beside what was asked: the grower's settings and crops from the records, and behind them
// the built-in crops.
func Setup(r garden.Records, today civil.Date) evidence.Setup {
	own := map[string]garden.Crop{}
	for _, c := range r.Crops {
		own[garden.Fold(c.Name)] = c
	}
	return evidence.Setup{
		Today: today,
		Options: practice.Options{
			YearStart: yearStart(r),
			Perennial: func(name string) bool {
				if c, ok := own[garden.Fold(name)]; ok {
					return c.Perennial
				}
				c, ok := crop.Find(name)
				return ok && c.Life == crop.Perennial
			},
			Family: func(name string) string {
				if c, ok := own[garden.Fold(name)]; ok && c.Family != "" {
					return c.Family
				}
				c, _ := crop.Find(name)
				return c.Family
			},
		},
		Usual: func(name string) (float64, bool) { return usualDensity(own[garden.Fold(name)], name) },
		Food:  func(name string) (float64, bool) { return energy(own[garden.Fold(name)], name) },
		Nutrient: func(name, nutrient string) (float64, bool) {
			return nutrientIn(own[garden.Fold(name)], name, nutrient)
		},
		Price: func(name string) (float64, bool) { return price(own[garden.Fold(name)]) },
	}
}

// yearStart is the setting, else 1 July where the first site lies south of the equator, else 1 January.
func yearStart(r garden.Records) garden.MonthDay {
	var d garden.MonthDay
	if n, _ := fmt.Sscanf(diary.SettingOf(r, garden.SettingYearStart), "%d-%d", &d.Month, &d.Day); n == 2 {
		return d
	}
	if len(r.Sites) > 0 && r.Sites[0].Latitude.Or(0) < 0 {
		return garden.MonthDay{Month: 7, Day: 1}
	}
	return garden.MonthDay{Month: 1, Day: 1}
}

// usualDensity is the grower's own "plants per m²", else one plant to the middle of the published distances in and between rows.
func usualDensity(own garden.Crop, name string) (float64, bool) {
	for _, f := range own.Own {
		if strings.EqualFold(f.What, "plants per m²") && f.Value > 0 {
			return f.Value, true
		}
	}
	c, ok := crop.Find(name)
	if !ok {
		return 0, false
	}
	in, _, okIn := c.Range(crop.InRow)
	between, _, okBetween := c.Range(crop.BetweenRows)
	if !okIn || !okBetween || in.Mid() <= 0 || between.Mid() <= 0 {
		return 0, false
	}
	return 1e4 / (in.Mid() * between.Mid()), true
}

// price is the grower's own "price per kg"; there is no other.
func price(own garden.Crop) (float64, bool) {
	for _, f := range own.Own {
		if strings.EqualFold(f.What, "price per kg") && f.Value > 0 {
			return f.Value, true
		}
	}
	return 0, false
}

// energy is the food energy of a kilogram as harvested, by the food table's edible share or the grower's own.
func energy(own garden.Crop, name string) (float64, bool) {
	c, ok := crop.Find(name)
	if !ok {
		return 0, false
	}
	food, ok := c.Food()
	if !ok {
		return 0, false
	}
	return 10 * food.Energy * own.Edible.Or(food.EdibleShare()), true
}

// Canonical returns the text under which a call counts as asked, "" if the question is not counted.
func Canonical(q Question, c Call) (string, error) {
	if !q.Counted {
		return "", nil
	}
	read, err := readCompare(c)
	if err != nil {
		return "", err
	}
	return read.Canonical(), nil
}

// nutrientIn is what a kilogram as harvested holds of a nutrient, in grams, by the food table and the edible share.
func nutrientIn(own garden.Crop, name, nutrient string) (float64, bool) {
	c, ok := crop.Find(name)
	if !ok {
		return 0, false
	}
	food, ok := c.Food()
	if !ok {
		return 0, false
	}
	const milli, micro = 1e-3, 1e-6
	per100 := map[string]float64{"protein": food.Protein, "fibre": food.Fibre, "calcium": food.Calcium * milli, "iron": food.Iron * milli,
		"vitamin c": food.VitaminC * milli, "folate": food.Folate * micro}[nutrient]
	return 10 * per100 * own.Edible.Or(food.EdibleShare()), true
}
