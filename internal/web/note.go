package web

import (
	"encoding/json"
	"html/template"
	"net/http"
	"slices"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// notePage is the page for noting: the walk from bed to bed, or one form of another kind.
type notePage struct {
	Page
	Build    string
	Name     string
	Beds     []walkBed
	BedsJSON template.JS // the beds, for the script
	Forms    []noteLink
	Form     noteForm
	Error    string
	ID       string // made here, so that a form sent twice without the script is one entry
	Today    string
}

// walkBed is one bed of the walk with the crops that stand in it, the one picked last first.
type walkBed struct {
	Name  string   `json:"name"`
	Crops []string `json:"crops"`
}

type noteLink struct {
	Kind garden.Kind
	Says string
	Here bool
}

// noteForm is a form for one kind of entry: the few fields that are noted among the beds, drawn from the diary.
type noteForm struct {
	Kind   garden.Kind
	Action diary.Action
	Save   string
	Says   string // names of the fields that tell what was noted
	Fields []noteField
}

type noteField struct {
	diary.Field
	Unit string // in which a bare number is understood
	Beds bool
}

// noteKinds are the kinds noted among the beds, with the fields asked for and how the button says it.
var noteKinds = []struct {
	kind   garden.Kind
	name   string
	says   string
	save   string
	fields []string
	units  map[string]string
	action diary.Action
}{
	{garden.KindPlanting, "sow", "Sow or set out", "Save the sowing", []string{"bed", "crop", "variety", "start", "date", "in-row", "between-rows", "plants"}, map[string]string{"in-row": "cm", "between-rows": "cm"}, diary.Add},
	{garden.KindPlanting, "thin", "Thinned", "Save the thinning", []string{"target", "date", "plants"}, nil, diary.Thin},
	{garden.KindPlanting, "gaps", "Gaps filled", "Save", []string{"target", "date", "plants"}, nil, diary.Fill},
	{garden.KindPlanting, "standing", "Counted what stands", "Save the count", []string{"target", "date", "plants"}, nil, diary.Stand},
	{garden.KindPlanting, "finished", "Finished", "Save that it is finished", []string{"target", "date", "weighed", "missed"}, nil, diary.End},
	{garden.KindCultivation, "dig", "Dug or loosened", "Save the digging", []string{"bed", "how", "depth", "date"}, map[string]string{"depth": "cm"}, diary.Add},
	{garden.KindAmendment, "compost", "Compost and feed", "Save the dressing", []string{"bed", "material", "amount", "placement", "date"}, nil, diary.Add},
	{garden.KindWatering, "water", "Watered", "Save the watering", []string{"bed", "amount", "date"}, map[string]string{"amount": "L"}, diary.Add},
	{garden.KindWork, "work", "Worked", "Save the work", []string{"bed", "task", "time", "who", "date"}, map[string]string{"time": "min"}, diary.Add},
	{garden.KindMeasurement, "measure", "Measured", "Save the measurement", []string{"bed", "planting", "what", "value", "unit", "n", "date"}, nil, diary.Add},
	{garden.KindCover, "cover", "Covered", "Save the cover", []string{"bed", "what", "on"}, nil, diary.Add},
	{garden.KindLoss, "loss", "Lost", "Save the loss", []string{"planting", "share", "cause", "strikes-all", "date"}, nil, diary.Add},
	{garden.KindNote, "note", "Other note", "Save the note", []string{"bed", "text", "date"}, nil, diary.Add},
}

// note shows what can be noted.
func (s *Server) note(w http.ResponseWriter, r *http.Request) error {
	p := s.newNote("Note something")
	return s.render(w, r, http.StatusOK, "notes", p)
}

func (s *Server) newNote(title string) notePage {
	p := notePage{Page: s.page(title, "note"), Build: s.Build, ID: s.NewID().String(), Today: s.day().String()}
	p.Script = "note.js"
	for _, k := range noteKinds {
		p.Forms = append(p.Forms, noteLink{Kind: garden.Kind(k.name), Says: k.says})
	}
	return p
}

// noteKind shows the walk, or the form of one kind. The page may be kept by the browser, so that its address opens without a signal.
func (s *Server) noteKind(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("kind")
	records, err := s.Book.Read(r.Context(), garden.Want{Kinds: diary.Needs(garden.KindHarvest)})
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "private, max-age=31536000")
	p := s.newNote("Note a harvest")
	p.Beds = walkOf(records)
	text, err := json.Marshal(p.Beds)
	if err != nil {
		return err
	}
	p.BedsJSON = template.JS(text)
	if name == "harvest" {
		return s.render(w, r, http.StatusOK, "walk", p)
	}
	form, ok := formFor(name)
	if !ok {
		return &garden.Error{Kind: garden.Missing, Text: "there is no such thing to note", Hint: "choose one from the page Note"}
	}
	p.Title, p.Name, p.Form = form.Save, name, form
	return s.render(w, r, http.StatusOK, "noteform", p)
}

// formFor draws a form from the diary's fields.
func formFor(name string) (noteForm, bool) {
	for _, k := range noteKinds {
		if k.name != name {
			continue
		}
		f := noteForm{Kind: k.kind, Action: k.action, Save: k.save}
		known := diary.Fields(k.kind)
		for _, want := range k.fields {
			i := slices.IndexFunc(known, func(d diary.Field) bool { return d.Name == want })
			field := noteField{Unit: k.units[want], Beds: want == "bed"}
			switch {
			case i >= 0:
				field.Field = known[i]
			case want == "target":
				field.Field = diary.Field{Name: "target", Says: "which crop in which bed", Example: "terrace/4 parsnip"}
			default:
				field.Field = diary.Field{Name: want}
			}
			f.Fields = append(f.Fields, field)
			f.Says += want + " "
		}
		return f, true
	}
	return noteForm{}, false
}

// walkOf lists beds in their order with what stands in them now.
func walkOf(r garden.Records) []walkBed {
	x := garden.NewIndex(r)
	out := []walkBed{}
	for _, g := range r.Gardens {
		for _, b := range x.BedsOf(g.ID) {
			if !b.To.IsZero() {
				continue
			}
			bed := walkBed{Name: x.BedName(b.ID), Crops: []string{}}
			for _, p := range x.PlantingsIn(b.ID) {
				if p.Ended.IsZero() && !slices.Contains(bed.Crops, p.Crop) {
					bed.Crops = append(bed.Crops, p.Crop)
				}
			}
			slices.Reverse(bed.Crops) // the youngest is the likeliest
			out = append(out, bed)
		}
	}
	return out
}
