package web

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// Bounds of a form with a picture: what is read of one at all, what a picture may have, and what each other field of it may have.
const (
	maxForm     = 64 << 20
	formPicture = 12 << 20
	formText    = 256 << 10
)

// readForm reads a form of either kind; what is too large or broken is said in words.
func readForm(r *http.Request) error {
	err := r.ParseForm()
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		err = r.ParseMultipartForm(1 << 20)
	}
	switch {
	case err == nil:
		return nil
	case tooLarge(err):
		return &garden.Error{Kind: garden.Refused, Text: "that is too much at once", Hint: "leave the picture out, or send a smaller one", Cause: err}
	}
	return &garden.Error{Kind: garden.Invalid, Text: "the form cannot be read", Hint: "go back and send it again", Cause: err}
}

// readNote reads a form that may carry a picture, as it comes: a picture that is too large is passed over, and what was written beside
// it is kept.
func readNote(r *http.Request) (picture []byte, over bool, err error) {
	if !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		return nil, false, readForm(r)
	}
	parts, err := r.MultipartReader()
	r.PostForm = url.Values{}
	for err == nil {
		var part *multipart.Part
		if part, err = parts.NextPart(); err != nil {
			break
		}
		var said []byte
		if part.FileName() != "" {
			said, err = io.ReadAll(io.LimitReader(part, formPicture+1))
			picture, over = said, len(said) > formPicture || tooLarge(err)
		} else if said, err = io.ReadAll(io.LimitReader(part, formText+1)); len(said) > formText {
			return nil, false, &garden.Error{Kind: garden.Refused, Text: "that is too much at once", Hint: "write less in one note"}
		} else if err == nil {
			r.PostForm.Add(part.FormName(), string(said))
		}
	}
	switch {
	case over:
		return nil, true, nil
	case errors.Is(err, io.EOF):
		return picture, false, nil
	}
	return nil, false, &garden.Error{Kind: garden.Invalid, Text: "the form cannot be read", Hint: "go back and send it again", Cause: err}
}

// fieldsOf says what a form said. The same three rules stand in the script: "x.other" stands in for x; a bare number in x is understood in unit.x;
// several values of one name are joined by commas.
func (s *Server) fieldsOf(form url.Values) map[string]string {
	out, units, others := map[string]string{}, map[string]string{}, map[string]string{}
	for name, values := range form {
		var said []string
		for _, v := range values {
			if v = strings.TrimSpace(v); v != "" && v != "other" {
				said = append(said, v)
			}
		}
		value := strings.Join(said, ",")
		switch {
		case value == "" || name == "id":
		case strings.HasPrefix(name, "unit."):
			units[strings.TrimPrefix(name, "unit.")] = value
		case strings.HasSuffix(name, ".other"):
			others[strings.TrimSuffix(name, ".other")] = value
		default:
			out[name] = value
		}
	}
	for name, value := range others {
		out[name] = value
	}
	for name, unit := range units {
		if v := out[name]; v != "" && strings.Trim(v, "0123456789., ") == "" {
			out[name] = v + " " + unit
		}
	}
	for _, name := range []string{"date", "on"} {
		switch out[name] {
		case "today":
			out[name] = s.day().String()
		case "yesterday":
			out[name] = s.day().AddDays(-1).String()
		}
	}
	return out
}

// entryOf makes the entry that the script would have made of the form. Its bytes must be the same if the form comes twice, so they carry no
// clock; the id was made when the page was drawn.
func (s *Server) entryOf(form url.Values, name string) (Entry, error) {
	e := Entry{Kind: garden.KindHarvest, Action: diary.Add, Fields: s.fieldsOf(form)}
	if k, ok := findKind(name); ok {
		e.Kind, e.Action = k.kind, k.action
	} else if name != "harvest" && name != "round" {
		return e, &garden.Error{Kind: garden.Missing, Text: "there is no such thing to note", Hint: "choose one from the page Note"}
	}
	if err := e.ID.UnmarshalText([]byte(form.Get("id"))); err != nil || e.ID.IsZero() {
		return e, &garden.Error{Kind: garden.Invalid, Text: "the form has no id", Hint: "open the page anew"}
	}
	e.Target = e.Fields["target"]
	delete(e.Fields, "target")
	if e.Kind == garden.KindHarvest {
		harvestForm(e.Fields)
	} else if _, dated := e.Fields["date"]; !dated && e.Kind != garden.KindCover {
		e.Fields["date"] = s.day().String()
	}
	if e.Kind == garden.KindHarvest && e.Fields["date"] == "" {
		e.Fields["date"] = s.day().String()
	}
	return e, nil
}

// harvestForm turns the walk's own fields into the diary's.
func harvestForm(f map[string]string) {
	if fresh := f["new-bed"]; fresh != "" && f["bed"] == "new" {
		if f["bed"] = "+" + strings.TrimPrefix(fresh, "+"); !strings.Contains(fresh, "/") {
			f["bed"] = "+" + f["garden"] + "/" + strings.TrimPrefix(fresh, "+")
		}
	}
	delete(f, "new-bed")
	delete(f, "garden")
	if f["crop"] == "nothing" {
		delete(f, "crop")
		f["nothing"] = "yes"
	}
	if f["mass"] != "" && f["weighing"] == "" {
		f["weighing"] = "weighed"
	}
	if f["tare"] != "" && f["mass"] != "" {
		f["gross"] = f["mass"]
		delete(f, "mass")
	} else {
		delete(f, "tare")
	}
}
