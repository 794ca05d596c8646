package evidence

import (
	"runtime"
	"sync"

	"fairplot/internal/finding"
)

// remainder is the estimate that is left when a part of the rows is left out.
type remainder struct {
	estimate finding.Estimate
	ok       bool // the pair could still be told
}

// part is rows that are left out together.
type part struct {
	noun, name string
	drop       func(row) bool
	code       finding.Code // of the doubt that the answer hangs on such a part
}

// withoutEach leaves out one part at a time. The fits are independent of each other and run side by side; what each gives does not hang on the order in
// which they end.
func (c *comparison) withoutEach(parts []part, lead finding.Estimate) []remainder {
	out := make([]remainder, len(parts))
	room := make(chan struct{}, runtime.GOMAXPROCS(0))
	var wait sync.WaitGroup
	for i, p := range parts {
		room <- struct{}{}
		wait.Go(func() {
			out[i].estimate, out[i].ok = c.without(p.drop, lead)
			<-room
		})
	}
	wait.Wait()
	return out
}

// soon works something out beside what follows and returns how to wait for it.
func soon[T any](f func() T) (wait func() T) {
	out := make(chan T, 1)
	go func() { out <- f() }()
	return func() T { return <-out }
}
