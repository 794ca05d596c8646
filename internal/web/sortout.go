package web

import (
	"net/http"
	"slices"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// sortOutPage lists the harvests that belong to no crop in a bed yet.
type sortOutPage struct {
	Page
	Waiting []asking
}

func (s *Server) sortOut(w http.ResponseWriter, r *http.Request) error {
	p := sortOutPage{Page: s.page("To sort out", "today")}
	err := s.look(r.Context(), func(l *live) error {
		for _, h := range slices.Backward(diary.ToSortOut(l.index)) {
			p.Waiting = append(p.Waiting, waitingLine(l.index, h))
		}
		return nil
	})
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "sortout", p)
}

// placePage places one of them.
type placePage struct {
	Page
	ID, About, Asks, Error, Note string
	Standing                     []choice // crops in a bed it may be of, those of the same crop first
	Beds                         []choice
	Several                      bool // it came from several beds
}

func (s *Server) place(w http.ResponseWriter, r *http.Request) error {
	return s.showPlace(w, r, http.StatusOK, "")
}

func (s *Server) showPlace(w http.ResponseWriter, r *http.Request, status int, wrong string) error {
	id, _ := garden.ParseID(r.PathValue("id"))
	p := placePage{Page: s.page("Place a harvest", "today"), ID: id.String(), Error: wrong}
	p.Amiss = wrong != ""
	err := s.look(r.Context(), func(l *live) error {
		h, ok := garden.Find(l.index, garden.HarvestID(id))
		if !ok || h.Placed() {
			return &garden.Error{Kind: garden.Missing, Text: "this harvest does not wait any more", Hint: "look at the diary"}
		}
		line := waitingLine(l.index, h)
		p.About, p.Asks, p.Note, p.Several = line.About, line.Asks, h.Note, len(h.Beds) > 1
		p.Standing = l.mayBeOf(h)
		p.Beds = l.bedChoices()
		return nil
	})
	if err != nil {
		return err
	}
	return s.render(w, r, status, "place", p)
}

// mayBeOf lists the plantings that stood on the day: those of the crop alone if there are any.
func (l *live) mayBeOf(h garden.Harvest) []choice {
	var same, other []choice
	for _, id := range l.index.All(garden.KindPlanting) {
		p, _ := garden.Find(l.index, garden.PlantingID(id))
		if !p.Stood(h.Date) || len(h.Beds) > 0 && !slices.Contains(h.Beds, p.Bed) {
			continue
		}
		c := choice{Value: p.ID.String(), Says: l.index.PlantingName(p.ID)}
		if garden.Fold(p.Crop) == garden.Fold(h.Crop) {
			same = append(same, c)
		} else {
			other = append(other, c)
		}
	}
	if len(same) > 0 {
		return same
	}
	return other
}

// placed takes the answer: one crop in a bed, or a split over beds.
func (s *Server) placed(w http.ResponseWriter, r *http.Request) error {
	if err := readForm(r); err != nil {
		return err
	}
	f := s.fieldsOf(r.PostForm)
	fields := map[string]string{}
	switch {
	case f["split"] != "":
		fields["split"], fields["bed"], fields["parts"] = f["split"], f["bed"], f["parts"]
		for name, text := range fields {
			if text == "" {
				delete(fields, name)
			}
		}
	case f["planting"] != "":
		fields["planting"] = f["planting"]
	case f["bed"] != "":
		fields["bed"] = f["bed"]
	default:
		return s.showPlace(w, r, http.StatusUnprocessableEntity, "choose a crop in a bed, or beds to split it over")
	}
	err := s.decide(r.Context(), diary.Draft{Action: diary.Place, Kind: garden.KindHarvest, Target: r.PathValue("id"), Fields: fields})
	if refusedKind(err) {
		return s.showPlace(w, r, http.StatusUnprocessableEntity, err.Error())
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/sort-out", http.StatusSeeOther)
	return nil
}
