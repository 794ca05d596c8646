package web

import (
	"crypto/sha256"
	"net/http"
	"strconv"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// diaryPage is the history, newest first, by the day it was written.
type diaryPage struct {
	Page
	Side    string
	Days    []diaryDay
	Earlier string // link to what is older
}

type diaryDay struct {
	Head  string
	Lines []diaryLine
}

type diaryLine struct {
	Time, Amount, Text, By string
	Op                     string
	Back                   bool // it was taken back
	Act                    string
}

// linesAPage is how many lines of the diary one page shows.
const linesAPage = 60

// diary shows the history, with a button to take each line back.
func (s *Server) diary(w http.ResponseWriter, r *http.Request) error {
	before, err := garden.ParseID(r.URL.Query().Get("before"))
	if err != nil {
		return &garden.Error{Kind: garden.Invalid, Field: "before", Text: "this is no line of the diary", Hint: "begin at its newest line"}
	}
	past, err := s.Book.Past(r.Context(), before, linesAPage)
	if err != nil {
		return err
	}
	p := diaryPage{Page: s.page("Diary", "diary")}
	err = s.look(r.Context(), func(l *live) error {
		p.Days = s.days(past, l)
		p.Side = count(len(l.index.All(garden.KindHarvest)), "weighing") + " in this book"
		return nil
	})
	if err != nil {
		return err
	}
	if len(past) == linesAPage {
		p.Earlier = "/diary?before=" + past[len(past)-1].Operation.ID.String()
	}
	return s.render(w, r, http.StatusOK, "diary", p)
}

// days groups lines by the day they were made.
func (s *Server) days(past []garden.Past, l *live) []diaryDay {
	writing, by := l.writing(), byline(l.index)
	undone := map[garden.ID]bool{}
	for _, line := range past {
		if !line.Operation.Undoes.IsZero() {
			undone[line.Operation.Undoes] = true
		}
	}
	var out []diaryDay
	var last civil.Date
	for _, line := range past {
		made := line.Operation.Made.Local()
		day := civil.FromTime(made)
		if len(out) == 0 || day != last {
			out = append(out, diaryDay{Head: long(day)})
			last = day
		}
		l := diaryLine{Time: made.Format("15:04"), Op: line.Operation.ID.String(), Back: undone[line.Operation.ID], By: by[line.Operation.Device]}
		l.Amount, l.Text = lineText(writing, line)
		if !l.Back && line.Operation.Undoes.IsZero() {
			l.Act = "Take back"
		}
		out[len(out)-1].Lines = append(out[len(out)-1].Lines, l)
	}
	return out
}

func byline(x *garden.Index) map[garden.DeviceID]string {
	out := map[garden.DeviceID]string{{}: "at the table"}
	for _, id := range x.All(garden.KindDevice) {
		d, _ := garden.Find(x, garden.DeviceID(id))
		out[d.ID] = d.Name
	}
	return out
}

// lineText says what an operation did: the record after it, or the one it removed.
func lineText(w *diary.Writing, p garden.Past) (amount, text string) {
	rec, verb := p.After, map[garden.Action]string{garden.Add: "", garden.Change: "changed: ", garden.Remove: "removed: "}[p.Operation.Action]
	if rec == nil {
		rec = p.Before
	}
	if !p.Operation.Undoes.IsZero() {
		verb = "taken back: "
	}
	if rec == nil {
		return "", verb + string(p.Operation.Kind)
	}
	switch rec.(type) {
	case garden.Garden, garden.Bed, garden.Device, garden.Setting, garden.Crop, garden.Material, garden.Measure, garden.Person, garden.Site:
		return "", verb + string(rec.Kind()) + " " + diary.NameOf(w, rec)
	}
	return "", verb + diary.Says(w, rec)
}

// takeBack undoes one line.
func (s *Server) takeBack(w http.ResponseWriter, r *http.Request) error {
	id, err := garden.ParseID(r.PathValue("op"))
	if err != nil {
		return &garden.Error{Kind: garden.Invalid, Text: "this is no line of the diary", Hint: "go back to the diary and choose one"}
	}
	var got Receipt
	err = s.alone(r.Context(), func(l *live) error {
		t := &taking{Server: s, ctx: r.Context(), live: l, from: s.device(r), hash: map[garden.ID][]byte{}}
		by := Entry{ID: s.NewID(), Target: id.String()}
		sum := sha256.Sum256(by.ID[:])
		err := t.takeBack(by, sum[:])
		if err == nil {
			got = t.got[0]
		}
		return err
	})
	if err != nil {
		return err
	}
	switch got.Is {
	case isLater:
		return &garden.Error{Kind: garden.Missing, Text: "this is no line of the diary", Hint: "go back to the diary and choose one"}
	case isRefused:
		return &garden.Error{Kind: garden.Conflict, Text: "it could not be taken back: " + got.Why, Hint: "take back first what came after it"}
	}
	http.Redirect(w, r, "/diary", http.StatusSeeOther)
	return nil
}

// seasonOf reads a season from the address; 0 where there is none.
func seasonOf(r *http.Request) (int, error) {
	text := r.URL.Query().Get("season")
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1000 || n > 9999 {
		return 0, &garden.Error{Kind: garden.Invalid, Field: "season", Text: "this is no growing year", Hint: "choose one from the page"}
	}
	return n, nil
}
