package evidence

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"fairplot/internal/finding"
	"fairplot/internal/practice"
	"fairplot/internal/word"
)

// questionText says the question in the grower's words.
func questionText(q Question) string {
	var b strings.Builder
	switch {
	case q.What == Gardens:
		b.WriteString("Which garden gave more")
	default:
		fmt.Fprintf(&b, "Does %s make a difference to %s", whatText(q.What), responseText(q))
	}
	if q.What == Gardens {
		fmt.Fprintf(&b, ", by %s", responseText(q))
	}
	list := func(before string, items []string) {
		if len(items) > 0 {
			b.WriteString(before + word.And(items))
		}
	}
	list(" of ", q.Crops)
	list(" in ", q.Gardens)
	years := make([]string, len(q.Seasons))
	for i, y := range q.Seasons {
		years[i] = fmt.Sprint(y)
	}
	list(" in ", years)
	if q.WholeYear {
		b.WriteString(", all crops of a bed's year together")
	}
	b.WriteString("?")
	return b.String()
}

func whatText(n practice.Name) string {
	switch n {
	case practice.Cultivation:
		return "how the ground is worked"
	case practice.Compost, practice.Manure, practice.Fertiliser:
		return "the " + string(n) + " given before the start"
	case practice.Spacing:
		return "how closely plants are set"
	case practice.Variety:
		return "the variety"
	case Gardens:
		return "the garden"
	}
	return "the " + string(n)
}

// phrase names the beds of a level inside a sentence: "double-dug beds", "beds with 10 to 25 L/m² of compost".
func phrase(what practice.Name, level string) string {
	switch what {
	case practice.Cultivation, practice.OwnCultivation:
		return strings.ReplaceAll(level, " ", "-") + " beds"
	case practice.Spacing, practice.StandingPlants:
		return level + " spacing"
	case practice.Variety:
		return level
	case Gardens:
		return "the " + level + " garden"
	}
	if strings.HasSuffix(level, "L/m²") || strings.HasSuffix(level, "L/m² or more") {
		return fmt.Sprintf("beds with %s of %s", level, what)
	}
	if level == "none" {
		return fmt.Sprintf("beds without %s", what)
	}
	return fmt.Sprintf("beds with %s %q", what, level)
}

func responseText(q Question) string {
	key := responseKey(q.Response)
	r := responses[key]
	switch key {
	case Yield:
		if q.Per == PerGround {
			return "the yield per m² of ground with paths"
		}
	case Measured:
		return "the measured " + subject(q.Response)
	case Counted:
		return "the share of " + subject(q.Response)
	}
	return r.says
}

// sentence is the answer for the leading pair.
func sentence(q Question, s shape, e finding.Estimate, m float64) string {
	where := whereText(q, s)
	a, b := phrase(q.What, e.A), phrase(q.What, e.B)
	if e.Kind == finding.Difference {
		return fmt.Sprintf("%s, %s differed from %s by %s in %s; between %s and %s fits these records%s.",
			where, a, b, amount(e.Value, e.Unit), responseText(q), amount(*e.Low, ""), amount(*e.High, e.Unit), rider(q, e, m))
	}
	verb := "gave"
	if responseOf(q).better < 0 {
		verb = "took"
	}
	return fmt.Sprintf("%s, %s %s between %s and %s times %s of %s; %s times fits best%s.",
		where, a, verb, times(*e.Low), times(*e.High), responseText(q), b, times(e.Value), rider(q, e, m))
}

// whereText says between what the levels were set against each other.
func whereText(q Question, s shape) string {
	if q.WholeYear {
		q.WholeYear = false
		where := whereText(q, s)
		return "With all crops of a bed's year together, " + strings.ToLower(where[:1]) + where[1:]
	}
	switch {
	case q.What == Gardens:
		return "As places, each with its own method and ground"
	case !s.within:
		return "Between gardens that were each worked in one way"
	case s.gardens == 1:
		return "In this garden and the same seasons"
	}
	return "In the same gardens and seasons"
}

// rider says what the interval means for acting on it.
func rider(q Question, e finding.Estimate, m float64) string {
	sure := e.Kind == finding.Ratio && (*e.Low > 1 || *e.High < 1)
	beyond := e.Kind == finding.Ratio && (*e.Low >= 1+m || *e.High <= 1/(1+m))
	switch e.Verdict {
	case finding.NoDifference:
		if sure {
			return fmt.Sprintf(", so the direction is sure but any difference is smaller than the %s that matters to you", percent(m))
		}
		return fmt.Sprintf(", so any difference is smaller than the %s that matters to you", percent(m))
	case finding.Better, finding.Worse:
		if beyond {
			return fmt.Sprintf(", all of it beyond the %s that matters to you", percent(m))
		}
		return fmt.Sprintf("; whether it reaches the %s that matters to you is not sure", percent(m))
	}
	if sure {
		return "; but crops failed, and with failures counted as zero the direction is not sure"
	}
	return ", so it cannot be told yet which is more"
}

// times writes a ratio with two digits behind the point, as many as such records can bear.
func times(x float64) string {
	if x >= 10 {
		return fmt.Sprintf("%.3g", x)
	}
	return fmt.Sprintf("%.2f", x)
}

func amount(x float64, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%.3g %s", x, unit))
}

func percent(x float64) string { return fmt.Sprintf("%.3g %%", 100*x) }

// plural returns "1 bed", "2 beds".
func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// upper begins a sentence.
func upper(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	r[0] = unicode.ToUpper(r[0])
	return string(r)
}
