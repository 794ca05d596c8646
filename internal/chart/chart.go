// Package chart draws pictures as SVG text: intervals, season stakes and ground plans, each with a title, a description and twice over,
// for a wide page and for a phone. It imports nothing of the program and leaves the numbers' table to whoever shows the picture.
//
// Everything that spans something is a line with a peg at each end. Colours are those of Okabe and Ito (2008), "Color universal
// design", always in one order, each with a dash and a mark, so that none is told by colour alone.
package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Series is one of the four ways to draw things that differ.
type Series struct {
	Colour string // hexadecimal, on either paper at a contrast of 3 or more
	Dash   string // "" for unbroken
	Mark   string // circle, square, triangle, diamond
}

// Four returns the series in their fixed order; more than four are not told apart.
func Four() [4]Series {
	return [4]Series{
		{"#0072B2", "", "circle"},
		{"#D55E00", "8 4", "square"},
		{"#009E73", "2 4", "triangle"},
		{"#CC79A7", "10 4 2 4", "diamond"},
	}
}

// Picture is one drawing, twice: Wide is 840 units across, Narrow 320, so that text stays readable on a phone.
type Picture struct {
	Wide, Narrow string
}

// svg collects the elements of one drawing.
type svg struct {
	b strings.Builder
}

// num writes a coordinate with at most one digit behind the point, so that drawings are the same on every machine.
func num(x float64) string {
	r := math.Round(x*10) / 10
	if r == 0 {
		r = 0 // no minus zero
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

func escape(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;").Replace(s)
}

func (s *svg) line(x1, y1, x2, y2, width float64, rest string) {
	fmt.Fprintf(&s.b, `<line x1="%s" y1="%s" x2="%s" y2="%s" stroke-width="%s" %s/>`+"\n", num(x1), num(y1), num(x2), num(y2), num(width), rest)
}

const ink = `stroke="currentColor"`

// text writes words at a point; rest holds further attributes.
func (s *svg) text(x, y, size float64, words, rest string) {
	fmt.Fprintf(&s.b, `<text x="%s" y="%s" font-size="%s" %s>%s</text>`+"\n", num(x), num(y), num(size), rest, escape(words))
}

// pegged draws a line from one peg to another.
func (s *svg) pegged(x1, x2, y, width, peg, pegWidth float64) {
	s.line(x1, y, x2, y, width, ink)
	s.line(x1, y-peg/2, x1, y+peg/2, pegWidth, ink)
	s.line(x2, y-peg/2, x2, y+peg/2, pegWidth, ink)
}

// whole closes a drawing. The key makes the ids of title and description unique on a page.
func (s *svg) whole(class, key, title, desc string, width, height float64) string {
	return fmt.Sprintf(`<svg class="%s" viewBox="0 0 %s %s" role="img" aria-labelledby="%[4]s-%[1]s-t %[4]s-%[1]s-d">`+"\n"+
		`<title id="%[4]s-%[1]s-t">%[5]s</title>`+"\n"+`<desc id="%[4]s-%[1]s-d">%[6]s</desc>`+"\n%[7]s</svg>\n",
		class, num(width), num(height), escape(key), escape(title), escape(desc), s.b.String())
}

// hatch fills a rectangle with slanting hairlines drawn as one path, so that no pattern ids can clash on a page.
func (s *svg) hatch(x1, y1, x2, y2 float64) {
	var d strings.Builder
	const step = 7
	w := x2 - x1
	for c := step * 1.0; c < w+(y2-y1); c += step {
		ax, ay := x1, y1+c
		if ay > y2 {
			ax, ay = x1+(ay-y2), y2
		}
		bx, by := x1+c, y1
		if bx > x2 {
			bx, by = x2, y1+(bx-x2)
		}
		fmt.Fprintf(&d, "M%s %sL%s %s", num(ax), num(ay), num(bx), num(by))
	}
	fmt.Fprintf(&s.b, `<path d="%s" class="c-hair" fill="none" stroke-width="1"/>`+"\n", d.String())
}

// wordWidth estimates the width of words in the type of the pages; drawings leave that much room.
func wordWidth(words string, size float64) float64 {
	return 0.55 * size * float64(len([]rune(words)))
}
