package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fairplot/internal/diary"
	"fairplot/internal/evidence"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
	"fairplot/internal/word"
)

func compareQuestion() Question {
	return Question{
		Name: "compare", Head: "Which gave more?", Subject: "PRACTICE", Counted: true,
		Example: "compare cultivation --crop carrot,parsnip --seasons 2023-2025",
		Arguments: []Argument{
			{Name: "crop", Says: "only these crops", Example: "carrot,parsnip", Many: true},
			{Name: "seasons", Says: "only these growing years", Example: "2023-2025", Many: true},
			{Name: "gardens", Says: "only these gardens", Example: "terrace,orchard", Many: true},
			{Name: "levels", Says: "only these levels of the practice", Example: "double dug,undisturbed", Many: true},
			{Name: "against", Says: "the level that the others are set against", Example: "undisturbed"},
			{Name: "per", Says: "area a yield is counted on: bed, or ground with its share of the paths", Example: "ground"},
			{Name: "response", Says: "what is compared: " + strings.Join(evidence.Responses(), ", "), Example: "piece mass"},
			{Name: "matters", Says: "the smallest difference worth acting on", Example: "25%"},
			{Name: "confidence", Says: "how sure the intervals are to be", Example: "95%"},
			{Name: "adjust", Says: "also adjust for these practices, though they may follow from growth", Example: "water", Many: true},
			{Name: "whole-year", Says: "compare all crops that a bed carried in a growing year together", Switch: true},
		},
		Reads: readsOfCompare, Run: runCompare,
	}
}

func runCompare(c Call) (Reply, error) {
	q, err := readCompare(c)
	if err != nil {
		return Reply{}, err
	}
	answer, plots, err := evidence.Compare(c.Records, q, c.Setup)
	return Reply{Finding: answer, Plots: plots, Canonical: q.Canonical()}, err
}

// readCompare reads the words of a comparison against what the records hold.
func readCompare(c Call) (evidence.Question, error) {
	q := evidence.Question{Response: c.Said["response"], Against: c.Said["against"], Levels: list(c.Said["levels"]), WholeYear: c.Said["whole-year"] == "true"}
	var err error
	if q.What, err = practiceWord(c.Subject); err != nil {
		return q, err
	}
	if q.Per, err = perWord(c.Said["per"]); err != nil {
		return q, err
	}
	if q.Response, err = readResponse(q.Response, c.Records); err != nil {
		return q, err
	}
	if q.Crops, err = known("crop", list(c.Said["crop"]), cropsOf(c.Records)); err != nil {
		return q, err
	}
	if crops := cropsOf(c.Records); q.What == practice.Variety && len(q.Crops) != 1 && len(crops) > 1 {
		return q, &garden.Error{Kind: garden.Ambiguous, Field: "crop", Text: "varieties are compared within one crop", Hint: "name it, such as --crop " + crops[0]}
	}
	if q.Gardens, err = known("garden", list(c.Said["gardens"]), gardensOf(c.Records)); err != nil {
		return q, err
	}
	if q.Seasons, err = years(c.Said["seasons"]); err != nil {
		return q, err
	}
	for _, a := range list(c.Said["adjust"]) {
		n, err := practiceWord(a)
		if err != nil {
			return q, err
		}
		q.Adjust = append(q.Adjust, n)
	}
	if q.Matters, err = share("matters", c.Said["matters"], diary.SettingOf(c.Records, garden.SettingMatters)); err != nil {
		return q, err
	}
	q.Confidence, err = share("confidence", c.Said["confidence"], diary.SettingOf(c.Records, garden.SettingConfidence))
	return q, err
}

// otherWords are what growers also call a practice.
var otherWords = map[string]practice.Name{
	"digging": practice.Cultivation, "dug": practice.Cultivation, "tillage": practice.Cultivation, "garden": evidence.Gardens,
	"density": practice.Spacing, "feeding": practice.Compost, "mulch": practice.Cover, "sort": practice.Variety, "fertilizer": practice.Fertiliser,
}

