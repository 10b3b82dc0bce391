package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"maps"
	"slices"
	"time"

	"tankroll/record"
)

// A record shows what the newest reading says of it. What an earlier one said is
// kept where it differs from the next, so that nothing that was ever shown, or
// decided upon, is lost. Kept are values, doubts and how sure they were; where
// the words stood and the slip's other lines go with the older reading, since
// the original has them. A reading that says the same costs one short row, so
// the account grows with what changes and not with how often a page is read.

// differing is where an earlier reading of a record differs from the one that
// came next. A nil field was not read.
type differing struct {
	Fields map[string]*record.Field `json:"fields,omitempty"`
	Header map[string]*record.Field `json:"header,omitempty"`
	Doubts *[]record.Doubt          `json:"doubts,omitempty"`
}

// sayTheSame reports whether two fields say the same, wherever they stand.
func sayTheSame(a, b *record.Field) bool {
	if a == nil || b == nil {
		return a == b
	}
	return sameValue(*a, *b) && a.Text == b.Text && a.Sure == b.Sure && a.Origin == b.Origin
}

func sameValue(a, b record.Field) bool { return a.Value == b.Value && a.Unit == b.Unit }

func fieldIn(fields record.Fields, name string) *record.Field {
	if f, ok := fields[name]; ok {
		return &f
	}
	return nil
}

// namesOf lists the fields of either record.
func namesOf(a, b record.Record) []string {
	both := record.Record{Kind: a.Kind, Fields: maps.Clone(a.Fields)}
	if both.Fields == nil {
		both.Fields = record.Fields{}
	}
	maps.Copy(both.Fields, b.Fields)
	return both.FieldNames()
}

// differs is what must be kept of was when now takes its place.
func differs(was, now newRecord) (string, error) {
	d := differing{Fields: map[string]*record.Field{}, Header: map[string]*record.Field{}}
	for _, name := range namesOf(was.record, now.record) {
		if a, b := fieldIn(was.record.Fields, name), fieldIn(now.record.Fields, name); !sayTheSame(a, b) {
			d.Fields[name] = a
		}
	}
	for _, spec := range headerSpecs() {
		if a, b := *headerField(&was.header, spec.Name), *headerField(&now.header, spec.Name); !sayTheSame(a, b) {
			d.Header[spec.Name] = a
		}
	}
	if !slices.Equal(was.record.Doubts, now.record.Doubts) {
		doubts := slices.Clone(was.record.Doubts)
		d.Doubts = &doubts
	}
	if len(d.Fields) == 0 && len(d.Header) == 0 && d.Doubts == nil {
		return "", nil
	}
	raw, err := json.Marshal(d)
	return string(raw), err
}

// before takes a record back to what the earlier reading said.
func (d differing) before(r record.Record, h record.Header) (record.Record, record.Header) {
	r.Fields = maps.Clone(r.Fields)
	if r.Fields == nil {
		r.Fields = record.Fields{}
	}
	for name, f := range d.Fields {
		if f == nil {
			delete(r.Fields, name)
		} else {
			r.Fields[name] = *f
		}
	}
	for name, f := range d.Header {
		*headerField(&h, name) = f
	}
	if d.Doubts != nil {
		r.Doubts = *d.Doubts
	}
	return r, h
}

// supersede keeps what stood of a record before now takes its place; unseen
// says that the new reading does not show the record.
func supersede(ctx context.Context, t *sql.Tx, o oldRecord, now newRecord, unseen bool) error {
	was := ""
	if !unseen { // of a record that is not shown, what was read last stays
		var err error
		if was, err = differs(o.newRecord, now); err != nil {
			return err
		}
	}
	if was == "" && o.reading == now.reading && o.unseen == unseen {
		return nil
	}
	_, err := t.ExecContext(ctx, `INSERT INTO superseded (record, reading, unseen, was) VALUES (?, ?, ?, ?)`, o.id, o.reading, o.unseen, was)
	return err
}

// noteReading enters a reading of a page in the account of readings and gives
// its number.
func (s *Store) noteReading(ctx context.Context, t *sql.Tx, c int64, p Reading) (int64, error) {
	at, records := s.now(), 0
	if !p.ReadAt.IsZero() {
		at = p.ReadAt
	}
	for _, sl := range p.Slips {
		records += len(sl.Report.Records)
	}
	r, err := t.ExecContext(ctx, `INSERT INTO readings (capture, page, at, ocr, grammar, slips, records, error) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
		c, p.Page, stamp(at), p.OCRVersion, p.GrammarVersion, len(p.Slips), records, p.Error)
	if err != nil {
		return 0, err
	}
	return r.LastInsertId()
}

// PageReading is one line of the account of readings: a page was read.
type PageReading struct {
	Number         int64
	Capture        string
	Page           int
	At             time.Time // zero when it was not noted, before format 3
	OCRVersion     int
	GrammarVersion int
	Slips, Records int
	Error          string
	Stands         bool // no later one took its place
}

// PageReadings lists every reading of the pages of a capture, oldest first.
func (s *Store) PageReadings(ctx context.Context, captureID string) ([]PageReading, error) {
	c, err := number("c", captureID)
	if err != nil {
		return nil, err
	}
	out, err := accountOf(ctx, s.db, `r.capture = ?`, c)
	return out, wrap("readings of "+captureID, err)
}

func accountOf(ctx context.Context, q querier, where string, args ...any) ([]PageReading, error) {
	rows, err := q.QueryContext(ctx, `SELECT r.id, r.capture, r.page, r.at, r.ocr, r.grammar, r.slips, r.records, r.error,
		EXISTS (SELECT 1 FROM pages p WHERE p.capture = r.capture AND p.page = r.page AND p.reading = r.id)
		FROM readings r WHERE `+where+` ORDER BY r.id`, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []PageReading
	for rows.Next() {
		var p PageReading
		var c int64
		var at string
		if err := rows.Scan(&p.Number, &c, &p.Page, &at, &p.OCRVersion, &p.GrammarVersion, &p.Slips, &p.Records, &p.Error, &p.Stands); err != nil {
			return nil, err
		}
		p.Capture = name("c", c)
		if p.At, err = parseStamp(at); err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, rows.Err()
}

func parseStamp(at string) (time.Time, error) {
	if at == "" {
		return time.Time{}, nil
	}
	return time.Parse(time.RFC3339Nano, at)
}
