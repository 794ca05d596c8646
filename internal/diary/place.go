package diary

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/word"
)

// beds reads "terrace/4", "terrace/1-3,5", "terrace" for all of its beds, "4" where there is one garden, ids, and
// several of these with commas. A name without a garden belongs to the garden named before it.
func (r *reading) beds(text string) ([]garden.BedID, error) {
	if found := r.bedsNamed(text); len(found) > 0 {
		return r.one(text, found)
	}
	var out []garden.BedID
	last := r.onlyGarden()
	for _, item := range strings.Split(text, ",") {
		item = strings.TrimSpace(item)
		if item == "" {
			continue
		}
		if found := r.bedsNamed(item); len(found) == 1 {
			out = append(out, found[0])
			continue
		}
		g, b, slash := strings.Cut(item, "/")
		if slash {
			last = strings.TrimSpace(g)
		} else if whole := r.wholeGarden(item); len(whole) > 0 {
			out = append(out, whole...)
			continue
		} else {
			b = item
		}
		found, err := r.run(last, strings.TrimSpace(b))
		if err != nil || len(r.out.Questions) > 0 {
			return nil, err
		}
		out = append(out, found...)
	}
	if len(out) == 0 {
		return nil, invalid(quoted(text)+" names no bed", "write garden/bed, such as terrace/4 or terrace/1-3,5")
	}
	return unique(out), nil
}

