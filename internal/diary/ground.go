package diary

import (
	"fmt"
	"strconv"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
	"fairplot/internal/word"
)

var siteNoun = nounOf[garden.Site]{
	kind: garden.KindSite,
	fields: []field[garden.Site]{
		brief(text("name", "what you call the place", "home", func(v *garden.Site) *string { return &v.Name })),
		brief(decimal("latitude", "degrees, north above zero", "47.4", func(v *garden.Site) *garden.Maybe[float64] { return &v.Latitude })),
		brief(decimal("longitude", "degrees, east above zero", "8.5", func(v *garden.Site) *garden.Maybe[float64] { return &v.Longitude })),
		brief(length("elevation", "height above the sea", "430 m", func(v *garden.Site) *garden.Maybe[unit.Length] { return &v.Elevation })),
		monthDay("last-frost", "usual last frost of spring", "04-25", func(v *garden.Site) *garden.MonthDay { return &v.LastFrost }),
		monthDay("first-frost", "usual first frost of autumn", "10-20", func(v *garden.Site) *garden.MonthDay { return &v.FirstFrost }),
	},
	says: func(_ *Writing, v garden.Site) string { return "the place " + v.Name },
}

func monthDay(name, says, example string, at func(*garden.Site) *garden.MonthDay) field[garden.Site] {
	return field[garden.Site]{
		Field: Field{Name: name, Says: says, Example: example, Type: Text},
		read: func(_ *reading, v *garden.Site, s string) error {
			*at(v) = garden.MonthDay{}
			if s == "" {
				return nil
			}
			month, day, found := strings.Cut(s, "-")
			m, err1 := strconv.Atoi(month)
			d, err2 := strconv.Atoi(day)
			if !found || err1 != nil || err2 != nil {
				return invalid(quoted(s)+" is no day of the year", "write month-day, such as "+example)
			}
			*at(v) = garden.MonthDay{Month: m, Day: d}
			return nil
		},
		write: func(_ *Writing, v garden.Site) string {
			d := *at(&v)
			if d == (garden.MonthDay{}) {
				return ""
			}
			return fmt.Sprintf("%02d-%02d", d.Month, d.Day)
		},
	}
}

var gardenNoun = nounOf[garden.Garden]{
	kind: garden.KindGarden,
	fields: []field[garden.Garden]{
		brief(text("name", "what you call it", "terrace", func(v *garden.Garden) *string { return &v.Name })),
		brief(siteField("the place it lies in", func(v *garden.Garden) *garden.SiteID { return &v.Site })),
		brief(area("ground", "its whole ground, paths included", "62 m2", func(v *garden.Garden) *garden.Maybe[unit.Area] { return &v.Ground })),
		text("soil", "the soil", "silt loam", func(v *garden.Garden) *string { return &v.Soil }),
		text("shelter", "walls, hedges, trees", "wall to the north", func(v *garden.Garden) *string { return &v.Shelter }),
		text("use-before", "what the ground was used for before", "lawn", func(v *garden.Garden) *string { return &v.UseBefore }),
		day("from", "the day it was begun", "2023-03-01", func(v *garden.Garden) *civil.Date { return &v.From }),
		day("to", "the day it was given up", "2026-11-30", func(v *garden.Garden) *civil.Date { return &v.To }),
		nothing,
	},
	settle: uniqueGarden,
	says:   func(_ *Writing, v garden.Garden) string { return "the garden " + v.Name },
}

func uniqueGarden(r *reading, v *garden.Garden) error {
	for _, id := range r.Records.Named(garden.KindGarden, v.Name) {
		if id != garden.ID(v.ID) {
			return &garden.Error{Kind: garden.Refused, Field: "name", Text: "there is a garden " + quoted(v.Name) + " already", Hint: "choose another name, or change that one"}
		}
	}
	return nil
}

// nothing reads "cultivation 2024-01-01 to 2026-12-31; watering", with either day left out for an open end.
var nothing = field[garden.Garden]{
	Field: Field{Name: "nothing", Says: "kinds of entry of which nothing written means nothing done, with their time",
		Example: "cultivation 2024-01-01 to 2026-12-31; watering", Type: Text},
	read: func(r *reading, v *garden.Garden, s string) error {
		v.Nothing = nil
		for _, one := range strings.Split(s, ";") {
			if one = strings.TrimSpace(one); one == "" {
				continue
			}
			p, err := readNothing(r, one)
			if err != nil {
				return err
			}
			v.Nothing = append(v.Nothing, p)
		}
		return nil
	},
	write: func(_ *Writing, v garden.Garden) string {
		var out []string
		for _, p := range v.Nothing {
			out = append(out, sentence(string(p.Kind), p.From.String(), with("to", p.To.String())))
		}
		return strings.Join(out, "; ")
	},
}

