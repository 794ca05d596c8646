package practice

import (
	"fmt"
	"strings"
)

// Rule says which rule of the derivation gave a level.
type Rule string

// The rules, each a sentence that a page can show.
const (
	RuleDeepest      Rule = "the deepest loosening in the twelve months before the start counts, whatever stood there"
	RuleForThisAlone Rule = "the deepest loosening done for this crop alone"
	RuleEntrySays    Rule = "an entry says so"
	RuleNothingDone  Rule = "nothing is written, and for this garden and time nothing written means nothing done"
	RuleNotWritten   Rule = "nothing is written, so it is not known; missing is not zero"
	RuleSumBefore    Rule = "all that was given in the twelve months before the start counts, whatever stood there"
	RuleSumResidual  Rule = "all that was given in the three years before those twelve months"
	RuleSumLater     Rule = "all that was given from the start to the first harvest"
	RuleNoVolume     Rule = "a dressing was given by mass and its material has no density, so its volume is not known"
	RuleNoArea       Rule = "the bed has no area, so nothing can be given per m²"
	RuleAsSet        Rule = "plants as set or thinned to, over the planting's own area"
	RuleFromRows     Rule = "one plant to each distance in the row times the distance between rows"
	RuleCounted      Rule = "plants as counted, over the planting's own area"
	RulePerDay       Rule = "the sum from start to first harvest, spread over its days"
	RuleFewDays      Rule = "fewer than nine days in ten have an entry, so it is not known"
	RuleNoHarvest    Rule = "nothing was harvested, so the time it stood is not known"
	RuleLast         Rule = "the family of the crop that ended last on this ground in the two years before"
	RuleOverlap      Rule = "other crops that shared this ground for a quarter of its time or more"
	RuleOwnTime      Rule = "its own time, its share of time on the bed since the crop before, and of one-off work over the years it was spread on"
)

// Why returns the level and its reasons as lines that a grower can read.
func (l Level) Why() []string {
	lines := []string{string(l.Rule)}
	for _, f := range l.Facts {
		line := f.Date.String() + " " + f.What
		if f.Of != 0 {
			line += fmt.Sprintf(" (%.3g %s)", f.Of, l.Unit)
		}
		lines = append(lines, strings.TrimSpace(line))
	}
	return lines
}

// String returns the level as words: "double dug", "25 L/m²", "not known".
func (l Level) String() string {
	switch {
	case !l.Known:
		return "not known"
	case l.Word != "":
		return l.Word
	case l.Unit == "":
		return fmt.Sprintf("%.3g", l.Amount)
	case l.Unit == dayOfYear:
		return fmt.Sprintf("day %.0f of the year", l.Amount)
	}
	return fmt.Sprintf("%.3g %s", l.Amount, l.Unit)
}
