package chart

import "fmt"

// Stake is one value that stands on the ground, such as a season's yield. One nobody noted is drawn open and broken.
type Stake struct {
	Label string
	Value float64
	Known bool
}

// Stakes is a row of groups of stakes, one group a garden, all from zero and on one scale.
type Stakes struct {
	Key         string
	Title, Desc string
	Groups      []StakeGroup
}

// StakeGroup is one panel.
type StakeGroup struct {
	Name, Note string
	Stakes     []Stake
}

// Draw returns the picture.
func (p Stakes) Draw() Picture {
	return Picture{Wide: p.draw("wide", 840, 4), Narrow: p.draw("narrow", 320, 1)}
}

const (
	panelHeight = 216.0
	stakeFoot   = 190.0
	stakeRoom   = 118.0 // of the tallest stake
)

func (p Stakes) draw(class string, width float64, across int) string {
	top := 0.0
	for _, g := range p.Groups {
		for _, st := range g.Stakes {
			if st.Known {
				top = max(top, st.Value)
			}
		}
	}
	var s svg
	gap := 26.0
	panel := (width - gap*float64(across-1)) / float64(across)
	for i, g := range p.Groups {
		x := float64(i%across) * (panel + gap)
		y := float64(i/across) * (panelHeight + 14)
		p.panel(&s, g, Four()[i%4], x, y, panel, top)
	}
	rows := (len(p.Groups) + across - 1) / across
	return s.whole(class, p.Key, p.Title, p.Desc, width, max(1, float64(rows)*(panelHeight+14)-14))
}

func (p Stakes) panel(s *svg, g StakeGroup, series Series, x, y, width, top float64) {
	s.text(x, y+16, 16, g.Name, `font-weight="700" fill="currentColor"`)
	s.text(x, y+34, 13.5, g.Note, `class="c-quiet"`)
	s.line(x, y+stakeFoot, x+width, y+stakeFoot, 2.5, ink)
	if len(g.Stakes) == 0 {
		return
	}
	step := width / float64(len(g.Stakes))
	for i, st := range g.Stakes {
		mid := x + step*(float64(i)+0.5)
		drawStake(s, st, series, mid, y, top)
		s.text(mid, y+stakeFoot+20, 14, st.Label, `text-anchor="middle" class="c-quiet"`)
	}
}

func drawStake(s *svg, st Stake, series Series, mid, y, top float64) {
	if !st.Known {
		fmt.Fprintf(&s.b, `<rect x="%s" y="%s" width="16" height="40" fill="none" stroke="currentColor" stroke-width="1.5" stroke-dasharray="3 3"/>`+"\n", num(mid-8), num(y+stakeFoot-41))
		s.text(mid, y+stakeFoot-48, 13, "not noted", `text-anchor="middle" font-style="italic" class="c-quiet"`)
		return
	}
	high := 0.0
	if top > 0 {
		high = stakeRoom * st.Value / top
	}
	head := y + stakeFoot - 1 - high
	fmt.Fprintf(&s.b, `<rect x="%s" y="%s" width="16" height="%s" fill="%s"/>`+"\n", num(mid-8), num(head), num(high), series.Colour)
	s.line(mid-11, head, mid+11, head, 3, ink)
	s.text(mid, head-9, 16, fmt.Sprintf("%.1f", st.Value), `text-anchor="middle" fill="currentColor"`)
}
