package book

import "fairplot/internal/garden"

func (c *coder) amendment(a *garden.Amendment) {
	c.bedList(&a.Beds)
	c.part(&a.Part)
	text(c, &a.Material)
	maybe(c, &a.Volume)
	maybe(c, &a.Mass)
	text(c, &a.Loads)
	text(c, &a.Placement)
	maybe(c, &a.Depth)
	c.date(&a.Date)
	text(c, &a.MeantFor)
	text(c, &a.Note)
}
