package reckon

import (
	"slices"

	"fairplot/internal/crop"
	"fairplot/internal/soil"
)

// The cautions that calculators about soil and crops hand on. Where a law or a licensed adviser says otherwise, they come first.
const (
	cautionManure = "Raw manure: work it in at least 120 days before harvest where the eaten part touches the ground or its splashes, 90 days otherwise. " +
		"A heap without a log of its heat counts as raw. Local rules come first."
	cautionResidue = "Bought manure, hay, straw and compost can carry a weedkiller that stunts beans, peas, tomatoes and potatoes. " +
		"Sow a few beans in a pot of it, and in a pot without, before you spread it."
	cautionDust   = "Dust of compost and mouldy hay can make the lungs ill: wet it before you turn it, stand upwind, wear a mask, wash hands and cuts."
	cautionWater  = "What plants don't take up goes to wells, ditches and ponds: keep off the strip beside water, and never spread on frozen or sodden ground."
	cautionLocal  = "Legal limits are those of farms, given as a yardstick; local rules hold, and a licensed adviser knows them."
	cautionLime   = "Lime hurts eyes, skin and lungs, burnt and hydrated lime at a touch: goggles, gloves, covered and dry skin, no wind, children away. Rinse eyes with much water and see a doctor."
	cautionAsh    = "Wood ash is caustic: goggles and gloves, cold ash of untreated wood only, little at a time, none where the pH is above 7, none on potatoes."
	cautionApart  = "Keep lime and manure apart, or ammonia goes off into the air: ten days if manure went first, three months if lime did (Irish Farmers Monthly, 2018)."
	cautionGround = "Old gardens and house walls: ask about lead, arsenic and glass in the soil before you grow food in it, and have it tested if in doubt."
	cautionPipes  = "Before digging deeper than a spade find out where cables and pipes lie."
	cautionLift   = "Halve a load rather than lift it: bend the knees, keep it close, don't twist, and take a barrow. A doctor knows what your back may bear."
	cautionHeat   = "Only a written log of temperatures shows that a heap was hot enough; a home heap's rim seldom is. Treat it as raw manure otherwise."
	cautionTest   = "Figures of one laboratory's method say nothing in another's scheme. Advice for your soil comes from the laboratory or a licensed adviser."
	cautionLeaves = "Leaves hold more nitrate after heavy feeding, in poor light and under cover: feed little, harvest in the afternoon, keep them cool."
	cautionSalad  = "No flood water, and no water from a butt, on what is eaten raw."
)

// cropCautions returns what to mind when the crop is eaten. Common practice.
func cropCautions(c crop.Crop) []string {
	var out []string
	switch c.Name {
	case "potato":
		out = append(out, "Green, sprouted or bitter potatoes are poisonous: throw them out, and keep the rest in the dark.")
	case "French bean", "climbing bean", "runner bean", "lima bean":
		out = append(out, "Raw beans are poisonous: soak ripe ones, throw the water off, and boil them hard for ten minutes at least.")
	case "courgette", "winter squash", "pumpkin", "cucumber", "melon":
		out = append(out, "A bitter fruit is poisonous, above all from home-saved seed: spit it out and throw it away.")
	case "rhubarb":
		out = append(out, "Eat the stalks only: rhubarb leaves are poisonous.")
	}
	leafy := []string{"spinach", "lettuce", "rocket", "chard", "corn salad", "endive", "pak choi", "New Zealand spinach", "beetroot", "kale"}
	if slices.Contains(leafy, c.Name) {
		out = append(out, cautionLeaves, cautionSalad)
	}
	return out
}

// materialCautions returns what to mind when the material is spread.
func materialCautions(m soil.Material) []string {
	switch m.Use {
	case soil.Manure:
		return []string{cautionManure, cautionResidue, cautionDust, cautionWater}
	case soil.Compost, soil.ForHeap:
		return []string{cautionResidue, cautionDust, cautionWater}
	}
	if m.Name == "wood ash" {
		return []string{cautionAsh, cautionWater}
	}
	return []string{cautionDust, cautionWater}
}

// plain turns an error of the science packages into one of the calculators.
func plain(err error) error { return refuse("", err.Error(), "") }

// answered puts an answer together; each source is a key with the place in it.
func answered(p paper, status string, sources, cautions []string, results ...Result) (Answer, error) {
	return Answer{Results: results, Steps: p.lines, Source: sources, Status: status, Cautions: cautions}, nil
}
