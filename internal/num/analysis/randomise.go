package analysis

import (
	"fmt"
	"math"
	"math/rand/v2"

	"fairplot/internal/num/model"
	"fairplot/internal/num/resample"
)

// Randomised is the test of one factor by its own randomisation: how often an arrangement that the lot could have given has an F as large as the one
// found. It holds only where the treatments were really drawn among the units within the blocks.
type Randomised struct {
	Term         string   `json:"term"`
	P            float64  `json:"p"`
	Exact        bool     `json:"exact"`                  // every arrangement was looked at
	Error        float64  `json:"error,omitempty"`        // standard error of P from drawing
	Arrangements *float64 `json:"arrangements,omitempty"` // that the lot could have given, where that number can be written
	Smallest     float64  `json:"smallest"`               // the smallest p that this arrangement can give, whatever is harvested
}

// streamOfLots keeps the draws apart from others that the same seed feeds.
const streamOfLots = 0x6c6f7473

// randomise tests each single categorical treatment factor. The units and the strata are read off the block formula.
func (p *planned) randomise(r *Result) {
	groupings := make([][]int32, len(p.groupings))
	for i, g := range p.groupings {
		groupings[i] = g.Class
	}
	for _, v := range p.frame.Variables {
		if !v.Categorical() || len(v.Levels) < 2 {
			continue
		}
		out, err := lot(p.frame.Response, v.Class, groupings, p.spec.Seed)
		if err != nil {
			r.Doubts = append(r.Doubts, model.Doubt{Code: NotRandomised, Says: fmt.Sprintf("%s has no randomisation test: %v", v.Name, err)})
			continue
		}
		out.Term = model.Quote(v.Name)
		r.Randomisation = append(r.Randomisation, out)
	}
}

func lot(y []float64, treatment []int32, groupings [][]int32, seed uint64) (Randomised, error) {
	plan, err := resample.PlanOf(treatment, groupings...)
	if err != nil {
		return Randomised{}, err
	}
	f, err := resample.TreatmentF(y, plan)
	if err != nil {
		return Randomised{}, err
	}
	test, err := resample.Randomise(plan, f, resample.Options{Rand: rand.New(rand.NewPCG(seed, streamOfLots))})
	if err != nil {
		return Randomised{}, err
	}
	out := Randomised{P: test.P, Exact: test.Exact, Error: test.Error, Smallest: test.Smallest}
	if !math.IsInf(test.Arrangements, 0) {
		out.Arrangements = &test.Arrangements
	}
	return out, nil
}
