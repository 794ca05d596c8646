package web

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// Take keeps entries as they were written, each exactly once, and returns their receipts in the same order. An error is the book's,
// not an entry's: then nothing was promised.
func (s *Server) Take(ctx context.Context, written []string, from garden.DeviceID) ([]Receipt, error) {
	got, err := s.together(ctx, written, from)
	if len(written) < 2 || !refusedKind(err) {
		return got, err
	}
	got = nil // one of them cannot be kept and took the others with it: each by itself
	for _, one := range written {
		g, err := s.together(ctx, []string{one}, from)
		if err != nil {
			return nil, err
		}
		got = append(got, g...)
	}
	return got, nil
}

func (s *Server) together(ctx context.Context, written []string, from garden.DeviceID) ([]Receipt, error) {
	var got []Receipt
	err := s.alone(ctx, func(l *live) error {
		t := &taking{Server: s, ctx: ctx, live: l, from: from, hash: map[garden.ID][]byte{}}
		for _, one := range written {
			if err := t.take(one); err != nil {
				l.forget()
				return err
			}
		}
		err := t.flush()
		got = t.got
		return err
	})
	if len(written) == 1 && refusedKind(err) {
		var e Entry
		_ = json.Unmarshal([]byte(written[0]), &e) // it was read before
		return []Receipt{{ID: e.ID.String(), Is: isRefused, Why: err.Error()}}, nil
	}
	return got, err
}

// refusedKind reports whether an error is about what was written, so that it would be the same next time.
func refusedKind(err error) bool {
	var known *garden.Error
	return errors.As(err, &known) && slices.Contains([]garden.ErrorKind{garden.Invalid, garden.Missing, garden.Ambiguous, garden.Refused, garden.Conflict}, known.Kind)
}

// taking is one sending on its way into the book: understood one by one, kept in one go.
type taking struct {
	*Server
	ctx  context.Context
	live *live
	from garden.DeviceID
	got  []Receipt
	ops  []garden.Operation
	hash map[garden.ID][]byte // of entries understood but not kept yet
}

func (t *taking) answer(e Entry, is, why string) error {
	t.got = append(t.got, Receipt{ID: e.ID.String(), Is: is, Why: why})
	return nil
}

func (t *taking) take(written string) error {
	var e Entry
	if err := json.Unmarshal([]byte(written), &e); err != nil || e.ID.IsZero() {
		return t.answer(e, isRefused, "it cannot be read")
	}
	sum := sha256.Sum256([]byte(written))
	before, had, err := t.had(e.ID)
	switch {
	case err != nil:
		return err
	case had && string(before) == string(sum[:]):
		return t.answer(e, isHad, "")
	case had:
		return t.answer(e, isRefused, "another entry has this id")
	case !slices.Contains(fromPhones[e.Kind], e.Action):
		return t.answer(e, isRefused, "this is nothing that is noted on a phone")
	case e.Action == diary.Remove:
		return t.takeBack(e, sum[:])
	}
	outcome, err := t.understand(e)
	if refusedKind(err) {
		return t.answer(e, isRefused, err.Error())
	}
	if err != nil {
		return err
	}
	return t.pend(e, outcome, sum[:])
}

func (t *taking) had(id garden.ID) ([]byte, bool, error) {
	if h, ok := t.hash[id]; ok {
		return h, true, nil
	}
	op, had, err := t.Book.Had(t.ctx, id)
	return op.Sent, had, err
}

