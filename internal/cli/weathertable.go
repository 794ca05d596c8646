package cli

import (
	"fmt"
	"maps"
	"slices"

	"fairplot/internal/season"
	"fairplot/internal/unit"
	"fairplot/internal/word"
)

// name is the short name of a crop in a bed.
func (s seasonShown) name(b season.BedWater) string { return s.write.Planting(b.Planting.ID) }

// weather is the season by month or week.
func (s seasonShown) weather() table {
	t := table{head: []string{"from", "to", "days", "lowest (°C)", "highest (°C)", "degree days", "so far", "day (h)", "sun (MJ/m²)", "rain (mm)", "evaporation (mm)", "balance (mm)"}, rows: [][]string{}}
	for _, m := range s.sums {
		row := []string{m.From.String(), m.To.String(), fmt.Sprint(m.Days), "", "", "", "", "", "", mm(m.Rain), "", ""}
		if m.Unknown < m.Days {
			row[3], row[4] = fmt.Sprintf("%.1f", m.Min), fmt.Sprintf("%.1f", m.Max)
			row[5], row[6] = fmt.Sprintf("%.0f", m.Warmth), fmt.Sprintf("%.0f", m.WarmthSoFar)
			row[7], row[8] = fmt.Sprintf("%.1f", m.DayLength), fmt.Sprintf("%.1f", float64(m.Sun))
			row[10], row[11] = mm(m.ET0), mm(m.Rain-m.ET0)
		}
		t.rows = append(t.rows, row)
	}
	return t
}

// spells is the water of each crop over the same spells.
func (s seasonShown) spells() table {
	t := table{head: []string{"crop", "from", "to", "rain (mm)", "given (mm)", "used (mm)", "drained (mm)", "missing (mm)", "of (mm)", "days short"}, rows: [][]string{}}
	for _, b := range s.beds {
		for _, w := range b.Over(s.sums) {
			t.rows = append(t.rows, []string{s.name(b), w.From.String(), w.To.String(), mm(w.Rain), mm(w.Given), mm(w.Used), mm(w.Drained), mm(w.Missing), mm(w.Held), fmt.Sprint(w.StressDays)})
		}
	}
	return t
}

func mm[T ~float64](x T) string { return fmt.Sprintf("%.1f", float64(x)) }

// crops is one line for each crop in a bed.
func (s seasonShown) crops() table {
	t := table{head: []string{"crop", "from", "to", "used (mm)", "days short", "missing (mm)", "water"}, rows: [][]string{}}
	for _, b := range s.beds {
		sum := b.Sheet.Sum
		t.rows = append(t.rows, []string{s.name(b), b.From.String(), b.To.String(), mm(sum.Used), fmt.Sprint(sum.StressDays), mm(sum.End), s.advice(b)})
	}
	return t
}

// advice says when to water and how much; of a crop that is over, or of a season that is past, there is nothing to say.
func (s seasonShown) advice(b season.BedWater) string {
	if !s.today || b.To != s.Days[len(s.Days)-1].Date || !b.Planting.Ended.IsZero() {
		return "over"
	}
	much := fmt.Sprintf("%s mm", mm(b.Advice.Depth))
	if b.Area.Known {
		much += fmt.Sprintf(", %.0f L on the bed", float64(b.Advice.Volume/unit.Litre))
	}
	if b.Advice.Now {
		return "now: " + much
	}
	if b.Advice.InDays == 0 {
		return "not yet"
	}
	return fmt.Sprintf("in %s if it stays dry", counted(b.Advice.InDays, "day"))
}

// printSeason writes the tables and, as words, what they rest on.
func (a *app) printSeason(s seasonShown) error {
	if err := a.print(s.weather(), format{}); err != nil {
		return err
	}
	if len(s.beds) > 0 {
		fmt.Fprintln(a.env.Stdout)
		t := s.crops()
		if s.chosen {
			t = s.spells()
		}
		if err := a.print(t, format{}); err != nil {
			return err
		}
		if s.chosen {
			fmt.Fprintln(a.env.Stdout)
			if err := a.print(s.crops(), format{}); err != nil {
				return err
			}
		}
	}
	for _, text := range s.words() {
		a.words("%s", text)
	}
	return nil
}

// frostWords tells the frosts of the season.
func frostWords(c season.Cold) []string {
	if c.Days == 0 {
		return nil
	}
	text := "frost on " + counted(c.Days, "day")
	if !c.Last.IsZero() {
		text += ", the last before midsummer on " + c.Last.Words()
	}
	if !c.First.IsZero() {
		text += ", the first after it on " + c.First.Words()
	}
	return []string{text}
}

// words are the notes: base, gaps and how they were filled, and what stands behind the accounts.
func (s seasonShown) words() []string {
	out := []string{fmt.Sprintf("%s; degree days above %g °C; evaporation by FAO-56 for short grass", s.Site.Name, float64(s.base))}
	out = append(append(out, frostWords(s.Frost())...), s.Notes...)
	for _, reason := range slices.Sorted(maps.Keys(s.Left)) {
		out = append(out, fmt.Sprintf("without a water account: %s (%s)", counted(s.Left[reason], "crop"), reason))
	}
	if s.today && len(s.beds) > 0 {
		out = append(out, "when to water holds for the evening of "+s.Days[len(s.Days)-1].Date.Words())
	}
	same := map[string][]string{}
	for _, b := range s.beds {
		for _, n := range b.Notes {
			same[n] = append(same[n], s.name(b))
		}
	}
	for _, n := range slices.Sorted(maps.Keys(same)) {
		if names := same[n]; len(names) > 3 {
			out = append(out, fmt.Sprintf("%s and %d more: %s", names[0], len(names)-1, n))
			continue
		}
		out = append(out, word.And(same[n])+": "+n)
	}
	return out
}
