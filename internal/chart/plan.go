package chart

import (
	"fmt"
	"math"
	"strings"
)

// Corner is a point of the ground, metres east and north.
type Corner struct{ X, Y float64 }

// Ground is one bed on a plan. Rows are drawn along its first side at their real distance, in the way of the series; Series -1 leaves them out.
type Ground struct {
	Name    string
	Says    string // what is written on it: the crop
	Corners []Corner
	Rows    int
	Series  int
	Link    string // "" for none
}

// Plan is beds drawn to scale with a pegged five-metre line and north up.
type Plan struct {
	Key         string
	Title, Desc string
	Beds        []Ground
	Legend      []string // names of the series used, in their order
}

// Draw returns the picture.
func (p Plan) Draw() Picture {
	return Picture{Wide: p.draw("wide", 840), Narrow: p.draw("narrow", 320)}
}

// bounds is the box round all corners; an empty plan has a box of one metre.
func (p Plan) bounds() (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, b := range p.Beds {
		for _, c := range b.Corners {
			x0, y0, x1, y1 = min(x0, c.X), min(y0, c.Y), max(x1, c.X), max(y1, c.Y)
		}
	}
	if x1 <= x0 || y1 <= y0 {
		return 0, 0, 1, 1
	}
	return x0, y0, x1, y1
}

func (p Plan) draw(class string, width float64) string {
	const margin, foot = 26.0, 48.0
	x0, y0, x1, y1 := p.bounds()
	scale := min((width-2*margin)/(x1-x0), 2.2*width/(y1-y0))
	legend := 22 * float64(len(p.Legend))
	height := legend + margin + scale*(y1-y0) + foot
	at := func(c Corner) (float64, float64) {
		return margin + scale*(c.X-x0), legend + margin + scale*(y1-c.Y)
	}
	var s svg
	for i, name := range p.Legend {
		sr := Four()[i%4]
		y := 22*float64(i) + 12
		s.line(0, y, 34, y, 3, stroke(sr))
		s.text(42, y+5, 14, name, `fill="currentColor"`)
	}
	for _, b := range p.Beds {
		drawBed(&s, b, at, scale)
	}
	y := height - 22
	s.pegged(margin, margin+5*scale, y, 2, 12, 3)
	s.text(margin+5*scale+8, y+5, 14, "5 m", `fill="currentColor"`)
	s.line(width-margin, y+6, width-margin, y-20, 2, ink)
	s.text(width-margin-8, y-8, 14, "north", `text-anchor="end" fill="currentColor"`)
	return s.whole(class, p.Key, p.Title, p.Desc, width, height)
}

func stroke(sr Series) string {
	if sr.Dash == "" {
		return fmt.Sprintf(`stroke="%s"`, sr.Colour)
	}
	return fmt.Sprintf(`stroke="%s" stroke-dasharray="%s"`, sr.Colour, sr.Dash)
}

func drawBed(s *svg, b Ground, at func(Corner) (float64, float64), scale float64) {
	if len(b.Corners) < 3 {
		return
	}
	var d strings.Builder
	for i, c := range b.Corners {
		x, y := at(c)
		fmt.Fprintf(&d, "%s%s %s", map[bool]string{true: "M", false: "L"}[i == 0], num(x), num(y))
	}
	if b.Link != "" {
		fmt.Fprintf(&s.b, `<a href="%s">`+"\n", escape(b.Link))
	}
	fmt.Fprintf(&s.b, `<path d="%sZ" class="c-paper" stroke="currentColor" stroke-width="1.4"/>`+"\n", d.String())
	if b.Series >= 0 && len(b.Corners) == 4 {
		drawRows(s, b, at)
	}
	x, y := at(centre(b.Corners))
	size := min(14, max(9, 0.45*scale))
	s.text(x, y+size/3, size, strings.TrimSpace(b.Name+" "+b.Says), `text-anchor="middle" class="c-halo" fill="currentColor"`)
	if b.Link != "" {
		s.b.WriteString("</a>\n")
	}
}

// drawRows draws at most twelve rows along the first side of a four-cornered bed.
func drawRows(s *svg, b Ground, at func(Corner) (float64, float64)) {
	n := min(max(1, b.Rows), 12)
	a0, a1, b1, b0 := b.Corners[0], b.Corners[1], b.Corners[2], b.Corners[3]
	for i := range n {
		t := (float64(i) + 0.5) / float64(n)
		x1, y1 := at(between(between(a0, b0, t), between(a1, b1, t), 0.03))
		x2, y2 := at(between(between(a0, b0, t), between(a1, b1, t), 0.97))
		s.line(x1, y1, x2, y2, 2, stroke(Four()[b.Series%4]))
	}
}

func between(a, b Corner, t float64) Corner {
	return Corner{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)}
}

func centre(cs []Corner) Corner {
	var m Corner
	for _, c := range cs {
		m.X += c.X / float64(len(cs))
		m.Y += c.Y / float64(len(cs))
	}
	return m
}
