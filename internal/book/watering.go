package book

import "fairplot/internal/garden"

func (c *coder) watering(w *garden.Watering) {
	c.bedList(&w.Beds)
	maybe(c, &w.Volume)
	maybe(c, &w.Depth)
	c.date(&w.Date)
	text(c, &w.Note)
}
