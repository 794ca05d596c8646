package chart

import (
	"fmt"
	"math"
)

// Range is one interval of a ratio; without Known nothing can be told and the line is dotted and has no pegs.
type Range struct {
	Name            string
	Note            string
	Low, Best, High float64
	Known           bool
}

// Intervals is a picture of ratios on a log axis, the first row heavier than the others. The band from 1/(1+Margin) to 1+Margin is too little
// to matter; Less and More say what lies on either side of "the same".
type Intervals struct {
	Key         string // unique on the page
	Title, Desc string
	Margin      float64
	Rows        []Range
	Less, More  string
}

// frame is where things stand in one of the two drawings.
type frame struct {
	class       string
	width       float64
	left, right float64 // of the axis
	top         float64
	first, row  float64 // height of the first row and of the others
	nameSize    float64
	above       bool // names stand above their line, not left of it
}

var frames = [2]frame{
	{class: "wide", width: 840, left: 250, right: 780, top: 46, first: 78, row: 36, nameSize: 16},
	{class: "narrow", width: 320, left: 22, right: 298, top: 48, first: 84, row: 62, nameSize: 15, above: true},
}

// Draw returns the picture.
func (p Intervals) Draw() Picture {
	return Picture{Wide: p.draw(frames[0]), Narrow: p.draw(frames[1])}
}

func (p Intervals) draw(f frame) string {
	low, high := p.span()
	at := func(x float64) float64 {
		return f.left + (f.right-f.left)*(math.Log(x)-math.Log(low))/(math.Log(high)-math.Log(low))
	}
	bottom := f.top
	for i := range p.Rows {
		bottom += f.height(i)
	}
	var s svg
	p.band(&s, f, at, bottom)
	y := f.top
	for i, r := range p.Rows {
		p.rangeRow(&s, f, at, i, r, y)
		y += f.height(i)
	}
	p.axis(&s, f, at, low, high, bottom+14)
	return s.whole(f.class, p.Key, p.Title, p.Desc, f.width, bottom+f.foot())
}

func (f frame) foot() float64 {
	if f.above {
		return 88
	}
	return 70
}

func (f frame) height(i int) float64 {
	if i == 0 {
		return f.first
	}
	return f.row
}

// span is the run of the axis: from a half to twice at least, and as wide as the intervals, to at most a fiftieth and fifty times.
func (p Intervals) span() (low, high float64) {
	low, high = 0.5, 2
	for _, r := range p.Rows {
		if r.Known {
			low, high = min(low, r.Low), max(high, r.High)
		}
	}
	low, high = max(low, 0.02), min(high, 50)
	return niceBelow(low), niceAbove(high)
}

var nice = []float64{0.02, 0.05, 0.1, 0.2, 0.33, 0.5, 2, 3, 5, 10, 20, 50}

func niceBelow(x float64) float64 {
	out := nice[0]
	for _, n := range nice {
		if n <= x*1.0001 {
			out = n
		}
	}
	return out
}

func niceAbove(x float64) float64 {
	for _, n := range nice {
		if n >= x*0.9999 {
			return n
		}
	}
	return nice[len(nice)-1]
}

func (p Intervals) band(s *svg, f frame, at func(float64) float64, bottom float64) {
	a, b, one := at(1/(1+p.Margin)), at(1+p.Margin), at(1)
	s.hatch(a, f.top, b, bottom)
	s.line(a, f.top-6, a, bottom, 1, `class="c-line"`)
	s.line(b, f.top-6, b, bottom, 1, `class="c-line"`)
	s.line(one, f.top-6, one, bottom, 1.5, ink)
	s.text(one, 18, 14, "too little to matter", `text-anchor="middle" class="c-quiet"`)
	s.text(one, 34, 14, fmt.Sprintf("(under %.3g %%)", 100*p.Margin), `text-anchor="middle" class="c-quiet"`)
}