// practiceWord reads the name of a practice, "-" standing for a space.
func practiceWord(text string) (practice.Name, error) {
	name := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(text), "-", " "))
	if other, ok := otherWords[name]; ok {
		return other, nil
	}
	words := make([]string, 0, 40)
	for _, n := range evidence.Practices() {
		if string(n) == name {
			return n, nil
		}
		words = append(words, string(n))
	}
	if name == "" {
		return "", &garden.Error{Kind: garden.Invalid, Field: "practice", Text: "nothing is named that could be compared", Hint: "name one of: " + strings.Join(words, ", ")}
	}
	hint := cmp.Or(word.Meant(word.Near(name, words)), "the practices are "+strings.Join(words, ", "))
	return "", &garden.Error{Kind: garden.Missing, Field: "practice", Text: fmt.Sprintf("%q is no practice that can be compared", text), Hint: hint}
}

func perWord(text string) (evidence.Per, error) {
	switch p := evidence.Per(text); p {
	case "", evidence.PerBed, evidence.PerGround:
		return p, nil
	}
	return "", &garden.Error{Kind: garden.Invalid, Field: "per", Text: fmt.Sprintf("%q is no area to count on", text), Hint: "use bed or ground"}
}

// readResponse checks the response, and that what it measures or counts was noted at least once, and writes it as the records do.
func readResponse(name string, r garden.Records) (string, error) {
	name = strings.Join(strings.Fields(name), " ")
	if name == "" {
		return "", nil
	}
	if !evidence.KnownResponse(name) {
		hint := cmp.Or(word.Meant(word.Near(name, evidence.Responses())), "use one of: "+strings.Join(evidence.Responses(), ", "))
		return "", &garden.Error{Kind: garden.Missing, Field: "response", Text: fmt.Sprintf("%q is nothing that can be compared", name), Hint: hint}
	}
	kind, what := evidence.ReadOff(name)
	if kind == "" {
		return name, nil
	}
	found, err := known("measurement", []string{what}, measuredIn(r, kind == evidence.Counted))
	if err != nil {
		return "", err
	}
	return kind + " " + found[0], nil
}

// measuredIn lists what was measured on plantings; for counts, what was counted of n.
func measuredIn(r garden.Records, counts bool) []string {
	var out []string
	for _, m := range r.Measurements {
		if !m.Planting.IsZero() && (m.N.Known || !counts) {
			out = append(out, m.What)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// known checks names against those in the records and returns them as the records write them.
func known(what string, names, have []string) ([]string, error) {
	var out []string
	for _, n := range names {
		i := slices.IndexFunc(have, func(h string) bool { return strings.EqualFold(h, n) })
		if i < 0 {
			return nil, &garden.Error{Kind: garden.Missing, Field: what, Text: fmt.Sprintf("there is no %s %q in the book", what, n), Hint: word.Hint(n, have)}
		}
		out = append(out, have[i])
	}
	return out, nil
}

func cropsOf(r garden.Records) []string {
	var out []string
	for _, p := range r.Plantings {
		out = append(out, p.Crop)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func gardensOf(r garden.Records) []string {
	var out []string
	for _, g := range r.Gardens {
		out = append(out, g.Name)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// years reads "2023,2024" and "2023-2025".
func years(text string) ([]int, error) {
	var out []int
	for _, part := range list(text) {
		from, to, run := strings.Cut(part, "-")
		a, err := strconv.Atoi(strings.TrimSpace(from))
		b := a
		if err == nil && run {
			b, err = strconv.Atoi(strings.TrimSpace(to))
		}
		if err != nil || a < 1000 || b > 9999 || b < a || b-a > 200 {
			return nil, &garden.Error{Kind: garden.Invalid, Field: "seasons", Text: fmt.Sprintf("%q is no growing year", part), Hint: "write 2024, or 2023-2025"}
		}
		for y := a; y <= b; y++ {
			out = append(out, y)
		}
	}
	return out, nil
}

// share reads what was said, or else the book's setting; 0 leaves the default.
func share(field, said, setting string) (float64, error) {
	if said == "" {
		said = setting
	}
	if said == "" {
		return 0, nil
	}
	v, err := unit.ParseShare(said, unit.NoDefault)
	if err == nil && v == 0 {
		err = &garden.Error{Kind: garden.Invalid, Field: field, Text: "0 is not possible here", Hint: "give a share above 0, such as 25 %"}
	}
	if err != nil {
		return 0, &garden.Error{Kind: garden.Invalid, Field: field, Text: fmt.Sprintf("%q cannot be used", said), Hint: "give a share such as 25 %", Cause: err}
	}
	return v, nil
}

// list splits at commas and drops empty pieces.
func list(text string) []string {
	var out []string
	for _, part := range strings.Split(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}
