package web

import (
	"fmt"
	"net/http"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// todayPage is what was noted today, what is missing, and what waits to be sorted out.
type todayPage struct {
	Page
	Side    string
	Head    string
	Empty   bool
	Figures []figure
	Missing []asking
	Waiting []asking
	Odd     []asking
}

// figure is a number on a line with its name below.
type figure struct{ Number, Unit, Name string }

// asking is a question put back to the grower.
type asking struct {
	About, Asks string
	Links       []link
}

type link struct{ To, Says string }

// today shows the first page; an empty book is told how to begin.
func (s *Server) today(w http.ResponseWriter, r *http.Request) error {
	records, err := s.all(r.Context())
	if err != nil {
		return err
	}
	day := s.day()
	_, week := day.Time().ISOWeek()
	p := todayPage{Page: s.page(long(day), "today"), Head: long(day),
		Side:    fmt.Sprintf("Week %d, %s, %s", week, count(len(records.Gardens), "garden"), count(len(records.Beds), "bed")),
		Empty:   len(records.Plantings) == 0 && len(records.Harvests) == 0 && len(records.Beds) == 0,
		Figures: figuresOf(records, day)}
	x := garden.NewIndex(records)
	p.Waiting = waiting(x)
	p.Missing = missing(x, records, day)
	p.Odd = odd(x, records, day)
	return s.render(w, r, http.StatusOK, "today", p)
}

func figuresOf(r garden.Records, day civil.Date) []figure {
	var mass unit.Mass
	weighed := 0
	for _, h := range r.Harvests {
		if h.Date == day {
			mass += h.Net().Or(0)
			weighed++
		}
	}
	var worked unit.Time
	for _, w := range r.Works {
		if w.Date == day {
			worked += w.Time
		}
	}
	var out []figure
	if weighed > 0 {
		out = append(out, figure{fmt.Sprintf("%.1f", float64(mass)), "kg", "weighed, " + count(weighed, "time")})
	}
	if worked > 0 {
		out = append(out, figure{fmt.Sprintf("%.0f", float64(worked/unit.Minute)), "min", "worked"})
	}
	return out
}

// waiting lists harvests that belong to no planting yet, at most ten.
func waiting(x *garden.Index) []asking {
	var out []asking
	for _, h := range diary.ToSortOut(x) {
		if len(out) == 10 {
			break
		}
		where := "bed not known"
		if len(h.Beds) > 0 {
			where = "several beds"
		}
		out = append(out, asking{About: fmt.Sprintf("%s %s", number(float64(h.Net().Or(0)), 3, "kg"), h.Crop), Asks: where + ", " + short(h.Date),
			Links: []link{{"/sort-out/" + h.ID.String(), "Place it"}}})
	}
	return out
}

// quietFor is how long a crop that was being picked may go without a line before it is asked about.
const quietFor = 21

// missing asks about crops that were picked and then went quiet, and about those that ended without saying whether all was weighed. At most six, and
// none that is older than half a year: nothing nags.
func missing(x *garden.Index, r garden.Records, day civil.Date) []asking {
	var out []asking
	for _, p := range r.Plantings {
		picked := x.HarvestsOf(p.ID)
		if len(out) == 6 || len(picked) == 0 {
			continue
		}
		last := picked[len(picked)-1].Date
		to := "/planting/" + p.ID.String()
		switch {
		case p.Ended.IsZero() && day.Sub(last) > quietFor && day.Sub(last) < 180:
			out = append(out, asking{About: x.PlantingName(p.ID), Asks: "last weighed on " + short(last) + ". Was anything taken since, or is it finished?", Links: []link{{to, "Look at it"}}})
		case !p.Ended.IsZero() && p.Weighed == garden.NotAskedYet && !p.Failed && day.Sub(p.Ended) < 180:
			out = append(out, asking{About: x.PlantingName(p.ID), Asks: "is cleared. How much of it was weighed?", Links: []link{{to, "Say so"}}})
		}
	}
	return out
}

// odd lists facts of the last fortnight that look unlikely; they are kept as they are.
func odd(x *garden.Index, r garden.Records, day civil.Date) []asking {
	var out []asking
	for i := len(r.Harvests) - 1; i >= 0 && len(out) < 6; i-- {
		h := r.Harvests[i]
		if day.Sub(h.Date) > 14 {
			break
		}
		for _, says := range garden.Doubtful(x, h, day) {
			out = append(out, asking{About: fmt.Sprintf("%s on %s", number(float64(h.Net().Or(0)), 3, "kg"), short(h.Date)), Asks: says})
		}
	}
	return out
}
