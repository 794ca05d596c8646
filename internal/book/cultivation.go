package book

import "fairplot/internal/garden"

func (c *coder) cultivation(v *garden.Cultivation) {
	c.bedList(&v.Beds)
	c.part(&v.Part)
	text(c, &v.How)
	maybe(c, &v.Depth)
	c.date(&v.Date)
	ref(c, &v.MeantFor)
	text(c, &v.Note)
}
