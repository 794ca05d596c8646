package web

import (
	"fmt"
	"net/http"
	"slices"
	"time"

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
	Gap     *gap
	Missing []asking
	Waiting []asking
	More    int // of those that wait
	Twice   []asking
	Odd     []asking
}

// figure is a number on a line with its name below.
type figure struct{ Number, Unit, Name string }

// asking is a question put back to the grower. Act is the address of a form whose one button says Does.
type asking struct {
	About, Asks string
	Links       []link
	Act, Does   string
}

type link struct{ To, Says string }

// today shows the first page; an empty book is told how to begin.
func (s *Server) today(w http.ResponseWriter, r *http.Request) error {
	day := s.day()
	_, week := day.Week()
	p := todayPage{Page: s.page(long(day), "today"), Head: long(day)}
	past, err := s.Book.Past(r.Context(), garden.ID{}, linesAPage)
	if err != nil {
		return err
	}
	err = s.look(r.Context(), func(l *live) error {
		x := l.index
		p.Side = fmt.Sprintf("Week %d, %s, %s", week, count(len(x.All(garden.KindGarden)), "garden"), count(len(x.All(garden.KindBed)), "bed"))
		p.Empty = len(x.All(garden.KindPlanting)) == 0 && len(x.All(garden.KindHarvest)) == 0 && len(x.All(garden.KindBed)) == 0
		p.Figures = figuresOf(x, day)
		p.Waiting, p.More = waiting(x)
		p.Missing = missing(l, day)
		p.Odd = append(odd(x, day), clocks(l, past, s.Now())...)
		p.Odd = append(p.Odd, contradicted(l, past)...)
		p.Twice = twice(l, past)
		p.Gap = l.gap(day)
		return nil
	})
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "today", p)
}

// recent is how many of the newest records of a kind a page looks at for what happened lately.
const recent = 3000

// lately runs over the newest records of a kind.
func lately[T garden.Record](x *garden.Index, k garden.Kind, do func(T)) {
	ids := x.All(k)
	for _, id := range ids[max(0, len(ids)-recent):] {
		if v, ok := garden.Find(x, garden.Ref[T](id)); ok {
			do(v)
		}
	}
}

func figuresOf(x *garden.Index, day civil.Date) []figure {
	var mass unit.Mass
	weighed := 0
	lately(x, garden.KindHarvest, func(h garden.Harvest) {
		if h.Date == day {
			mass += h.Net().Or(0)
			weighed++
		}
	})
	var worked unit.Time
	lately(x, garden.KindWork, func(w garden.Work) {
		if w.Date == day {
			worked += w.Time
		}
	})
	var out []figure
	if weighed > 0 {
		out = append(out, figure{fmt.Sprintf("%.1f", float64(mass)), "kg", "weighed, " + count(weighed, "time")})
	}
	if worked > 0 {
		out = append(out, figure{fmt.Sprintf("%.0f", float64(worked/unit.Minute)), "min", "worked"})
	}
	return out
}

// waitingShown is how many of those that wait the first page lists.
const waitingShown = 6

func waiting(x *garden.Index) (out []asking, more int) {
	list := diary.ToSortOut(x)
	for _, h := range list[max(0, len(list)-waitingShown):] {
		out = append(out, waitingLine(x, h))
	}
	slices.Reverse(out)
	return out, max(0, len(list)-waitingShown)
}

func waitingLine(x *garden.Index, h garden.Harvest) asking {
	where := "bed not known"
	switch {
	case len(h.Beds) == 1:
		where = x.BedName(h.Beds[0])
	case len(h.Beds) > 1:
		where = "several beds"
	}
	return asking{About: amountOf(h) + " " + h.Crop, Asks: where + ", " + short(h.Date), Links: []link{{"/sort-out/" + h.ID.String(), "Place it"}}}
}

// amountOf says how much was picked.
func amountOf(h garden.Harvest) string {
	switch net := h.Net(); {
	case net.Known:
		return number(float64(net.Value), 3, "kg")
	case h.Count.Known:
		return count(h.Count.Value, "piece")
	}
	return "looked, nothing"
}

// quietFor is how long a crop that was being picked may go without a line before it is asked about, and asked for how long it is asked: nothing nags.
const (
	quietFor = 21
	askedFor = 180
	mostAsks = 6
)

