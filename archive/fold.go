package archive

import (
	"context"
	"database/sql"
	"encoding/json"
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
	note                string
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
		if e.body.Note != "" {
			f.note = e.body.Note
		}
		switch e.action {
		case Confirm:
			f.confirm(e.body)
		case Correct:
			f.correct(e.body)
		case Reject:
			f.rejected, f.confirmed = true, false
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

// refold brings the derived part of a record's row up to date.
func refold(ctx context.Context, t *sql.Tx, id, seq int64) error {
	f, hint, err := foldedRow(ctx, t, id)
	if err != nil {
		return err
	}
	d, err := f.row(hint)
	if err != nil {
		return err
	}
	_, err = t.ExecContext(ctx, `UPDATE records SET kind = ?, site = ?, site_name = ?, site_sure = ?, at = ?, at_field = ?,
		fact = ?, now = ?, now_head = ?, confirmed = ?, rejected = ?, note = ?, seq = ? WHERE id = ?`,
		d.kind, d.site, d.siteName, d.siteSure, d.at, d.atField, d.fact, d.now, d.head, d.confirmed, d.rejected, d.note, seq, id)
	return err
}

// derived is the part of a record's row that is folded from the rest.
type derived struct {
	kind, site, siteName string
	siteSure             bool
	at, atField, fact    string
	now, head            string // JSON
	confirmed, rejected  bool
	note                 string
}

// row is what folding puts into the row; hint is the site that a person named
// for the capture.
func (f folded) row(hint string) (derived, error) {
	now, err := json.Marshal(f.record)
	if err != nil {
		return derived{}, err
	}
	head, err := json.Marshal(f.header)
	if err != nil {
		return derived{}, err
	}
	site, printed, sure := siteOf(hint, f.header)
	at, field := f.record.At(f.header)
	return derived{string(f.record.Kind), site, printed, sure, at, field, fact(site, at, f.record),
		string(now), string(head), f.confirmed, f.rejected, f.note}, nil
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

// foldedRow folds a record from what was read and the journal; hint is the
// site that a person named for its capture.
func foldedRow(ctx context.Context, q querier, id int64) (f folded, hint string, err error) {
	var read, head, at string
	var stands stand
	err = q.QueryRowContext(ctx, `SELECT r.read, r.header, r.place, coalesce(r.capture, 0), r.page, coalesce(c.site, '') FROM records r
		LEFT JOIN captures c ON c.id = r.capture WHERE r.id = ?`, id).Scan(&read, &head, &at, &stands.capture, &stands.page, &hint)
	if err != nil {
		return f, "", err
	}
	var r record.Record
	var h record.Header
	var p place
	if err := unmarshal3(read, &r, head, &h, at, &p); err != nil {
		return f, "", err
	}
	list, err := decisions(ctx, q, name("r", id))
	if err != nil {
		return f, "", err
	}
	if err := stands.follow(ctx, q, p.Parts, list); err != nil {
		return f, "", err
	}
	return fold(r, h, list), hint, nil
}
