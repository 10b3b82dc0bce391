package lexicon

import (
	"slices"
	"sync"
)

// mostKnown bounds how many phrases are remembered; slips of one station use
// some hundreds.
const mostKnown = 20000

// memory remembers what was found out about phrases: slips say the same words again
// and again. It may be used by several goroutines.
type memory[T any] struct {
	mu    sync.RWMutex
	found map[string]T
}

func newMemory[T any]() *memory[T] { return &memory[T]{found: map[string]T{}} }

func (m *memory[T]) get(p string) (T, bool) {
	m.mu.RLock()
	v, ok := m.found[p]
	m.mu.RUnlock()
	return v, ok
}

// put remembers what was found out; when too much is known it begins anew.
func (m *memory[T]) put(p string, v T) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.found) >= mostKnown {
		m.found = map[string]T{}
	}
	m.found[p] = v
}

// Phrase is what a phrase of several words was found to be before; not ok for one that
// was not.
func (l *Lexicon) Phrase(p string) ([]Hit, bool) { return l.phrases.get(p) }

// KeepPhrase remembers what a phrase of several words was found to be, for the next slip
// that has it.
func (l *Lexicon) KeepPhrase(p string, hits []Hit) { l.phrases.put(p, slices.Clip(hits)) }
