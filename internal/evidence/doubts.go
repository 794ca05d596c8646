package evidence

import (
	"fmt"
	"math"

	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/word"
)

// doubts gathers reasons to be careful, each once.
type doubts []finding.Doubt

func (d *doubts) add(code finding.Code, number float64, format string, args ...any) {
	doubt := finding.Doubt{Code: code, Says: fmt.Sprintf(format, args...)}
	if !math.IsNaN(number) {
		doubt.Number = &number
	}
	*d = append(*d, doubt)
}

// none marks a doubt that no number set off.
var none = math.NaN()

// fewUnits is the number of units of a level below which an interval leans on assumptions more than on records.
const fewUnits = 4

// fromRows adds the doubts that the rows alone raise.
func (d *doubts) fromRows(q Question, s shape, rows []row) {
	if q.What != Gardens {
		d.add(finding.NotRandomised, none, "The beds were not chosen by lot for %s, so better ground may have been treated more often.", whatText(q.What))
	}
	if !s.within && q.What != Gardens {
		d.add(finding.GardenIsMethod, float64(s.gardens), "Nothing but the garden separates the levels: each of the %s was worked in one way only, so its soil, its shelter and its keeper are in the comparison too.", plural(s.gardens, "garden"))
	}
	if s.seasons == 1 {
		d.add(finding.OneSeason, 1, "All of it is one season; another year's weather may turn it.")
	}
	if len(q.Adjust) > 0 {
		d.add(finding.AfterTreatment, float64(len(q.Adjust)), "It is adjusted for %s, which may follow from growth: what the practice did by way of it is taken out.", word.And(namesOf(q.Adjust)))
	}
	d.few(s, rows)
	if r := responseOf(q); r.zeros || q.Response == PieceMass {
		d.weights(rows)
		d.states(rows)
	}
	d.edges(q, rows)
}

func (d *doubts) few(s shape, rows []row) {
	for _, unit := range s.units {
		at := unitsAt(rows, unit)
		for _, l := range s.levels {
			if at[l] < fewUnits {
				d.add(finding.FewUnits, float64(at[l]), "%q rests on %s only.", l, plural(at[l], unit))
			}
		}
	}
}

// shareToDoubt is the share of the mass, or of the plantings, from which a weakness of the weights is told.
const shareToDoubt = 0.05

func (d *doubts) weights(rows []row) {
	var byEye, partly, shared int
	for _, r := range rows {
		if r.estimated > 0 {
			byEye++
		}
		if r.partly {
			partly++
		}
		if r.shared {
			shared++
		}
	}
	n := float64(len(rows))
	if share := float64(byEye) / n; share > shareToDoubt {
		d.add(finding.EstimatedWeights, share, "%s of the plantings (%d of %d) have pickings estimated by eye.", percent2(share), byEye, len(rows))
	}
	if partly > 0 {
		d.add(finding.HarvestIncomplete, float64(partly), "In %s some pickings were not weighed, or nobody knows; their yield is too low by that.", plural(partly, "planting"))
	}
	if shared > 0 {
		d.add(finding.SharedWeighings, float64(shared), "%s share the weight of crates that were split between beds, so their weights are not separate.", plural(shared, "planting"))
	}
}

// states tells where levels were weighed in different states: with tops here, without there.
func (d *doubts) states(rows []row) {
	type key struct{ crop, level string }
	seen := map[key]map[garden.State]bool{}
	mixed := 0
	for _, r := range rows {
		if r.state == "mixed" {
			mixed++
		}
		k := key{r.crop, r.level}
		if seen[k] == nil {
			seen[k] = map[garden.State]bool{}
		}
		seen[k][r.state] = true
	}
	crops := map[string]map[garden.State]bool{}
	for k, states := range seen {
		if crops[k.crop] == nil {
			crops[k.crop] = map[garden.State]bool{}
		}
		for st := range states {
			crops[k.crop][st] = true
		}
	}
	differ := 0
	for _, states := range crops {
		if len(states) > 1 {
			differ++
		}
	}
	if differ > 0 || mixed > 0 {
		d.add(finding.DifferentState, float64(differ), "%s were weighed in different states (with tops, topped, trimmed), which the comparison cannot put right.", plural(differ, "crop"))
	}
}

// edges tells that edge plants are in the weights where spacing or narrow beds make them matter.
func (d *doubts) edges(q Question, rows []row) {
	if q.What != practice.Spacing && q.What != practice.StandingPlants {
		return
	}
	in := 0
	for _, r := range rows {
		if r.edge {
			in++
		}
	}
	if in > 0 {
		d.add(finding.EdgePlants, float64(in)/float64(len(rows)), "The plants on the rim are in the weights of %s; they have more light and root room, which flatters close spacing.", plural(in, "planting"))
	}
}

// many tells the chance that one of so many questions misleads even if nothing differs.
func (d *doubts) many(asked int, confidence float64) {
	if asked < 2 {
		return
	}
	chance := 1 - math.Pow(confidence, float64(asked))
	d.add(finding.ManyQuestions, float64(asked), "This is question %d asked of these records; if nothing made a difference at all, the chance that at least one such answer looks sure would be at most %s, were they independent.", asked, percent2(chance))
}

func percent2(x float64) string { return fmt.Sprintf("%.0f %%", 100*x) }

func namesOf(practices []practice.Name) []string {
	out := make([]string, len(practices))
	for i, p := range practices {
		out[i] = string(p)
	}
	return out
}
