package web

import (
	"encoding/json"
	"net/http"
	"strings"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// noteForm takes a form sent without the script. Its id was made when the page was drawn, so a second sending is the same entry.
func (s *Server) noteForm(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		if tooLarge(err) {
			http.Error(w, "That is too much at once.", http.StatusRequestEntityTooLarge)
			return nil
		}
		return &garden.Error{Kind: garden.Invalid, Text: "the form cannot be read", Hint: "go back and send it again", Cause: err}
	}
	e, err := s.entryOf(r)
	if err != nil {
		return err
	}
	raw, err := json.Marshal(e)
	if err != nil {
		return err
	}
	receipt, err := s.Take(r.Context(), raw, s.device(r))
	if err != nil {
		return err
	}
	if receipt.Is == "refused" {
		return s.again(w, r, receipt.Why)
	}
	http.Redirect(w, r, "/note/"+r.PathValue("kind"), http.StatusSeeOther)
	return nil
}

// entryOf makes the entry a phone's script would have made of the form. The time it was drawn at is not known; the entry's bytes must be the same
// if the form comes twice, so they carry no clock.
func (s *Server) entryOf(r *http.Request) (Entry, error) {
	name := r.PathValue("kind")
	e := Entry{Kind: garden.KindHarvest, Action: diary.Add, Fields: map[string]string{}}
	if name != "harvest" {
		form, ok := formFor(name)
		if !ok {
			return e, &garden.Error{Kind: garden.Missing, Text: "there is no such thing to note", Hint: "choose one from the page Note"}
		}
		e.Kind, e.Action = form.Kind, form.Action
	}
	if err := e.ID.UnmarshalText([]byte(r.PostForm.Get("id"))); err != nil || e.ID.IsZero() {
		return e, &garden.Error{Kind: garden.Invalid, Text: "the form has no id", Hint: "open the page anew"}
	}
	for field, values := range r.PostForm {
		value := strings.Join(values, ",")
		if field == "id" || value == "" || strings.HasPrefix(field, "unit.") {
			continue
		}
		if unit := r.PostForm.Get("unit." + field); unit != "" && strings.Trim(value, "0123456789., ") == "" {
			value = strings.TrimSpace(value) + " " + unit
		}
		e.Fields[field] = value
	}
	if other := e.Fields["other-crop"]; other != "" {
		e.Fields["crop"] = other
	}
	delete(e.Fields, "other-crop")
	e.Target = e.Fields["target"]
	delete(e.Fields, "target")
	if e.Fields["date"] == "" || e.Fields["date"] == "today" {
		e.Fields["date"] = s.day().String()
	}
	return e, nil
}

// again shows the form with what was wrong, keeping its id: nothing was stored under it.
func (s *Server) again(w http.ResponseWriter, r *http.Request, why string) error {
	records, err := s.Book.Read(r.Context(), garden.Want{Kinds: diary.Needs(garden.KindHarvest)})
	if err != nil {
		return err
	}
	p := s.newNote("Note a harvest")
	p.Beds, p.Error, p.Amiss = walkOf(records), why, true
	name := r.PathValue("kind")
	if name == "harvest" {
		return s.render(w, r, http.StatusUnprocessableEntity, "walk", p)
	}
	form, _ := formFor(name)
	p.Title, p.Name, p.Form = form.Save, name, form
	return s.render(w, r, http.StatusUnprocessableEntity, "noteform", p)
}

// joinPage asks a phone for its code.
type joinPage struct {
	Page
	Build, Error string
}

func (s *Server) join(w http.ResponseWriter, r *http.Request) error {
	p := joinPage{Page: s.page("Join this phone", ""), Build: s.Build}
	p.Script = "join.js"
	return s.render(w, r, http.StatusOK, "join", p)
}

