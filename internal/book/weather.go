package book

import "fairplot/internal/garden"

func (c *coder) weather(w *garden.WeatherDay) {
	ref(c, &w.Site)
	ref(c, &w.Tunnel)
	c.date(&w.Date)
	maybe(c, &w.Min)
	maybe(c, &w.Max)
	maybe(c, &w.Rain)
	maybe(c, &w.Sunshine)
	maybe(c, &w.Radiation)
	maybe(c, &w.Wind)
	maybe(c, &w.Humidity)
	c.bool(&w.Normal)
	text(c, &w.Source)
}
