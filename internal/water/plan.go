package water

import (
	"fairplot/internal/unit"
)

// Rule says when to water and how far: when more than Trigger of the free water is gone (1 is just before the crop runs short), up to
// leaving Leave mm for rain to come. The zero value waters at 1 and fills up.
type Rule struct {
	Trigger float64
	Leave   MM
	Least   MM // smaller amounts are not worth the walk
}

// Turn is one watering of a plan: before the day of that number (0 is the first).
type Turn struct {
	Day    int
	Depth  MM
	Volume unit.Volume
}

// Plan returns when to water a bed of the area over the days ahead and how much, and the account of the bed that is watered so.
func (b Bed) Plan(days []Day, r Rule, area unit.Area) ([]Turn, Sheet) {
	if r.Trigger <= 0 {
		r.Trigger = 1
	}
	a := b.open()
	sheet := Sheet{Lines: make([]Line, 0, len(days)), Sum: Sum{Start: a.missing}}
	var turns []Turn
	for i, d := range days {
		if depth := a.due(i+1, d, r); depth > 0 {
			d.Given += depth
			turns = append(turns, Turn{Day: i, Depth: depth, Volume: depth.Over(area)})
		}
		l := a.step(i+1, d)
		sheet.Lines = append(sheet.Lines, l)
		sheet.Sum.add(l)
	}
	sheet.Sum.End = a.missing
	return turns, sheet
}

// due returns what to give before the day, 0 if it can wait: it is due when the rain of the day would leave more than the trigger missing.
func (a *account) due(n int, d Day, r Rule) MM {
	ahead := *a
	l := ahead.step(n, d)
	missing := max(0, a.missing-l.Rain-l.Given)
	if missing <= MM(r.Trigger)*l.Ready {
		return 0
	}
	depth := missing - r.Leave
	if depth <= 0 || depth < r.Least {
		return 0
	}
	return depth
}

// Advice is what to do with a bed now.
type Advice struct {
	Now    bool
	Depth  MM          // to fill the root zone up
	Volume unit.Volume // the same for the whole bed
	InDays int         // days until it is due if it stays dry and the last days' use goes on; 0 if now
}

// Advise reads the last line of the sheet. It looks back over the last five days for the pace.
func (s Sheet) Advise(area unit.Area) Advice {
	if len(s.Lines) == 0 {
		return Advice{}
	}
	last := s.Lines[len(s.Lines)-1]
	a := Advice{Now: last.WaterTheNextDay, Depth: last.Missing, Volume: last.Missing.Over(area)}
	if a.Now {
		return a
	}
	back := s.Lines[max(0, len(s.Lines)-5):]
	pace := MM(0)
	for _, l := range back {
		pace += l.Used / MM(len(back))
	}
	if pace > 0 {
		a.InDays = int((last.Ready-last.Missing)/pace) + 1
	}
	return a
}
