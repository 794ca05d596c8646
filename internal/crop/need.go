package crop

import (
	"fmt"
	"strings"
)

// Before is what stood or lay on the ground before the crop, with the nitrogen that it leaves. DUV-A4, table 7.
type Before struct {
	Name     string
	Says     string
	Nitrogen float64 // kg/ha to be taken off the need
}

// LastYear lists the crops of the year before by what they leave.
func LastYear() []Before {
	return []Before{
		{"other", "cereals, maize, potato and other vegetables", 0},
		{"legume", "grain legumes: peas or beans grown ripe", 10},
		{"brassica", "cabbages and their kin, rape", 10},
		{"beet", "beet with its leaves left on the ground", 10},
		{"fallow", "fallow without legumes", 10},
		{"grass", "grassland, lucerne, clover, or a fallow of legumes", 20},
	}
}

// CoverCrops lists the cover crops by what they leave.
func CoverCrops() []Before {
	return []Before{
		{"none", "no cover crop", 0},
		{"killed", "no legume, killed by frost", 0},
		{"hardy-spring", "no legume, alive through the winter and worked in in spring", 20},
		{"hardy-autumn", "no legume, worked in in autumn", 0},
		{"legume-killed", "legumes, killed by frost", 10},
		{"legume-spring", "legumes, alive through the winter and worked in in spring", 40},
		{"legume-autumn", "legumes, worked in in autumn", 10},
		{"legume-cut", "legumes, cut and carried off", 10},
		{"cut", "other, cut and carried off", 0},
	}
}

// steep are the crops whose need changes by 40 kg N/ha, not 20, for 20 % of yield. DUV-A4, table 5.
var steep = map[string]bool{
	"cucumber": true, "celeriac": true, "cabbage": true, "red cabbage": true, "savoy cabbage": true, "leek": true,
	"daikon": true, "Brussels sprout": true,
}

// NeedAsked is what the nitrogen need of a crop is worked out from. Amounts are kg N/ha; nothing is guessed for what is left 0.
type NeedAsked struct {
	Basis     string  // one of Bases(NitrogenNeed), "" for the first
	OwnYield  float64 // mean of the last five years, kg/m²; 0: the table's
	Mineral   float64 // mineral nitrogen found in the soil to the depth the table asks
	Humus     float64 // % of the soil
	LastYear  string
	Cover     string
	SameYear  float64   // residue nitrogen of a crop harvested earlier in the same year
	LastDress float64   // total nitrogen of organic dressings given last year, composts left out
	Composts  []float64 // total nitrogen of composts given one, two and three years ago
	Fleece    bool
}

// Need is a worked-out need.
type Need struct {
	Table, Yield Figure  // the table's need and the yield that it stands for
	Depth        Figure  // how deep the soil must be sampled
	Lines        []Line  // what was added and taken off
	Total        float64 // kg N/ha, never below 0
}

// Line is one step of the need.
type Line struct {
	Says     string
	Nitrogen float64 // kg/ha, negative: taken off
}

// NitrogenNeed works out the need by the German statutory tables (DUV-A4, § 4), the fullest published set for vegetables.
// The ordinance is silent on steps of less than 20 % of yield: a part step takes off its share, and adds nothing.
func (c Crop) NitrogenNeed(a NeedAsked) (Need, error) {
	table, ok := c.On(NitrogenNeed, a.Basis)
	if !ok {
		return Need{}, fmt.Errorf("no published nitrogen need for %s %s: give your own figure, or one of a crop like it", c.Name, a.Basis)
	}
	basis, _, _ := strings.Cut(table.Basis, "; ")
	n := Need{Table: table, Lines: []Line{{"the table's need", table.Mid()}}}
	n.Yield, _ = c.On(UsualYield, basis)
	n.Depth, _ = c.On(SamplingDepth, basis)
	n.yield(c, a.OwnYield)
	n.line("mineral nitrogen in the soil", -a.Mineral)
	if a.Humus > 4 { // table 6
		n.line("humus above 4 %", -20)
	}
	for _, pick := range []struct {
		what, word string
		from       []Before
	}{{"crop of last year", a.LastYear, LastYear()}, {"cover crop", a.Cover, CoverCrops()}} {
		b, err := choose(pick.what, pick.word, pick.from)
		if err != nil {
			return Need{}, err
		}
		n.line(pick.what+": "+b.Says, -b.Nitrogen)
	}
	n.line("left by the crop before it in the same year", -a.SameYear)
	n.line("after-effect of last year's manures, 10 %", -0.10*a.LastDress)
	for i, share := range []float64{0.04, 0.03, 0.03} { // § 4 (1) no. 5
		if i < len(a.Composts) {
			n.line(fmt.Sprintf("after-effect of compost, %d years back, %.0f %%", i+1, share*100), -share*a.Composts[i])
		}
	}
	if a.Fleece { // § 4 (1) no. 2
		n.line("fleece or film for earliness, at most", 20)
	}
	for _, l := range n.Lines {
		n.Total += l.Nitrogen
	}
	n.Total = max(0, n.Total)
	return n, nil
}

func (n *Need) line(says string, kg float64) {
	if kg != 0 {
		n.Lines = append(n.Lines, Line{says, kg})
	}
}

func (n *Need) yield(c Crop, own float64) {
	usual := n.Yield.Mid()
	if own <= 0 || usual <= 0 {
		return
	}
	perStep := 20.0
	if steep[c.Name] {
		perStep = 40
	}
	steps := (own/usual - 1) / 0.20
	if steps > 0 {
		steps = float64(int(steps + 1e-9))
	}
	n.line(fmt.Sprintf("own yield %.3g kg/m² against %.3g", own, usual), perStep*steps)
}

func choose(what, word string, from []Before) (Before, error) {
	if word == "" {
		return from[0], nil
	}
	var names []string
	for _, b := range from {
		if b.Name == word {
			return b, nil
		}
		names = append(names, b.Name)
	}
	return Before{}, fmt.Errorf("%s %q is not in the table; it knows %s", what, word, strings.Join(names, ", "))
}