func unique[T comparable](list []T) []T {
	var out []T
	for _, v := range list {
		if !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	return out
}

// bedsNamed finds the beds of one short name or id, those that stood on the day if there are several.
func (r *reading) bedsNamed(text string) []garden.BedID {
	if id, err := garden.ParseID(text); err == nil && !id.IsZero() {
		if _, ok := find(r, garden.BedID(id)); ok {
			return []garden.BedID{garden.BedID(id)}
		}
		return nil
	}
	if !strings.Contains(text, "/") {
		if g := r.onlyGarden(); g != "" {
			text = g + "/" + text
		}
	}
	ids := r.Records.BedNamed(strings.TrimPrefix(text, "+"))
	for _, rec := range r.made {
		if b, ok := rec.(garden.Bed); ok && garden.Fold(r.bedName(b.ID)) == garden.Fold(strings.TrimPrefix(text, "+")) {
			ids = append(ids, b.ID)
		}
	}
	return r.standing(ids)
}

func (r *reading) standing(ids []garden.BedID) []garden.BedID {
	if len(ids) < 2 || r.day.IsZero() {
		return ids
	}
	var stood []garden.BedID
	for _, id := range ids {
		if b, ok := find(r, id); ok && b.Stood(r.day) {
			stood = append(stood, id)
		}
	}
	if len(stood) == 0 {
		return ids
	}
	return stood
}

// one asks which, if a name fits several beds.
func (r *reading) one(text string, found []garden.BedID) ([]garden.BedID, error) {
	if len(found) == 1 {
		return found, nil
	}
	if !r.Asks {
		return nil, &garden.Error{Kind: garden.Ambiguous, Text: fmt.Sprintf("%s could be %d beds", quoted(text), len(found)), Hint: "write the bed's id instead"}
	}
	var choices []Choice
	for _, id := range found {
		b, _ := find(r, id)
		says := r.bedName(id)
		if !b.From.IsZero() {
			says += ", from " + b.From.Words()
		}
		if !b.To.IsZero() {
			says += ", to " + b.To.Words()
		}
		choices = append(choices, Choice{Text: id.String(), Says: says})
	}
	r.ask("bed", quoted(text)+" could be several beds", choices...)
	return nil, nil
}

func (r *reading) onlyGarden() string {
	if names := r.gardenNames(); len(names) == 1 {
		return names[0]
	}
	return ""
}

func (r *reading) gardenNames() []string {
	names := slices.Clone(r.Records.Names(garden.KindGarden))
	for _, rec := range r.made {
		if g, ok := rec.(garden.Garden); ok {
			names = append(names, g.Name)
		}
	}
	return names
}

// wholeGarden gives all beds of the garden of that name that stand on the day.
func (r *reading) wholeGarden(name string) []garden.BedID {
	var out []garden.BedID
	for _, id := range r.Records.Named(garden.KindGarden, name) {
		for _, b := range r.Records.BedsOf(garden.GardenID(id)) {
			if r.day.IsZero() || b.Stood(r.day) {
				out = append(out, b.ID)
			}
		}
	}
	return out
}

// run reads one bed or a run of them, "1-3"; a bed whose name has the hyphen itself comes first.
func (r *reading) run(g, b string) ([]garden.BedID, error) {
	if found := r.bedsNamed(g + "/" + b); len(found) > 0 {
		return r.one(g+"/"+b, found)
	}
	from, to, isRange := strings.Cut(b, "-")
	low, err1 := strconv.Atoi(strings.TrimSpace(from))
	high, err2 := strconv.Atoi(strings.TrimSpace(to))
	if !isRange || err1 != nil || err2 != nil || low > high {
		return r.unknownBed(g, b)
	}
	if high-low > 500 {
		return nil, invalid(fmt.Sprintf("%d to %d are very many beds", low, high), "write a smaller range")
	}
	var out []garden.BedID
	for n := low; n <= high; n++ {
		found := r.bedsNamed(fmt.Sprintf("%s/%d", g, n))
		if len(found) == 0 {
			var err error
			if found, err = r.unknownBed(g, strconv.Itoa(n)); err != nil || found == nil {
				return nil, err
			}
		}
		out = append(out, found[0])
	}
	return out, nil
}

// unknownBed makes the bed where the book is at its first entries, or where the writer says so with a plus in front: nobody
// should have to set anything up before the first weighing. Elsewhere a name nobody knows is more likely a slip.
func (r *reading) unknownBed(g, b string) ([]garden.BedID, error) {
	short := g + "/" + b
	plus := strings.HasPrefix(g, "+") || strings.HasPrefix(b, "+")
	g, b = strings.TrimPrefix(g, "+"), strings.TrimPrefix(b, "+")
	if g == "" {
		if len(r.gardenNames()) > 0 {
			return nil, invalid("it does not say in which garden "+quoted(b)+" is", "write garden/bed; the gardens are "+strings.Join(r.gardenNames(), ", "))
		}
		return nil, invalid("it does not say in which garden "+quoted(b)+" is", "write garden/bed, such as kitchen/"+b)
	}
	near := word.Near(short, r.bedNames())
	if plus || r.firstEntries() && len(near) == 0 && len(word.Near(g, without(r.gardenNames(), g))) == 0 {
		id, err := r.newBed(g, b)
		return []garden.BedID{id}, err
	}
	if !r.Asks {
		return nil, &garden.Error{Kind: garden.Missing, Text: "there is no bed " + quoted(short), Hint: strings.TrimSuffix(word.Hint(short, r.bedNames()), "?") + "; or write +" + short + " to make it"}
	}
	var choices []Choice
	for _, n := range append(near, r.sameBedElsewhere(g, b)...) {
		if !slices.ContainsFunc(choices, func(c Choice) bool { return c.Text == n }) {
			choices = append(choices, Choice{Text: n, Says: "the bed " + n})
		}
	}
	choices = append(choices, Choice{Text: "+" + short, Says: "a new bed " + short})
	r.ask("bed", "there is no bed "+quoted(short), choices...)
	return nil, nil
}

func without(list []string, name string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return garden.Fold(s) == garden.Fold(name) })
}

// sameBedElsewhere finds the bed in gardens of a near name: "teracce/9" is no slip of the bed.
func (r *reading) sameBedElsewhere(g, b string) []string {
	var out []string
	for _, name := range word.Near(g, r.gardenNames()) {
		if len(r.Records.BedNamed(name+"/"+b)) > 0 {
			out = append(out, name+"/"+b)
		}
	}
	return out
}

// firstEntries reports whether nothing was set up yet: no bed of the book has a size.
func (r *reading) firstEntries() bool {
	for _, id := range r.Records.All(garden.KindBed) {
		if b, ok := garden.Find(r.Records, garden.BedID(id)); ok && b.Area().Known {
			return false
		}
	}
	return true
}

