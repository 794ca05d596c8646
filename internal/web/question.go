package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"fairplot/internal/ask"
	"fairplot/internal/chart"
	"fairplot/internal/evidence"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/report"
)

// askPage offers the questions as forms drawn from the registry.
type askPage struct {
	Page
	Forms []questionForm
}

type questionForm struct {
	Name, Head string
	Subject    []string // the words that can stand first; empty if nothing does
	Fields     []formField
}

type formField struct {
	Name, Says, Example, Value string
	Switch                     bool
	Choices                    []string
}

// ask shows the forms.
func (s *Server) ask(w http.ResponseWriter, r *http.Request) error {
	p := askPage{Page: s.page("Ask the records", "ask")}
	for _, q := range ask.All() {
		if q.Counted {
			p.Forms = append(p.Forms, formOf(q, r.URL.Query()))
		}
	}
	return s.render(w, r, http.StatusOK, "ask", p)
}

func formOf(q ask.Question, said url.Values) questionForm {
	f := questionForm{Name: q.Name, Head: q.Head}
	if q.Subject != "" {
		for _, n := range evidence.Practices() {
			f.Subject = append(f.Subject, string(n))
		}
	}
	for _, a := range q.Arguments {
		field := formField{Name: a.Name, Says: a.Says, Example: a.Example, Switch: a.Switch, Value: said.Get(a.Name)}
		if a.Name == "per" {
			field.Choices = []string{string(evidence.PerBed), string(evidence.PerGround)}
		}
		f.Fields = append(f.Fields, field)
	}
	return f
}

// answerPage shows a finding whole: sentence, picture, doubts, what it rests on, how we know.
type answerPage struct {
	Page
	Finding  finding.Finding
	Side     string
	Verdict  string
	Picture  *picture
	Ranges   []rangeRow
	LeftOut  string
	Analyse  string
	Spread   string
	AskAgain string
}

type rangeRow struct{ Name, Against, Low, High, Best, Unit, Verdict string }

// answer asks the question named in the path with what the form said.
func (s *Server) answer(w http.ResponseWriter, r *http.Request) error {
	q, ok := ask.Find(r.PathValue("question"))
	if !ok || !q.Counted {
		return &garden.Error{Kind: garden.Missing, Text: "there is no such question", Hint: "choose one from the page Ask"}
	}
	records, err := s.all(r.Context())
	if err != nil {
		return err
	}
	call := ask.Call{Subject: r.URL.Query().Get("subject"), Said: map[string]string{}, Records: records, Setup: s.setup(records)}
	for _, a := range q.Arguments {
		call.Said[a.Name] = r.URL.Query().Get(a.Name)
	}
	canonical, err := ask.Canonical(q, call)
	if err != nil {
		return err
	}
	if call.Setup.Asked, err = s.Book.Asked(r.Context(), canonical); err != nil {
		return err
	}
	version, err := s.Book.Version(r.Context())
	if err != nil {
		return err
	}
	// An answer holds until the records or the number of questions asked of them change.
	of := fmt.Sprintf("%d %v", version, s.day())
	return s.keptAs(w, r, of, fmt.Sprintf("%d %s", call.Setup.Asked, r.URL.RequestURI()), func(w http.ResponseWriter, r *http.Request) error {
		reply, err := q.Run(call)
		if err != nil {
			return err
		}
		return s.render(w, r, http.StatusOK, "answer", s.answerOf(reply.Finding, r.URL.RawQuery))
	})
}

func (s *Server) answerOf(f finding.Finding, query string) answerPage {
	p := answerPage{Page: s.page(f.Question, "ask"), Finding: f, Verdict: report.Face(f.Verdict), AskAgain: "/ask?" + query}
	if f.Asked > 0 {
		p.Side = fmt.Sprintf("Question %d of this book", f.Asked)
	}
	for _, e := range f.Estimates {
		p.Ranges = append(p.Ranges, rangeRow{Name: nameOf(e), Against: e.B, Low: end(e.Low), High: end(e.High), Best: fmt.Sprintf("%.2f", e.Value), Unit: e.Unit, Verdict: strings.ToLower(report.Face(e.Verdict))})
	}
	if pic, ok := intervals(f); ok {
		p.Picture = &pic
	}
	if f.RestsOn != nil {
		var parts []string
		for _, l := range f.RestsOn.LeftOut {
			parts = append(parts, fmt.Sprintf("%d (%s)", l.Count, l.Reason))
		}
		p.LeftOut = strings.Join(parts, ", ")
	}
	if f.Model != nil {
		p.Analyse = f.Model.Analyse
		p.Spread = spreadText(f.Model.Components)
	}
	return p
}

// spreadText says the spreads of the model as per cent, which on the log scale is what a standard deviation near 0 is.
func spreadText(components []finding.Component) string {
	var parts []string
	for _, c := range components {
		parts = append(parts, fmt.Sprintf("%s %.3g", c.Name, c.Variance))
	}
	return strings.Join(parts, ", ")
}

func nameOf(e finding.Estimate) string {
	if e.Of == "" || e.Of == "all" {
		return e.A
	}
	return e.Of
}

func end(x *float64) string {
	if x == nil {
		return "open"
	}
	return fmt.Sprintf("%.2f", *x)
}

// intervals draws the ratios of a finding, or the unpegged line of one that cannot be told.
func intervals(f finding.Finding) (picture, bool) {
	p := chart.Intervals{Key: "answer", Title: f.Question, Desc: f.Answer, Margin: 0.25, Less: "gave less", More: "gave more"}
	if f.Matters != nil {
		p.Margin = f.Matters.Margin
	}
	for _, e := range f.Estimates {
		if e.Kind != finding.Ratio {
			continue
		}
		row := chart.Range{Name: nameOf(e), Best: e.Value}
		if len(p.Rows) == 0 || e.B != f.Estimates[0].B {
			row.Note = "against " + e.B
		}
		if e.Low != nil && e.High != nil && *e.Low > 0 {
			row.Low, row.High, row.Known = *e.Low, *e.High, true
		}
		p.Rows = append(p.Rows, row)
		p.Less, p.More = e.B+" gave more", "gave more than "+e.B
	}
	if f.Verdict == finding.Never {
		p.Rows = []chart.Range{{Name: "any ratio fits"}}
		return drawn(p.Draw(), "A line without pegs: any ratio fits. More seasons written down in this way would not peg it."), true
	}
	if len(p.Rows) == 0 {
		return picture{}, false
	}
	return drawn(p.Draw(), "A line from peg to peg holds every ratio that fits these records. The ring is the best single guess."), true
}
