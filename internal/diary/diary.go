// Package diary is the one door by which records change: what somebody typed, tapped or brought in a file (short names,
// "yesterday", "2 barrows"), together with the records there are, gives operations to apply, or questions to ask back. It
// touches no store and no clock: it says what should be done, and somebody else does it.
package diary

import (
	"errors"
	"slices"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
	"fairplot/internal/word"
)

// Action is what a draft wants done.
type Action string

// The actions: the three of every record, then those of plantings, then those of harvests that wait to be sorted out.
const (
	Add    Action = "add"
	Change Action = "change"
	Remove Action = "remove"

	Thin  Action = "thin"
	Fill  Action = "fill"
	Resow Action = "resow"
	Stand Action = "stand"
	End   Action = "end"

	Place Action = "place"
)

// Draft is one line of the diary as it was written.
type Draft struct {
	Action Action
	Kind   garden.Kind
	Target string            // names the record that is changed: an id, or a short name such as "terrace/4 parsnip"
	Fields map[string]string // by the names of Fields(Kind); an empty text clears the field on Change
}

// Context is what a draft is read against. Nothing in it is changed.
type Context struct {
	Records *garden.Index
	Today   civil.Date
	Units   unit.Reader
	Dates   civil.Reader
	NewID   func() garden.ID // time-ordered ids
	Now     time.Time
	Person  garden.PersonID
	Device  garden.DeviceID
	// Asks says that somebody can answer: a missing date is then today, and what is ambiguous is asked. Without it (a
	// file) a date must be there, and a harvest that could be of several crops waits to be sorted out.
	Asks bool
}

// Outcome is what a draft comes to. Where there are Questions there are no Operations: answer by setting the field a question
// names, and hand the draft in again.
type Outcome struct {
	Operations []garden.Operation
	Records    []garden.Record // the record after each operation, nil for a removal
	Questions  []Question
	Flags      []string // kept all the same: "is this right?"
	Said       []string // what was understood
}

// Question is something only the writer of a draft can tell.
type Question struct {
	Field   string
	Asks    string
	Choices []Choice
}

// Choice is one answer: the text to put into the field, and what it means.
type Choice struct {
	Text string
	Says string
}

// Understand reads a draft. An error is a *garden.Error that names the field.
func Understand(c Context, d Draft) (Outcome, error) {
	n, ok := nouns[d.Kind]
	if !ok {
		return Outcome{}, &garden.Error{Kind: garden.Invalid, Text: "there are no entries of the kind " + quoted(string(d.Kind)),
			Hint: word.Hint(string(d.Kind), kindNames())}
	}
	r := &reading{Context: c, day: c.Today, fields: d.Fields, action: d.Action}
	if !c.Asks {
		r.day = civil.Date{}
	}
	if err := n.run(r, d); err != nil {
		return Outcome{}, err
	}
	if len(r.out.Questions) > 0 {
		return Outcome{Questions: r.out.Questions}, nil
	}
	return r.out, nil
}

// Follow brings the index in step with an outcome that was kept.
func Follow(x *garden.Index, o Outcome) {
	for i, op := range o.Operations {
		if op.Action == garden.Remove {
			x.Drop(op.Record)
		} else {
			x.Put(o.Records[i])
		}
	}
}

// needed are the kinds that names are looked up in, whatever is noted. All of them are small beside the diary itself.
var needed = []garden.Kind{
	garden.KindSite, garden.KindGarden, garden.KindBed, garden.KindCrop, garden.KindVariety, garden.KindPlanting, garden.KindMaterial,
	garden.KindMeasure, garden.KindSetting, garden.KindPerson,
}

// NeedsToAdd lists the kinds of record a new entry is read against, so that nobody reads a whole book to note one weight.
func NeedsToAdd(k garden.Kind) []garden.Kind {
	if slices.Contains(nameOnce, k) {
		return Needs(k)
	}
	return slices.Clone(needed)
}

// Needs lists the kinds of record a draft of the kind is read against that names a record of it.
func Needs(k garden.Kind) []garden.Kind {
	needs := slices.Clone(needed)
	if !slices.Contains(needs, k) {
		needs = append(needs, k)
	}
	return needs
}

