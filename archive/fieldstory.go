package archive

import (
	"slices"
	"strings"

	"tankroll/record"
)

// fieldStories tells of each field who said what, and why what it shows stands.
func fieldStories(row Row, all []*member, events []Event, said map[*PageReading]reading) []FieldStory {
	standing := map[string]*Event{} // the decision that a field stands by
	stories := map[string]*FieldStory{}
	var order []string
	story := func(name string) *FieldStory {
		if stories[name] == nil {
			stories[name] = &FieldStory{Name: name}
			order = append(order, name)
		}
		return stories[name]
	}
	bodies := map[int64]decided{}
	for _, m := range all {
		for _, e := range m.list {
			bodies[e.seq] = e.body
		}
	}
	newest := map[string]reading{} // by record
	for i := range events {
		e := &events[i]
		switch {
		case e.What == WasRead:
			for _, c := range e.Changes {
				st := story(c.Field)
				st.Sayings = append(st.Sayings, Saying{e, c.To})
			}
			newest[e.Record] = said[e.Reading]
		case e.What == Correct:
			st := story(e.Field)
			st.Sayings = append(st.Sayings, Saying{e, bodies[e.Entry].Value})
			if !e.Undone {
				standing[e.Field] = e
			}
		case e.What == Confirm && bodies[e.Entry].Shown != nil:
			shown := bodies[e.Entry].Shown
			for name, f := range allFields(record.Record{Kind: row.Record.Kind, Fields: shown.Fields}, shown.Header) {
				st := story(name)
				st.Sayings = append(st.Sayings, Saying{e, &f})
				if !e.Undone {
					standing[name] = e
				}
			}
		}
	}
	for name, f := range allFields(row.Record, row.Header) {
		story(name).Now = &f
	}
	slices.SortStableFunc(order, func(a, b string) int { return fieldPlace(row.Record.Kind, a) - fieldPlace(row.Record.Kind, b) })
	out := make([]FieldStory, 0, len(order))
	for _, name := range order {
		st := *stories[name]
		st.Why = why(row, st, standing[name], newest)
		out = append(out, st)
	}
	return out
}

// allFields gives the fields of a header and a record.
func allFields(r record.Record, h record.Header) func(func(string, record.Field) bool) {
	return func(yield func(string, record.Field) bool) {
		for _, spec := range headerSpecs() {
			if f := *headerField(&h, spec.Name); f != nil && !yield(spec.Name, *f) {
				return
			}
		}
		for _, name := range r.FieldNames() {
			if !yield(name, r.Fields[name]) {
				return
			}
		}
	}
}

// fieldPlace is where a field stands among those of its kind: the header's first.
func fieldPlace(k record.Kind, field string) int {
	if i := slices.IndexFunc(headerSpecs(), func(s record.FieldSpec) bool { return s.Name == field }); i >= 0 {
		return i - len(headerSpecs())
	}
	return slices.IndexFunc(record.Specs(k), func(s record.FieldSpec) bool { return s.Name == field })
}

// why says in words by what a field stands as it does. What the newest readings
// say otherwise than a person is told as well.
func why(row Row, st FieldStory, by *Event, newest map[string]reading) string {
	if by == nil {
		return whyRead(row, st)
	}
	text := "confirmed by "
	switch {
	case by.What == Correct && st.Now == nil:
		text = "not on the paper, says "
	case by.What == Correct:
		text = "corrected by "
	}
	text += who(by.By) + " on " + by.At.Format("2006-01-02")
	var others []string
	for _, id := range append([]string{row.ID}, row.With...) {
		r, ok := newest[id]
		if !ok {
			continue
		}
		f := fieldIn(r.record.Fields, st.Name)
		if fieldPlace(row.Record.Kind, st.Name) < 0 {
			f = *headerField(&r.header, st.Name)
		}
		if f == nil || st.Now != nil && sameValue(*f, *st.Now) {
			continue
		}
		if v := shortValue(*f); !slices.Contains(others, v) {
			others = append(others, v)
		}
	}
	if len(others) > 0 {
		text += "; the newest readings say " + strings.Join(others, " or ")
	}
	return text
}

func who(by string) string {
	if by == "" {
		return "somebody"
	}
	return by
}

// whyRead is why for a field that no person has decided about.
func whyRead(row Row, st FieldStory) string {
	switch {
	case st.Now == nil:
		return "no longer read"
	case st.Now.Origin == record.Entered:
		return "typed in by hand"
	case !st.Now.Sure:
		var reasons []string
		for _, d := range doubtsAbout(row.Record, st.Name) {
			reasons = append(reasons, d.Why)
		}
		if len(reasons) == 0 {
			return "read, not sure"
		}
		return strings.Join(reasons, "; ")
	case st.Now.Origin == record.Repaired:
		return "one character put right, printed " + st.Now.Text
	case len(row.With) > 0 && !st.Now.Box.IsZero():
		on := row.On(st.Now.Box)
		return "read from " + on.Capture
	}
	return "read"
}
