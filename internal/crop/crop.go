// Package crop holds what is known of garden crops before anybody has grown them: families, spacing, seed, days, frost,
// yields with their basis, what a harvest takes out of the soil and puts on the table, keeping and rotation. Every figure carries
// its source and how far it was checked; where sources differ, all are kept and the range is shown. It leaves out growth stages
// in days, crop coefficients and the light ceiling, which are climate's, and the grower's records.
package crop

import (
	"slices"

	"fairplot/internal/source"
)

// Life is how long a crop lives if it is left.
type Life string

// The lengths of life.
const (
	Annual    Life = "annual"
	Biennial  Life = "biennial"
	Perennial Life = "perennial"
)

// Part is the part of the plant that is harvested.
type Part string

// The parts.
const (
	Root       Part = "root"
	Tuber      Part = "tuber"
	Bulb       Part = "bulb"
	Stalk      Part = "stalk"
	Shoot      Part = "shoot"
	Leaf       Part = "leaf"
	Head       Part = "head"
	FlowerHead Part = "flower head"
	FlowerBud  Part = "flower bud"
	Pod        Part = "pod"
	Fruit      Part = "fruit"
	Cob        Part = "cob"
)

// Frost is how much cold a crop bears, and so when it may go out.
type Frost string

// The frost classes; the definitions are those of Oklahoma State fact sheet HLA-6004.
const (
	Hardy      Frost = "hardy"       // out before the last killing frost
	SemiHardy  Frost = "semi-hardy"  // hurt by hard frost, not by light
	Tender     Frost = "tender"      // hurt by light frost
	VeryTender Frost = "very tender" // hurt by cool weather
)

// Crop is one species as grown. Its figures are asked for with Figure, Figures and Range.
type Crop struct {
	Name      string // "parsnip"
	Plural    string
	Aliases   []string // other trade and common names, UK and US
	Botanical string
	Family    string
	Life      Life
	Part      Part

	Frost       Frost
	FrostSource string        // key of the source, "" if from memory
	FrostStatus source.Status // "M" is from memory

	Like string // a near relation whose planting and keeping figures stand in where no source has this crop's own, marked "D"

	own []Figure
}

// All returns every built-in crop, by name.
func All() []Crop { return slices.Clone(list) }

// SpringSowing returns the weeks before (negative) or after the average last spring frost at which crops of the class go out.
// Colorado State GardenNotes 720; the two weeks of the very tender are quoted from a second page.
func (f Frost) SpringSowing() (from, to float64) {
	switch f {
	case Hardy:
		return -4, -2
	case SemiHardy:
		return -2, 0
	case Tender:
		return 0, 0
	}
	return 2, 2
}

// State is one way in which the crop's harvest may stand on the scale.
type State struct {
	Name  string // as the records name it: "as lifted", "topped", "trimmed", "shelled", "cured", "dried"
	Means string // what that is for this crop
}

// States returns the ways in which the crop is counted, the usual one first. Weights in different states do not compare.
// Common practice.
func (c Crop) States() []State {
	switch c.Part {
	case Root:
		return []State{{"topped", "leaves off, washed or brushed"}, {"as lifted", "with leaves"}, {"trimmed", "leaves and root tips off"}}
	case Tuber:
		return []State{{"topped", "tubers only, brushed"}, {"as lifted", "with haulm and soil"}, {"cured", "after the skins have set"}}
	case Bulb:
		return []State{{"cured", "dried, tops off"}, {"as lifted", "with green tops"}, {"topped", "fresh, tops off"}}
	case Pod:
		return []State{{"as lifted", "in the pod"}, {"shelled", "seeds only, fresh"}, {"dried", "seeds only, dry"}}
	case Cob:
		return []State{{"as lifted", "in the husk"}, {"trimmed", "husk off"}, {"shelled", "kernels only"}}
	case Fruit:
		return []State{{"as lifted", "fruit as picked"}, {"trimmed", "stem and spoilt parts off"}, {"cured", "after storing ripe in the warm"}}
	}
	return []State{{"trimmed", "ready for the kitchen door: roots, soil and outer leaves off"}, {"as lifted", "the whole top as cut"}}
}

// Stages returns the stages by which a grower follows the crop. Common practice; their lengths in days are climate's.
func (c Crop) Stages() []string {
	first := []string{"sown", "up", "thinned or set out"}
	if c.Part == Tuber || c.Name == "garlic" || c.Name == "shallot" {
		first = []string{"set", "up"}
	}
	switch c.Part {
	case Root, Tuber:
		return append(first, "swelling", "lifted")
	case Bulb:
		return append(first, "bulbing", "tops falling", "lifted", "cured")
	case Head, FlowerHead, FlowerBud:
		return append(first, "heading", "cut")
	case Pod, Fruit, Cob:
		return append(first, "flowering", "setting", "picked")
	}
	return append(first, "growing on", "cut")
}
