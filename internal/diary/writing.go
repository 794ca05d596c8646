package diary

import (
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// Writing is how fields are turned back into text: for people, or exactly, so that reading gives the same record.
type Writing struct {
	Records *garden.Index
	Units   unit.Reader // its system and currency
	Exact   bool        // bare SI numbers, ISO dates, names only where they are unique
	made    []garden.Record
}

func (r *reading) writing() *Writing {
	return &Writing{Records: r.Records, Units: r.Units, made: r.made}
}

// Cells returns the texts of the record's fields in the order of Fields; those that are only typed are empty.
func Cells(w *Writing, rec garden.Record) []string {
	if n, ok := nouns[rec.Kind()]; ok {
		return n.cells(w, rec)
	}
	return nil
}

// NameOf returns what the record goes by: its name, or a few words about it.
func NameOf(w *Writing, rec garden.Record) string {
	if n, ok := nouns[rec.Kind()]; ok {
		return n.name(w, rec)
	}
	return Short(rec.Identity())
}

// Date writes a day.
func (w *Writing) Date(d civil.Date) string {
	if w.Exact {
		return d.String()
	}
	return d.Words()
}

// When writes a day with its precision.
func (w *Writing) When(d civil.When) string {
	if w.Exact {
		return d.String()
	}
	return d.Words()
}

func (w *Writing) mass(m unit.Mass) string {
	if w.Exact {
		return plain(float64(m))
	}
	return m.Format(w.Units.System)
}

func (w *Writing) length(l unit.Length) string {
	if w.Exact {
		return plain(float64(l))
	}
	return l.Format(w.Units.System)
}

func (w *Writing) area(a unit.Area) string {
	if w.Exact {
		return plain(float64(a))
	}
	return a.Format(w.Units.System)
}

func (w *Writing) volume(v unit.Volume) string {
	if w.Exact {
		return plain(float64(v))
	}
	return v.Format(w.Units.System)
}

// time is written in minutes for files, in which all but odd seconds are whole.
func (w *Writing) time(t unit.Time) string {
	if !w.Exact {
		return t.Format(w.Units.System)
	}
	if minutes := t / unit.Minute; minutes*unit.Minute == t {
		return plain(float64(minutes))
	}
	return plain(float64(t)) + " s"
}

func (w *Writing) temperature(t unit.Temperature) string {
	if w.Exact {
		return plain(float64(t))
	}
	return t.Format(w.Units.System)
}

func (w *Writing) density(d unit.Density) string {
	if w.Exact {
		return plain(float64(d))
	}
	return d.Format(w.Units.System)
}

func (w *Writing) money(m unit.Money) string {
	if w.Exact {
		return m.Format("")
	}
	return m.Format(w.Units.Currency)
}

func (w *Writing) share(s float64) string {
	if w.Exact {
		return plain(s)
	}
	return unit.FormatShare(s)
}

// Beds writes short names with commas between; an id where a name is not unique or would not be read back.
func (w *Writing) Beds(ids []garden.BedID) string {
	var out []string
	for _, id := range ids {
		out = append(out, w.Bed(id))
	}
	return strings.Join(out, ", ")
}

// Bed writes the short name of a bed.
func (w *Writing) Bed(id garden.BedID) string {
	if id.IsZero() {
		return ""
	}
	name := (&reading{Context: Context{Records: w.Records}, made: w.made}).bedName(id)
	if w.Exact && (len(w.Records.BedNamed(name)) != 1 || strings.Contains(name, ",")) {
		return id.String()
	}
	return name
}

// Planting writes the short name of a planting, an id where that is not unique.
func (w *Writing) Planting(id garden.PlantingID) string {
	if id.IsZero() {
		return ""
	}
	r := &reading{Context: Context{Records: w.Records}, made: w.made}
	p, ok := find(r, id)
	if !ok {
		return id.String()
	}
	if w.Exact && (w.Records.SameName(p) || w.Bed(p.Bed) != w.Records.BedName(p.Bed) || p.Date.IsZero()) {
		return id.String()
	}
	name := r.bedName(p.Bed) + " " + p.Crop
	if !p.Date.IsZero() {
		name += " " + p.Date.Date.String()
	}
	return name
}

// planting finds a planting, one made on the way included.
func (w *Writing) planting(id garden.PlantingID) (garden.Planting, bool) {
	return find(&reading{Context: Context{Records: w.Records}, made: w.made}, id)
}

// named writes the name of a record, or its id where the name is not unique.
func (w *Writing) named(k garden.Kind, id garden.ID) string {
	if id.IsZero() {
		return ""
	}
	for _, rec := range w.made {
		if rec.Identity() == id {
			return garden.Name(rec)
		}
	}
	rec, ok := w.Records.Get(id)
	if !ok || w.Exact && len(w.Records.Named(k, garden.Name(rec))) != 1 {
		return id.String()
	}
	return garden.Name(rec)
}

// sentence joins what is not empty with blanks.
func sentence(words ...string) string {
	var out []string
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}

// with puts a word before a text, if there is a text.
func with(word, text string) string {
	if text == "" {
		return ""
	}
	return word + " " + text
}

// Says tells a record in a few words, as an entry is said back.
func Says(w *Writing, rec garden.Record) string {
	if n, ok := nouns[rec.Kind()]; ok {
		return n.tell(w, rec)
	}
	return string(rec.Kind())
}
