package diary

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

var plantingNoun = nounOf[garden.Planting]{
	kind: garden.KindPlanting,
	fields: []field[garden.Planting]{
		brief(when("date", "the day it was sown or set out; “about 3 April” and “week 15” are good enough", "yesterday", func(v *garden.Planting) *civil.When { return &v.Date })),
		plantingBed,
		cropField("crop", "the crop", func(v *garden.Planting) *string { return &v.Crop }),
		brief(text("variety", "the variety", "Long White", func(v *garden.Planting) *string { return &v.Variety })),
		brief(choice("start", "how it came into the bed", []garden.Start{garden.Sown, garden.SetOut}, func(v *garden.Planting) *garden.Start { return &v.Start })),
		length("in-row", "from plant to plant", "10 cm", func(v *garden.Planting) *garden.Maybe[unit.Length] { return &v.InRow }),
		length("between-rows", "from row to row", "30 cm", func(v *garden.Planting) *garden.Maybe[unit.Length] { return &v.BetweenRows }),
		count("plants", "how many plants, as set or meant to stand, in each bed", "36", func(v *garden.Planting) *garden.Maybe[int] { return &v.Plants }),
		choice("arrangement", "the pattern they stand in",
			[]garden.Arrangement{garden.InRows, garden.Square, garden.Triangular, garden.Broadcast}, func(v *garden.Planting) *garden.Arrangement { return &v.Arrangement }),
		length("from", "where its part begins along the bed", "0 m", func(v *garden.Planting) *garden.Maybe[unit.Length] { return &v.Part.From }),
		length("to", "where its part ends along the bed", "2.4 m", func(v *garden.Planting) *garden.Maybe[unit.Length] { return &v.Part.To }),
		share("share", "its share of a bed that crops share", "50 %", func(v *garden.Planting) *garden.Maybe[float64] { return &v.Part.Share }),
		text("plot", "the trial plot it stands in", "spacing26/A3", func(v *garden.Planting) *string { return &v.Part.Plot }),
		text("seed-lot", "the packet or lot of seed", "2025 own", func(v *garden.Planting) *string { return &v.SeedLot }),
		stands,
		brief(day("ended", "the day it was cleared", "2026-10-12", func(v *garden.Planting) *civil.Date { return &v.Ended })),
		yes("failed", "it failed", func(v *garden.Planting) *bool { return &v.Failed }),
		text("why", "the cause of failure", "slugs", func(v *garden.Planting) *string { return &v.Why }),
		maybeYes("strikes-all", "could that cause strike every bed alike, whatever its method?", func(v *garden.Planting) *garden.Maybe[bool] { return &v.StrikesAll }),
		weighed,
		count("missed", "how many pickings were not weighed", "2", func(v *garden.Planting) *garden.Maybe[int] { return &v.Missed }),
		text("note", "anything else", "from the south end", func(v *garden.Planting) *string { return &v.Note }),
	},
	settle: settlePlanting,
	spread: spreadPlanting,
	says:   sayPlanting,
	title:  func(w *Writing, v garden.Planting) string { return w.Planting(v.ID) },
	acts:   map[Action]act[garden.Planting]{Thin: stand(garden.Thinned), Fill: stand(garden.GapsFilled), Resow: stand(garden.Resown), Stand: stand(garden.Standing), End: endPlanting},
}

// plantingBed reads one bed or several: a crop sown in many beds on one day is one line of the diary and a planting in each.
var plantingBed = field[garden.Planting]{
	Field: Field{Name: "bed", Says: "the bed, or several: each gets its planting", Example: "terrace/4", Type: BedsType, Brief: true},
	read: func(r *reading, v *garden.Planting, s string) error {
		ids, err := r.beds(s)
		if err != nil || len(ids) == 0 {
			return err
		}
		if len(ids) > 1 && r.action != Add {
			return invalid("a planting stands in one bed", "name one")
		}
		v.Bed, r.many = ids[0], ids
		return nil
	},
	write: func(w *Writing, v garden.Planting) string { return w.Bed(v.Bed) },
}

