package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"

	"tankroll/record"
)

// The actions of a Decision.
const (
	Confirm = "confirm" // the record, or one field of it, says what the paper says
	Correct = "correct" // the field should be Value; an empty Value means that the paper does not show it
	Reject  = "reject"  // this is no record
	Undo    = "undo"    // takes back the newest standing decision about the record, or about one field of it
)

// Decision is what a person decided about a record. Nothing is ever changed by
// it: it is a new entry in the journal, and the record shows the sum.
type Decision struct {
	Record string // such as r87
	Action string // Confirm, Correct, Reject or Undo
	Field  string // a field of the record or of its slip's header; "" is the whole record
	Value  string // for Correct, in the form that ParseValue takes
	By     string // who decided
	Note   string
	At     time.Time // zero for now

	Entry  int64 // number of the journal entry; set by History
	Undone bool  // a later entry took it back; set by History
}

// decided is the journal's account of a decision. It says what the decision is
// about without the help of any reading, which may be thrown away.
type decided struct {
	Field  string        `json:"field,omitempty"`
	Value  *record.Field `json:"value,omitempty"`  // what a correction puts there
	Absent bool          `json:"absent,omitempty"` // a correction: not on the paper
	Shown  *snapshot     `json:"shown,omitempty"`  // what a confirmation saw
	Undoes int64         `json:"undoes,omitempty"`
	By     string        `json:"by,omitempty"`
	Note   string        `json:"note,omitempty"`
	About  about         `json:"about"`
}

// snapshot freezes what a person confirmed, so that no later reading can
// change it.
type snapshot struct {
	Fields record.Fields `json:"fields,omitempty"`
	Header record.Header `json:"header"`
}

type about struct {
	Capture string      `json:"capture,omitempty"` // SHA-256 of the original
	Page    int         `json:"page,omitempty"`
	Box     record.Box  `json:"box,omitzero"`
	Kind    record.Kind `json:"kind"`
	Site    string      `json:"site,omitempty"`
	At      string      `json:"at,omitempty"`
	What    string      `json:"what,omitempty"` // equipment

	// The pictures that the parts of boxes speak of, when the slip was joined.
	Parts []record.Ref `json:"parts,omitempty"`
}

// Decide notes a decision. A value that the field cannot have is refused with
// ErrValue.
func (s *Store) Decide(ctx context.Context, d Decision) error {
	n, err := number("r", d.Record)
	if err != nil {
		return fmt.Errorf("archive: decide: %w", err)
	}
	if d.At.IsZero() {
		d.At = s.now()
	}
	err = s.tx(ctx, func(t *sql.Tx) error {
		row, err := oneRow(ctx, t, n)
		if err != nil {
			return err
		}
		body, err := decision(ctx, t, row, d)
		if err != nil {
			return err
		}
		if body.About, err = aboutRow(ctx, t, row); err != nil {
			return err
		}
		seq, err := tick(ctx, t)
		if err != nil {
			return err
		}
		if _, err := appendJournal(ctx, t, d.At, d.Action, d.Record, body); err != nil {
			return err
		}
		return refold(ctx, t, n, seq)
	})
	if err != nil {
		return fmt.Errorf("archive: %s %s: %w", d.Action, d.Record, err)
	}
	return nil
}

func decision(ctx context.Context, t *sql.Tx, row Row, d Decision) (decided, error) {
	body := decided{Field: d.Field, By: d.By, Note: d.Note}
	var spec record.FieldSpec
	var header bool
	var err error
	if d.Field != "" {
		if spec, header, err = specOf(row.Record.Kind, d.Field); err != nil {
			return body, err
		}
	}
	switch d.Action {
	case Confirm:
		body.Shown, err = shown(row, d.Field, header)
	case Correct:
		if d.Field == "" {
			return body, fmt.Errorf("%w: say which field to correct", ErrValue)
		}
		if d.Value == "" {
			body.Absent = true
			return body, nil
		}
		var f record.Field
		f, err = ParseValue(spec, d.Value, row.Record.Fields[d.Field].Unit)
		body.Value = &f
	case Reject:
		if d.Field != "" {
			return body, fmt.Errorf("%w: only a whole record can be rejected, correct the field to nothing instead", ErrValue)
		}
	case Undo:
		body.Undoes, err = lastStanding(ctx, t, row.ID, d.Field)
	default:
		return body, fmt.Errorf("%w: action %q must be confirm, correct, reject or undo", ErrValue, d.Action)
	}
	return body, err
}

