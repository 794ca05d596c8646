package web

import (
	"fmt"
	"net/http"
	"slices"

	"fairplot/internal/ask"
	"fairplot/internal/chart"
	"fairplot/internal/finding"
	"fairplot/internal/practice"
)

// seasonsPage describes one growing year and sets the gardens' years side by side.
type seasonsPage struct {
	Page
	Side    string
	Seasons []seasonLink
	Finding finding.Finding
	Picture *picture
	Years   finding.Table
}

type seasonLink struct {
	Year int
	Here bool
}

// seasons shows how a year went: description only.
func (s *Server) seasons(w http.ResponseWriter, r *http.Request) error {
	season, err := seasonOf(r)
	if err != nil {
		return err
	}
	records, set, planted, err := s.workedOut(r.Context())
	if err != nil {
		return err
	}
	p := seasonsPage{Page: s.page("How did it go?", "seasons"), Side: "to " + short(s.day())}
	years := yearsOf(planted)
	if season == 0 {
		season = latest(planted, func(p practice.Planted) bool { return len(p.Harvests) > 0 })
	}
	for _, y := range years {
		p.Seasons = append(p.Seasons, seasonLink{Year: y, Here: y == season})
	}
	q, _ := ask.Find("tally")
	said := map[string]string{}
	if season != 0 {
		said["season"] = fmt.Sprint(season)
	}
	reply, err := q.Run(ask.Call{Said: said, Records: records, Setup: set})
	if err != nil {
		return err
	}
	p.Finding = reply.Finding
	p.Picture, p.Years = stakes(planted, years)
	return s.render(w, r, http.StatusOK, "seasons", p)
}

func yearsOf(planted []practice.Planted) []int {
	var out []int
	for _, p := range planted {
		if p.Season != 0 && !slices.Contains(out, p.Season) {
			out = append(out, p.Season)
		}
	}
	slices.Sort(out)
	return out
}

// latest is the last growing year with a planting such as is wanted, else the last of all: what only stands over the winter makes no year to look at yet.
func latest(planted []practice.Planted, wanted func(practice.Planted) bool) int {
	last, any := 0, 0
	for _, p := range planted {
		any = max(any, p.Season)
		if wanted(p) {
			last = max(last, p.Season)
		}
	}
	if last == 0 {
		return any
	}
	return last
}

// stakes draws kg per m² of bed for each garden and year, of crops that ended.
func stakes(planted []practice.Planted, years []int) (*picture, finding.Table) {
	type cell struct{ kg, area float64 }
	sums := map[string]map[int]cell{}
	var gardens []string
	for _, p := range planted {
		if !p.Area.Known || len(p.Harvests) == 0 && !p.Planting.Failed {
			continue
		}
		if sums[p.Garden.Name] == nil {
			sums[p.Garden.Name] = map[int]cell{}
			gardens = append(gardens, p.Garden.Name)
		}
		c := sums[p.Garden.Name][p.Season]
		for _, h := range p.Harvests {
			c.kg += float64(h.Net().Or(0))
		}
		c.area += float64(p.Area.Value)
		sums[p.Garden.Name][p.Season] = c
	}
	slices.Sort(gardens)
	pic := chart.Stakes{Key: "years", Title: "Yield of each garden by growing year, kg per m² of bed"}
	table := finding.Table{Title: "kg per m² of bed", Columns: []finding.Column{{Name: "garden"}}}
	for _, y := range years {
		table.Columns = append(table.Columns, finding.Column{Name: fmt.Sprint(y)})
	}
	for _, g := range gardens {
		group := chart.StakeGroup{Name: g, Note: "kg per m² of bed"}
		row := []string{g}
		for _, y := range years {
			c, known := sums[g][y]
			st := chart.Stake{Label: fmt.Sprint(y), Known: known}
			text := "not noted"
			if known {
				st.Value = c.kg / c.area
				text = fmt.Sprintf("%.1f", st.Value)
			}
			group.Stakes = append(group.Stakes, st)
			row = append(row, text)
		}
		pic.Groups = append(pic.Groups, group)
		pic.Desc += fmt.Sprintf("%s: %v. ", g, row[1:])
		table.Rows = append(table.Rows, row)
	}
	if len(gardens) == 0 {
		return nil, table
	}
	d := drawn(pic.Draw(), "An open stake is a year nobody wrote down. It is not a zero.")
	return &d, table
}
