package archive

import (
	"maps"
	"slices"
	"strings"

	"tankroll/record"
)

// folded is a record with everything that people decided about it.
type folded struct {
	record              record.Record
	header              record.Header
	confirmed, rejected bool
	note, followed      string
}

// fold lays decisions over a record, oldest first. The record as read is not
// changed.
func fold(r record.Record, h record.Header, list []journalled) folded {
	f := folded{record: r, header: h}
	f.record.Fields = maps.Clone(r.Fields)
	if f.record.Fields == nil {
		f.record.Fields = record.Fields{}
	}
	f.record.Doubts = slices.Clone(r.Doubts)
	for _, e := range list {
		if e.undone {
			continue
		}
		if e.body.Note != "" && e.action != FollowUp {
			f.note = e.body.Note
		}
		switch e.action {
		case Confirm:
			f.confirm(e.body)
		case Correct:
			f.correct(e.body)
		case Reject:
			f.rejected, f.confirmed = true, false
		case FollowUp:
			f.followed = e.body.Note
		}
	}
	return f
}

func (f *folded) confirm(d decided) {
	if d.Shown == nil {
		return
	}
	for name, v := range d.Shown.Fields {
		f.record.Fields[name] = vouched(v)
	}
	for _, spec := range headerSpecs() {
		if v := *headerField(&d.Shown.Header, spec.Name); v != nil {
			c := vouched(*v)
			*headerField(&f.header, spec.Name) = &c
		}
	}
	if d.Field != "" {
		f.settle(d.Field)
		return
	}
	// What a newer reading found beside the confirmed fields was not looked at.
	for name, v := range f.record.Fields {
		if _, ok := d.Shown.Fields[name]; !ok {
			v.Sure = false
			f.record.Fields[name] = v
		}
	}
	f.record.Doubts = nil
	f.confirmed, f.rejected = true, false
}

func (f *folded) correct(d decided) {
	header := slices.ContainsFunc(headerSpecs(), func(s record.FieldSpec) bool { return s.Name == d.Field })
	if _, own := record.Spec(f.record.Kind, d.Field); own {
		header = false
	}
	switch {
	case header && d.Absent:
		*headerField(&f.header, d.Field) = nil
	case header:
		*headerField(&f.header, d.Field) = entered(*d.Value, *headerField(&f.header, d.Field))
	case d.Absent:
		delete(f.record.Fields, d.Field)
	default:
		var was *record.Field
		if w, ok := f.record.Fields[d.Field]; ok {
			was = &w
		}
		f.record.Fields[d.Field] = *entered(*d.Value, was)
	}
	f.settle(d.Field)
}

// settle drops the doubts about one field.
func (f *folded) settle(field string) {
	f.record.Doubts = slices.DeleteFunc(f.record.Doubts, func(d record.Doubt) bool { return d.Field == field })
}

// vouched is a field that a person looked at.
func vouched(v record.Field) record.Field {
	v.Sure, v.Confidence = true, 1
	return v
}

// entered is a field that a person typed; it keeps what the paper seemed to say
// and where.
func entered(v record.Field, was *record.Field) *record.Field {
	if was != nil {
		v.Box = was.Box
		if was.Text != "" {
			v.Text = was.Text
		}
	}
	return &v
}

// fact names the event that a record tells of, so that a printout photographed
// twice, or a test printed again, counts once. It is "" when the record does not
// say enough to tell events apart.
func fact(site, at string, r record.Record) string {
	what := r.Equipment()
	if site == "" || at == "" || what == "" {
		return ""
	}
	parts := []string{string(r.Kind), site, at, what}
	for _, name := range []string{"test_class", "result", "state", "event", "from"} {
		parts = append(parts, strings.ToUpper(r.Text(name)))
	}
	return strings.Join(parts, "\x1f")
}