// understand reads an entry through the diary's door against the records as they are now. A weighing whose bed is not there (any
// more) is not refused for that: it waits to be sorted out.
func (t *taking) understand(e Entry) (diary.Outcome, error) {
	c := t.reader(t.live, t.madeAt(e), t.from)
	d := diary.Draft{Action: e.Action, Kind: e.Kind, Target: e.Target, Fields: e.Fields}
	if e.Kind == garden.KindHarvest && t.unknownBed(e.Fields["bed"]) {
		d.Fields = withoutBed(e.Fields)
	}
	out, err := diary.Understand(c, d)
	var known *garden.Error
	if e.Kind == garden.KindHarvest && errors.As(err, &known) && known.Kind == garden.Missing && known.Field == "bed" && e.Fields["crop"] != "" {
		d.Fields = withoutBed(e.Fields)
		out, err = diary.Understand(c, d)
	}
	if err == nil && len(out.Questions) > 0 {
		return out, &garden.Error{Kind: garden.Ambiguous, Text: out.Questions[0].Asks, Hint: "write it again with the full name"}
	}
	return out, err
}

// unknownBed reports whether a bed is named by an id that the book does not have.
func (t *taking) unknownBed(text string) bool {
	id, err := garden.ParseID(text)
	if err != nil || id.IsZero() {
		return false
	}
	_, there := t.live.index.Get(id)
	return !there
}

func withoutBed(fields map[string]string) map[string]string {
	out := maps.Clone(fields)
	out["note"] = strings.TrimSpace(fields["note"] + " noted for the bed " + fields["bed"] + ", which is not there")
	out["bed"] = "don't know"
	return out
}

// reader is the diary's context for entries of the pages: nobody is asked back, so what is ambiguous waits to be sorted out.
func (s *Server) reader(l *live, made time.Time, from garden.DeviceID) diary.Context {
	day := civil.FromTime(made)
	set := settingsOf(l.index)
	return diary.Context{Records: l.index, Today: day, Units: diary.Units(set), Dates: diary.Dates(set, day), NewID: s.NewID, Now: made, Device: from}
}

// madeAt is the time by the phone's clock, else ours. A clock that is wrong by years is told on the phone; the entry's date is a
// fact that can be changed, and what is unlikely about it is asked.
func (s *Server) madeAt(e Entry) time.Time {
	if t, err := time.Parse(time.RFC3339, e.At); err == nil {
		return t
	}
	return s.Now()
}

// pend gets what an entry came to ready. The last operation carries the entry's id and what was written; the others have ids that
// follow from it, so that all of them are found again when it is taken back.
func (t *taking) pend(e Entry, o diary.Outcome, sum []byte) error {
	last := len(o.Operations) - 1
	if last < 0 {
		return t.answer(e, isRefused, "there is nothing in it to keep")
	}
	for i := range o.Operations {
		o.Operations[i].ID = sibling(e.ID, last-i)
	}
	o.Operations[last].Sent = sum
	if made := t.madeAt(e); made.Sub(t.Now()) > clockSlack {
		o.Flags = append(o.Flags, "by its phone's clock it was noted on "+short(civil.FromTime(made))+", which lies in the future")
	}
	t.follow(o)
	t.ops = append(t.ops, o.Operations...)
	t.hash[e.ID] = sum
	return t.answer(e, isNew, strings.Join(o.Flags, "; "))
}

// follow brings the index in step, so that the next entry is read against this one.
func (t *taking) follow(o diary.Outcome) {
	for i, op := range o.Operations {
		if op.Action == garden.Remove {
			t.live.drop(op.Record)
		} else {
			t.live.put(o.Records[i])
		}
	}
}

// flush keeps what is pending: one transaction, one wait for the disk.
func (t *taking) flush() error {
	if len(t.ops) == 0 {
		return nil
	}
	_, err := t.Book.Keep(t.ctx, t.ops)
	if err != nil {
		t.live.forget()
		return err
	}
	if version, err := t.Book.Version(t.ctx); err == nil && version == t.live.version+int64(len(t.ops)) {
		t.live.version = version // else somebody else wrote too: the next look follows all of it
	}
	t.ops = nil
	clear(t.hash)
	return nil
}

// sibling is the id of the nth further operation of one entry.
func sibling(id garden.ID, n int) garden.ID {
	id[15] ^= byte(n)
	id[14] ^= byte(n >> 8)
	return id
}
