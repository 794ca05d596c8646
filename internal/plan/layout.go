package plan

import (
	"fmt"
	"math/rand/v2"

	"fairplot/internal/num/design"
)

// Plot is one plot of a trial in one season.
type Plot struct {
	Season int // from 1
	Bed    string
	Part   int // of a split bed, from 1 at the start of its length; 0 is the whole bed
	Block  int // from 1, within the season
	Way    string
}

// Draw deals the ways out by lot, anew in every season, and returns the plots in the order in which they lie. The same seed gives the same
// layout. It errs where the trial has too few ways or blocks to be one.
func (t Trial) Draw(seed uint64) ([]Plot, error) {
	r := rand.New(rand.NewPCG(seed, 0x706c616e))
	k := len(t.Ways)
	need := t.Blocks
	if t.Design == Blocks {
		need *= k
	}
	if need > len(t.Ground.Beds) {
		return nil, fmt.Errorf("%d blocks of %d ways need %d beds and there are %d", t.Blocks, k, need, len(t.Ground.Beds))
	}
	var out []Plot
	for season := range t.Seasons {
		l, err := design.CompleteBlocks(k, t.Blocks, r)
		if err != nil {
			return nil, err
		}
		for i, way := range l.Drawn[0] {
			p := Plot{Season: season + 1, Block: l.Block[i] + 1, Way: t.Ways[way]}
			if t.Design == SplitBeds {
				p.Bed, p.Part = t.Ground.Beds[l.Block[i]].Name, i%k+1
			} else {
				p.Bed = t.Ground.Beds[i].Name
			}
			out = append(out, p)
		}
	}
	return out, nil
}