// missing asks about crops that were picked and then went quiet, and about those that ended without saying whether all was weighed.
func missing(l *live, day civil.Date) []asking {
	var out []asking
	for _, id := range l.index.All(garden.KindPlanting) {
		p, _ := garden.Find(l.index, garden.PlantingID(id))
		last, picked := l.picked[p.ID]
		if len(out) == mostAsks || !picked {
			continue
		}
		to := "/planting/" + p.ID.String()
		switch {
		case p.Ended.IsZero() && day.Sub(last) > quietFor && day.Sub(last) < askedFor:
			out = append(out, asking{About: l.index.PlantingName(p.ID), Asks: "last weighed on " + short(last) + ". Is it finished?", Links: []link{{to + "#end", "Say so"}}})
		case !p.Ended.IsZero() && p.Weighed == garden.NotAskedYet && !p.Failed && day.Sub(p.Ended) < askedFor:
			out = append(out, asking{About: l.index.PlantingName(p.ID), Asks: "is cleared. How much of it was weighed?", Links: []link{{to + "#end", "Say so"}}})
		}
	}
	return out
}

// odd lists facts of the last fortnight that look unlikely; they are kept as they are.
func odd(x *garden.Index, day civil.Date) []asking {
	var out []asking
	lately(x, garden.KindHarvest, func(h garden.Harvest) {
		if d := day.Sub(h.Date); d > 14 || len(out) == mostAsks {
			return
		}
		for _, says := range garden.Doubtful(x, h, day) {
			out = append(out, asking{About: amountOf(h) + " on " + short(h.Date), Asks: says, Links: []link{{"/diary", "The diary"}}})
		}
	})
	return out
}

// A phone's clock is doubted if a line of it lies further ahead than clockSlack, or came after one that was written clockBehind later:
// nothing is held on a phone as long as that.
const (
	clockSlack  = 24 * time.Hour
	clockBehind = keptDays * 24 * time.Hour
	keptDays    = 60
)

// clocks asks about lines whose phone had a clock that was wrong by months or years.
func clocks(l *live, past []garden.Past, now time.Time) []asking {
	var out []asking
	var latest time.Time
	for _, line := range slices.Backward(past) {
		made := line.Operation.Made
		ahead, behind := made.Sub(now) > clockSlack, latest.Sub(made) > clockBehind
		if !ahead && made.After(latest) {
			latest = made
		}
		if _, there := l.index.Get(line.Operation.Record); there && (ahead || behind) && len(out) < mostAsks {
			_, text := lineText(l.writing(), line)
			out = append(out, asking{About: text, Asks: "was noted on " + short(civil.FromTime(made)) + " by the clock of its phone. Was that clock right?", Links: []link{{"/diary", "The diary"}}})
		}
	}
	return out
}

// contradicted asks about crops that two devices ended on different days. What came last holds until it is taken back.
func contradicted(l *live, past []garden.Past) []asking {
	var out []asking
	for i, a := range past {
		before, was := a.Before.(garden.Planting)
		after, is := a.After.(garden.Planting)
		if !was || !is || before.Ended.IsZero() || before.Ended == after.Ended {
			continue
		}
		now, _ := garden.Find(l.index, after.ID)
		j := slices.IndexFunc(past[i+1:], func(b garden.Past) bool { return b.Operation.Record == a.Operation.Record })
		if now.Ended != after.Ended || j < 0 || past[i+1+j].Operation.Device == a.Operation.Device {
			continue
		}
		out = append(out, asking{About: l.index.PlantingName(after.ID), Asks: "ended by one device on " + short(before.Ended) + " and by the other on " + short(after.Ended) + ". Which is right?",
			Act: "/diary/" + a.Operation.ID.String() + "/take-back", Does: "The first: take the second back"})
	}
	return out
}

// sameWithin is how near in time two phones must have noted the same weight of the same crop to be asked about.
const sameWithin = 10 * time.Minute

// twice asks about weighings that two devices noted alike within minutes. Both count until one is taken back.
func twice(l *live, past []garden.Past) []asking {
	var out []asking
	for i, a := range past {
		for _, b := range past[i+1:] {
			h, same := sameHarvest(a, b)
			_, there := l.index.Get(b.Operation.Record)
			if _, here := l.index.Get(a.Operation.Record); !same || !here || !there {
				continue
			}
			out = append(out, asking{About: amountOf(h) + ", " + l.index.PlantingName(h.Planting), Asks: "was noted by two devices within minutes. Is it the same harvest twice?",
				Act: "/diary/" + a.Operation.ID.String() + "/take-back", Does: "Take one back"})
		}
	}
	return out
}

func sameHarvest(a, b garden.Past) (garden.Harvest, bool) {
	h, ok := a.After.(garden.Harvest)
	o, also := b.After.(garden.Harvest)
	if !ok || !also || a.Operation.Action != garden.Add || b.Operation.Action != garden.Add || a.Operation.Device == b.Operation.Device {
		return h, false
	}
	away := a.Operation.Made.Sub(b.Operation.Made).Abs()
	return h, h.Placed() && h.Planting == o.Planting && h.Net() == o.Net() && h.Net().Known && away <= sameWithin
}