func (r *reading) newBed(g, b string) (garden.BedID, error) {
	gid, err := r.gardenFor(g)
	if err != nil {
		return garden.BedID{}, err
	}
	bed, err := create(r, garden.Bed{Garden: gid, Name: b})
	if err == nil {
		r.flag(fmt.Sprintf("the bed %s is new and has no size yet; without one there is no yield per area", r.bedName(bed.ID)))
	}
	return bed.ID, err
}

// gardenFor finds the garden of the name, or makes it.
func (r *reading) gardenFor(name string) (garden.GardenID, error) {
	if ids := r.Records.Named(garden.KindGarden, name); len(ids) > 0 {
		return garden.GardenID(ids[0]), nil
	}
	for _, rec := range r.made {
		if g, ok := rec.(garden.Garden); ok && garden.Fold(g.Name) == garden.Fold(name) {
			return g.ID, nil
		}
	}
	g, err := create(r, garden.Garden{Name: name})
	if err == nil {
		r.flag("the garden " + name + " is new")
	}
	return g.ID, err
}

func (r *reading) bedNames() []string {
	var out []string
	for _, id := range r.Records.All(garden.KindBed) {
		out = append(out, r.Records.BedName(garden.BedID(id)))
	}
	return out
}

// bedName is the short name of a bed, one made on the way included.
func (r *reading) bedName(id garden.BedID) string {
	b, ok := find(r, id)
	if !ok {
		return id.String()
	}
	g, _ := find(r, b.Garden)
	return g.Name + "/" + b.Name
}

// namedOne finds the one record of a kind by name or id.
func namedOne[T garden.Record](r *reading, k garden.Kind, text string) (garden.Ref[T], error) {
	var none garden.Ref[T]
	if text == "" {
		return none, nil
	}
	if id, err := garden.ParseID(text); err == nil {
		if _, ok := find(r, garden.Ref[T](id)); ok {
			return garden.Ref[T](id), nil
		}
		return none, &garden.Error{Kind: garden.Missing, Text: "there is no " + string(k) + " with the id " + text}
	}
	switch ids := r.Records.Named(k, text); len(ids) {
	case 1:
		return garden.Ref[T](ids[0]), nil
	case 0:
		return none, &garden.Error{Kind: garden.Missing, Text: "there is no " + string(k) + " " + quoted(text), Hint: word.Hint(text, r.Records.Names(k))}
	default:
		return none, &garden.Error{Kind: garden.Ambiguous, Text: fmt.Sprintf("%d records of the kind %s are called %s", len(ids), k, quoted(text)), Hint: "write the id instead"}
	}
}

func bedsField[T garden.Record](says string, at func(*T) *[]garden.BedID) field[T] {
	return field[T]{
		Field: Field{Name: "bed", Says: says, Example: "terrace/1-3,5", Type: BedsType, Brief: true},
		read: func(r *reading, v *T, s string) error {
			*at(v) = nil
			if s == "" || unsure(s) {
				return nil
			}
			ids, err := r.beds(s)
			*at(v) = ids
			return err
		},
		write: func(w *Writing, v T) string { return w.Beds(*at(&v)) },
	}
}

func gardenField[T garden.Record](says string, at func(*T) *garden.GardenID) field[T] {
	return field[T]{
		Field: Field{Name: "garden", Says: says, Example: "terrace", Type: GardenType},
		read: func(r *reading, v *T, s string) error {
			id, err := namedOne[garden.Garden](r, garden.KindGarden, s)
			*at(v) = id
			return err
		},
		write: func(w *Writing, v T) string { return w.named(garden.KindGarden, garden.ID(*at(&v))) },
	}
}

func siteField[T garden.Record](says string, at func(*T) *garden.SiteID) field[T] {
	return field[T]{
		Field: Field{Name: "site", Says: says, Example: "home", Type: SiteType},
		read: func(r *reading, v *T, s string) error {
			id, err := namedOne[garden.Site](r, garden.KindSite, s)
			*at(v) = id
			return err
		},
		write: func(w *Writing, v T) string { return w.named(garden.KindSite, garden.ID(*at(&v))) },
	}
}