// stands reads "2026-05-01 thinned 24; 2026-06-01 standing 20", with "at 0.08 m" for a distance.
var stands = field[garden.Planting]{
	Field: Field{Name: "stands", Says: "counts of plants, by day", Example: "2026-05-01 thinned 24; 2026-06-01 standing 20", Type: Text},
	read: func(r *reading, v *garden.Planting, s string) error {
		v.Stands = nil
		for _, one := range strings.Split(s, ";") {
			if strings.TrimSpace(one) == "" {
				continue
			}
			st, err := readStand(r, one)
			if err != nil {
				return err
			}
			v.Stands = append(v.Stands, st)
		}
		return nil
	},
	write: func(w *Writing, v garden.Planting) string {
		var out []string
		for _, s := range v.Stands {
			out = append(out, writeStand(w, s))
		}
		return strings.Join(out, "; ")
	},
}

func readStand(r *reading, s string) (garden.Stand, error) {
	words := strings.Fields(s)
	var out garden.Stand
	if len(words) > 1 {
		if d, err := civil.Parse(words[0]); err == nil {
			out.Date, words = d, words[1:]
		}
	}
	rest := strings.Join(words, " ")
	if before, at, found := strings.Cut(rest, " at "); found {
		l, err := readLength(r, at)
		if err != nil {
			return out, err
		}
		out.InRow, rest = garden.Some(l), before
	}
	for _, k := range []garden.StandKind{garden.Thinned, garden.GapsFilled, garden.Resown, garden.Standing} {
		if number, ok := strings.CutPrefix(rest, string(k)); ok {
			out.What = k
			if number = strings.TrimSpace(number); number != "" {
				n, err := whole(number)
				out.Plants = garden.Some(n)
				return out, err
			}
			return out, nil
		}
	}
	return out, invalid(quoted(clip(s))+" is no count of plants", "write it as 2026-05-01 thinned 24")
}

func writeStand(w *Writing, s garden.Stand) string {
	out := sentence(s.Date.String(), string(s.What))
	if s.Plants.Known {
		out += fmt.Sprintf(" %d", s.Plants.Value)
	}
	if s.InRow.Known {
		out += " at " + plain(float64(s.InRow.Value)) + " m"
	}
	return out
}

// weighed reads "all", "2 missed", "some missed" or "don't know".
var weighed = field[garden.Planting]{
	Field: Field{Name: "weighed", Says: "was all of it weighed?", Example: "all", Type: Word,
		Words: []string{string(garden.AllWeighed), string(garden.SomeMissed), string(garden.DontKnow)}},
	read: func(_ *reading, v *garden.Planting, s string) error {
		var n int
		if _, err := fmt.Sscanf(strings.TrimPrefix(garden.Fold(s), "about "), "%d missed", &n); err == nil {
			v.Weighed, v.Missed = garden.SomeMissed, garden.Some(n)
			return nil
		}
		if unsure(s) {
			s = string(garden.DontKnow)
		}
		w, err := oneOf(s, []string{string(garden.AllWeighed), string(garden.SomeMissed), string(garden.DontKnow)})
		v.Weighed = garden.Weighed(w)
		return err
	},
	write: func(_ *Writing, v garden.Planting) string { return string(v.Weighed) },
}

func settlePlanting(r *reading, v *garden.Planting) error {
	if v.Date.IsZero() && r.action == Add && r.Asks && !r.given("ended") {
		v.Date = civil.When{Date: r.day}
	}
	if v.Variety == "" {
		r.splitVariety(v)
	}
	return nil
}

// splitVariety takes a known variety off the end of a crop's name: "carrot early red".
func (r *reading) splitVariety(v *garden.Planting) {
	if known, ok := r.variety(v.Crop); ok {
		v.Crop, v.Variety = known.Crop, known.Name
	}
}

// variety finds the variety of a text that names crop and variety together.
func (r *reading) variety(text string) (garden.Variety, bool) {
	for _, id := range r.Records.All(garden.KindVariety) {
		v, _ := garden.Find(r.Records, garden.Ref[garden.Variety](id))
		if garden.Fold(text) == garden.Fold(v.Crop+" "+v.Name) {
			return v, true
		}
	}
	return garden.Variety{}, false
}

