package web

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"net/http"
	"strings"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// Entry is one line as a phone wrote it. Its bytes are kept exactly as they were made and are sent unchanged every time, so that the same id with the
// same bytes is known again.
type Entry struct {
	ID     garden.ID         `json:"id"`
	At     string            `json:"at"` // by the phone's clock, with its offset
	Kind   garden.Kind       `json:"kind"`
	Action diary.Action      `json:"action"`
	Target string            `json:"target,omitempty"`
	Fields map[string]string `json:"fields"`
	Says   string            `json:"says,omitempty"`
}

// got is the receipt of one entry, by its id.
type got struct {
	ID  string `json:"id"`
	Is  string `json:"is"` // new, had, refused
	Why string `json:"why,omitempty"`
}

type receipts struct {
	Book  string `json:"book"`
	Build string `json:"build"`
	Got   []got  `json:"got"`
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
	id, err := s.Book.ID(r.Context())
	if err != nil {
		return err
	}
	out := receipts{Book: id.String(), Build: s.Build}
	for _, raw := range sent.Entries {
		g, err := s.Take(r.Context(), []byte(raw), s.device(r))
		if err != nil {
			return err
		}
		out.Got = append(out.Got, g)
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	return json.NewEncoder(w).Encode(out)
}

// Take keeps one entry exactly once and returns its receipt. An error is the book's, not the entry's: then nothing was promised.
func (s *Server) Take(ctx context.Context, raw []byte, from garden.DeviceID) (got, error) {
	var e Entry
	if err := json.Unmarshal(raw, &e); err != nil || e.ID.IsZero() {
		return got{ID: e.ID.String(), Is: "refused", Why: "it cannot be read"}, nil
	}
	sum := sha256.Sum256(raw)
	before, had, err := s.Book.Had(ctx, e.ID)
	if err != nil {
		return got{}, err
	}
	if had {
		if string(before.Sent) == string(sum[:]) {
			return got{ID: e.ID.String(), Is: "had"}, nil
		}
		return got{ID: e.ID.String(), Is: "refused", Why: "another entry has this id"}, nil
	}
	if e.Action == diary.Remove {
		return s.takeVoid(ctx, e, sum[:], from)
	}
	outcome, err := s.understand(ctx, e, from)
	if err != nil {
		return refusal(e, err)
	}
	if len(outcome.Questions) > 0 {
		return got{ID: e.ID.String(), Is: "refused", Why: outcome.Questions[0].Asks}, nil
	}
	return s.keep(ctx, e, outcome, sum[:])
}

// refusal turns an error of reading into a receipt; an error of the book itself stays one.
func refusal(e Entry, err error) (got, error) {
	var known *garden.Error
	if errors.As(err, &known) && (known.Kind == garden.Invalid || known.Kind == garden.Missing || known.Kind == garden.Ambiguous || known.Kind == garden.Refused) {
		return got{ID: e.ID.String(), Is: "refused", Why: known.Error()}, nil
	}
	return got{}, err
}

// understand reads an entry through the diary's door against the records as they are now.
func (s *Server) understand(ctx context.Context, e Entry, from garden.DeviceID) (diary.Outcome, error) {
	records, err := s.Book.Read(ctx, garden.Want{Kinds: diary.Needs(e.Kind)})
	if err != nil {
		return diary.Outcome{}, err
	}
	made := s.madeAt(e)
	return diary.Understand(s.reader(records, made, from), diary.Draft{Action: e.Action, Kind: e.Kind, Target: e.Target, Fields: e.Fields})
}

// reader is the diary's context for entries of the pages: nobody is asked back, so what is ambiguous waits to be sorted out.
func (s *Server) reader(r garden.Records, made time.Time, from garden.DeviceID) diary.Context {
	day := civil.FromTime(made)
	return diary.Context{Records: garden.NewIndex(r), Today: day, Units: diary.Units(r), Dates: diary.Dates(r, day), NewID: s.NewID, Now: made, Device: from}
}

// madeAt is the time by the phone's clock, else ours. A clock that is wrong by years is the phone's own affair: the entry's date is a fact that can be
// changed, and what is unlikely about it is asked.
func (s *Server) madeAt(e Entry) time.Time {
	if t, err := time.Parse(time.RFC3339, e.At); err == nil {
		return t
	}
	return s.Now()
}

// keep applies what an entry came to. The last operation carries the entry's id: an entry whose beds or crops had to be made first is only had
// once all of it is there, and all of it goes in as one transaction.
func (s *Server) keep(ctx context.Context, e Entry, o diary.Outcome, sum []byte) (got, error) {
	last := len(o.Operations) - 1
	if last < 0 {
		return got{ID: e.ID.String(), Is: "refused", Why: "there is nothing in it to keep"}, nil
	}
	for i := range o.Operations {
		o.Operations[i].ID = sibling(e.ID, last-i)
	}
	o.Operations[last].Sent = sum
	if o.Operations[last].Action == garden.Add && len(o.Operations) == 1 {
		o.Operations[last].Record = e.ID // so that a later entry of the phone can name it
	}
	receipts, err := s.Book.Apply(ctx, o.Operations)
	if err != nil {
		return refusal(e, err)
	}
	r := receipts[last]
	if r.Outcome == garden.RefusedOut {
		return got{ID: e.ID.String(), Is: "refused", Why: r.Says}, nil
	}
	return got{ID: e.ID.String(), Is: "new", Why: strings.Join(o.Flags, "; ")}, nil
}

// sibling is the id of the nth further operation of one entry, so that all of them are found again when it is taken back.
func sibling(id garden.ID, n int) garden.ID {
	id[15] ^= byte(n)
	id[14] ^= byte(n >> 8)
	return id
}

// takeVoid takes an entry back: the operation that it became is undone, under the id of the void.
func (s *Server) takeVoid(ctx context.Context, e Entry, sum []byte, from garden.DeviceID) (got, error) {
	target, err := garden.ParseID(e.Target)
	if err != nil {
		return got{ID: e.ID.String(), Is: "refused", Why: "it does not say what is taken back"}, nil
	}
	by := garden.Operation{ID: e.ID, Made: s.madeAt(e), Device: from, Sent: sum}
	receipt, err := s.Book.Undo(ctx, target, by)
	if err != nil {
		return refusal(e, err)
	}
	for n := 1; ; n++ {
		_, had, err := s.Book.Had(ctx, sibling(target, n))
		if err != nil {
			return got{}, err
		}
		if !had {
			break
		}
		by.ID = sibling(e.ID, n)
		if _, err := s.Book.Undo(ctx, sibling(target, n), by); err != nil {
			break // what was made in passing is in use meanwhile and stays
		}
	}
	switch receipt.Outcome {
	case garden.Kept:
		return got{ID: e.ID.String(), Is: "new"}, nil
	case garden.Had:
		return got{ID: e.ID.String(), Is: "had"}, nil
	}
	return got{ID: e.ID.String(), Is: "refused", Why: receipt.Says}, nil
}

// device is the phone a request comes from; zero at the table.
func (s *Server) device(r *http.Request) garden.DeviceID {
	if s.Phones == nil {
		return garden.DeviceID{}
	}
	id, _ := s.Phones.Of(r, s.Secure)
	return id
}
