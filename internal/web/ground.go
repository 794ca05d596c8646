package web

import (
	"fmt"
	"math"
	"net/http"
	"slices"
	"strings"

	"fairplot/internal/chart"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
)

// groundPage is the plan of one garden in one growing year, and the same as a table.
type groundPage struct {
	Page
	Side    string
	Seasons []seasonLink
	Gardens []gardenLink
	By      []byLink
	Season  int
	Picture *picture
	Rows    []groundRow
}

type gardenLink struct {
	Name string
	Here bool
}

type byLink struct {
	Name, Says string
	Here       bool
}

type groundRow struct{ Bed, Crop, Link, Area, Value string }

// colourings are what the rows of a plan can be coloured by.
var colourings = []byLink{{Name: "family", Says: "crop family"}, {Name: "cultivation", Says: "how the ground was worked"}, {Name: "yield", Says: "yield"}}

// ground draws the plan of a garden to scale.
func (s *Server) ground(w http.ResponseWriter, r *http.Request) error {
	season, err := seasonOf(r)
	if err != nil {
		return err
	}
	records, set, planted, err := s.workedOut(r.Context())
	if err != nil {
		return err
	}
	years := yearsOf(planted)
	if season == 0 {
		season = latest(planted, func(p practice.Planted) bool { return set.Options.SeasonOf(p.Start) == p.Season })
	}
	p := groundPage{Page: s.page("What stood where", "ground"), Season: season, Side: "growing year"}
	for _, y := range years {
		p.Seasons = append(p.Seasons, seasonLink{y, y == season})
	}
	name := r.URL.Query().Get("garden")
	var here garden.Garden
	for _, g := range records.Gardens {
		if g.Name == name || name == "" && here.Name == "" {
			here = g
		}
	}
	for _, g := range records.Gardens {
		p.Gardens = append(p.Gardens, gardenLink{g.Name, g.ID == here.ID})
	}
	by := r.URL.Query().Get("by")
	if !slices.ContainsFunc(colourings, func(l byLink) bool { return l.Name == by }) {
		by = "family"
	}
	for _, l := range colourings {
		l.Here = l.Name == by
		p.By = append(p.By, l)
	}
	draw := planOf{by: by, family: set.Options.Family, here: here, season: season}
	draw.take(records.Beds, planted)
	if len(draw.plan.Beds) > 0 {
		d := drawn(draw.plan.Draw(), "Drawn to scale. At most twelve rows of a bed are drawn.")
		p.Picture = &d
	}
	p.Rows = draw.rows
	return s.render(w, r, http.StatusOK, "ground", p)
}

// planOf collects what a plan shows.
type planOf struct {
	by     string
	family func(string) string
	here   garden.Garden
	season int
	plan   chart.Plan
	rows   []groundRow
	series map[string]int
}

func (d *planOf) take(beds []garden.Bed, planted []practice.Planted) {
	d.series = map[string]int{}
	d.plan = chart.Plan{Key: "plan", Title: fmt.Sprintf("%s in %d, drawn to scale", d.here.Name, d.season)}
	in := map[garden.BedID][]practice.Planted{}
	for _, p := range planted {
		if p.Season == d.season {
			in[p.Bed.ID] = append(in[p.Bed.ID], p)
		}
	}
	next := 0.0
	beds = slices.Clone(beds)
	slices.SortStableFunc(beds, func(a, b garden.Bed) int { return byNumber(a.Name, b.Name) })
	for _, b := range beds {
		if b.Garden != d.here.ID {
			continue
		}
		corners := cornersOf(b, &next)
		ground := chart.Ground{Name: b.Name, Corners: corners, Series: -1}
		if len(in[b.ID]) == 0 {
			d.rows = append(d.rows, groundRow{Bed: b.Name, Crop: "empty", Area: areaText(b.Area())})
		}
		var crops []string
		for _, p := range in[b.ID] {
			crops = append(crops, p.Planting.Crop)
			value := d.value(p)
			if ground.Series < 0 {
				ground.Series, ground.Rows = d.seriesOf(value), rowsOf(p) // the table below has the links: a picture is one thing to a screen reader
			}
			d.rows = append(d.rows, groundRow{b.Name, p.Planting.Crop, "/planting/" + p.Planting.ID.String(), areaText(p.Area), value})
		}
		ground.Says = strings.Join(crops, ", ")
		if len(corners) > 0 {
			d.plan.Beds = append(d.plan.Beds, ground)
		}
		d.plan.Desc += fmt.Sprintf("Bed %s: %s. ", b.Name, strings.Join(crops, ", "))
	}
}

// value is what the rows are coloured by, in words.
func (d *planOf) value(p practice.Planted) string {
	switch d.by {
	case "cultivation":
		return p.Level(practice.Cultivation).String()
	case "yield":
		if !p.Area.Known {
			return "not known"
		}
		sum := 0.0
		for _, h := range p.Harvests {
			sum += float64(h.Net().Or(0))
		}
		return fmt.Sprintf("%.0f to %.0f kg/m²", math.Floor(sum/float64(p.Area.Value)), math.Floor(sum/float64(p.Area.Value))+1)
	}
	if f := d.family(p.Planting.Crop); f != "" {
		return f
	}
	return "family not known"
}

// seriesOf gives the first three values a series each and all others the fourth.
func (d *planOf) seriesOf(value string) int {
	if n, ok := d.series[value]; ok {
		return n
	}
	n := min(len(d.series), 3)
	d.series[value] = n
	if len(d.plan.Legend) <= n {
		d.plan.Legend = append(d.plan.Legend, value)
	} else {
		d.plan.Legend[n] = "others"
	}
	return n
}

// rowsOf is how many rows of the crop stand side by side in the bed, where that is known.
func rowsOf(p practice.Planted) int {
	between := p.Planting.BetweenRows
	if between.Known && p.Bed.Width.Known {
		return int(math.Max(1, math.Round(float64(p.Bed.Width.Value/between.Value))))
	}
	if l := p.Level(practice.Spacing); l.Known && p.Bed.Width.Known {
		return int(math.Max(1, math.Round(float64(p.Bed.Width.Value)*math.Sqrt(l.Amount))))
	}
	return 1
}

// cornersOf places a bed on the plan; beds that nobody placed are laid one above the other.
func cornersOf(b garden.Bed, next *float64) []chart.Corner {
	at := b.At.Or(garden.Point{X: 0, Y: *next})
	outline := b.Outline
	if len(outline) == 0 {
		l, w := float64(b.Length.Or(0)), float64(b.Width.Or(0))
		if l == 0 || w == 0 {
			return nil
		}
		outline = []garden.Point{{X: 0, Y: 0}, {X: l, Y: 0}, {X: l, Y: w}, {X: 0, Y: w}}
	}
	if !b.At.Known {
		*next += float64(b.Width.Or(1)) + 0.5
	}
	sin, cos := math.Sincos(b.Angle * math.Pi / 180)
	var out []chart.Corner
	for _, p := range outline {
		out = append(out, chart.Corner{X: at.X + p.X*cos - p.Y*sin, Y: at.Y + p.X*sin + p.Y*cos})
	}
	return out
}

func areaText[T ~float64](a garden.Maybe[T]) string {
	if !a.Known {
		return "not known"
	}
	return fmt.Sprintf("%.1f", float64(a.Value))
}