// ToSortOut returns the harvests that belong to no planting yet, by day. They count in totals and enter no comparison.
func ToSortOut(x *garden.Index) []garden.Harvest { return x.Unplaced() }

// reading is one draft on its way through.
type reading struct {
	Context
	action Action
	fields map[string]string
	day    civil.Date // the day of the entry, as soon as it is known
	made   []garden.Record
	many   []garden.BedID // beds named where a record holds one: it is made once in each
	out    Outcome
}

func (r *reading) given(field string) bool { return r.fields[field] != "" }

func (r *reading) flag(texts ...string) { r.out.Flags = append(r.out.Flags, texts...) }

func (r *reading) said(text string) { r.out.Said = append(r.out.Said, text) }

func (r *reading) ask(field, asks string, choices ...Choice) {
	r.out.Questions = append(r.out.Questions, Question{Field: field, Asks: asks, Choices: choices})
}

// add makes the record under a new id.
func (r *reading) add(rec garden.Record) error {
	id := rec.Identity()
	if id.IsZero() {
		id = r.NewID()
	}
	return r.operate(garden.Add, garden.WithIdentity(rec, id, 1), 0)
}

func (r *reading) change(rec garden.Record) error {
	base := rec.Revision()
	return r.operate(garden.Change, garden.WithIdentity(rec, rec.Identity(), base+1), base)
}

func (r *reading) operate(a garden.Action, rec garden.Record, base int) error {
	if err := rec.Check(); err != nil {
		return err
	}
	body, err := garden.Encode(rec)
	if err != nil {
		return &garden.Error{Kind: garden.Internal, Text: "the entry cannot be written down", Cause: err}
	}
	r.put(garden.Operation{Action: a, Kind: rec.Kind(), Record: rec.Identity(), Base: base, Body: body}, rec)
	r.flag(garden.Doubtful(r.Records, rec, r.Today, r.made...)...)
	return nil
}

func (r *reading) remove(rec garden.Record) {
	r.put(garden.Operation{Action: garden.Remove, Kind: rec.Kind(), Record: rec.Identity(), Base: rec.Revision()}, nil)
}

func (r *reading) put(op garden.Operation, rec garden.Record) {
	op.ID, op.Made, op.Person, op.Device = r.NewID(), r.Now, r.Person, r.Device
	r.out.Operations = append(r.out.Operations, op)
	r.out.Records = append(r.out.Records, rec)
}

// create adds a record that the draft named without its being there, and gives it back with its id.
func create[T garden.Record](r *reading, rec T) (T, error) {
	id := r.NewID()
	v := garden.WithIdentity(rec, id, 1).(T)
	r.made = append(r.made, v)
	return v, r.operate(garden.Add, v, 0)
}

// find returns the record of the id, one that was made on the way included.
func find[T garden.Record](r *reading, id garden.Ref[T]) (T, bool) {
	for _, rec := range r.made {
		if v, ok := rec.(T); ok && rec.Identity() == garden.ID(id) {
			return v, true
		}
	}
	return garden.Find(r.Records, id)
}

func asError(err error) *garden.Error {
	var e *garden.Error
	if errors.As(err, &e) {
		return e
	}
	return &garden.Error{Kind: garden.Invalid, Text: err.Error(), Cause: err}
}

func quoted(s string) string { return "“" + s + "”" }

// Find looks up the record that somebody names; where the name fits several, a question with the choices comes back.
func Find(c Context, k garden.Kind, name string) (garden.Record, []Question, error) {
	n, ok := nouns[k]
	if !ok {
		return nil, nil, &garden.Error{Kind: garden.Invalid, Text: "there are no entries of the kind " + quoted(string(k)), Hint: word.Hint(string(k), kindNames())}
	}
	r := &reading{Context: c, day: c.Today}
	rec, err := n.find(r, name)
	return rec, r.out.Questions, err
}

// Beds reads the names of beds: "terrace/4", "terrace/1-3,5", "terrace".
func Beds(c Context, text string) ([]garden.BedID, error) {
	r := &reading{Context: c}
	r.Asks = false
	ids, err := r.beds(text)
	if err == nil && len(r.made) > 0 {
		return nil, &garden.Error{Kind: garden.Missing, Field: "bed", Text: "there is no bed " + quoted(text), Hint: word.Hint(text, r.bedNames())}
	}
	return ids, err
}
