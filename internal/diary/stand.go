package diary

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/crop"
	"fairplot/internal/garden"
	"fairplot/internal/word"
)

// plantingsNamed finds plantings by "terrace/4", "terrace/4 parsnip", "terrace/4 parsnip 2026-04-03" or an id. Where several fit,
// those standing on the day are meant.
func (r *reading) plantingsNamed(text string) []garden.PlantingID {
	if id, err := garden.ParseID(text); err == nil && !id.IsZero() {
		if _, ok := find(r, garden.PlantingID(id)); ok {
			return []garden.PlantingID{garden.PlantingID(id)}
		}
		return nil
	}
	found := r.plantingsIn(text)
	if len(found) > 1 {
		if now := standingOn(found, r.day); len(now) > 0 {
			found = now
		}
	}
	var out []garden.PlantingID
	for _, p := range found {
		out = append(out, p.ID)
	}
	return out
}

// plantingsIn splits the text into bed, crop and day wherever that fits: the names of gardens, beds and crops may have blanks.
func (r *reading) plantingsIn(text string) []garden.Planting {
	words := strings.Fields(text)
	var start civil.Date
	if n := len(words); n > 1 {
		if d, err := civil.Parse(words[n-1]); err == nil {
			start, words = d, words[:n-1]
		}
	}
	for n := len(words); n >= 1; n-- {
		beds := r.bedsNamed(strings.Join(words[:n], " "))
		if len(beds) == 0 {
			continue
		}
		name := strings.Join(words[n:], " ")
		var there []garden.Planting
		for _, b := range beds {
			there = append(there, r.Records.PlantingsIn(b)...)
		}
		return ofCrop(startedOn(there, start), name)
	}
	return nil
}

func startedOn(list []garden.Planting, day civil.Date) []garden.Planting {
	if day.IsZero() {
		return list
	}
	return slices.DeleteFunc(list, func(p garden.Planting) bool { return p.Date.Date != day })
}

// ofCrop keeps the plantings of a crop: under that very name if there are any, else under another of its names.
func ofCrop(list []garden.Planting, name string) []garden.Planting {
	if name == "" {
		return list
	}
	var exact, known []garden.Planting
	for _, p := range list {
		if garden.Fold(p.Crop) == garden.Fold(name) {
			exact = append(exact, p)
		}
	}
	if len(exact) > 0 {
		return exact
	}
	for _, p := range list {
		if sameCrop(p, name) {
			known = append(known, p)
		}
	}
	return known
}

func sameCrop(p garden.Planting, name string) bool {
	return sameKnown(p.Crop, name) || p.Variety != "" && garden.Fold(p.Crop+" "+p.Variety) == garden.Fold(name)
}

// sameKnown reports whether both are names of one built-in crop: courgettes and zucchini.
func sameKnown(a, b string) bool {
	x, ok := crop.Find(a)
	y, same := crop.Find(b)
	return ok && same && x.Name == y.Name
}

func standingOn(list []garden.Planting, day civil.Date) []garden.Planting {
	var out []garden.Planting
	for _, p := range list {
		if !day.IsZero() && p.Stood(day) || day.IsZero() && p.Ended.IsZero() {
			out = append(out, p)
		}
	}
	return out
}

// plantingNames lists the plantings that somebody may mean, those standing on the day first.
func (r *reading) plantingNames() []string {
	var now, then []string
	for _, id := range r.Records.All(garden.KindPlanting) {
		p, _ := garden.Find(r.Records, garden.PlantingID(id))
		name := r.Records.PlantingName(p.ID)
		if r.day.IsZero() || p.Stood(r.day) {
			now = append(now, name)
		} else {
			then = append(then, name)
		}
	}
	return append(now, then...)
}

