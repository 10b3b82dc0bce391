package intake

import (
	"context"
	"errors"
	"slices"
	"time"

	"tankroll/archive"
	"tankroll/record"
)

// await waits until a capture was read, here or by another process.
func (m *Import) await(ctx context.Context, c archive.Capture) ([]archive.Reading, error) {
	for {
		m.mu.Lock()
		r, here := m.finished[c.ID]
		delete(m.finished, c.ID)
		m.mu.Unlock()
		if here && r.err != nil {
			return nil, &KeptError{c.ID, r.err}
		}
		if here {
			return m.d.save(ctx, r.capture, r.readings)
		}
		waits, err := m.queue.Waits(ctx, c.ID)
		if err != nil {
			return nil, err
		}
		if !waits {
			return m.d.store.Readings(ctx, c.ID)
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-m.crew.ctx.Done():
			return nil, m.crew.ended()
		case <-m.news:
		case <-time.After(lookAgain):
		}
	}
}

// give gives out the pages of an input.
func (m *Import) give(ctx context.Context, it *item) error {
	o := &Outcome{File: it.name, Capture: it.capture.ID, Outside: it.outside}
	readings, err := []archive.Reading(nil), it.err
	if err == nil {
		readings, err = m.await(ctx, it.capture)
		m.keeping.Lock()
		if m.wanted[it.capture.ID]--; m.wanted[it.capture.ID] <= 0 {
			delete(m.wanted, it.capture.ID)
		}
		m.keeping.Unlock()
		now := m.notEarlier(it.capture.ID)
		o.Already = it.already && (it.capture.Read && !now || m.given[it.capture.ID])
		m.given[it.capture.ID] = true
	}
	var kept *KeptError
	if it.err == nil && err != nil && !errors.As(err, &kept) {
		return err // of the archive
	}
	if err != nil {
		o.due = 1
		if e := m.seq.End(ctx); e != nil {
			return e
		}
		m.open = append(m.open, o)
		p := Failed(it.name, nil, err)
		p.SHA256, p.Capture = it.sum, it.capture.ID
		return m.page(p)
	}
	o.due = len(readings)
	m.open = append(m.open, o)
	for _, r := range readings {
		wholes, err := m.d.wholes(ctx, r)
		if err != nil {
			return err
		}
		if err := m.seq.add(ctx, heldPage{name: it.name, sum: it.sum, already: it.already, reading: r}, wholes); err != nil {
			return err
		}
	}
	return nil
}

// notEarlier takes a capture that is an input from the list of those that were
// read besides, and tells whether it was on it.
func (m *Import) notEarlier(capture string) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	n := len(m.earlier)
	m.earlier = slices.DeleteFunc(m.earlier, func(o Outcome) bool { return o.Capture == capture })
	m.counts.Earlier -= n - len(m.earlier)
	return len(m.earlier) < n
}

// page gives out one page, and tells of its input when it is the last.
func (m *Import) page(p record.Page) error {
	o := m.open[0]
	o.add(p)
	if err := m.o.Page(p); err != nil {
		return err
	}
	if o.due > 0 {
		return nil
	}
	m.open = m.open[1:]
	m.mu.Lock()
	m.counts.Done++
	if o.Already {
		m.counts.Already++
	}
	m.mu.Unlock()
	m.o.Done(*o)
	if m.onDone != nil {
		m.onDone(*o)
	}
	return nil
}
