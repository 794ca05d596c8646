package garden

import (
	"slices"
	"strings"

	"fairplot/internal/unit"
	"fairplot/internal/word"
)

// Index finds records by id, by name and by what they belong to. It is made of Records and kept in step with Put and Drop,
// so that the ten-thousandth line of a file sees the plantings of the first.
type Index struct {
	records  map[ID]Record
	kinds    map[Kind][]ID
	named    map[string][]ID // kind and folded name
	beds     map[GardenID][]ID
	planted  map[BedID][]ID
	cropped  map[string][]ID // plantings of a crop, folded
	picked   map[PlantingID][]ID
	unplaced map[ID]bool
	weight   map[PlantingID]unit.Mass // of all its harvests together
}

// NewIndex returns an index of the records.
func NewIndex(r Records) *Index {
	x := &Index{
		records: map[ID]Record{}, kinds: map[Kind][]ID{}, named: map[string][]ID{}, beds: map[GardenID][]ID{},
		planted: map[BedID][]ID{}, cropped: map[string][]ID{}, picked: map[PlantingID][]ID{}, unplaced: map[ID]bool{},
		weight: map[PlantingID]unit.Mass{},
	}
	for _, k := range Kinds() {
		for _, rec := range r.List(k) {
			x.Put(rec)
		}
	}
	return x
}

// Fold returns the form in which names are compared: lower case, single spaces.
func Fold(name string) string { return word.Fold(name) }

// Put adds the record, in place of an earlier one with its id.
func (x *Index) Put(rec Record) {
	id := rec.Identity()
	if old, had := x.records[id]; had {
		x.hang(old, false)
	} else {
		x.kinds[rec.Kind()] = append(x.kinds[rec.Kind()], id)
	}
	x.records[id] = rec
	x.hang(rec, true)
}

// Drop takes the record out.
func (x *Index) Drop(id ID) {
	old, had := x.records[id]
	if !had {
		return
	}
	x.hang(old, false)
	delete(x.records, id)
	edit(x.kinds, old.Kind(), id, false)
}

// edit adds the id to the list under the key, or takes it out.
func edit[K comparable](lists map[K][]ID, key K, id ID, on bool) {
	if on {
		lists[key] = append(lists[key], id)
		return
	}
	if i := slices.Index(lists[key], id); i >= 0 {
		lists[key] = slices.Delete(lists[key], i, i+1)
	}
}

// hang puts the record on, or takes it off, every list it is found by.
func (x *Index) hang(rec Record, on bool) {
	id := rec.Identity()
	if name := Name(rec); name != "" {
		edit(x.named, string(rec.Kind())+" "+Fold(name), id, on)
	}
	switch v := rec.(type) {
	case Bed:
		edit(x.beds, v.Garden, id, on)
	case Planting:
		edit(x.planted, v.Bed, id, on)
		edit(x.cropped, Fold(v.Crop), id, on)
	case Harvest:
		switch {
		case v.Placed():
			edit(x.picked, v.Planting, id, on)
			if net := v.Net().Or(0); on {
				x.weight[v.Planting] += net
			} else {
				x.weight[v.Planting] -= net
			}
		case on:
			x.unplaced[id] = true
		default:
			delete(x.unplaced, id)
		}
	}
}

// Name returns the name a record goes by, "" for those that have none of their own.
func Name(rec Record) string {
	switch v := rec.(type) {
	case Site:
		return v.Name
	case Garden:
		return v.Name
	case Bed:
		return v.Name
	case Crop:
		return v.Name
	case Variety:
		return v.Name
	case Material:
		return v.Name
	case Measure:
		return v.Name
	case Trial:
		return v.Name
	case Person:
		return v.Name
	case Device:
		return v.Name
	case Setting:
		return v.Name
	}
	return ""
}

// Get returns the record of the id.
func (x *Index) Get(id ID) (Record, bool) {
	rec, ok := x.records[id]
	return rec, ok
}

