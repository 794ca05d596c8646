package web

import (
	"fmt"
	"net/http"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// plantingPage is the story of one crop in one bed: what it gave, what it counts as, and why.
type plantingPage struct {
	Page
	Side     string
	Figures  []figure
	Because  []reason
	Pickings []picking
	Ended    bool
	AskEnd   bool // it is not said yet how much was weighed
	LastDay  string
	ID       string
}

type reason struct {
	What string
	Why  []string
}

type picking struct{ Date, Mass, Note string }

// told are the practices that the story tells, in order.
var told = []practice.Name{practice.Cultivation, practice.Compost, practice.Later(practice.Compost), practice.Residual(practice.Compost), practice.Manure,
	practice.Fertiliser, practice.Spacing, practice.StandingPlants, practice.Arrangement, practice.Water, practice.Rain, practice.Cover, practice.Variety,
	practice.StartedAs, practice.PreviousFamily, practice.Companions, practice.WorkTime, practice.SinceFirstDug}

// planting shows one planting by its id; a perennial by its latest year.
func (s *Server) planting(w http.ResponseWriter, r *http.Request) error {
	id, err := garden.ParseID(r.PathValue("id"))
	if err != nil {
		return &garden.Error{Kind: garden.Missing, Text: "there is no such crop in a bed", Hint: "choose one from the ground plan"}
	}
	_, _, planted, err := s.workedOut(r.Context())
	if err != nil {
		return err
	}
	var found *practice.Planted
	for _, p := range planted {
		if garden.ID(p.Planting.ID) == id {
			found = &p
		}
	}
	if found == nil {
		return &garden.Error{Kind: garden.Missing, Text: "there is no such crop in a bed", Hint: "choose one from the ground plan"}
	}
	return s.render(w, r, http.StatusOK, "planting", s.story(*found))
}

func (s *Server) story(p practice.Planted) plantingPage {
	title := fmt.Sprintf("%s in %s/%s, %d", p.Planting.Crop, p.Garden.Name, p.Bed.Name, p.Season)
	out := plantingPage{Page: s.page(title, "ground"), Side: string(p.Planting.Start) + " " + short(p.Planting.Date.Date), Ended: !p.Planting.Ended.IsZero(), ID: p.Planting.ID.String()}
	out.AskEnd = p.Planting.Weighed == garden.NotAskedYet && !p.Planting.Failed
	out.LastDay = s.day().String()
	if n := len(p.Harvests); n > 0 {
		out.LastDay = p.Harvests[n-1].Date.String()
	}
	var mass unit.Mass
	for _, h := range p.Harvests {
		net := h.Net()
		mass += net.Or(0)
		out.Pickings = append(out.Pickings, picking{short(h.Date), amountOf(*h), string(h.Weighing)})
	}
	out.Figures = yieldFigures(p, mass)
	for _, n := range told {
		l, ok := p.Levels[n]
		if !ok {
			continue
		}
		out.Because = append(out.Because, reason{What: fmt.Sprintf("%s: %s.", n, l), Why: l.Why()})
	}
	return out
}

func yieldFigures(p practice.Planted, mass unit.Mass) []figure {
	out := []figure{{fmt.Sprintf("%.1f", float64(mass)), "kg", "weighed, " + count(len(p.Harvests), "time")}}
	if p.Area.Known {
		out = append(out, figure{fmt.Sprintf("%.2f", float64(mass.Per(p.Area.Value))), "kg", fmt.Sprintf("per m² of bed (%.1f m²)", float64(p.Area.Value))})
	}
	if p.Ground.Known {
		out = append(out, figure{fmt.Sprintf("%.2f", float64(mass.Per(p.Ground.Value))), "kg", fmt.Sprintf("per m² with paths (%.1f m²)", float64(p.Ground.Value))})
	}
	if w := p.Level(practice.WorkTime); w.Known && p.Area.Known {
		out = append(out, figure{fmt.Sprintf("%.1f", w.Amount*float64(p.Area.Value)/60), "h", "of work"})
	}
	return out
}

// endPlanting takes the answer to the one thing that cannot be found out later: how much of a crop was weighed.
func (s *Server) endPlanting(w http.ResponseWriter, r *http.Request) error {
	if err := readForm(r); err != nil {
		return err
	}
	f := s.fieldsOf(r.PostForm)
	fields := map[string]string{"weighed": f["weighed"]}
	d := diary.Draft{Action: diary.Change, Kind: garden.KindPlanting, Target: r.PathValue("id"), Fields: fields}
	if f["date"] != "" {
		d.Action, fields["date"] = diary.End, f["date"]
	}
	if fields["weighed"] == "" {
		return &garden.Error{Kind: garden.Invalid, Field: "weighed", Text: "it does not say how much was weighed", Hint: "go back and choose one of the three"}
	}
	if err := s.decide(r.Context(), d); err != nil {
		return err
	}
	http.Redirect(w, r, "/planting/"+r.PathValue("id"), http.StatusSeeOther)
	return nil
}
