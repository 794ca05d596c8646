package diary

import (
	"slices"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/word"
)

// Field is one thing that can be said of a record. Flags of the command line, columns of files and inputs of forms are
// drawn from it, so that all three know the same words.
type Field struct {
	Name    string   // "between-rows": a flag as it stands, a column head likewise
	Says    string   // what it is, for help and labels
	Example string   // one text it reads
	Type    Type     // what it holds, for the choice of an input and for completion
	Words   []string // the words it takes, where they are few
	Unit    string   // the SI unit its bare numbers stand in when a file is written, "" for none
	Typed   bool     // only a shorter way of writing other fields: never shown or exported
	Brief   bool     // shown in a list without being asked for
}

// Type says what a field holds.
type Type string

// The types of field.
const (
	Text         Type = "text"
	Word         Type = "word"
	Day          Type = "day"
	Quantity     Type = "quantity"
	Number       Type = "number"
	YesNo        Type = "yes or no"
	YesNoUnsaid  Type = "yes, no or not said"
	BedType      Type = "bed"
	BedsType     Type = "beds"
	GardenType   Type = "garden"
	SiteType     Type = "site"
	CropType     Type = "crop"
	PlantingType Type = "planting"
)

// noun is what the diary knows of one kind of record.
type noun interface {
	list() []Field
	run(r *reading, d Draft) error
	find(r *reading, name string) (garden.Record, error)
	cells(w *Writing, rec garden.Record) []string
	name(w *Writing, rec garden.Record) string
	tell(w *Writing, rec garden.Record) string
}

// field reads a text into a T and writes it back.
type field[T garden.Record] struct {
	Field
	read  func(r *reading, v *T, text string) error
	write func(w *Writing, v T) string
}

// nounOf is the diary's knowledge of the records of type T.
type nounOf[T garden.Record] struct {
	kind   garden.Kind
	fields []field[T]
	// settle completes a record once its fields are read: what was named in passing is looked up or made.
	settle func(r *reading, v *T) error
	// spread gives the records that one draft stands for: a crop sown in three beds is three plantings.
	spread func(r *reading, v T) ([]T, error)
	// says tells what was understood.
	says func(w *Writing, v T) string
	// title is the name it is asked for by; its own name if nil.
	title func(w *Writing, v T) string
	// acts holds the actions beyond adding, changing and removing.
	acts map[Action]act[T]
}

// act does something to a record that is more than changing its fields.
type act[T garden.Record] func(r *reading, n nounOf[T], v T) error

// Fields returns the fields of the kind in the order of forms and columns; nil for a kind the diary does not know.
func Fields(k garden.Kind) []Field {
	if n, ok := nouns[k]; ok {
		return n.list()
	}
	return nil
}

func (n nounOf[T]) list() []Field {
	out := make([]Field, len(n.fields))
	for i, f := range n.fields {
		out[i] = f.Field
	}
	return out
}

func (n nounOf[T]) run(r *reading, d Draft) error {
	if d.Action == Add {
		return n.add(r)
	}
	rec, err := n.target(r, d.Target)
	if err != nil || len(r.out.Questions) > 0 {
		return err
	}
	switch d.Action {
	case Change:
		return n.change(r, rec)
	case Remove:
		return n.remove(r, rec)
	}
	act, ok := n.acts[d.Action]
	if !ok {
		return &garden.Error{Kind: garden.Invalid, Text: word.A(string(n.kind)) + " has no " + quoted(string(d.Action))}
	}
	return act(r, n, rec)
}

func (n nounOf[T]) add(r *reading) error {
	var v T
	if err := n.fill(r, &v, ""); err != nil {
		return err
	}
	v, err := underID(r, v)
	if err != nil {
		return err
	}
	all := []T{v}
	if n.spread != nil {
		if all, err = n.spread(r, v); err != nil {
			return err
		}
	}
	if len(r.out.Questions) > 0 {
		return nil
	}
	for i, one := range all {
		var id garden.ID // what one line makes several of bears its id once, so that the line is known again
		if i == 0 {
			id = v.Identity()
		}
		if err := r.add(garden.WithIdentity(one, id, 0)); err != nil {
			return err
		}
		if r.Asks { // of a file's lines nobody is told one by one
			r.said(n.says(r.writing(), one))
		}
	}
	return nil
}