// Find returns the record of the id as a T.
func Find[T Record](x *Index, id Ref[T]) (T, bool) {
	v, ok := x.records[ID(id)].(T)
	return v, ok
}

// All returns the ids of a kind in the order they were put in.
func (x *Index) All(k Kind) []ID { return x.kinds[k] }

// Named returns the records of the kind that go by the name, upper and lower case alike.
func (x *Index) Named(k Kind, name string) []ID { return x.named[string(k)+" "+Fold(name)] }

// Names lists the names of all records of a kind.
func (x *Index) Names(k Kind) []string {
	var out []string
	for _, id := range x.kinds[k] {
		if n := Name(x.records[id]); n != "" {
			out = append(out, n)
		}
	}
	return out
}

// BedsOf returns the beds of a garden.
func (x *Index) BedsOf(g GardenID) []Bed { return collect[Bed](x, x.beds[g]) }

// PlantingsIn returns the plantings of a bed.
func (x *Index) PlantingsIn(b BedID) []Planting { return collect[Planting](x, x.planted[b]) }

// PlantingsOf returns the plantings of a crop in all beds.
func (x *Index) PlantingsOf(crop string) []Planting {
	return collect[Planting](x, x.cropped[Fold(crop)])
}

// Grown returns the name, as it was first written, under which a crop stands or stood somewhere.
func (x *Index) Grown(crop string) (string, bool) {
	ids := x.cropped[Fold(crop)]
	if len(ids) == 0 {
		return "", false
	}
	return x.records[ids[0]].(Planting).Crop, true
}

// HarvestsOf returns the harvests of a planting.
func (x *Index) HarvestsOf(p PlantingID) []Harvest { return collect[Harvest](x, x.picked[p]) }

// Picked returns the mass of all harvests of a planting.
func (x *Index) Picked(p PlantingID) unit.Mass { return x.weight[p] }

// Unplaced returns the harvests that belong to no planting, by day.
func (x *Index) Unplaced() []Harvest {
	var out []Harvest
	for id := range x.unplaced {
		out = append(out, x.records[id].(Harvest))
	}
	slices.SortFunc(out, func(a, b Harvest) int {
		if c := a.Date.Compare(b.Date); c != 0 {
			return c
		}
		return slices.Compare(a.ID[:], b.ID[:])
	})
	return out
}

func collect[T Record](x *Index, ids []ID) []T {
	out := make([]T, 0, len(ids))
	for _, id := range ids {
		out = append(out, x.records[id].(T))
	}
	return out
}

// BedName returns the short name of a bed, "terrace/4"; the id's text if the bed is not known.
func (x *Index) BedName(id BedID) string {
	b, ok := Find(x, id)
	if !ok {
		return id.String()
	}
	g, _ := Find(x, b.Garden)
	return g.Name + "/" + b.Name
}

// BedNamed returns the beds that go by a short name.
func (x *Index) BedNamed(short string) []BedID {
	g, b, found := strings.Cut(short, "/")
	if !found {
		return nil
	}
	var out []BedID
	for _, gid := range x.Named(KindGarden, g) {
		for _, id := range x.beds[GardenID(gid)] {
			if Fold(x.records[id].(Bed).Name) == Fold(b) {
				out = append(out, BedID(id))
			}
		}
	}
	return out
}

// PlantingName returns the short name of a planting, "terrace/4 parsnip 2026-04-03"; without a date if it has none.
func (x *Index) PlantingName(id PlantingID) string {
	p, ok := Find(x, id)
	if !ok {
		return id.String()
	}
	name := x.BedName(p.Bed) + " " + p.Crop
	if !p.Date.IsZero() {
		name += " " + p.Date.Date.Time().Format("2006-01-02")
	}
	return name
}

// SameName reports whether another planting of the bed goes by the same short name.
func (x *Index) SameName(p Planting) bool {
	for _, id := range x.planted[p.Bed] {
		q := x.records[id].(Planting)
		if q.ID != p.ID && Fold(q.Crop) == Fold(p.Crop) && q.Date.Date == p.Date.Date {
			return true
		}
	}
	return false
}