func spreadPlanting(r *reading, v garden.Planting) ([]garden.Planting, error) {
	beds := r.many
	if len(beds) == 0 {
		beds = []garden.BedID{v.Bed}
	}
	var out []garden.Planting
	for _, bed := range beds {
		one := v
		one.Bed = bed
		r.flagUndated(one)
		out = append(out, one)
	}
	return out, nil
}

// flagUndated points at a planting that a first weighing made without a day: the sowing typed in later is most likely its own.
func (r *reading) flagUndated(v garden.Planting) {
	for _, p := range ofCrop(r.Records.PlantingsIn(v.Bed), v.Crop) {
		if p.Date.IsZero() && p.Ended.IsZero() && !v.Date.IsZero() && v.Crop != "" {
			r.flag(fmt.Sprintf("%s stands in %s already, noted without a day; if it is the same crop, undo this and give that one its day by a change of “%s”",
				p.Crop, r.bedName(v.Bed), r.Records.PlantingName(p.ID)))
		}
	}
}

func sayPlanting(w *Writing, v garden.Planting) string {
	start := string(v.Start)
	if start == "" {
		start = "in"
	} else {
		start += " in"
	}
	plants := ""
	if v.Plants.Known {
		plants = fmt.Sprintf("%d plants", v.Plants.Value)
	}
	say := sentence(v.Crop, v.Variety, start, w.Bed(v.Bed))
	if d := w.When(v.Date); d != "" {
		say += ", " + d
	}
	if plants != "" {
		say += ", " + plants
	}
	if !v.Ended.IsZero() {
		say += ", ended " + w.Date(v.Ended)
	}
	return say
}

// stand notes a count of plants and what led to it.
func stand(what garden.StandKind) act[garden.Planting] {
	return func(r *reading, _ nounOf[garden.Planting], v garden.Planting) error {
		s := garden.Stand{Date: r.Today, What: what}
		if d := r.fields["date"]; d != "" {
			date, err := r.date(d)
			if err != nil {
				return inField("date", err)
			}
			s.Date = date
		}
		if text := r.fields["plants"]; text != "" {
			n, err := whole(text)
			if err != nil {
				return inField("plants", err)
			}
			s.Plants = garden.Some(n)
		}
		if text := r.fields["in-row"]; text != "" {
			l, err := readLength(r, text)
			if err != nil {
				return inField("in-row", err)
			}
			s.InRow = garden.Some(l)
		}
		if !s.Plants.Known && !s.InRow.Known {
			return inField("plants", invalid("it does not say how many plants", "give a count, or the distance they now stand at"))
		}
		v.Stands = append(slices.Clone(v.Stands), s)
		slices.SortStableFunc(v.Stands, func(a, b garden.Stand) int { return a.Date.Compare(b.Date) })
		if err := r.change(v); err != nil {
			return err
		}
		r.said(sentence(sayPlanting(r.writing(), v)+":", writeStand(r.writing(), s)))
		return nil
	}
}

// endPlanting clears a crop, and asks the one thing that cannot be found out later.
func endPlanting(r *reading, n nounOf[garden.Planting], v garden.Planting) error {
	fields := map[string]string{"ended": r.Today.String()}
	for name, text := range r.fields {
		if name == "date" {
			name = "ended"
		}
		fields[name] = text
	}
	r.fields = fields
	if err := n.fill(r, &v, v.ID.String()); err != nil || len(r.out.Questions) > 0 {
		return err
	}
	if v.Weighed == garden.NotAskedYet && !v.Failed && r.Asks {
		r.ask("weighed", "was all of it weighed?",
			Choice{Text: string(garden.AllWeighed), Says: "all of it"},
			Choice{Text: "1 missed", Says: "about so many pickings were not weighed (change the number)"},
			Choice{Text: string(garden.DontKnow), Says: "don't know"})
		return nil
	}
	if err := r.change(v); err != nil {
		return err
	}
	r.said(sayPlanting(r.writing(), v))
	return nil
}
