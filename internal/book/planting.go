package book

import (
	"encoding/binary"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

func (c *coder) planting(p *garden.Planting) {
	ref(c, &p.Bed)
	c.part(&p.Part)
	text(c, &p.Crop)
	text(c, &p.Variety)
	text(c, &p.SeedLot)
	text(c, &p.Start)
	c.when(&p.Date)
	maybe(c, &p.InRow)
	maybe(c, &p.BetweenRows)
	c.maybeInt(&p.Plants)
	text(c, &p.Arrangement)
	c.stands(&p.Stands)
	c.date(&p.Ended)
	c.bool(&p.Failed)
	text(c, &p.Why)
	c.maybeBool(&p.StrikesAll)
	text(c, &p.Weighed)
	c.maybeInt(&p.Missed)
	text(c, &p.Note)
}

func (c *coder) when(w *civil.When) {
	c.date(&w.Date)
	precision := int(w.Precision)
	c.int(&precision)
	w.Precision = civil.Precision(precision)
}

func (c *coder) stands(list *[]garden.Stand) {
	if !c.has(len(*list) > 0) {
		return
	}
	if c.writing {
		c.buf = binary.AppendUvarint(c.buf, uint64(len(*list)))
	} else {
		n := c.uvarint()
		if n > uint64(len(c.buf)/4) { // each has a mask of four bytes
			c.err = errShort
			return
		}
		*list = make([]garden.Stand, n)
	}
	for i := range *list {
		c.nest(func(c *coder) {
			s := &(*list)[i]
			c.date(&s.Date)
			text(c, &s.What)
			c.maybeInt(&s.Plants)
			maybe(c, &s.InRow)
		})
	}
}