// joined trades the code for a cookie and keeps the phone as a device of the book.
func (s *Server) joined(w http.ResponseWriter, r *http.Request) error {
	if s.Phones == nil {
		return &garden.Error{Kind: garden.Refused, Text: "the door for phones is closed", Hint: "start the program with fairplot serve --share"}
	}
	if err := r.ParseForm(); err != nil {
		return &garden.Error{Kind: garden.Invalid, Text: "the form cannot be read", Hint: "go back and send it again", Cause: err}
	}
	name := strings.TrimSpace(r.PostForm.Get("name"))
	if name == "" {
		name = "a phone"
	}
	device := garden.Device{ID: garden.DeviceID(s.NewID()), Name: name, Since: s.day()}
	token, err := s.Phones.Join(strings.Join(strings.Fields(r.PostForm.Get("code")), ""), device.ID)
	if err != nil {
		p := joinPage{Page: s.page("Join this phone", ""), Build: s.Build, Error: err.Error()}
		p.Amiss = true
		status := http.StatusForbidden
		if err == error(errTooMany) {
			status = http.StatusTooManyRequests
		}
		return s.render(w, r, status, "join", p)
	}
	if err := s.addDevice(r, device); err != nil {
		return err
	}
	http.SetCookie(w, cookie(token, s.Secure))
	http.Redirect(w, r, "/note/harvest", http.StatusSeeOther)
	return nil
}

func (s *Server) addDevice(r *http.Request, d garden.Device) error {
	if err := d.Check(); err != nil {
		d.Name = "a phone"
	}
	body, err := garden.Encode(d)
	if err != nil {
		return err
	}
	_, err = s.Book.Apply(r.Context(), []garden.Operation{{ID: s.NewID(), Action: garden.Add, Kind: garden.KindDevice, Record: garden.ID(d.ID), Body: body, Made: s.Now()}})
	return err
}

// phonesPage joins phones and cuts them off.
type phonesPage struct {
	Page
	Open   bool
	Doors  []string
	Code   string
	QR     any
	Joined []phoneRow
}

type phoneRow struct{ ID, Name, Since string }

func (s *Server) phones(w http.ResponseWriter, r *http.Request) error { return s.showPhones(w, r, "") }

func (s *Server) showPhones(w http.ResponseWriter, r *http.Request, code string) error {
	if !fromLoopback(r) {
		return &garden.Error{Kind: garden.Refused, Text: "phones are joined and cut off on the home computer only", Hint: "open this page there"}
	}
	p := phonesPage{Page: s.page("Phones", ""), Open: s.Phones != nil, Code: code}
	if s.Phones == nil {
		return s.render(w, r, http.StatusOK, "phones", p)
	}
	p.Doors = s.Doors()
	if code != "" && len(p.Doors) > 0 {
		qr, err := qrCode(p.Doors[0] + "/join#" + code)
		if err != nil {
			return err
		}
		p.QR = qr
	}
	records, err := s.Book.Read(r.Context(), garden.Want{Kinds: []garden.Kind{garden.KindDevice}})
	if err != nil {
		return err
	}
	for _, d := range records.Devices {
		if s.Phones.has(d.ID) {
			p.Joined = append(p.Joined, phoneRow{d.ID.String(), d.Name, short(d.Since)})
		}
	}
	return s.render(w, r, http.StatusOK, "phones", p)
}

// phoneCode makes a code; only this computer may.
func (s *Server) phoneCode(w http.ResponseWriter, r *http.Request) error {
	if s.Phones == nil || !fromLoopback(r) {
		return &garden.Error{Kind: garden.Refused, Text: "codes are made on the home computer only", Hint: "open this page there, with the program started as fairplot serve --share"}
	}
	code, err := s.Phones.Code()
	if err != nil {
		return err
	}
	return s.showPhones(w, r, code)
}

func (s *Server) cutOff(w http.ResponseWriter, r *http.Request) error {
	id, err := garden.ParseID(r.PathValue("id"))
	if err != nil || s.Phones == nil || !fromLoopback(r) {
		return &garden.Error{Kind: garden.Refused, Text: "this phone cannot be cut off from here", Hint: "open the page Phones on the home computer"}
	}
	if err := s.Phones.CutOff(garden.DeviceID(id)); err != nil {
		return err
	}
	http.Redirect(w, r, "/phones", http.StatusSeeOther)
	return nil
}
