package web

import (
	"cmp"
	"encoding/json"
	"slices"

	"fairplot/internal/garden"
)

// choices fills a field of a form in from the records.
func (l *live) choices(k noteKind, f noteField) []choice {
	switch {
	case f.Shape == "beds":
		return l.bedChoices()
	case f.Shape == "standing":
		return l.standingChoices()
	case f.Shape == "loads":
		return l.loadChoices(k.kind)
	case f.Shape == "choose" && len(f.Words) == 0:
		return named(l.used(k.kind, f.Name))
	}
	return named(f.Words)
}

func named(words []string) []choice {
	var out []choice
	for _, w := range words {
		out = append(out, choice{Value: w, Says: w})
	}
	return out
}

func (l *live) bedChoices() []choice {
	var out []choice
	for _, b := range l.walk().Beds {
		id, _ := garden.ParseID(b.ID)
		bed, _ := garden.Find(l.index, garden.BedID(id))
		g, _ := garden.Find(l.index, bed.Garden)
		out = append(out, choice{Value: b.ID, Says: bed.Name, Group: g.Name})
	}
	return out
}

// standingChoices are the plantings that stand now, by bed.
func (l *live) standingChoices() []choice {
	x := l.index
	var out []choice
	for _, b := range l.walk().Beds {
		id, _ := garden.ParseID(b.ID)
		for _, p := range x.PlantingsIn(garden.BedID(id)) {
			if !p.Ended.IsZero() {
				continue
			}
			says := b.Name + " " + p.Crop
			if !p.Date.IsZero() {
				says += ", " + p.Date.Words()
			}
			out = append(out, choice{Value: p.ID.String(), Says: says})
		}
	}
	return out
}

// loadChoices are the grower's own measures, then the plain units.
func (l *live) loadChoices(k garden.Kind) []choice {
	var out []choice
	for _, id := range l.index.All(garden.KindMeasure) {
		m, _ := garden.Find(l.index, garden.Ref[garden.Measure](id))
		if k == garden.KindWatering && !m.Volume.Known {
			continue
		}
		out = append(out, choice{Value: m.Name, Says: cmp.Or(m.Plural, m.Name+"s")})
	}
	out = append(out, choice{Value: "L", Says: "litres"})
	if k == garden.KindWatering {
		return append(out, choice{Value: "mm", Says: "mm on each bed"})
	}
	return append(out, choice{Value: "kg", Says: "kg"})
}

// usual are the words offered before a book has its own.
var usual = map[string][]string{
	"crop":     {"beetroot", "broad bean", "carrot", "chard", "courgette", "garlic", "kale", "leek", "lettuce", "onion", "parsnip", "pea", "potato", "runner bean", "tomato"},
	"material": {"garden compost", "leaf compost", "manure", "wood ash"},
	"task":     {"weeding", "digging", "sowing", "planting out", "watering", "picking", "composting", "hoeing"},
}

// usedLately is how many of the newest records say what is used.
const usedLately = 400

// used lists what was written under the name lately, the commonest first, then the usual words.
func (l *live) used(k garden.Kind, name string) []string {
	times := map[string]int{}
	ids := l.index.All(k)
	for _, id := range ids[max(0, len(ids)-usedLately):] {
		rec, _ := l.index.Get(id)
		switch v := rec.(type) {
		case garden.Planting:
			times[v.Crop]++
		case garden.Amendment:
			times[v.Material]++
		case garden.Work:
			times[v.Task]++
		}
	}
	var out []string
	for w := range times {
		out = append(out, w)
	}
	slices.SortFunc(out, func(a, b string) int { return cmp.Or(times[b]-times[a], cmp.Compare(a, b)) })
	for _, w := range usual[name] {
		if times[w] == 0 {
			out = append(out, w)
		}
	}
	return out[:min(len(out), 40)]
}

// encodeEntry writes an entry as it is hashed.
func encodeEntry(e Entry) (string, error) {
	b, err := json.Marshal(e)
	return string(b), err
}
