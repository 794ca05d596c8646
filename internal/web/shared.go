package web

import (
	"fmt"
	"html/template"
	"strings"

	"fairplot/internal/ask"
	"fairplot/internal/chart"
	"fairplot/internal/civil"
	"fairplot/internal/evidence"
	"fairplot/internal/garden"
)

// picture is a drawing as a page holds it.
type picture struct {
	Drawn   template.HTML
	Caption string
}

// drawn takes a picture over as markup: chart escapes every word it is given.
func drawn(p chart.Picture, caption string) picture {
	return picture{Drawn: template.HTML(p.Wide + p.Narrow), Caption: caption}
}

// today is the day by the server's clock.
func (s *Server) day() civil.Date { return civil.FromTime(s.Now()) }

// setup is what the questions need beside the records.
func (s *Server) setup(r garden.Records) evidence.Setup { return ask.Setup(r, s.day()) }

// long writes a date with its weekday and the month in letters: "Wednesday, 25 November 2026".
func long(d civil.Date) string {
	return fmt.Sprintf("%s, %s", d.Time().Weekday(), short(d))
}

// short writes a date with the month in letters: "25 November 2026".
func short(d civil.Date) string {
	if d.IsZero() {
		return "no date"
	}
	return fmt.Sprintf("%d %s %d", d.Day(), d.Month(), d.Year())
}

// number writes a number with at most the digits given behind the point and a no-break space before the unit.
func number(x float64, digits int, unit string) string {
	return strings.TrimRight(fmt.Sprintf("%.*f\u00a0%s", digits, x, unit), "\u00a0")
}

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
