package book

import (
	"context"
	"fmt"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/word"
)

// target is a record that another one names.
type target struct {
	kind garden.Kind
	id   garden.ID
}

// named returns the records that the record names by id.
func named(rec garden.Record) []target {
	var t targets
	switch v := rec.(type) {
	case garden.Garden:
		add(&t, garden.KindSite, v.Site)
	case garden.Bed:
		add(&t, garden.KindGarden, v.Garden)
		add(&t, garden.KindBed, v.GrewFrom...)
	case garden.Device:
		add(&t, garden.KindPerson, v.Person)
	case garden.Trial:
		for _, p := range v.Plots {
			add(&t, garden.KindBed, p.Bed)
		}
	case garden.Planting:
		add(&t, garden.KindBed, v.Bed)
	case garden.Harvest:
		add(&t, garden.KindPlanting, v.Planting)
		add(&t, garden.KindBed, v.Beds...)
	case garden.WeatherDay:
		add(&t, garden.KindSite, v.Site)
		add(&t, garden.KindGarden, v.Tunnel)
	default:
		t.deeds(rec)
	}
	return t.list
}

type targets struct{ list []target }

func add[T any](t *targets, k garden.Kind, ids ...garden.Ref[T]) {
	for _, id := range ids {
		if !id.IsZero() {
			t.list = append(t.list, target{kind: k, id: garden.ID(id)})
		}
	}
}

// deeds are what was done and seen on beds and plantings.
func (t *targets) deeds(rec garden.Record) {
	switch v := rec.(type) {
	case garden.Work:
		add(t, garden.KindBed, v.Beds...)
		add(t, garden.KindGarden, v.Garden)
		add(t, garden.KindPlanting, v.Planting)
	case garden.Cultivation:
		add(t, garden.KindBed, v.Beds...)
		add(t, garden.KindPlanting, v.MeantFor)
	case garden.Amendment:
		add(t, garden.KindBed, v.Beds...)
	case garden.Watering:
		add(t, garden.KindBed, v.Beds...)
	case garden.Cover:
		add(t, garden.KindBed, v.Beds...)
	case garden.Treatment:
		add(t, garden.KindBed, v.Beds...)
		add(t, garden.KindPlanting, v.Planting)
	case garden.Measurement:
		add(t, garden.KindBed, v.Bed)
		add(t, garden.KindPlanting, v.Planting)
	case garden.SoilTest:
		add(t, garden.KindBed, v.Beds...)
		add(t, garden.KindGarden, v.Garden)
	case garden.Loss:
		add(t, garden.KindPlanting, v.Planting)
	case garden.Note:
		add(t, garden.KindBed, v.Beds...)
		add(t, garden.KindGarden, v.Garden)
		add(t, garden.KindPlanting, v.Planting)
		add(t, garden.KindPicture, v.Pictures...)
	}
}

// naming lists the kinds whose records may name a record of the kind; a test holds it against named.
func naming(k garden.Kind) []garden.Kind {
	switch k {
	case garden.KindSite:
		return []garden.Kind{garden.KindGarden, garden.KindWeather}
	case garden.KindGarden:
		return []garden.Kind{garden.KindBed, garden.KindWork, garden.KindSoilTest, garden.KindNote, garden.KindWeather}
	case garden.KindBed:
		return []garden.Kind{garden.KindBed, garden.KindTrial, garden.KindPlanting, garden.KindHarvest, garden.KindWork, garden.KindCultivation,
			garden.KindAmendment, garden.KindWatering, garden.KindCover, garden.KindTreatment, garden.KindMeasurement, garden.KindSoilTest, garden.KindNote}
	case garden.KindPlanting:
		return []garden.Kind{garden.KindHarvest, garden.KindWork, garden.KindCultivation, garden.KindTreatment, garden.KindMeasurement, garden.KindLoss, garden.KindNote}
	case garden.KindPicture:
		return []garden.Kind{garden.KindNote}
	case garden.KindPerson:
		return []garden.Kind{garden.KindDevice}
	}
	return nil
}

// finding is what the look at a record's targets gave.
type finding struct {
	refused bool
	text    string
}

// targets looks whether what the record names is there. A fact about something that was removed meanwhile is kept all the
// same; one about something this book never had belongs to another book.
func (a *application) targets(rec garden.Record) (finding, error) {
	var said finding
	for _, t := range named(rec) {
		there, err := a.there(t)
		if err != nil {
			return said, err
		}
		if there {
			continue
		}
		was, ever, err := a.latest(t.id)
		switch {
		case err != nil:
			return said, err
		case !ever || was.kind != t.kind:
			return finding{refused: true, text: "it names " + word.A(string(t.kind)) + " that this book has never had"}, nil
		}
		said.text = fmt.Sprintf("the %s that it names has been removed", t.kind)
	}
	return said, nil
}

func (a *application) there(t target) (bool, error) {
	if there, met := a.seen[t.id]; met && there {
		return true, nil
	}
	var one int
	there, err := a.row(a.ctx, a.tables[t.kind].there, []any{t.id[:]}, &one)
	if err == nil {
		a.seen[t.id] = there
	}
	return there, err
}

// users returns the records that name the record, looked for in the rows themselves: removals are rare, and an index of
// all names would cost every entry.
func (w *writer) users(ctx context.Context, k garden.Kind, id garden.ID) ([]target, error) {
	var out []target
	for _, other := range naming(k) {
		needle := id[:]
		if !compact(other) {
			needle = []byte(id.String())
		}
		ids, err := column(ctx, w.conn, "SELECT id FROM "+table(other)+" WHERE instr(body, ?) > 0", needle)
		if err != nil {
			return nil, err
		}
		for _, s := range ids {
			t := target{kind: other}
			copy(t.id[:], s)
			out = append(out, t)
		}
	}
	return out, nil
}

func (a *application) users(k garden.Kind, id garden.ID) ([]target, error) {
	return a.writer.users(a.ctx, k, id)
}

// counted says how many of each kind there are: "12 harvests and 1 work".
func counted(list []target) string {
	n := map[garden.Kind]int{}
	for _, t := range list {
		n[t.kind]++
	}
	var words []string
	for _, k := range garden.Kinds() {
		if n[k] > 0 {
			words = append(words, fmt.Sprintf("%d × %s", n[k], k))
		}
	}
	return strings.Join(words, ", ")
}
