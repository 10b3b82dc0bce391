package archive

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"tankroll/record"
)

// The actions of a Decision.
const (
	Confirm = "confirm" // the record, or one field of it, says what the paper says
	Correct = "correct" // the field should be Value; an empty Value means that the paper does not show it
	Reject  = "reject"  // this is no record
	Undo    = "undo"    // takes back the newest standing decision about the record, or about one field of it

	FollowUp = "follow_up" // what was done about what the record says, in Note
	Same     = "same"      // Other is the same printout, or the same result printed again: one record
	Differ   = "differ"    // Other is another one, however alike; takes back Same, as Same does Differ
	Link     = "site"      // of a capture: its site is Value; see LinkSite
)

// Decision is what a person decided about a record. Nothing is ever changed by
// it: it is a new entry in the journal, and the record shows the sum.
type Decision struct {
	Record string // such as r87
	Action string // Confirm, Correct, Reject, FollowUp, Same, Differ or Undo
	Other  string // for Same and Differ, the other record
	Field  string // a field of the record or of its slip's header; "" is the whole record
	Value  string // for Correct, in the form that ParseValue takes
	By     string // who decided
	Note   string
	At     time.Time // zero for now

	Entry  int64         // number of the journal entry; set by History
	Undone bool          // a later entry took it back; set by History
	Was    *record.Field // what a correction found there; set by History
}

// decided is the journal's account of a decision. It says what the decision is
// about without the help of any reading, which may be thrown away.
type decided struct {
	action  string
	Field   string        `json:"field,omitempty"`
	Value   *record.Field `json:"value,omitempty"`  // what a correction puts there
	Absent  bool          `json:"absent,omitempty"` // a correction: not on the paper
	Shown   *snapshot     `json:"shown,omitempty"`  // what a confirmation saw
	Was     *record.Field `json:"was,omitempty"`    // what a correction found there
	Undoes  int64         `json:"undoes,omitempty"`
	Other   string        `json:"other,omitempty"`    // the record that it is one with, or not
	Apart   []string      `json:"apart,omitempty"`    // the records that it was one with, unless a person said so
	OneWith []string      `json:"one_with,omitempty"` // the records that it was one with, for which the decision holds too
	By      string        `json:"by,omitempty"`
	Note    string        `json:"note,omitempty"`
	About   about         `json:"about"`
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
		seq, err := tick(ctx, t)
		if err != nil {
			return err
		}
		if d.Action == Same || d.Action == Differ {
			return decidePair(ctx, t, seq, n, d)
		}
		row, err := oneRow(ctx, t, n)
		if err != nil {
			return err
		}
		body, err := decision(row, d)
		if err != nil {
			return err
		}
		subject := n
		if d.Action == Undo {
			if body.Undoes, subject, err = lastStanding(ctx, t, row, d.Field); err != nil {
				return err
			}
		}
		body.reach(row)
		return note(ctx, t, seq, d, row, name("r", subject), body)
	})
	if err != nil {
		return fmt.Errorf("archive: %s %s: %w", d.Action, d.Record, err)
	}
	return nil
}

// note enters what was decided about a record in the journal, under subject, and
// brings the record up to date.
func note(ctx context.Context, t *sql.Tx, seq int64, d Decision, row Row, subject string, body decided) error {
	var err error
	if body.About, err = aboutRow(ctx, t, row); err != nil {
		return err
	}
	if _, err := appendJournal(ctx, t, d.At, d.Action, subject, body); err != nil {
		return err
	}
	// A record that a person has decided something about does not go.
	if _, err := t.ExecContext(ctx, `UPDATE records SET gone = 0 WHERE id IN (CAST(substr(?, 2) AS INTEGER), CAST(substr(?, 2) AS INTEGER))`, row.ID, subject); err != nil {
		return err
	}
	ids := []int64{}
	for _, id := range append([]string{row.ID, subject}, row.With...) {
		n, err := number("r", id)
		if err != nil {
			return err
		}
		if slices.Contains(ids, n) {
			continue
		}
		if len(ids) > 0 {
			if err := pair(ctx, t, ids[0], n); err != nil {
				return err
			}
		}
		ids = append(ids, n)
	}
	return regroup(ctx, t, seq, ids)
}

// pair notes that the journal speaks of two records together.
func pair(ctx context.Context, t *sql.Tx, a, b int64) error {
	_, err := t.ExecContext(ctx, `INSERT OR IGNORE INTO pairs (a, b) VALUES (?1, ?2), (?2, ?1)`, a, b)
	return err
}

// reach says for which other pictures of a record a decision holds. Which event
// it tells of was looked up on one picture: a correction of that, or that there
// is no record, says nothing of the others, and the record leaves them. All else
// is of the record, and says that it is one.
func (d *decided) reach(row Row) {
	_, header, _ := specOf(row.Record.Kind, d.Field)
	own, _ := record.Spec(row.Record.Kind, d.Field)
	switch {
	case d.Undoes != 0:
	case d.action == Reject, d.action == Correct && (header || identity(own)):
		d.Apart = row.With
	default:
		d.OneWith = row.With
	}
}

func decision(row Row, d Decision) (decided, error) {
	body := decided{action: d.Action, Field: d.Field, By: d.By, Note: d.Note}
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
		if f := shownField(row, d.Field, header); f != nil {
			body.Was = f
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
	case FollowUp:
		if d.Note == "" || d.Field != "" {
			return body, fmt.Errorf("%w: say in the note what was done about the record", ErrValue)
		}
	case Undo:
	default:
		return body, fmt.Errorf("%w: action %q must be confirm, correct, reject, follow_up, same, differ or undo", ErrValue, d.Action)
	}
	return body, err
}

func shown(row Row, field string, header bool) (*snapshot, error) {
	if field == "" {
		return &snapshot{Fields: row.Record.Fields, Header: row.Header}, nil
	}
	f := shownField(row, field, header)
	if f == nil {
		what := "record"
		if header {
			what = "slip"
		}
		return nil, fmt.Errorf("%w: the %s shows no %s, correct it instead", ErrValue, what, field)
	}
	var s snapshot
	if header {
		*headerField(&s.Header, field) = f
	} else {
		s.Fields = record.Fields{field: *f}
	}
	return &s, nil
}

// shownField is a field of a row or of its header, nil when it shows none.
func shownField(row Row, field string, header bool) *record.Field {
	if header {
		return *headerField(&row.Header, field)
	}
	return fieldIn(row.Record.Fields, field)
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
// it, that was not taken back, and the record that it was noted with: it holds for
// all pictures of a record. Same and Differ are taken back by each other.
func lastStanding(ctx context.Context, t *sql.Tx, row Row, field string) (entry, subject int64, err error) {
	for _, id := range append([]string{row.ID}, row.With...) {
		list, err := decisions(ctx, t, id)
		if err != nil {
			return 0, 0, err
		}
		for _, e := range list {
			takes := !slices.Contains([]string{Undo, enterAction, Same, Differ}, e.action)
			if takes && !e.undone && e.seq > entry && (field == "" || e.body.Field == field) {
				entry = e.seq
				if subject, err = number("r", id); err != nil {
					return 0, 0, err
				}
			}
		}
	}
	if entry == 0 {
		return 0, 0, fmt.Errorf("%w: there is no decision to take back", ErrValue)
	}
	return entry, subject, nil
}