// planting finds one planting by its text, or asks which.
func (r *reading) planting(text string) (garden.PlantingID, error) {
	if text == "" || unsure(text) {
		return garden.PlantingID{}, nil
	}
	ids := r.plantingsNamed(text)
	switch {
	case len(ids) == 1:
		return ids[0], nil
	case len(ids) == 0:
		return garden.PlantingID{}, &garden.Error{Kind: garden.Missing, Text: "no crop in a bed is known as " + quoted(text), Hint: r.plantingHint(text)}
	case !r.Asks:
		return garden.PlantingID{}, &garden.Error{Kind: garden.Ambiguous, Text: fmt.Sprintf("%s could be %d crops", quoted(text), len(ids)),
			Hint: "add the sowing day, as in terrace/4 parsnip 2026-04-03"}
	}
	r.ask("planting", quoted(text)+" could be several crops", r.choices(ids)...)
	return garden.PlantingID{}, nil
}

// plantingHint offers near names, else what stands in the bed that is named: all plantings of a book would be no help.
func (r *reading) plantingHint(text string) string {
	if near := word.Near(text, r.plantingNames()); len(near) > 0 {
		return word.Meant(near)
	}
	var there []string
	if words := strings.Fields(text); len(words) > 0 {
		for _, bed := range r.bedsNamed(words[0]) {
			for _, p := range r.Records.PlantingsIn(bed) {
				there = append(there, r.Records.PlantingName(p.ID))
			}
		}
	}
	if len(there) > 0 {
		return "noted there: " + strings.Join(there[:min(len(there), 8)], ", ")
	}
	return "write bed and crop, such as terrace/4 parsnip"
}

func (r *reading) choices(ids []garden.PlantingID) []Choice {
	var out []Choice
	for _, id := range ids[:min(len(ids), 12)] {
		p, _ := find(r, id)
		says := r.Records.PlantingName(id)
		if p.Variety != "" {
			says += ", " + p.Variety
		}
		if !p.Ended.IsZero() {
			says += ", ended " + p.Ended.Words()
		}
		out = append(out, Choice{Text: id.String(), Says: says})
	}
	return out
}

func plantingField[T garden.Record](says string, at func(*T) *garden.PlantingID) field[T] {
	return field[T]{
		Field: Field{Name: "planting", Says: says, Example: "terrace/4 parsnip", Type: PlantingType, Brief: true},
		read: func(r *reading, v *T, s string) error {
			id, err := r.planting(s)
			*at(v) = id
			return err
		},
		write: func(w *Writing, v T) string { return w.Planting(*at(&v)) },
	}
}

// cropField reads the name of a crop. One that nobody knows is kept and asked about.
func cropField[T garden.Record](name, says string, at func(*T) *string) field[T] {
	return field[T]{
		Field: Field{Name: name, Says: says, Example: "parsnip", Type: CropType, Brief: true},
		read: func(r *reading, v *T, s string) error {
			*at(v) = r.crop(s)
			return nil
		},
		write: func(_ *Writing, v T) string { return *at(&v) },
	}
}

// crop gives the name as the book knows it: the grower's own crops first, then what was grown before, then the built-in ones by
// any of their names. A plus in front says that it is meant as written.
func (r *reading) crop(s string) string {
	if exact, ok := strings.CutPrefix(s, "+"); ok {
		return exact
	}
	if s == "" {
		return ""
	}
	if ids := r.Records.Named(garden.KindCrop, s); len(ids) > 0 {
		rec, _ := r.Records.Get(ids[0])
		return garden.Name(rec)
	}
	if name, ok := r.Records.Grown(s); ok {
		return name
	}
	if c, ok := crop.Find(s); ok {
		return r.ownWord(c, s)
	}
	if _, ok := r.variety(s); ok {
		return s
	}
	hint := ""
	if near := unique(append(word.Near(s, r.Records.Names(garden.KindCrop)), crop.Near(s)...)); len(near) > 0 {
		hint = "; " + word.Meant(near)
	}
	r.flag("the crop " + quoted(s) + " is not known" + hint)
	return s
}

// ownWord keeps the grower's word for a built-in crop: the one they used before, else as written, its plural made single.
func (r *reading) ownWord(c crop.Crop, s string) string {
	for _, n := range append([]string{c.Name, c.Plural}, c.Aliases...) {
		if name, ok := r.Records.Grown(n); ok {
			return name
		}
	}
	if garden.Fold(s) == garden.Fold(c.Name) || garden.Fold(s) == garden.Fold(c.Plural) {
		return c.Name
	}
	return s
}
