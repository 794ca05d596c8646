package web

import (
	"cmp"
	"context"
	"slices"
	"sync"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// live is the records as entries are read against, held in memory and kept in step with the book, so that nobody reads ten
// years of harvests to note one weight. Other programs may write the book meanwhile: its version tells.
type live struct {
	mu      sync.RWMutex
	loaded  bool
	version int64
	index   *garden.Index
	most    map[string]unit.Mass             // the heaviest single picking of each crop, folded
	picked  map[garden.PlantingID]civil.Date // the day of the last picking
	lists   *garden.Records                  // all of it in lists, made when a page wants them
	facts   *walkFacts                       // what the walk shows, likewise
}

// catchUpLimit is how many changes are followed one by one; after more, everything is read anew.
const catchUpLimit = 2000

// look runs do with the index as the book stands now. Nothing may be kept of it beyond the call.
func (s *Server) look(ctx context.Context, do func(l *live) error) error {
	l := &s.live
	version, err := s.Book.Version(ctx)
	if err != nil {
		return err
	}
	l.mu.RLock()
	if l.loaded && l.version >= version {
		defer l.mu.RUnlock()
		return do(l)
	}
	l.mu.RUnlock()
	return s.alone(ctx, do)
}

// alone is look with nobody else at it: for whoever keeps entries.
func (s *Server) alone(ctx context.Context, do func(l *live) error) error {
	l := &s.live
	l.mu.Lock()
	defer l.mu.Unlock()
	version, err := s.Book.Version(ctx)
	if err != nil {
		return err
	}
	if err := s.catchUp(ctx, version); err != nil {
		return err
	}
	return do(l)
}

func (s *Server) catchUp(ctx context.Context, version int64) error {
	l := &s.live
	behind := version - l.version
	switch {
	case !l.loaded || behind < 0 || behind > catchUpLimit:
		return s.load(ctx, version)
	case behind == 0:
		return nil
	}
	past, err := s.Book.Past(ctx, garden.ID{}, int(behind))
	if err != nil {
		return err
	}
	for _, p := range slices.Backward(past) {
		if p.After == nil {
			l.drop(p.Operation.Record)
		} else {
			l.put(p.After)
		}
	}
	l.version, l.lists = version, nil
	l.facts = nil
	return nil
}

// load reads the whole book. The version was asked for before, so that what came between is followed again, which changes nothing.
func (s *Server) load(ctx context.Context, version int64) error {
	records, err := s.Book.Read(ctx, garden.Want{})
	if err != nil {
		return err
	}
	l := &s.live
	l.index = garden.NewIndex(records)
	l.most, l.picked = map[string]unit.Mass{}, map[garden.PlantingID]civil.Date{}
	for _, h := range records.Harvests {
		l.pick(h)
	}
	l.loaded, l.version, l.lists, l.facts = true, version, &records, nil
	return nil
}

func (l *live) put(rec garden.Record) {
	l.lists, l.facts = nil, nil
	l.index.Put(rec)
	if h, ok := rec.(garden.Harvest); ok {
		l.pick(h)
	}
}

func (l *live) drop(id garden.ID) {
	l.lists, l.facts = nil, nil
	l.index.Drop(id)
}

// pick follows what is only a help: a harvest taken back may leave its day or its weight behind.
func (l *live) pick(h garden.Harvest) {
	crop := h.Crop
	if p, ok := garden.Find(l.index, h.Planting); ok {
		crop = p.Crop
		if h.Date.After(l.picked[h.Planting]) && !h.Nothing {
			l.picked[h.Planting] = h.Date
		}
	}
	if net := h.Net(); net.Known && net.Value > l.most[garden.Fold(crop)] {
		l.most[garden.Fold(crop)] = net.Value
	}
}

// forget makes the next look read everything anew, after operations were followed that were then not kept.
func (l *live) forget() { l.loaded, l.lists, l.facts = false, nil, nil }

// all returns every record in lists, as the book stands now. Nobody may change them.
func (s *Server) all(ctx context.Context) (garden.Records, error) {
	var out garden.Records
	err := s.alone(ctx, func(l *live) error {
		if l.lists == nil {
			l.lists = listed(l.index)
		}
		out = *l.lists
		return nil
	})
	return out, err
}

// listed puts the records of an index into lists in order of day, then of id.
func listed(x *garden.Index) *garden.Records {
	out := &garden.Records{ // of the kinds that a year has thousands of: growing these step by step took most of the time
		Harvests:  make([]garden.Harvest, 0, len(x.All(garden.KindHarvest))),
		Plantings: make([]garden.Planting, 0, len(x.All(garden.KindPlanting))),
		Works:     make([]garden.Work, 0, len(x.All(garden.KindWork))),
		Waterings: make([]garden.Watering, 0, len(x.All(garden.KindWatering))),
		Notes:     make([]garden.Note, 0, len(x.All(garden.KindNote))),
	}
	for _, k := range garden.Kinds() {
		ids := x.All(k)
		recs := make([]garden.Record, 0, len(ids))
		for _, id := range ids {
			rec, _ := x.Get(id)
			recs = append(recs, rec)
		}
		if !slices.IsSortedFunc(recs, byDay) { // they mostly come in order
			slices.SortStableFunc(recs, byDay)
		}
		for _, rec := range recs {
			out.Put(rec)
		}
	}
	return out
}

func byDay(a, b garden.Record) int {
	ia, ib := a.Identity(), b.Identity()
	return cmp.Or(a.Day().Compare(b.Day()), slices.Compare(ia[:], ib[:]))
}

// settingsOf reads the book's settings out of the index.
func settingsOf(x *garden.Index) garden.Records {
	var r garden.Records
	for _, k := range []garden.Kind{garden.KindSetting, garden.KindMeasure} {
		for _, id := range x.All(k) {
			rec, _ := x.Get(id)
			r.Put(rec)
		}
	}
	return r
}

// writing is how records are written in words in this book.
func (l *live) writing() *diary.Writing {
	return &diary.Writing{Records: l.index, Units: diary.Units(settingsOf(l.index))}
}