func readNothing(r *reading, s string) (garden.NothingPeriod, error) {
	kind, rest, _ := strings.Cut(s, " ")
	k, err := oneOf(kind, []string{string(garden.KindCultivation), string(garden.KindAmendment), string(garden.KindWatering),
		string(garden.KindCover), string(garden.KindWork), string(garden.KindTreatment), string(garden.KindLoss)})
	p := garden.NothingPeriod{Kind: garden.Kind(k)}
	if err != nil {
		return p, err
	}
	from, to, _ := strings.Cut(" "+rest, " to ")
	if p.From, err = r.date(strings.TrimSpace(from)); err == nil {
		p.To, err = r.date(strings.TrimSpace(to))
	}
	return p, err
}

var bedNoun = nounOf[garden.Bed]{
	kind: garden.KindBed,
	fields: []field[garden.Bed]{
		brief(bedGarden),
		brief(bedOwnName),
		typed(Field{Name: "bed", Says: "garden and name in one; several make several beds", Example: "terrace/1-6", Type: Text}, readBedShort),
		brief(length("length", "its length", "4.8 m", func(v *garden.Bed) *garden.Maybe[unit.Length] { return &v.Length })),
		brief(length("width", "its width", "1.2 m", func(v *garden.Bed) *garden.Maybe[unit.Length] { return &v.Width })),
		typed(Field{Name: "size", Says: "length and width in one", Example: "4.8 m x 1.2 m", Type: Quantity}, readSize),
		points,
		position,
		angle,
		yes("tunnel", "it is under a tunnel or glass", func(v *garden.Bed) *bool { return &v.Tunnel }),
		day("from", "the day it was made", "2023-03-01", func(v *garden.Bed) *civil.Date { return &v.From }),
		day("to", "the day it was given up", "2026-11-30", func(v *garden.Bed) *civil.Date { return &v.To }),
		grewFrom,
	},
	settle: settleBed,
	spread: spreadBed,
	says:   sayBed,
	title:  func(w *Writing, v garden.Bed) string { return w.Bed(v.ID) },
}

// bedGarden makes the garden where there is none of the name: a bed is often the first thing anyone enters.
var bedGarden = field[garden.Bed]{
	Field: Field{Name: "garden", Says: "the garden it lies in; made if there is none of that name", Example: "terrace", Type: GardenType},
	read: func(r *reading, v *garden.Bed, s string) error {
		id, err := r.gardenNamed(s)
		v.Garden = id
		return err
	},
	write: func(w *Writing, v garden.Bed) string { return w.named(garden.KindGarden, garden.ID(v.Garden)) },
}

// gardenNamed finds the garden or makes it, a near name of one there is excepted.
func (r *reading) gardenNamed(s string) (garden.GardenID, error) {
	plus := strings.HasPrefix(s, "+")
	s = strings.TrimPrefix(s, "+")
	if id, err := garden.ParseID(s); err == nil && !id.IsZero() {
		return namedOne[garden.Garden](r, garden.KindGarden, s)
	}
	if len(r.Records.Named(garden.KindGarden, s)) == 0 && !plus {
		if near := word.Near(s, r.gardenNames()); len(near) > 0 {
			return garden.GardenID{}, &garden.Error{Kind: garden.Missing, Text: "there is no garden " + quoted(s),
				Hint: word.Meant(near) + " To make it, write +" + s}
		}
	}
	return r.gardenFor(s)
}

var bedOwnName = text("name", "its name within the garden", "4", func(v *garden.Bed) *string { return &v.Name })

func readBedShort(r *reading, v *garden.Bed, s string) error {
	g, b, found := strings.Cut(s, "/")
	if !found {
		return invalid(quoted(s)+" does not say which garden", "write garden/bed, such as terrace/4")
	}
	id, err := r.gardenNamed(strings.TrimSpace(g))
	v.Garden, v.Name = id, strings.TrimSpace(b)
	return err
}

// readSize takes "4.8 m x 1.2 m" and "4.8 x 1.2 m".
func readSize(r *reading, v *garden.Bed, s string) error {
	s = strings.NewReplacer("×", " x ", "X", " x ", " by ", " x ").Replace(s)
	l, w, found := strings.Cut(s, "x")
	if !found {
		return invalid(quoted(s)+" is no length times width", "write it as 4.8 m x 1.2 m")
	}
	width, err := readLength(r, strings.TrimSpace(w))
	if err != nil {
		return err
	}
	if l = strings.TrimSpace(l); strings.Trim(l, "0123456789.,") == "" {
		l += strings.TrimLeft(strings.TrimSpace(w), "0123456789.,")
	}
	long, err := readLength(r, l)
	v.Length, v.Width = garden.Some(long), garden.Some(width)
	return err
}

