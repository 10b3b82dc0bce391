package archive

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"tankroll/record"
)

// Story is all that happened to a record or a capture, and for a record what
// each field says now and why.
type Story struct {
	Row     Row     // of a record
	Capture Capture // of a capture
	Events  []Event
	Fields  []FieldStory // of a record: every field that was ever read, the header's first
}

// What an Event tells of, besides the actions of a Decision and "enter".
const (
	WasKept   = "keep"   // the picture came in
	WasRead   = "read"   // a reading showed the record; of a capture, a page was read
	WasUnseen = "unseen" // a reading did not show the record
)

// Event is one thing that happened.
type Event struct {
	At      time.Time // zero when it was not noted
	What    string
	Record  string // that it was noted with; "" when it is about a capture
	Capture string
	File    string
	Reading *PageReading // of WasRead and WasUnseen
	Changes []Change     // of WasRead: what it changed against the reading before; nil From at the first
	First   bool         // of WasRead: nothing was read of it before
	Decision
}

// Doubtful is how many of the fields that a reading changed it read in doubt.
func (e Event) Doubtful() int {
	n := 0
	for _, c := range e.Changes {
		if c.To != nil && !c.To.Sure {
			n++
		}
	}
	return n
}

// Change is one field before and after; nil is not there.
type Change struct {
	Field    string
	From, To *record.Field
}

// FieldStory is what was said of one field, oldest first, and what stands.
type FieldStory struct {
	Name    string
	Now     *record.Field // nil when the record does not show it
	Why     string        // in words, why that stands, or why it is in doubt
	Sayings []Saying
}

// Saying is one word on a field: by a reading, or by a person.
type Saying struct {
	Event *Event
	Value *record.Field // nil: the paper does not show it
}

// Story tells what happened to a record (r87) or a capture (c12), from the day
// that its picture came in. What several pictures say of one record is told
// together.
func (s *Store) Story(ctx context.Context, id string) (Story, error) {
	story, err := s.story(ctx, id)
	if err != nil {
		return Story{}, fmt.Errorf("archive: story of %s: %w", id, describe(err))
	}
	return story, nil
}

func (s *Store) story(ctx context.Context, id string) (Story, error) {
	if strings.HasPrefix(id, "c") {
		return s.captureStory(ctx, id)
	}
	n, err := number("r", id)
	if err != nil {
		return Story{}, err
	}
	var out Story
	if out.Row, err = oneRow(ctx, s.db, n); err != nil {
		return out, err
	}
	_, all, err := loadAll(ctx, s.db, n)
	if err != nil {
		return out, err
	}
	t := teller{ctx: ctx, s: s, kept: map[string]bool{}, said: map[*PageReading]reading{}}
	for _, m := range all {
		if err := t.member(m); err != nil {
			return out, err
		}
	}
	out.Events = t.inOrder()
	out.Fields = fieldStories(out.Row, all, out.Events, t.said)
	return out, nil
}

// teller gathers events.
type teller struct {
	ctx   context.Context
	s     *Store
	kept  map[string]bool          // captures that were told of
	told  []string                 // and records
	lines [][]Event                // each in its own order
	said  map[*PageReading]reading // what a reading said of a record
}

// reading is a record as one reading had it.
type reading struct {
	record record.Record
	header record.Header
}

// inOrder puts the events of all lines in the order of time. Each line keeps its
// own order, also where the clock was set back.
func (t *teller) inOrder() []Event {
	type timed struct {
		key time.Time
		e   Event
	}
	var all []timed
	for _, line := range t.lines {
		var last time.Time
		for _, e := range line {
			if e.At.After(last) {
				last = e.At
			}
			all = append(all, timed{last, e})
		}
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].key.Before(all[b].key) })
	out := make([]Event, len(all))
	for i, x := range all {
		out[i] = x.e
	}
	return out
}

// member gathers what happened to one record on one picture. A word on two
// records, noted with both, is told once.
func (t *teller) member(m *member) error {
	id := name("r", m.id)
	line, err := t.pictures(m)
	if err != nil {
		return err
	}
	states, err := t.states(m)
	if err != nil {
		return err
	}
	t.lines = append(t.lines, append(line, states...))
	var said []Event
	for _, e := range m.list {
		if slices.Contains(t.told, e.body.Other) {
			continue
		}
		said = append(said, Event{At: e.at, What: e.action, Record: id, Decision: e.decision(id)})
	}
	t.lines, t.told = append(t.lines, said), append(t.told, id)
	return nil
}

