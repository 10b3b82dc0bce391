package lexicon

import "sync"

// mostKnown bounds how many phrases are remembered; slips of one station use
// some hundreds.
const mostKnown = 20000

// memory remembers what phrases were found to be: slips say the same words again
// and again. It may be used by several goroutines.
type memory struct {
	mu   sync.RWMutex
	hits map[string][]Hit
}

func newMemory() *memory { return &memory{hits: map[string][]Hit{}} }

func (m *memory) get(p string) ([]Hit, bool) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	h, ok := m.hits[p]
	return h, ok
}

// Phrase is what a phrase of several words was found to be before; not ok for one that
// was not.
func (l *Lexicon) Phrase(p string) ([]Hit, bool) { return l.phrases.get(p) }

// KeepPhrase remembers what a phrase of several words was found to be, for the next slip
// that has it.
func (l *Lexicon) KeepPhrase(p string, hits []Hit) { l.phrases.put(p, hits) }

// put remembers the hits of a phrase; when too many are known it begins anew.
func (m *memory) put(p string, hits []Hit) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.hits) >= mostKnown {
		m.hits = map[string][]Hit{}
	}
	m.hits[p] = hits[:len(hits):len(hits)]
}
