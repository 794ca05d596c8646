package season

import (
	"fairplot/internal/civil"
	"fairplot/internal/water"
)

// Spell is the water of a planting over some days, mm.
type Spell struct {
	From, To                   civil.Date
	Days, StressDays           int
	Rain, Given, Used, Drained water.MM
	Missing, Held              water.MM // from the root zone at the end, and what that can hold
	DueDays                    int      // days at whose end it was time to water
}

// Over adds the planting's account up over the same spells as the weather; those without a day of the account are left out.
func (b BedWater) Over(spells []Sum) []Spell {
	var out []Spell
	for _, s := range spells {
		from, to := max(0, s.From.Sub(b.From)), min(len(b.Sheet.Lines), s.To.Sub(b.From)+1)
		if from >= to {
			continue
		}
		one := Spell{From: b.From.AddDays(from), To: b.From.AddDays(to - 1), Days: to - from}
		for _, l := range b.Sheet.Lines[from:to] {
			one.add(l)
		}
		out = append(out, one)
	}
	return out
}

func (s *Spell) add(l water.Line) {
	s.Rain, s.Given, s.Used, s.Drained = s.Rain+l.Rain, s.Given+l.Given, s.Used+l.Used, s.Drained+l.Drained
	s.Missing, s.Held = l.Missing, l.Held
	if l.RunningShort {
		s.StressDays++
	}
	if l.WaterTheNextDay {
		s.DueDays++
	}
}
