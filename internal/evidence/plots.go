package evidence

import (
	"fmt"
	"strconv"
)

// Plots is the table behind a comparison, as text with every digit, so that the same table analysed elsewhere gives the same figures.
type Plots struct {
	Header []string
	Rows   [][]string
}

// plotsOf lays the rows out as the model needs them. The response stands as it is; the analysis takes its logarithm.
func plotsOf(q Question, s shape, rows []row, weighted bool) Plots {
	p := Plots{Header: []string{"garden", "season", "bed", "crop", "level", "y"}}
	shares := make([]map[string]float64, len(s.shares))
	for i, level := range s.shares {
		p.Header = append(p.Header, shareColumn(level))
		shares[i] = bedShares(rows, level)
	}
	for _, a := range q.Adjust {
		p.Header = append(p.Header, string(a))
	}
	if weighted {
		p.Header = append(p.Header, "area")
	}
	for _, r := range rows {
		cells := []string{r.garden, fmt.Sprint(r.season), r.bed, r.crop, r.level, exact(r.y)}
		for i := range shares {
			cells = append(cells, exact(shares[i][r.bed]))
		}
		for _, a := range q.Adjust {
			cells = append(cells, exact(r.planted.Level(a).Amount))
		}
		if weighted {
			cells = append(cells, exact(r.area))
		}
		p.Rows = append(p.Rows, cells)
	}
	return p
}

// exact writes a number so that reading it gives the same bits.
func exact(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// PlotsFile stands for the table in the call that repeats an answer until somebody writes it under a name.
const PlotsFile = "PLOTS.csv"
