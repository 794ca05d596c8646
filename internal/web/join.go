package web

import (
	"context"
	"errors"
	"net/http"
	"strings"

	"fairplot/internal/garden"
)

// joinPage asks a phone for its code.
type joinPage struct {
	Page
	Build, Error, Code, Name string
	Back                     link
	Saved                    bool
	Secure                   bool
	Refuses                  bool // the browser keeps no cookies
	Spent                    bool // and the code was used up before that showed
}

func (s *Server) newJoin() joinPage {
	p := joinPage{Page: s.page("Join this phone", ""), Build: s.Build, Secure: s.Secure}
	p.Script = "join.js"
	return p
}

func (s *Server) join(w http.ResponseWriter, r *http.Request) error {
	p := s.newJoin()
	if r.URL.Query().Has("forgotten") {
		p.Refuses, p.Spent, p.Amiss = true, true, true
	}
	http.SetCookie(w, trial())
	return s.render(w, r, http.StatusOK, "join", p)
}

// trial is a cookie that comes with the joining page and must come back with its form, so that a browser that refuses cookies is told before its code
// is spent; the page's script looks for it, too. Never Secure: the plain door could not set it anew beside one of the other door.
func trial() *http.Cookie {
	return &http.Cookie{Name: "fairplot-trial", Value: "1", Path: "/join", MaxAge: 24 * 60 * 60, SameSite: http.SameSiteLaxMode}
}

// joined trades the code for a cookie and keeps the phone as a device of the book.
func (s *Server) joined(w http.ResponseWriter, r *http.Request) error {
	if s.Phones == nil {
		return &garden.Error{Kind: garden.Refused, Text: "the door for phones is closed", Hint: "start the program with fairplot serve --share"}
	}
	if err := readForm(r); err != nil {
		return err
	}
	name := strings.TrimSpace(r.PostForm.Get("name"))
	if _, err := r.Cookie(trial().Name); err != nil {
		p := s.newJoin()
		p.Code, p.Name, p.Refuses, p.Amiss = r.PostForm.Get("code"), name, true, true
		http.SetCookie(w, trial())
		return s.render(w, r, http.StatusForbidden, "join", p)
	}
	device := garden.Device{ID: garden.DeviceID(s.NewID()), Name: name, Since: s.day()}
	if device.Check() != nil {
		device.Name = "a phone"
	}
	token, err := s.Phones.Join(strings.Join(strings.Fields(r.PostForm.Get("code")), ""), device.ID)
	if err != nil {
		var known *garden.Error
		if !errors.As(err, &known) {
			return err
		}
		p := s.newJoin()
		p.Error, p.Name, p.Amiss = known.Text+"; "+known.Hint, name, true
		status := http.StatusForbidden
		if known.Kind == garden.Busy {
			status = http.StatusTooManyRequests
		}
		return s.render(w, r, status, "join", p)
	}
	if err := s.keepRecord(r.Context(), garden.Add, device); err != nil {
		return err
	}
	http.SetCookie(w, cookie(token, s.Secure))
	http.Redirect(w, r, "/note/harvest?joined", http.StatusSeeOther)
	return nil
}

// keepRecord adds or changes one record that no diary line is about.
func (s *Server) keepRecord(ctx context.Context, a garden.Action, rec garden.Record) error {
	if err := rec.Check(); err != nil {
		return err
	}
	body, err := garden.Encode(rec)
	if err != nil {
		return err
	}
	op := garden.Operation{ID: s.NewID(), Action: a, Kind: rec.Kind(), Record: rec.Identity(), Body: body, Made: s.Now()}
	if a == garden.Change {
		op.Base = rec.Revision()
	}
	_, err = s.Book.Keep(ctx, []garden.Operation{op})
	return err
}

// phonesPage joins phones and cuts them off.
type phonesPage struct {
	Page
	Door, Safe        []string
	Code              string
	QR                any
	Joined            []phoneRow
	Fingerprint       string
	CertificateAtDoor string
}

type phoneRow struct{ ID, Name, Since string }

func (s *Server) phones(w http.ResponseWriter, r *http.Request) error { return s.showPhones(w, r, "") }

func (s *Server) showPhones(w http.ResponseWriter, r *http.Request, code string) error {
	if !fromDesk(r) {
		return &garden.Error{Kind: garden.Refused, Text: "phones are joined and cut off on the home computer only", Hint: "open this page there"}
	}
	p := phonesPage{Page: s.page("Phones", ""), Code: code}
	if s.Phones == nil {
		return s.render(w, r, http.StatusOK, "phones", p)
	}
	p.Door = s.Doors()
	if s.Authority != nil {
		p.Safe, p.Fingerprint = s.Safe(), s.Authority.Fingerprint()
		if len(p.Door) > 0 {
			p.CertificateAtDoor = p.Door[0] + "/ca.crt"
		}
	}
	if code != "" && len(p.Door) > 0 {
		qr, err := qrCode(p.Door[0] + "/join#" + code)
		if err != nil {
			return err
		}
		p.QR = qr
	}
	err := s.look(r.Context(), func(l *live) error {
		for _, id := range l.index.All(garden.KindDevice) {
			d, _ := garden.Find(l.index, garden.DeviceID(id))
			if s.Phones.has(d.ID) {
				p.Joined = append(p.Joined, phoneRow{d.ID.String(), d.Name, short(d.Since)})
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "phones", p)
}

// phoneCode makes a code; only this computer may.
func (s *Server) phoneCode(w http.ResponseWriter, r *http.Request) error {
	if s.Phones == nil || !fromDesk(r) {
		return &garden.Error{Kind: garden.Refused, Text: "codes are made on the home computer only", Hint: "open this page there, with the program started as fairplot serve --share"}
	}
	code, err := s.Phones.Code()
	if err != nil {
		return err
	}
	return s.showPhones(w, r, code)
}

// cutOff shuts a phone out. What it still holds is not lost: joined again, it sends it.
func (s *Server) cutOff(w http.ResponseWriter, r *http.Request) error {
	id, err := garden.ParseID(r.PathValue("id"))
	if err != nil || s.Phones == nil || !fromDesk(r) {
		return &garden.Error{Kind: garden.Refused, Text: "this phone cannot be cut off from here", Hint: "open the page Phones on the home computer"}
	}
	if err := s.Phones.CutOff(garden.DeviceID(id)); err != nil {
		return err
	}
	var device garden.Device
	var known bool
	err = s.look(r.Context(), func(l *live) error { device, known = garden.Find(l.index, garden.DeviceID(id)); return nil })
	if err == nil && known {
		device.CutOff = s.day()
		err = s.keepRecord(r.Context(), garden.Change, device)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/phones", http.StatusSeeOther)
	return nil
}

// certificate gives a phone the certificate of this home to install. It is no secret; the page Phones shows its fingerprint.
func (s *Server) certificate(w http.ResponseWriter, _ *http.Request) error {
	if s.Authority == nil {
		return &garden.Error{Kind: garden.Missing, Text: "this home has no certificate", Hint: "start the program with fairplot serve --share --safe"}
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	w.Header().Set("Content-Disposition", `attachment; filename="fairplot-home.crt"`)
	_, err := w.Write(s.Authority.Certificate())
	return err
}
