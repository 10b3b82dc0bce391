package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"sort"

	"tankroll/record"
)

// member is a record as it was read from one picture, with what people decided
// about it. What a person sees of a record is the sum of all its members.
type member struct {
	newRecord
	id           int64
	file, hint   string
	byHand       bool
	gone, unseen bool
	one          int64 // as its row has it
	twin, fact   string
	list         []journalled
}

func loadMember(ctx context.Context, q querier, id int64) (*member, error) {
	m := member{id: id}
	var read, head, at string
	var capture sql.NullInt64
	err := q.QueryRowContext(ctx, `SELECT r.read, r.header, r.place, r.capture, r.page, r.slip, r.idx, r.reading, r.gone, r.unseen,
		r.one, r.twin, r.fact, coalesce(c.file, ''), coalesce(nullif(c.linked, ''), c.site, '')
		FROM records r LEFT JOIN captures c ON c.id = r.capture WHERE r.id = ?`, id).
		Scan(&read, &head, &at, &capture, &m.page, &m.slip, &m.idx, &m.reading, &m.gone, &m.unseen, &m.one, &m.twin, &m.fact, &m.file, &m.hint)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("record %s: %w", name("r", id), ErrNotFound)
	}
	if err != nil {
		return nil, err
	}
	m.capture, m.byHand = capture.Int64, !capture.Valid
	if err := unmarshal3(read, &m.record, head, &m.header, at, &m.place); err != nil {
		return nil, fmt.Errorf("record %s: %w: %w", name("r", id), ErrDamaged, err)
	}
	m.list, err = decisions(ctx, q, name("r", id))
	return &m, err
}

// mates lists the records that a record is one with by their rows, itself
// included, the oldest first.
func mates(ctx context.Context, q querier, id, one int64) ([]int64, error) {
	lead := id
	if one != 0 {
		lead = one
	}
	return numbers(ctx, q, `SELECT ? UNION SELECT id FROM records WHERE one = ? AND one <> 0 UNION SELECT ? ORDER BY 1`, lead, lead, id)
}

func numbers(ctx context.Context, q querier, query string, args ...any) ([]int64, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []int64
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, rows.Err()
}

// sheets are the pictures that the member's slip stands on.
func (m *member) sheets() []record.Part {
	if len(m.place.Parts) > 0 || m.byHand {
		return m.place.Parts
	}
	return []record.Part{{Ref: record.Ref{File: m.file, Page: m.page, Slip: m.slip, Capture: name("c", m.capture)},
		Corners: m.place.Corners, Turn: m.place.Turn}}
}

func (m *member) onSlip(o *member) bool {
	return m.capture == o.capture && m.page == o.page && m.slip == o.slip && m.byHand == o.byHand
}

// view is a record as it shows from one of its members: what all pictures say
// with all that people decided, and the parts of all its pictures; no parts when
// it has but one member.
func view(ctx context.Context, q querier, m *member, all []*member) (folded, []record.Part, error) {
	r, h, parts := together(m, all)
	var list []journalled
	for _, o := range all {
		list = append(list, o.list...)
	}
	sort.Slice(list, func(a, b int) bool { return list[a].seq < list[b].seq })
	on := parts
	if len(on) == 0 {
		on = m.place.Parts
	}
	list, err := follow(ctx, q, sheet{m.capture, m.page}, on, list)
	if err != nil {
		return folded{}, nil, err
	}
	f := fold(r, h, list)
	if !slices.ContainsFunc(all, func(o *member) bool { return !o.unseen }) && !m.gone {
		f.unseen()
	}
	return f, parts, nil
}

// unseenDoubt is the doubt of a record that stays only because a person has
// decided something about it.
const unseenDoubt = "a newer reading does not show this record"

func (f *folded) unseen() {
	d := record.Doubt{Why: unseenDoubt}
	if !slices.Contains(f.record.Doubts, d) {
		f.record.Doubts = append(f.record.Doubts, d)
	}
}

// own is the member as it would show if no other picture showed it.
func (m *member) own(ctx context.Context, q querier) (folded, error) {
	f, _, err := view(ctx, q, m, []*member{m})
	return f, err
}

// hintOf is the site that a person named for one of the members' captures: its
// own before the others'.
func hintOf(m *member, all []*member) string {
	if m.hint != "" {
		return m.hint
	}
	for _, o := range all {
		if o.hint != "" {
			return o.hint
		}
	}
	return ""
}

// loadAll loads a record with all that it is one with by its row.
func loadAll(ctx context.Context, q querier, id int64) (*member, []*member, error) {
	m, err := loadMember(ctx, q, id)
	if err != nil {
		return nil, nil, err
	}
	ids, err := mates(ctx, q, id, m.one)
	if err != nil {
		return nil, nil, err
	}
	var all []*member
	for _, n := range ids {
		o := m
		if n != id {
			if o, err = loadMember(ctx, q, n); err != nil {
				return nil, nil, err
			}
		}
		all = append(all, o)
	}
	return m, all, nil
}

// writeView brings the derived part of a member's row up to date. The row counts
// as changed when it is, or when it must.
func writeView(ctx context.Context, t *sql.Tx, seq int64, m *member, all []*member, fact string, must bool) error {
	d, err := shownAs(ctx, t, m, all, fact)
	if err != nil {
		return err
	}
	_, err = t.ExecContext(ctx, `UPDATE records SET kind = ?1, site = ?2, site_name = ?3, site_sure = ?4, at = ?5, at_field = ?6,
		fact = ?7, now = ?8, now_head = ?9, pictures = ?10, one = ?11, confirmed = ?12, rejected = ?13, note = ?14, followed = ?15, seq = ?16
		WHERE id = ?17 AND (?18 OR (kind, site, site_name, site_sure, at, at_field, fact, now, now_head, pictures, one, confirmed, rejected, note, followed)
			<> (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15))`,
		d.kind, d.site, d.siteName, d.siteSure, d.at, d.atField, d.fact, d.now, d.head, d.pictures, d.one,
		d.confirmed, d.rejected, d.note, d.followed, seq, m.id, must)
	return err
}
