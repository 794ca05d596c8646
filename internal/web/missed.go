package web

import (
	"fmt"
	"net/http"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

// gap is a time of which nothing was noted while crops were being picked. One answer closes it for all of them.
type gap struct {
	From, To civil.Date
	Crops    int
	Says     string
}

// gapDays is how long nothing may be noted before it is asked about, gapAsked until when it is.
const (
	gapDays  = 12
	gapAsked = 30
)

// closing begins the note that closes a gap.
const closing = "Not noted from "

// gap finds the last such time: between two days with lines, or since the last line.
func (l *live) gap(today civil.Date) *gap {
	days := map[civil.Date]bool{today: true}
	lately(l.index, garden.KindHarvest, func(h garden.Harvest) { days[h.Date] = true })
	lately(l.index, garden.KindWork, func(w garden.Work) { days[w.Date] = true })
	closed := map[civil.Date]bool{}
	lately(l.index, garden.KindNote, func(n garden.Note) {
		days[n.Date] = true
		closed[n.Date] = closed[n.Date] || strings.HasPrefix(n.Text, closing)
	})
	to := today
	for back := 1; back <= gapAsked+60; back++ {
		d := today.AddDays(-back)
		if !days[d] {
			continue
		}
		if to.Sub(d) > gapDays && today.Sub(to) <= gapAsked && !closed[to] {
			return l.gapOf(d.AddDays(1), to)
		}
		to = d
	}
	return nil
}

func (l *live) gapOf(from, to civil.Date) *gap {
	g := &gap{From: from, To: to, Crops: len(l.pickedThen(from, to))}
	if g.Crops == 0 {
		return nil
	}
	g.Says = fmt.Sprintf("Nothing was noted from %s to %s, while %s stood that had been picked before.", short(from), short(to), count(g.Crops, "crop"))
	return g
}

// pickedThen are the plantings that stood then and had been picked at most a month before.
func (l *live) pickedThen(from, to civil.Date) []garden.Planting {
	var out []garden.Planting
	for _, id := range l.index.All(garden.KindPlanting) {
		p, _ := garden.Find(l.index, garden.PlantingID(id))
		last, picked := l.picked[p.ID]
		if picked && p.Stood(from) && p.Stood(to) && from.Sub(last) <= 31 {
			out = append(out, p)
		}
	}
	return out
}

// closeMissed takes the one answer: nothing was picked, some was and was not weighed, or nobody knows.
func (s *Server) closeMissed(w http.ResponseWriter, r *http.Request) error {
	if err := readForm(r); err != nil {
		return err
	}
	from, err1 := civil.Parse(r.PostForm.Get("from"))
	to, err2 := civil.Parse(r.PostForm.Get("to"))
	said, known := map[string]string{"nothing": "nothing was picked", "some": "some was picked and not weighed", "unknown": "nobody knows what was picked"}[r.PostForm.Get("said")]
	if err1 != nil || err2 != nil || !known {
		return &garden.Error{Kind: garden.Invalid, Text: "the answer cannot be read", Hint: "go back to the first page and choose one"}
	}
	note := garden.Note{ID: garden.Ref[garden.Note](s.NewID()), Date: to, Text: fmt.Sprintf("%s%s to %s: %s.", closing, short(from), short(to), said)}
	err := s.alone(r.Context(), func(l *live) error {
		ops, err := s.gapOps(l, r.PostForm.Get("said"), from, to, note)
		if err != nil {
			return err
		}
		_, err = s.Book.Keep(r.Context(), ops)
		return err
	})
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

func (s *Server) gapOps(l *live, said string, from, to civil.Date, note garden.Note) ([]garden.Operation, error) {
	recs := []garden.Record{note}
	for _, p := range l.pickedThen(from, to) {
		switch {
		case said == "some" && p.Weighed != garden.SomeMissed:
			p.Weighed = garden.SomeMissed
		case said == "unknown" && p.Weighed == garden.NotAskedYet:
			p.Weighed = garden.DontKnow
		default:
			continue
		}
		recs = append(recs, p)
	}
	var ops []garden.Operation
	for i, rec := range recs {
		body, err := garden.Encode(rec)
		if err != nil {
			return nil, err
		}
		op := garden.Operation{ID: s.NewID(), Action: garden.Add, Kind: rec.Kind(), Record: rec.Identity(), Body: body, Made: s.Now()}
		if i > 0 {
			op.Action, op.Base = garden.Change, rec.Revision()
		}
		ops = append(ops, op)
	}
	return ops, nil
}