// underID gives the record the id that a file brought with it.
func underID[T garden.Record](r *reading, v T) (T, error) {
	text := r.fields["id"]
	if text == "" {
		return v, nil
	}
	id, err := garden.ParseID(text)
	if err != nil {
		return v, inField("id", invalid(err.Error(), "leave the id out to get a new one"))
	}
	if _, had := r.Records.Get(id); had {
		return v, &garden.Error{Kind: garden.Refused, Field: "id", Text: "there is a record of this id already", Hint: "change that one, or leave the id out"}
	}
	return garden.WithIdentity(v, id, 0).(T), nil
}

func (n nounOf[T]) change(r *reading, v T) error {
	if len(r.fields) == 0 {
		return &garden.Error{Kind: garden.Invalid, Text: "nothing is to be changed", Hint: "name a field, such as " + n.fields[0].Name}
	}
	exact := r.writing()
	exact.Exact = true
	before := n.cells(exact, v)
	if err := n.fill(r, &v, v.Identity().String()); err != nil || len(r.out.Questions) > 0 {
		return err
	}
	if slices.Equal(before, n.cells(exact, v)) {
		r.said("nothing changes: it already says so")
		return nil
	}
	if err := r.change(v); err != nil {
		return err
	}
	r.said(n.says(r.writing(), v))
	return nil
}

// fill reads the fields into v in the order of the table, then settles it. day-like fields come first in every table, so that names
// are looked up as of that day.
func (n nounOf[T]) fill(r *reading, v *T, old string) error {
	if err := n.unknown(r.fields); err != nil {
		return err
	}
	if day := (*v).Day(); old != "" && !day.IsZero() {
		r.day = day
	}
	for _, f := range n.fields {
		text, there := r.fields[f.Name]
		text = strings.TrimSpace(text)
		if !there || text == "" && old == "" {
			continue
		}
		if err := f.read(r, v, text); err != nil {
			return inField(f.Name, err)
		}
	}
	if len(r.out.Questions) > 0 {
		return nil
	}
	if err := n.free(r, *v); err != nil || n.settle == nil {
		return err
	}
	return n.settle(r, v)
}

// nameOnce are the kinds that entries name, so that two of one name could not be told apart. Gardens, beds and settings see to it
// themselves.
var nameOnce = []garden.Kind{garden.KindSite, garden.KindCrop, garden.KindVariety, garden.KindMaterial, garden.KindMeasure,
	garden.KindTrial, garden.KindPerson, garden.KindDevice}

// free refuses a second record of one name. A file may bring one all the same, for a book that two people wrote into may hold it.
func (n nounOf[T]) free(r *reading, v T) error {
	name := garden.Name(v)
	if name == "" || !slices.Contains(nameOnce, n.kind) || !r.given("name") {
		return nil
	}
	for _, id := range r.Records.Named(n.kind, name) {
		other, _ := r.Records.Get(id)
		if id == v.Identity() || n.kind == garden.KindVariety && garden.Fold(CropOf(r.Records, other)) != garden.Fold(CropOf(r.Records, v)) {
			continue
		}
		if r.given("id") {
			r.flag("there is " + word.A(string(n.kind)) + " " + quoted(name) + " already: is this right?")
			return nil
		}
		return &garden.Error{Kind: garden.Refused, Field: "name", Text: "there is " + word.A(string(n.kind)) + " " + quoted(name) + " already",
			Hint: "choose another name, or change that one"}
	}
	return nil
}

func inField(name string, err error) error {
	e := *asError(err)
	if e.Field == "" {
		e.Field = name
	}
	return &e
}

func (n nounOf[T]) unknown(fields map[string]string) error {
	for name := range fields {
		if name != "id" && !slices.ContainsFunc(n.fields, func(f field[T]) bool { return f.Name == name }) {
			return &garden.Error{Kind: garden.Invalid, Field: name, Text: word.A(string(n.kind)) + " has no such field", Hint: word.Hint(name, n.names())}
		}
	}
	return nil
}

func (n nounOf[T]) names() []string {
	var out []string
	for _, f := range n.fields {
		out = append(out, f.Name)
	}
	return out
}

