package book

import "fairplot/internal/garden"

func (c *coder) work(w *garden.Work) {
	c.bedList(&w.Beds)
	ref(c, &w.Garden)
	text(c, &w.Place)
	ref(c, &w.Planting)
	text(c, &w.Task)
	if c.has(w.Time != 0) {
		float(c, &w.Time)
	}
	text(c, &w.Who)
	c.date(&w.Date)
	c.int(&w.OverYears)
	text(c, &w.Note)
}