// points reads corners in order, "0 0; 4.8 0; 4.8 1.2", metres east and north.
var points = field[garden.Bed]{
	Field: Field{Name: "outline", Says: "the corners in order, metres east and north, for a bed that is no rectangle", Example: "0 0; 4.8 0; 4.8 1.2", Type: Text},
	read: func(r *reading, v *garden.Bed, s string) error {
		v.Outline = nil
		for _, one := range strings.Split(s, ";") {
			if strings.TrimSpace(one) == "" {
				continue
			}
			p, err := readPoint(r, one)
			if err != nil {
				return err
			}
			v.Outline = append(v.Outline, p)
		}
		return nil
	},
	write: func(_ *Writing, v garden.Bed) string {
		var out []string
		for _, p := range v.Outline {
			out = append(out, plain(p.X)+" "+plain(p.Y))
		}
		return strings.Join(out, "; ")
	},
}

func readPoint(r *reading, s string) (garden.Point, error) {
	words := strings.Fields(s)
	if len(words) != 2 {
		return garden.Point{}, invalid(quoted(clip(s))+" is no point", "write metres east and north with a blank between, such as 4.8 1.2")
	}
	x, err := readNumber(r, words[0])
	if err != nil {
		return garden.Point{}, err
	}
	y, err := readNumber(r, words[1])
	return garden.Point{X: x, Y: y}, err
}

var position = maybe(Field{Name: "at", Says: "its south-west corner on the plan, metres east and north", Example: "0 6.5", Type: Text},
	func(v *garden.Bed) *garden.Maybe[garden.Point] { return &v.At },
	readPoint,
	func(_ *Writing, p garden.Point) string { return plain(p.X) + " " + plain(p.Y) })

var angle = field[garden.Bed]{
	Field: Field{Name: "angle", Says: "how far it is turned on the plan, degrees anticlockwise", Example: "15", Type: Number},
	read: func(r *reading, v *garden.Bed, s string) error {
		v.Angle = 0
		if s == "" {
			return nil
		}
		x, err := readNumber(r, s)
		v.Angle = x
		return err
	},
	write: func(_ *Writing, v garden.Bed) string {
		if v.Angle == 0 {
			return ""
		}
		return plain(v.Angle)
	},
}

var grewFrom = field[garden.Bed]{
	Field: Field{Name: "grew-from", Says: "the bed it was split from, or the beds it was merged of", Example: "terrace/4", Type: BedsType},
	read: func(r *reading, v *garden.Bed, s string) error {
		v.GrewFrom = nil
		if s == "" {
			return nil
		}
		ids, err := r.beds(s)
		v.GrewFrom = ids
		return err
	},
	write: func(w *Writing, v garden.Bed) string { return w.Beds(v.GrewFrom) },
}

func settleBed(r *reading, v *garden.Bed) error {
	if r.action == Change {
		return nil
	}
	for _, b := range r.Records.BedsOf(v.Garden) {
		if garden.Fold(b.Name) == garden.Fold(v.Name) && b.To.IsZero() && v.From.IsZero() {
			return &garden.Error{Kind: garden.Refused, Field: "name", Text: "there is a bed " + r.bedName(b.ID) + " already",
				Hint: "choose another name, change that one, or end it first with --to"}
		}
	}
	return nil
}

// spreadBed makes the beds of a range, "terrace/1-6", all of one size.
func spreadBed(r *reading, v garden.Bed) ([]garden.Bed, error) {
	from, to, isRange := strings.Cut(v.Name, "-")
	low, err1 := strconv.Atoi(from)
	high, err2 := strconv.Atoi(to)
	if !r.given("bed") || !isRange || err1 != nil || err2 != nil || low > high {
		return []garden.Bed{v}, nil
	}
	if high-low >= 500 {
		return nil, inField("bed", invalid(fmt.Sprintf("%d to %d are very many beds", low, high), "write a smaller range"))
	}
	var out []garden.Bed
	for n := low; n <= high; n++ {
		one := v
		one.Name = strconv.Itoa(n)
		if err := settleBed(r, &one); err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}

func sayBed(w *Writing, v garden.Bed) string {
	say := "the bed " + w.named(garden.KindGarden, garden.ID(v.Garden)) + "/" + v.Name
	switch {
	case v.Length.Known && v.Width.Known:
		say += ", " + w.length(v.Length.Value) + " by " + w.length(v.Width.Value)
	case v.Area().Known:
		say += ", " + w.area(v.Area().Value)
	}
	return say
}
