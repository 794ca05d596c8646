// Package report lays findings out: as plain text for the terminal and as rows for a table file. It works nothing out and
// leaves nothing out: every doubt a finding carries is printed.
package report

import (
	"fmt"
	"strings"

	"fairplot/internal/finding"
)

// Face returns the words a verdict has on the face: the answers that tell nothing are "not yet" and "never from records like these".
func Face(v finding.Verdict) string {
	switch v {
	case finding.Better:
		return "Better"
	case finding.Worse:
		return "Worse"
	case finding.NoDifference:
		return "No difference that matters"
	case finding.NotYet:
		return "Not yet"
	case finding.Never:
		return "Never from records like these"
	}
	return string(v)
}

// Text returns a finding as plain text, lines at most width wide where words allow.
func Text(f finding.Finding, width int) string {
	var p page
	p.width = max(40, width)
	p.wrap(f.Question, "")
	p.blank()
	answer := f.Answer
	if f.Verdict != "" {
		answer = Face(f.Verdict) + ". " + answer
	}
	p.wrap(answer, "  ")
	p.estimates(f)
	p.scope(f)
	p.doubts(f)
	if f.WouldSettle != nil {
		p.blank()
		p.wrap("What would tell: "+f.WouldSettle.Says, "  ")
	}
	for _, t := range f.Tables {
		p.table(t)
	}
	p.model(f)
	return p.b.String()
}

// page collects lines.
type page struct {
	b     strings.Builder
	width int
}

func (p *page) blank() { p.b.WriteByte('\n') }

// wrap writes words in lines that begin with the margin.
func (p *page) wrap(words, margin string) {
	line := margin
	for _, w := range strings.Fields(words) {
		if len([]rune(line))+len([]rune(w))+1 > p.width && strings.TrimSpace(line) != "" {
			p.b.WriteString(strings.TrimRight(line, " ") + "\n")
			line = margin
		}
		line += w + " "
	}
	p.b.WriteString(strings.TrimRight(line, " ") + "\n")
}

func (p *page) estimates(f finding.Finding) {
	if len(f.Estimates) == 0 {
		return
	}
	t := finding.Table{Columns: []finding.Column{{Name: "of"}, {Name: "set against"}, {Name: "from"}, {Name: "to"}, {Name: "best"}, {Name: ""}, {Name: "verdict"}}}
	for _, e := range f.Estimates {
		t.Rows = append(t.Rows, []string{named(e), e.B, bound(e.Low), bound(e.High), fmt.Sprintf("%.3g", e.Value), unitOf(e), Face(e.Verdict)})
	}
	p.table(t)
	e := f.Estimates[0]
	if e.Confidence > 0 {
		p.wrap(fmt.Sprintf("Intervals at %.3g %% confidence by %s.", 100*e.Confidence, e.Method), "  ")
	}
}

// named says what an estimate is of: "A" for the comparison itself, "A, carrot" for a part of it.
func named(e finding.Estimate) string {
	switch {
	case e.A == "":
		return e.Of
	case e.Of == "" || e.Of == "all":
		return e.A
	}
	return e.A + ", " + e.Of
}

func unitOf(e finding.Estimate) string {
	if e.Kind == finding.Ratio {
		return "times"
	}
	return e.Unit
}

func bound(x *float64) string {
	if x == nil {
		return "open"
	}
	return fmt.Sprintf("%.3g", *x)
}

func (p *page) scope(f finding.Finding) {
	r := f.RestsOn
	if r == nil {
		return
	}
	p.blank()
	says := fmt.Sprintf("Rests on %s in %s, %s and %s; %s, unit the %s (%s, of which %d can tell).",
		count(r.Plantings, "planting"), count(r.Beds, "bed"), count(r.Gardens, "garden"), count(r.Seasons, "season"), count(r.Crops, "crop"),
		r.Unit, count(r.Units, "unit"), r.Informative)
	if f.SpeaksFor != "" {
		says += fmt.Sprintf(" Speaks for %s.", f.SpeaksFor)
	}
	p.wrap(says, "  ")
	for _, l := range r.LeftOut {
		p.wrap(fmt.Sprintf("Left out: %d, %s.", l.Count, l.Reason), "  ")
	}
	if m := f.Matters; m != nil {
		says := fmt.Sprintf("The smallest difference that matters to you is %.3g %%.", 100*m.Margin)
		if m.Detectable != nil {
			says += fmt.Sprintf(" These records would show one of %.0f %% or more, four times in five.", 100**m.Detectable)
		}
		p.wrap(says, "  ")
	}
}

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// doubts prints all of them, each with its code so that it can be looked up.
func (p *page) doubts(f finding.Finding) {
	if len(f.Doubts) == 0 {
		return
	}
	p.blank()
	p.b.WriteString("Doubts\n")
	for _, d := range f.Doubts {
		p.wrap(fmt.Sprintf("%s (%s)", d.Says, d.Code), "  ")
	}
}

func (p *page) model(f finding.Finding) {
	if f.Model == nil {
		return
	}
	p.blank()
	p.b.WriteString("How we know\n")
	p.wrap(f.Model.Method+": "+f.Model.Formula, "  ")
	if len(f.Model.Components) > 0 {
		parts := make([]string, len(f.Model.Components))
		for i, c := range f.Model.Components {
			parts[i] = fmt.Sprintf("%s %.3g", c.Name, c.Variance)
		}
		p.wrap("Variances: "+strings.Join(parts, ", "), "  ")
	}
	if f.Model.Analyse != "" {
		p.b.WriteString("  The same digits from the table that --table writes:\n  " + f.Model.Analyse + "\n")
	}
	if f.Asked > 0 {
		p.wrap(fmt.Sprintf("Question %d asked of these records.", f.Asked), "  ")
	}
}
