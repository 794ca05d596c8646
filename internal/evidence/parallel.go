package evidence

import (
	"runtime"
	"sync"

	"fairplot/internal/finding"
)

// remainder is the estimate that is left when a part of the rows is left out.
type remainder struct {
	estimate finding.Estimate
	ok       bool
	err      error
}

// withoutEach leaves out the rows of one class at a time. The fits are independent of each other and run side by side; what each gives does not hang on
// the order in which they end.
func (c *comparison) withoutEach(names []string, class func(row) string, lead finding.Estimate) []remainder {
	out := make([]remainder, len(names))
	room := make(chan struct{}, runtime.GOMAXPROCS(0))
	var wait sync.WaitGroup
	for i, name := range names {
		room <- struct{}{}
		wait.Go(func() {
			e, ok, err := c.without(func(r row) bool { return class(r) == name }, lead)
			out[i] = remainder{e, ok, err}
			<-room
		})
	}
	wait.Wait()
	return out
}