// pictures are the originals that a member stands on, as they came in.
func (t *teller) pictures(m *member) ([]Event, error) {
	var out []Event
	for _, p := range m.sheets() {
		if t.kept[p.Capture] {
			continue
		}
		t.kept[p.Capture] = true
		c, err := t.s.Capture(t.ctx, p.Capture)
		if err != nil {
			return nil, err
		}
		out = append(out, Event{At: c.AddedAt, What: WasKept, Capture: c.ID, File: c.File})
		linked, err := t.s.links(t.ctx, c.ID)
		if err != nil {
			return nil, err
		}
		t.lines = append(t.lines, linked)
	}
	return out, nil
}

// states are the readings of a member, oldest first.
func (t *teller) states(m *member) ([]Event, error) {
	if m.byHand {
		return nil, nil
	}
	rows, err := t.s.db.QueryContext(t.ctx, `SELECT reading, unseen, was FROM superseded WHERE record = ? ORDER BY id DESC`, m.id)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	type state struct {
		reading int64
		unseen  bool
		said    reading
	}
	states := []state{{m.reading, m.unseen, reading{m.record, m.header}}}
	for rows.Next() {
		st := state{said: states[len(states)-1].said}
		var was string
		if err := rows.Scan(&st.reading, &st.unseen, &was); err != nil {
			return nil, err
		}
		if was != "" {
			var d differing
			if err := json.Unmarshal([]byte(was), &d); err != nil {
				return nil, fmt.Errorf("an earlier reading of %s: %w: %w", name("r", m.id), ErrDamaged, err)
			}
			st.said.record, st.said.header = d.before(st.said.record, st.said.header)
		}
		states = append(states, st)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	slices.Reverse(states)
	var out []Event
	var before *reading
	for _, st := range states {
		e := Event{What: WasRead, Record: name("r", m.id), First: before == nil}
		list, err := accountOf(t.ctx, t.s.db, `r.id = ?`, st.reading)
		if err != nil {
			return nil, err
		}
		if len(list) == 0 { // of a format before readings were counted
			list = []PageReading{{Capture: name("c", m.capture), Page: m.page}}
		}
		e.Reading, e.At, e.Capture = &list[0], list[0].At, list[0].Capture
		e.File = m.file
		if e.Capture != name("c", m.capture) {
			c, err := t.s.Capture(t.ctx, e.Capture)
			if err != nil {
				return nil, err
			}
			e.File = c.File
		}
		if st.unseen {
			e.What, e.First = WasUnseen, false
		} else {
			e.Changes = changesOf(before, st.said)
			before = &st.said
		}
		t.said[e.Reading] = st.said
		out = append(out, e)
	}
	return out, nil
}

// changesOf lists what a reading said anew.
func changesOf(before *reading, now reading) []Change {
	var was reading
	if before != nil {
		was = *before
	}
	var out []Change
	for _, spec := range headerSpecs() {
		if a, b := *headerField(&was.header, spec.Name), *headerField(&now.header, spec.Name); !sayTheSame(a, b) {
			out = append(out, Change{spec.Name, a, b})
		}
	}
	was.record.Kind = now.record.Kind
	for _, name := range namesOf(was.record, now.record) {
		if a, b := fieldIn(was.record.Fields, name), fieldIn(now.record.Fields, name); !sayTheSame(a, b) {
			out = append(out, Change{name, a, b})
		}
	}
	return out
}

func (s *Store) captureStory(ctx context.Context, id string) (Story, error) {
	var out Story
	var err error
	if out.Capture, err = s.Capture(ctx, id); err != nil {
		return out, err
	}
	t := teller{ctx: ctx, s: s}
	line := []Event{{At: out.Capture.AddedAt, What: WasKept, Capture: id, File: out.Capture.File}}
	list, err := s.PageReadings(ctx, id)
	if err != nil {
		return out, err
	}
	for _, p := range list {
		line = append(line, Event{At: p.At, What: WasRead, Capture: id, File: out.Capture.File, Reading: &p})
	}
	linked, err := s.links(ctx, id)
	if err != nil {
		return out, err
	}
	t.lines = [][]Event{line, linked}
	out.Events = t.inOrder()
	return out, nil
}
