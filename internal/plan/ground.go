package plan

import (
	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

// Free returns the beds of every garden, as they stand in the records, that a trial after the day could use: those that are still there and hold
// no perennial that goes on. A nil function takes no crop for perennial.
func Free(r garden.Records, after civil.Date, perennial func(crop string) bool) []Ground {
	held := map[garden.BedID]bool{}
	for _, p := range r.Plantings {
		if p.Ended.IsZero() && !p.Failed && perennial != nil && perennial(p.Crop) {
			held[p.Bed] = true
		}
	}
	var out []Ground
	at := map[garden.GardenID]int{}
	for _, g := range r.Gardens {
		if g.To.IsZero() || !g.To.Before(after) {
			at[g.ID] = len(out)
			out = append(out, Ground{Garden: g.Name})
		}
	}
	for _, b := range r.Beds {
		i, ok := at[b.Garden]
		if !ok || held[b.ID] || !b.To.IsZero() && !b.To.After(after) {
			continue
		}
		out[i].Beds = append(out[i].Beds, Bed{Name: b.Name, Area: float64(b.Area().Or(0))})
	}
	return out
}