func (n nounOf[T]) remove(r *reading, v T) error {
	if used := usedBy(r.Records, v); used != "" {
		return &garden.Error{Kind: garden.Refused, Text: n.name(r.writing(), v) + " is still named by " + used,
			Hint: "remove or change those first, or give it an end date instead"}
	}
	r.remove(v)
	r.said("removed: " + n.says(r.writing(), v))
	return nil
}

func (n nounOf[T]) cells(w *Writing, rec garden.Record) []string {
	v := rec.(T)
	out := make([]string, len(n.fields))
	for i, f := range n.fields {
		if !f.Typed {
			out[i] = f.write(w, v)
		}
	}
	return out
}

func (n nounOf[T]) name(w *Writing, rec garden.Record) string {
	if n.title != nil {
		return n.title(w, rec.(T))
	}
	if name := garden.Name(rec); name != "" {
		return name
	}
	return n.says(w, rec.(T))
}

func (n nounOf[T]) tell(w *Writing, rec garden.Record) string { return n.says(w, rec.(T)) }

// target finds the record that a draft names: by id, by the first digits of one, or by its short name.
func (n nounOf[T]) target(r *reading, text string) (T, error) {
	var none T
	text = strings.TrimSpace(text)
	if text == "" {
		return none, &garden.Error{Kind: garden.Invalid, Text: "which " + string(n.kind) + "?", Hint: "give its name or its id as the list shows it"}
	}
	ids := n.search(r, text)
	switch {
	case len(ids) == 1:
		v, _ := r.Records.Get(ids[0])
		return v.(T), nil
	case len(ids) > 1:
		var choices []Choice
		for _, id := range ids[:min(len(ids), 12)] {
			v, _ := r.Records.Get(id)
			choices = append(choices, Choice{Text: id.String(), Says: n.says(r.writing(), v.(T))})
		}
		r.ask("target", quoted(text)+" could be several", choices...)
		return none, nil
	}
	hint := word.Hint(text, n.known(r))
	if n.kind == garden.KindPlanting {
		hint = r.plantingHint(text)
	}
	return none, &garden.Error{Kind: garden.Missing, Text: "there is no " + string(n.kind) + " " + quoted(text), Hint: hint}
}

func (n nounOf[T]) find(r *reading, name string) (garden.Record, error) { return n.target(r, name) }

func (n nounOf[T]) search(r *reading, text string) []garden.ID {
	if id, err := garden.ParseID(text); err == nil {
		if _, ok := garden.Find(r.Records, garden.Ref[T](id)); ok {
			return []garden.ID{id}
		}
		return nil
	}
	if ids := n.byName(r, text); len(ids) > 0 {
		return ids
	}
	return shortID(r.Records, n.kind, text)
}

func (n nounOf[T]) byName(r *reading, text string) []garden.ID {
	switch n.kind {
	case garden.KindBed:
		return untyped(r.bedsNamed(text))
	case garden.KindPlanting:
		return untyped(r.plantingsNamed(text))
	}
	return r.Records.Named(n.kind, text)
}

func (n nounOf[T]) known(r *reading) []string {
	switch n.kind {
	case garden.KindBed:
		return r.bedNames()
	case garden.KindPlanting:
		return r.plantingNames()
	}
	return r.Records.Names(n.kind)
}

func untyped[T any](ids []garden.Ref[T]) []garden.ID {
	var out []garden.ID
	for _, id := range ids {
		out = append(out, garden.ID(id))
	}
	return out
}

// shortID finds records by the last eight or more digits of their id: its first ones are the time, alike in a batch.
func shortID(x *garden.Index, k garden.Kind, text string) []garden.ID {
	if len(text) < 8 {
		return nil
	}
	var out []garden.ID
	for _, id := range x.All(k) {
		if strings.HasSuffix(id.String(), strings.ToLower(text)) {
			out = append(out, id)
		}
	}
	return out
}

// Short is the short form of an id that lists show and targets take.
func Short(id garden.ID) string {
	s := id.String()
	if len(s) < 8 {
		return s
	}
	return s[len(s)-8:]
}

func kindNames() []string {
	var out []string
	for _, k := range garden.Kinds() {
		if _, ok := nouns[k]; ok {
			out = append(out, string(k))
		}
	}
	return out
}
