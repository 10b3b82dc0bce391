package intake

import (
	"iter"
	"sync"
)

// line is inputs that wait for their turn, without bound: each is a name and a
// few numbers, and keeping runs ahead of reading as far as it can.
type line struct {
	mu    sync.Mutex
	more  *sync.Cond
	items []*item
	over  bool
}

func newLine() *line {
	l := &line{}
	l.more = sync.NewCond(&l.mu)
	return l
}

func (l *line) put(it *item) {
	l.mu.Lock()
	l.items = append(l.items, it)
	l.mu.Unlock()
	l.more.Signal()
}

// end says that no more come.
func (l *line) end() {
	l.mu.Lock()
	l.over = true
	l.mu.Unlock()
	l.more.Signal()
}

// all gives the inputs in their order, waiting for them, until there are no more.
func (l *line) all() iter.Seq[*item] {
	return func(yield func(*item) bool) {
		for {
			l.mu.Lock()
			for len(l.items) == 0 && !l.over {
				l.more.Wait()
			}
			if len(l.items) == 0 {
				l.mu.Unlock()
				return
			}
			it := l.items[0]
			l.items = l.items[1:]
			l.mu.Unlock()
			if !yield(it) {
				return
			}
		}
	}
}
