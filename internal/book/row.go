package book

import (
	"encoding/binary"
	"fmt"
	"strings"

	"fairplot/internal/garden"
)

// table returns the table that holds the records of the kind as they stand now. The names of kinds are the constants of
// package garden, so that the result may stand in a query.
func table(k garden.Kind) string { return strings.ReplaceAll(string(k), "-", "_") }

// row returns what is kept of a record beside its day and id.
func (c *coder) row(rec garden.Record) ([]byte, error) {
	id, rev := rec.Identity(), rec.Revision()
	switch v := rec.(type) {
	case garden.Harvest:
		return c.encode(id, rev, func(c *coder) { c.harvest(&v) }), nil
	case garden.Planting:
		return c.encode(id, rev, func(c *coder) { c.planting(&v) }), nil
	case garden.Work:
		return c.encode(id, rev, func(c *coder) { c.work(&v) }), nil
	case garden.Cultivation:
		return c.encode(id, rev, func(c *coder) { c.cultivation(&v) }), nil
	case garden.Amendment:
		return c.encode(id, rev, func(c *coder) { c.amendment(&v) }), nil
	case garden.Watering:
		return c.encode(id, rev, func(c *coder) { c.watering(&v) }), nil
	case garden.WeatherDay:
		return c.encode(id, rev, func(c *coder) { c.weather(&v) }), nil
	}
	body, err := garden.Encode(rec)
	if err != nil {
		return nil, err
	}
	head := binary.AppendUvarint(append([]byte(nil), id[:]...), uint64(rev))
	return append(head, body...), nil
}

// into reads a row and appends its record to its list.
func (c *coder) into(list *garden.Records, k garden.Kind, row []byte) error {
	id, rev := c.head(row)
	switch k {
	case garden.KindHarvest:
		v := more(&list.Harvests)
		v.ID, v.Rev = garden.HarvestID(id), rev
		c.nest(func(c *coder) { c.harvest(v) })
	case garden.KindPlanting:
		v := more(&list.Plantings)
		v.ID, v.Rev = garden.PlantingID(id), rev
		c.nest(func(c *coder) { c.planting(v) })
	case garden.KindWork:
		v := more(&list.Works)
		v.ID, v.Rev = garden.Ref[garden.Work](id), rev
		c.nest(func(c *coder) { c.work(v) })
	case garden.KindCultivation:
		v := more(&list.Cultivations)
		v.ID, v.Rev = garden.Ref[garden.Cultivation](id), rev
		c.nest(func(c *coder) { c.cultivation(v) })
	case garden.KindAmendment:
		v := more(&list.Amendments)
		v.ID, v.Rev = garden.Ref[garden.Amendment](id), rev
		c.nest(func(c *coder) { c.amendment(v) })
	case garden.KindWatering:
		v := more(&list.Waterings)
		v.ID, v.Rev = garden.Ref[garden.Watering](id), rev
		c.nest(func(c *coder) { c.watering(v) })
	case garden.KindWeather:
		v := more(&list.Weather)
		v.ID, v.Rev = garden.Ref[garden.WeatherDay](id), rev
		c.nest(func(c *coder) { c.weather(v) })
	default:
		return c.plain(list, k, id, rev)
	}
	return c.end(k, id)
}

// more appends an empty record to the list and returns its address.
func more[T any](list *[]T) *T {
	var empty T
	*list = append(*list, empty)
	return &(*list)[len(*list)-1]
}

// plain reads a row whose fields are JSON.
func (c *coder) plain(list *garden.Records, k garden.Kind, id garden.ID, rev int) error {
	if c.err != nil {
		return c.end(k, id)
	}
	rec, err := garden.Decode(k, id, rev, c.buf)
	if err != nil {
		return err
	}
	list.Put(rec)
	return nil
}

func (c *coder) end(k garden.Kind, id garden.ID) error {
	if c.err == nil && len(c.buf) > 0 {
		c.err = errUnknownField
	}
	if c.err == nil {
		return nil
	}
	return &garden.Error{Kind: garden.Damaged, Text: fmt.Sprintf("the %s %v cannot be read from the book", k, id),
		Hint: "a newer version may have written it; else restore the last backup", Cause: c.err}
}

// grow makes room for n more records of the kinds that come in thousands.
func grow(list *garden.Records, k garden.Kind, n int) {
	switch k {
	case garden.KindHarvest:
		list.Harvests = room(list.Harvests, n)
	case garden.KindPlanting:
		list.Plantings = room(list.Plantings, n)
	case garden.KindWork:
		list.Works = room(list.Works, n)
	case garden.KindCultivation:
		list.Cultivations = room(list.Cultivations, n)
	case garden.KindAmendment:
		list.Amendments = room(list.Amendments, n)
	case garden.KindWatering:
		list.Waterings = room(list.Waterings, n)
	case garden.KindWeather:
		list.Weather = room(list.Weather, n)
	}
}

func room[T any](list []T, n int) []T {
	if n == 0 {
		return list
	}
	return append(make([]T, 0, len(list)+n), list...)
}

// compact reports whether rows of the kind hold ids as bytes rather than JSON.
func compact(k garden.Kind) bool {
	switch k {
	case garden.KindHarvest, garden.KindPlanting, garden.KindWork, garden.KindCultivation, garden.KindAmendment, garden.KindWatering, garden.KindWeather:
		return true
	}
	return false
}
