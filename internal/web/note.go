package web

import (
	"cmp"
	"context"
	"encoding/json"
	"html/template"
	"net/http"
	"slices"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// notePage is what the pages for noting have in common.
type notePage struct {
	Page
	Build string
	Error string
	ID    string // made here, so that a form sent twice without the script is one entry
	Saved bool   // the form before this page was kept
	Back  link   // at the right of the state line
}

// walkPage is the walk from bed to bed, or a weighing round.
type walkPage struct {
	notePage
	Round bool
	Facts *walkFacts
	Was   map[string]string
}

// walkFacts are what the walk knows of the book.
type walkFacts struct {
	Beds   []walkBed          `json:"beds"`
	Crops  []string           `json:"crops"` // all that stand, the commonest first
	Most   map[string]float64 `json:"most"`  // kg, the heaviest picking of each so far
	Garden string             `json:"garden"`
	JSON   template.JS        `json:"-"` // the same as text, for the script
}

// walkBed is one bed of the walk with the crops that stand in it, the one picked last first.
type walkBed struct {
	ID    string   `json:"id"`
	Name  string   `json:"name"`
	Crops []string `json:"crops"`
}

// formPage is one form of another kind.
type formPage struct {
	notePage
	Name   string
	Kind   garden.Kind
	Action diary.Action
	Told   string
	Fields []noteField
	Was    map[string]string
	Today  string
}

// notesPage lists what can be noted, or what this phone holds.
type notesPage struct {
	notePage
	Kinds []link
}

func (s *Server) newNote(r *http.Request, title string) notePage {
	p := notePage{Page: s.page(title, "note"), Build: s.Build, ID: s.NewID().String(), Saved: r.URL.Query().Has("saved"), Back: link{"/note", "Other"}}
	p.Script = "note.js"
	return p
}

// note shows what can be noted.
func (s *Server) note(w http.ResponseWriter, r *http.Request) error {
	p := notesPage{notePage: s.newNote(r, "Note something")}
	p.Back = link{"/note/harvest", "Harvest"}
	for _, k := range noteKinds {
		p.Kinds = append(p.Kinds, link{"/note/" + k.name, k.says})
	}
	keepable(w, r)
	return s.render(w, r, http.StatusOK, "notes", p)
}

// keptHere shows what this phone holds; the script fills it in.
func (s *Server) keptHere(w http.ResponseWriter, r *http.Request) error {
	p := notesPage{notePage: s.newNote(r, "Kept on this phone")}
	p.Back = link{"/note/harvest", "Harvest"}
	keepable(w, r)
	return s.render(w, r, http.StatusOK, "kept", p)
}

// keepable lets the browser keep the page where the script asks for that, so that its address opens without a signal. A page that
// was asked for in the usual way is not kept: its form has an id that is good for one entry.
func keepable(w http.ResponseWriter, r *http.Request) {
	if r.Header.Get("X-Keep") != "" {
		w.Header().Set("Cache-Control", "private, max-age=31536000")
	}
}

// noteKind shows the walk, the round, or the form of one kind.
func (s *Server) noteKind(w http.ResponseWriter, r *http.Request) error {
	keepable(w, r)
	return s.showNote(w, r, http.StatusOK, "", nil)
}

// showNote draws the page of the kind in the address, with what was wrong and what had been typed.
func (s *Server) showNote(w http.ResponseWriter, r *http.Request, status int, wrong string, was map[string]string) error {
	name := r.PathValue("kind")
	if name == "harvest" || name == "round" {
		p := walkPage{notePage: s.newNote(r, "Note a harvest"), Round: name == "round", Was: was}
		if p.Round {
			p.Title = "Weighing round"
		}
		p.Error, p.Amiss = wrong, wrong != ""
		if err := s.walkShown(r.Context(), &p); err != nil {
			return err
		}
		return s.render(w, r, status, "walk", p)
	}
	k, ok := findKind(name)
	if !ok {
		return &garden.Error{Kind: garden.Missing, Text: "there is no such thing to note", Hint: "choose one from the page Note"}
	}
	p := formPage{notePage: s.newNote(r, k.says), Name: k.name, Kind: k.kind, Action: k.action, Told: k.told, Was: was, Today: s.day().String()}
	p.Error, p.Amiss = wrong, wrong != ""
	p.Title = k.says
	err := s.look(r.Context(), func(l *live) error {
		for _, f := range k.fields {
			f.Choices = l.choices(k, f)
			p.Fields = append(p.Fields, f)
		}
		return nil
	})
	if err != nil {
		return err
	}
	p.Script = "note.js"
	return s.render(w, r, status, "noteform", formWith{p, k.save})
}

// formWith adds what the button says.
type formWith struct {
	formPage
	Save string
}

// noteSent takes a form sent without the script. Its id was made when the page was drawn, so a second sending is the same entry.
func (s *Server) noteSent(w http.ResponseWriter, r *http.Request) error {
	data, over, err := readNote(r)
	if err != nil {
		return err
	}
	e, err := s.entryOf(r.PostForm, r.PathValue("kind"))
	if err != nil {
		return err
	}
	written, err := encodeEntry(e)
	if err != nil {
		return err
	}
	got, err := s.Take(r.Context(), []string{written}, s.device(r))
	if err != nil {
		return err
	}
	if got[0].Is == isRefused {
		return s.showNote(w, r, http.StatusUnprocessableEntity, got[0].Why, s.fieldsOf(r.PostForm))
	}
	if over {
		return &garden.Error{Kind: garden.Invalid, Field: "picture", Text: "the note is saved, but its picture is too large", Hint: "send a smaller one, of at most 12 MB, with a note of its own"}
	}
	if err := s.pictureOfForm(r, e.ID, data); err != nil {
		return err
	}
	http.Redirect(w, r, "/note/"+r.PathValue("kind")+"?saved", http.StatusSeeOther)
	return nil
}

// walkShown fills in what the walk shows; it is worked out once for all who ask until the book changes.
func (s *Server) walkShown(ctx context.Context, p *walkPage) error {
	err := s.look(ctx, func(l *live) error { p.Facts = l.facts; return nil })
	if err != nil || p.Facts != nil {
		return err
	}
	return s.alone(ctx, func(l *live) error {
		if l.facts == nil {
			f := l.walk()
			text, err := json.Marshal(f) // which writes < and > as escapes, so that it cannot end the script
			if err != nil {
				return err
			}
			f.JSON = template.JS(text)
			l.facts = &f
		}
		p.Facts = l.facts
		return nil
	})
}

// walk lists beds in their order with what stands in them now.
func (l *live) walk() walkFacts {
	x := l.index
	out := walkFacts{Beds: []walkBed{}, Crops: []string{}, Most: map[string]float64{}, Garden: "garden"}
	times := map[string]int{}
	if gardens := gardensByName(x); len(gardens) > 0 {
		out.Garden = gardens[0].Name
	}
	for _, b := range walked(x) {
		crops := l.standingIn(b.ID)
		for _, c := range crops {
			times[c]++
			if m, ok := l.most[garden.Fold(c)]; ok {
				out.Most[c] = float64(m)
			}
		}
		out.Beds = append(out.Beds, walkBed{ID: b.ID.String(), Name: x.BedName(b.ID), Crops: crops})
	}
	for c := range times {
		out.Crops = append(out.Crops, c)
	}
	slices.SortFunc(out.Crops, func(a, b string) int { return cmp.Or(times[b]-times[a], cmp.Compare(a, b)) })
	return out
}

// standingIn names the crops that stand in a bed, the one picked last first, else the youngest.
func (l *live) standingIn(bed garden.BedID) []string {
	type crop struct {
		name    string
		picked  civil.Date
		started civil.Date
	}
	var there []crop
	for _, p := range l.index.PlantingsIn(bed) {
		if p.Ended.IsZero() && !slices.ContainsFunc(there, func(c crop) bool { return c.name == p.Crop }) {
			there = append(there, crop{p.Crop, l.picked[p.ID], p.Date.Date})
		}
	}
	slices.SortStableFunc(there, func(a, b crop) int { return cmp.Or(b.picked.Compare(a.picked), b.started.Compare(a.started)) })
	out := []string{}
	for _, c := range there {
		out = append(out, c.name)
	}
	return out
}
