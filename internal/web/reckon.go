package web

import (
	"errors"
	"net/http"
	"net/url"
	"strings"
	"unicode"
	"unicode/utf8"

	"fairplot/internal/garden"
	"fairplot/internal/reckon"
)

// reckonsPage lists the calculators by subject.
type reckonsPage struct {
	Page
	Subjects []reckonSubject
}

type reckonSubject struct {
	Name        string
	Calculators []reckonLink
}

type reckonLink struct{ Name, Title, Says string }

// reckons shows the list.
func (s *Server) reckons(w http.ResponseWriter, r *http.Request) error {
	p := reckonsPage{Page: s.page("One number by hand", "ask")}
	for _, c := range reckon.All() {
		if n := len(p.Subjects); n == 0 || p.Subjects[n-1].Name != capital(c.Subject) {
			p.Subjects = append(p.Subjects, reckonSubject{Name: capital(c.Subject)})
		}
		last := &p.Subjects[len(p.Subjects)-1]
		last.Calculators = append(last.Calculators, reckonLink{c.Name, reckonTitle(c.Name), capital(c.Says)})
	}
	return s.render(w, r, http.StatusOK, "reckons", p)
}

// reckonPage is one calculator: its form, and the answer once something was asked.
type reckonPage struct {
	Page
	Name, Subject, Says string
	Fields              []reckonField
	Example             string // query of the worked example
	Wrong               *reckonWrong
	Answer              *reckonAnswer
}

// reckonField is one input of the form.
type reckonField struct {
	Name, Title, Hint, Unit, Value, Why string
	Choices                             []string
	Blank                               bool // a choice that may be left open
	Long                                bool // a text of many words
}

// reckonWrong is what was wrong with what was sent: about one field, or about all of it.
type reckonWrong struct{ Field, Title, Text string }

// reckonAnswer is an answer in texts.
type reckonAnswer struct {
	Results  []reckonResult
	Steps    []string
	Sources  []string
	Checked  string
	Cautions []string
}

type reckonResult struct{ Amount, Title, Says string }

// reckon shows a calculator, with its answer where the address holds inputs. A slip is told beside its field, with what was typed still
// there.
func (s *Server) reckon(w http.ResponseWriter, r *http.Request) error {
	c, ok := reckon.Find(r.PathValue("name"))
	if !ok {
		return &garden.Error{Kind: garden.Missing, Text: "there is no such calculator", Hint: "choose one from the page “One number by hand”"}
	}
	said := saidOf(c, r.URL.Query())
	p := reckonPage{Page: s.page(reckonTitle(c.Name), "ask"), Name: c.Name, Subject: capital(c.Subject), Says: capital(c.Says), Example: exampleQuery(c)}
	status := http.StatusOK
	if len(said) > 0 {
		answer, err := reckon.Run(c.Name, said)
		var wrong *reckon.Error
		switch {
		case errors.As(err, &wrong):
			status, p.Amiss, p.Wrong = http.StatusUnprocessableEntity, true, wrongOf(wrong)
		case err != nil:
			return err
		default:
			p.Answer = answerIn(answer)
		}
	}
	for _, in := range c.Inputs {
		p.Fields = append(p.Fields, reckonFieldOf(c, in, said, p.Wrong))
	}
	return s.render(w, r, status, "reckon", p)
}

// saidOf keeps the inputs of the calculator that something was written into; other parts of an address are nobody's business.
func saidOf(c reckon.Calculator, query url.Values) map[string]string {
	out := map[string]string{}
	for _, in := range c.Inputs {
		if text := strings.TrimSpace(query.Get(in.Name)); text != "" {
			out[in.Name] = text
		}
	}
	return out
}

func exampleQuery(c reckon.Calculator) string {
	query := url.Values{}
	for name, text := range c.Example {
		query.Set(name, text)
	}
	return query.Encode()
}

func wrongOf(e *reckon.Error) *reckonWrong {
	text := capital(e.Text) + "."
	if e.Hint != "" {
		text += " " + capital(e.Hint)
		if !strings.HasSuffix(text, "?") {
			text += "."
		}
	}
	return &reckonWrong{Field: e.Field, Title: reckonTitle(e.Field), Text: text}
}

func reckonFieldOf(c reckon.Calculator, in reckon.Input, said map[string]string, wrong *reckonWrong) reckonField {
	f := reckonField{Name: in.Name, Title: reckonTitle(in.Name), Hint: in.Says, Unit: in.Unit, Value: said[in.Name], Choices: in.Words,
		Blank: in.Optional || in.Default == "", Long: in.Kind == reckon.Text}
	switch {
	case in.Default != "" && f.Value == "" && in.Kind == reckon.Word:
		f.Value = in.Default
	case in.Default != "" && in.Kind != reckon.Word:
		f.Hint += "; " + strings.TrimSpace(in.Default+" "+in.Unit) + " unless you write another"
	case in.Optional:
		f.Hint += "; may be left empty"
	case c.Example[in.Name] != "" && in.Kind != reckon.Word:
		f.Hint += "; such as " + c.Example[in.Name]
	}
	if wrong != nil && wrong.Field == in.Name {
		f.Why = wrong.Text
	}
	return f
}

func answerIn(a reckon.Answer) *reckonAnswer {
	out := &reckonAnswer{Steps: a.Steps, Sources: a.Source, Checked: capital(a.Checked), Cautions: a.Cautions}
	for _, r := range a.Results {
		out.Results = append(out.Results, reckonResult{r.Amount(), reckonTitle(r.Name), r.Says})
	}
	return out
}

// reckonTitle writes the name of a calculator or an input as words: "Compost depth".
func reckonTitle(name string) string { return capital(strings.ReplaceAll(name, "-", " ")) }

// capital writes a sentence with its first letter large.
func capital(s string) string {
	if s == "" {
		return ""
	}
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}
