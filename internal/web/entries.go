package web

import (
	"encoding/json"
	"net/http"
	"strings"
	"time"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// Entry is one line as a phone wrote it. Its bytes are kept exactly as they were made and are sent unchanged every time, so that the same id with the
// same bytes is known again.
type Entry struct {
	ID     garden.ID         `json:"id"`
	At     string            `json:"at"` // by the phone's clock, with its offset
	Kind   garden.Kind       `json:"kind"`
	Action diary.Action      `json:"action"` // remove takes back the entry that Target names
	Target string            `json:"target,omitempty"`
	Fields map[string]string `json:"fields"`
	Says   string            `json:"says,omitempty"` // in words, as the phone showed it
}

// Receipt is the answer to one entry, by its id. Is: new; had, it was here before; refused, with the reason; later, it waits for an
// entry of another phone that it takes back.
type Receipt struct {
	ID  string `json:"id"`
	Is  string `json:"is"`
	Why string `json:"why,omitempty"`
}

// The receipts.
const (
	isNew     = "new"
	isHad     = "had"
	isRefused = "refused"
	isLater   = "later"
)

type receipts struct {
	Book  string    `json:"book"`
	Build string    `json:"build"`
	Now   string    `json:"now"`
	Got   []Receipt `json:"got"`
}

// entriesLimit is the most entries that one sending may carry.
const entriesLimit = 200

// entries takes what a phone held. Everything new is on the disk before the answer goes out.
func (s *Server) entries(w http.ResponseWriter, r *http.Request) error {
	if kind := r.Header.Get("Content-Type"); !strings.HasPrefix(kind, "application/json") {
		http.Error(w, "Entries are sent as JSON.", http.StatusUnsupportedMediaType)
		return nil
	}
	var sent struct {
		Entries []string `json:"entries"`
	}
	if err := json.NewDecoder(r.Body).Decode(&sent); err != nil {
		if tooLarge(err) {
			http.Error(w, "That is too much at once.", http.StatusRequestEntityTooLarge)
			return nil
		}
		http.Error(w, "This is not what a phone sends.", http.StatusBadRequest)
		return nil
	}
	if len(sent.Entries) > entriesLimit {
		http.Error(w, "That is too many entries at once.", http.StatusRequestEntityTooLarge)
		return nil
	}
	got, err := s.Take(r.Context(), sent.Entries, s.device(r))
	if err != nil {
		return err
	}
	return s.receipts(w, r, got)
}

func (s *Server) receipts(w http.ResponseWriter, r *http.Request, got []Receipt) error {
	id, err := s.Book.ID(r.Context())
	if err != nil {
		return err
	}
	if got == nil {
		got = []Receipt{}
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	return json.NewEncoder(w).Encode(receipts{Book: id.String(), Build: s.Build, Now: s.Now().Format(time.RFC3339), Got: got})
}

// device is the phone a request comes from; zero at the table.
func (s *Server) device(r *http.Request) garden.DeviceID {
	if s.Phones == nil {
		return garden.DeviceID{}
	}
	id, _ := s.Phones.Of(r, s.Secure)
	return id
}

// fromPhones are the kinds and actions that an entry may be of: the diary's, but nothing that sets the book up.
var fromPhones = map[garden.Kind][]diary.Action{
	garden.KindHarvest:     {diary.Add, diary.Remove},
	garden.KindPlanting:    {diary.Add, diary.Remove, diary.Thin, diary.Fill, diary.Resow, diary.Stand, diary.End},
	garden.KindCultivation: {diary.Add, diary.Remove},
	garden.KindAmendment:   {diary.Add, diary.Remove},
	garden.KindWatering:    {diary.Add, diary.Remove},
	garden.KindWork:        {diary.Add, diary.Remove},
	garden.KindMeasurement: {diary.Add, diary.Remove},
	garden.KindCover:       {diary.Add, diary.Remove},
	garden.KindLoss:        {diary.Add, diary.Remove},
	garden.KindNote:        {diary.Add, diary.Remove},
}