func shown(row Row, field string, header bool) (*snapshot, error) {
	if field == "" {
		return &snapshot{Fields: row.Record.Fields, Header: row.Header}, nil
	}
	var s snapshot
	if header {
		f := *headerField(&row.Header, field)
		if f == nil {
			return nil, fmt.Errorf("%w: the slip shows no %s, correct it instead", ErrValue, field)
		}
		*headerField(&s.Header, field) = f
		return &s, nil
	}
	f, ok := row.Record.Fields[field]
	if !ok {
		return nil, fmt.Errorf("%w: the record shows no %s, correct it instead", ErrValue, field)
	}
	s.Fields = record.Fields{field: f}
	return &s, nil
}

// headerField is the place of a header's field.
func headerField(h *record.Header, field string) **record.Field {
	switch field {
	case "site":
		return &h.Site
	case "site_number":
		return &h.SiteNumber
	case "address":
		return &h.Address
	case "printed_at":
		return &h.PrintedAt
	}
	panic("internal error: no header field " + field)
}

func aboutRow(ctx context.Context, t *sql.Tx, row Row) (about, error) {
	area := row.Record.Area()
	on := row.On(area)
	a := about{Page: on.Page, Box: area, Kind: row.Record.Kind, Site: row.Site, At: row.At, What: row.Record.Equipment()}
	if row.Capture == "" {
		return a, nil
	}
	for _, p := range row.Parts {
		a.Parts = append(a.Parts, p.Ref)
	}
	n, err := number("c", on.Capture)
	if err != nil {
		return a, err
	}
	err = t.QueryRowContext(ctx, `SELECT sha256 FROM captures WHERE id = ?`, n).Scan(&a.Capture)
	return a, err
}

// lastStanding finds the newest decision about a record, or about one field of
// it, that was not taken back.
func lastStanding(ctx context.Context, t *sql.Tx, id, field string) (int64, error) {
	list, err := decisions(ctx, t, id)
	if err != nil {
		return 0, err
	}
	for i := len(list) - 1; i >= 0; i-- {
		e := list[i]
		if !e.undone && e.action != Undo && e.action != enterAction && (field == "" || e.body.Field == field) {
			return e.seq, nil
		}
	}
	return 0, fmt.Errorf("%w: there is no decision to take back", ErrValue)
}

// journalled is a journal entry about a record, read.
type journalled struct {
	seq    int64
	at     time.Time
	action string
	body   decided
	undone bool
}

// decisions reads the journal's entries about a record, oldest first.
func decisions(ctx context.Context, q querier, id string) ([]journalled, error) {
	rows, err := q.QueryContext(ctx, `SELECT seq, at, action, body FROM journal WHERE subject = ? ORDER BY seq`, id)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []journalled
	where := map[int64]int{}
	for rows.Next() {
		var e journalled
		var at, body string
		if err := rows.Scan(&e.seq, &at, &e.action, &body); err != nil {
			return nil, err
		}
		if e.at, err = time.Parse(time.RFC3339Nano, at); err != nil {
			return nil, err
		}
		if err := json.Unmarshal([]byte(body), &e.body); err != nil {
			return nil, err
		}
		if e.action == Correct && e.body.Value == nil && !e.body.Absent {
			return nil, fmt.Errorf("journal entry %d is %w: it corrects %q to nothing", e.seq, ErrDamaged, e.body.Field)
		}
		where[e.seq] = len(out)
		out = append(out, e)
		if i, ok := where[e.body.Undoes]; ok && e.action == Undo {
			out[i].undone = true
		}
	}
	return out, rows.Err()
}

// History lists what people decided about a record, oldest first.
func (s *Store) History(ctx context.Context, recordID string) ([]Decision, error) {
	if _, err := s.Record(ctx, recordID); err != nil {
		return nil, err
	}
	list, err := decisions(ctx, s.db, recordID)
	if err != nil {
		return nil, wrap("history of "+recordID, err)
	}
	var out []Decision
	for _, e := range list {
		d := Decision{Record: recordID, Action: e.action, Field: e.body.Field, By: e.body.By, Note: e.body.Note, At: e.at,
			Entry: e.seq, Undone: e.undone}
		if e.body.Value != nil {
			d.Value = e.body.Value.Text
		}
		out = append(out, d)
	}
	return out, nil
}