func (p Intervals) rangeRow(s *svg, f frame, at func(float64) float64, i int, r Range, top float64) {
	heavy := i == 0
	weight, nameY := "", top+f.height(i)/2+5
	y := top + f.height(i)/2
	if heavy {
		weight = ` font-weight="700"`
	}
	if f.above {
		nameY, y = top+20, top+f.height(i)-22
		s.text(f.width, nameY, 13, r.Note, `text-anchor="end" class="c-quiet"`)
	} else if heavy {
		s.text(0, nameY+19, 13, r.Note, `class="c-quiet"`)
	} else {
		s.text(f.left-20, nameY, 13, r.Note, `text-anchor="end" class="c-quiet"`)
	}
	s.text(0, nameY, f.nameSize, r.Name, `fill="currentColor"`+weight)
	if !r.Known {
		s.line(f.left, y, f.right, y, 3, ink+` stroke-dasharray="1 7" stroke-linecap="round"`)
		return
	}
	drawRange(s, at, r, y, heavy)
	if heavy && len(p.Rows) > 1 {
		s.line(0, top+f.first-2, f.width, top+f.first-2, 1, `class="c-hair"`)
	}
}

// drawRange draws peg, line, peg and ring. An end beyond the axis is drawn at its edge.
func drawRange(s *svg, at func(float64) float64, r Range, y float64, heavy bool) {
	width, peg, pegWidth, ring, size, weight := 4.0, 16.0, 2.5, 4.5, 15.0, ""
	if heavy {
		width, peg, pegWidth, ring, size, weight = 7, 26, 3.5, 7, 20, ` font-weight="700"`
	}
	a, b, m := at(max(r.Low, 0.02)), at(min(r.High, 50)), at(min(max(r.Best, 0.02), 50))
	s.pegged(a, b, y, width, peg, pegWidth)
	s.text(a-8, y+size/3, size, two(r.Low), `text-anchor="end" class="c-halo" fill="currentColor"`+weight)
	s.text(b+8, y+size/3, size, two(r.High), `class="c-halo" fill="currentColor"`+weight)
	fmt.Fprintf(&s.b, `<circle cx="%s" cy="%s" r="%s" class="c-paper" stroke="currentColor" stroke-width="2.5"/>`+"\n", num(m), num(y), num(ring))
	if heavy {
		s.text(m, y-20, 14, two(r.Best), `text-anchor="middle" class="c-halo" fill="currentColor"`)
	}
}

func (p Intervals) axis(s *svg, f frame, at func(float64) float64, low, high, y float64) {
	s.pegged(f.left, f.right, y, 2, 12, 3)
	last := math.Inf(-1)
	for _, t := range []float64{low, 1, high, 0.5, 2, 1 / (1 + p.Margin), 1 + p.Margin, 3, 5} {
		if t < low*0.999 || t > high*1.001 {
			continue
		}
		s.line(at(t), y-5, at(t), y+5, 1.5, ink)
	}
	for _, t := range []float64{low, 1 / (1 + p.Margin), 1, 1 + p.Margin, 2, high} {
		words := ratioWord(t)
		x := at(t)
		if t < low || t > high || x-wordWidth(words, 14)/2 < last+4 {
			continue
		}
		s.text(x, y+23, 14, words, `text-anchor="middle" fill="currentColor"`)
		last = x + wordWidth(words, 14)/2
	}
	s.text(f.left, y+46, 14, "← "+p.Less, `class="c-quiet"`)
	more := y + 46
	if f.above {
		more = y + 64
	}
	s.text(f.right, more, 14, p.More+" →", `text-anchor="end" class="c-quiet"`)
}

// ratioWord names a ratio in words where there are any.
func ratioWord(x float64) string {
	switch x {
	case 0.5:
		return "half"
	case 1:
		return "the same"
	case 2:
		return "twice"
	}
	if x > 1 && x == math.Trunc(x) {
		return fmt.Sprintf("%g times", x)
	}
	return fmt.Sprintf("%.3g", x)
}

func two(x float64) string {
	if x >= 10 {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.2f", x)
}
