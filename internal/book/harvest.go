package book

import "fairplot/internal/garden"

func (c *coder) harvest(h *garden.Harvest) {
	ref(c, &h.Planting)
	text(c, &h.Crop)
	c.bedList(&h.Beds)
	c.date(&h.Date)
	maybe(c, &h.Mass)
	maybe(c, &h.Gross)
	maybe(c, &h.Tare)
	c.maybeInt(&h.Count)
	c.maybeInt(&h.SampleCount)
	text(c, &h.State)
	text(c, &h.Weighing)
	text(c, &h.Edge)
	text(c, &h.Use)
	text(c, &h.Round)
	text(c, &h.Crate)
	text(c, &h.SplitBy)
	c.bool(&h.Nothing)
	text(c, &h.Note)
}
