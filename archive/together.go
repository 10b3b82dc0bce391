package archive

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"tankroll/record"
)

// A printout that is on two pictures is read twice. What both say stands; what
// only one could read is taken from there, with its place on that picture. Where
// they disagree nothing is sure, not even what one of them was sure of: two
// readings of one paper that differ show that one went wrong. Two doubtful
// readings that agree stay doubtful: the same faded character misleads the same
// reader twice.

// together is what all members of a record say, seen from one of them: its own
// reading comes first where nothing else decides, and its pictures are the first
// parts. The values and doubts are the same from every member. There are no parts
// when it is the only one.
func together(m *member, all []*member) (record.Record, record.Header, []record.Part) {
	if len(all) < 2 {
		return m.record, m.header, nil
	}
	list := []*member{m}
	for _, o := range all {
		if o != m {
			list = append(list, o)
		}
	}
	var parts []record.Part
	said := make([]record.Record, len(list))
	heads := make([]record.Header, len(list))
	for i, o := range list {
		shift := len(parts)
		parts = append(parts, o.sheets()...)
		moved := (&snapshot{Fields: o.record.Fields, Header: o.header}).moved(func(b record.Box) record.Box { b.Part += shift; return b })
		said[i] = record.Record{Kind: o.record.Kind, Fields: moved.Fields, Doubts: o.record.Doubts}
		heads[i] = moved.Header
	}
	out := record.Record{Kind: m.record.Kind, Fields: record.Fields{}, Box: m.record.Box}
	names := record.Record{Kind: m.record.Kind, Fields: record.Fields{}}
	for _, r := range said {
		for name, f := range r.Fields {
			names.Fields[name] = f
		}
	}
	for _, name := range names.FieldNames() {
		var f []*record.Field
		for _, r := range said {
			f = append(f, fieldIn(r.Fields, name))
		}
		best, why := agree(f)
		out.Fields[name] = *f[best]
		if why != "" {
			out.Fields[name] = unsure(*f[best])
			out.Doubts = append(out.Doubts, record.Doubt{Field: name, Why: why})
		}
		if !out.Fields[name].Sure {
			out.Doubts = append(out.Doubts, doubtsAbout(said[best], name)...)
		}
	}
	// A doubt about the whole record is settled by a picture that raises none.
	if !slices.ContainsFunc(said, func(r record.Record) bool { return len(doubtsAbout(r, "")) == 0 }) {
		out.Doubts = append(out.Doubts, doubtsAbout(said[0], "")...)
	}
	return out, headTogether(heads), parts
}

// headTogether is the header of a record on several printouts. Each printout has
// been printed at a time of its own, so that the own one stands; the site is one.
func headTogether(heads []record.Header) record.Header {
	out := heads[0]
	for _, spec := range headerSpecs() {
		into := headerField(&out, spec.Name)
		var list []*record.Field
		for i := range heads {
			list = append(list, *headerField(&heads[i], spec.Name))
		}
		best, why := agree(list)
		switch {
		case best < 0:
		case *into == nil:
			*into = list[best]
		case spec.Name == "site" || spec.Name == "site_number":
			f := *list[best]
			if why != "" {
				f = unsure(f)
			}
			*into = &f
		}
	}
	return out
}

// agree chooses among several readings of one field, nil where it was not read:
// it gives the number of the one that stands, or -1, and why it cannot be sure
// when they disagree. The value does not depend on the order of the list.
func agree(list []*record.Field) (best int, why string) {
	top := map[string]*record.Field{} // the best reading of each value
	for _, f := range list {
		if f == nil {
			continue
		}
		if t := top[shortValue(*f)]; t == nil || betterRead(*f, *t) {
			top[shortValue(*f)] = f
		}
	}
	if len(top) == 0 {
		return -1, ""
	}
	values := slices.Sorted(maps.Keys(top))
	stands := slices.MinFunc(values, func(a, b string) int {
		switch {
		case betterRead(*top[a], *top[b]):
			return -1
		case betterRead(*top[b], *top[a]):
			return 1
		}
		return cmp.Compare(a, b)
	})
	if len(values) > 1 {
		why = "pictures of this printout disagree: " + strings.Join(values, " or ")
	}
	best = slices.IndexFunc(list, func(f *record.Field) bool {
		return f != nil && shortValue(*f) == stands && f.Sure == top[stands].Sure
	})
	return best, why
}

// betterRead reports whether a was read better than b.
func betterRead(a, b record.Field) bool {
	if a.Sure != b.Sure {
		return a.Sure
	}
	return a.Confidence > b.Confidence
}

func unsure(f record.Field) record.Field {
	f.Sure = false
	return f
}

// shortValue is a field's value with its unit, for doubts.
func shortValue(f record.Field) string {
	s := f.String()
	if v, ok := f.Number(); ok {
		s = strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strings.TrimSpace(s + " " + f.Unit)
}

func doubtsAbout(r record.Record, field string) []record.Doubt {
	var out []record.Doubt
	for _, d := range r.Doubts {
		if d.Field == field {
			out = append(out, d)
		}
	}
	return out
}
