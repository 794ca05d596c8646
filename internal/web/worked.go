package web

import (
	"context"
	"fmt"
	"sync"

	"fairplot/internal/evidence"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
)

// worked is what every page of a year needs, worked out once for a state of the book: what each planting really got.
type worked struct {
	mu      sync.Mutex
	of      string // version and day
	records garden.Records
	set     evidence.Setup
	planted []practice.Planted
}

// workedOut returns the records, the setting of questions and what each planting got. Nobody may change them.
func (s *Server) workedOut(ctx context.Context) (garden.Records, evidence.Setup, []practice.Planted, error) {
	w := &s.got
	version, err := s.Book.Version(ctx)
	if err != nil {
		return garden.Records{}, evidence.Setup{}, nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if of := fmt.Sprintf("%d %v", version, s.day()); w.of != of {
		records, err := s.all(ctx)
		if err != nil {
			return garden.Records{}, evidence.Setup{}, nil, err
		}
		w.of, w.records, w.set = of, records, s.setup(records)
		w.planted = practice.Of(records, w.set.Options)
	}
	return w.records, w.set, w.planted, nil
}
