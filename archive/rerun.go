package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"maps"
	"slices"
	"sort"

	"tankroll/record"
)

// newRecord is a record of the reading that is being saved. Its capture, page
// and slip are where its slip begins.
type newRecord struct {
	capture         int64
	page, slip, idx int
	place           place
	record          record.Record
	header          record.Header
	reading         int64 // in the account of readings
}

func recordsOf(capture int64, p Reading) []newRecord {
	var out []newRecord
	for i, sl := range p.Slips {
		s, report := sl.Joined()
		for j, r := range report.Records {
			out = append(out, newRecord{capture, p.Page, i, j, place{s.Turn, s.Corners, s.Paper, s.Parts}, r, report.Header, p.Number})
		}
	}
	return out
}

// oldRecord is a record of an earlier reading of the same captures.
type oldRecord struct {
	id      int64
	gone    bool
	unseen  bool
	decided bool
	newRecord
}

// saveRecords gives the records of readings their rows.
func saveRecords(ctx context.Context, t *sql.Tx, seq int64, readings map[int64][]Reading) error {
	var old []oldRecord
	var found []newRecord
	for _, capture := range slices.Sorted(maps.Keys(readings)) {
		was, err := oldRecords(ctx, t, capture)
		if err != nil {
			return err
		}
		old = append(old, was...)
		for _, p := range readings[capture] {
			found = append(found, recordsOf(capture, p)...)
		}
	}
	same := match(old, found)
	var ids []int64
	for i, n := range found {
		id := int64(0)
		if k, ok := same[i]; ok {
			if err := supersede(ctx, t, old[k], n, false); err != nil {
				return err
			}
			id, old[k].id = old[k].id, 0
		}
		id, err := putRecord(ctx, t, id, known(n.capture), n, "")
		if err != nil {
			return err
		}
		ids = append(ids, id)
	}
	for _, o := range old {
		if o.id == 0 || o.gone {
			continue
		}
		if err := unsee(ctx, t, o, readings); err != nil {
			return err
		}
		ids = append(ids, o.id)
	}
	return regroup(ctx, t, seq, ids)
}

// unsee notes that the new reading does not show a record. It goes, unless a
// person has decided something about it.
func unsee(ctx context.Context, t *sql.Tx, o oldRecord, readings map[int64][]Reading) error {
	now := newRecord{reading: o.reading}
	for _, p := range readings[o.capture] {
		if p.Page == o.page {
			now.reading = p.Number
		}
	}
	if err := supersede(ctx, t, o, now, true); err != nil {
		return err
	}
	_, err := t.ExecContext(ctx, `UPDATE records SET unseen = 1, gone = ?, reading = ? WHERE id = ?`, !o.decided, now.reading, o.id)
	return err
}

func known(capture int64) sql.NullInt64 { return sql.NullInt64{Int64: capture, Valid: true} }

func oldRecords(ctx context.Context, q querier, capture int64) ([]oldRecord, error) {
	rows, err := q.QueryContext(ctx, `SELECT id, gone, unseen, reading, page, slip, idx, place, read, header,
		EXISTS (SELECT 1 FROM journal WHERE subject = 'r' || id) FROM records WHERE capture = ? ORDER BY id`, capture)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []oldRecord
	for rows.Next() {
		o := oldRecord{newRecord: newRecord{capture: capture}}
		var at, read, head string
		if err := rows.Scan(&o.id, &o.gone, &o.unseen, &o.reading, &o.page, &o.slip, &o.idx, &at, &read, &head, &o.decided); err != nil {
			return nil, err
		}
		if err := unmarshal3(at, &o.place, read, &o.record, head, &o.header); err != nil {
			return nil, err
		}
		out = append(out, o)
	}
	return out, rows.Err()
}

// match pairs new records with the old ones that they are: same page and kind,
// and the same place on a picture or the same equipment and time. The best
// pairs are taken first. It returns the old index for each new index found.
func match(old []oldRecord, found []newRecord) map[int]int {
	type pair struct {
		score    float64
		new, old int
	}
	var pairs []pair
	for i, n := range found {
		for k, o := range old {
			if s := likeness(o, n); s >= 1 {
				pairs = append(pairs, pair{s, i, k})
			}
		}
	}
	sort.SliceStable(pairs, func(a, b int) bool { return pairs[a].score > pairs[b].score })
	same, taken := map[int]int{}, map[int]bool{}
	for _, p := range pairs {
		if _, ok := same[p.new]; !ok && !taken[p.old] {
			same[p.new], taken[p.old] = p.old, true
		}
	}
	return same
}

func likeness(o oldRecord, n newRecord) float64 {
	if o.record.Kind != n.record.Kind {
		return 0
	}
	var s float64
	a, b := o.spots(), n.spots()
	switch {
	case len(a) > 0 && len(b) > 0:
		over := 0.0
		for p, box := range a {
			over = max(over, overlap(box, b[p]))
		}
		if over < 0.1 {
			return 0 // another place on the picture is another record
		}
		s = 2 * over
	case o.capture != n.capture || o.page != n.page:
		return 0
	}
	if e := n.record.Equipment(); e != "" && e == o.record.Equipment() {
		s++
	}
	if at, _ := n.record.At(n.header); at != "" {
		if was, _ := o.record.At(o.header); was == at {
			s++
		}
	}
	if o.slip == n.slip && o.idx == n.idx {
		s += 0.5
	}
	if o.gone {
		s -= 0.25
	}
	return s
}

// spots are where on which picture the record stands.
func (n newRecord) spots() map[sheet]record.Box {
	out := map[sheet]record.Box{}
	for _, b := range n.record.Areas() {
		on := sheet{n.capture, n.page}
		if b.Part < len(n.place.Parts) {
			p := n.place.Parts[b.Part]
			c, err := number("c", p.Capture)
			if err != nil {
				continue
			}
			on = sheet{c, p.Page}
		}
		out[on] = b
	}
	return out
}

// sheet is one page of a capture.
type sheet struct {
	capture int64
	page    int
}

// overlap is the common area of two boxes over the area that they cover.
func overlap(a, b record.Box) float64 {
	w := min(a.X+a.W, b.X+b.W) - max(a.X, b.X)
	h := min(a.Y+a.H, b.Y+b.H) - max(a.Y, b.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	both := float64(w) * float64(h)
	return both / (float64(a.W)*float64(a.H) + float64(b.W)*float64(b.H) - both)
}

// putRecord writes what was read of a record, new when id is 0, and gives its
// id. Its row is right only when it was grouped (regroup).
func putRecord(ctx context.Context, t *sql.Tx, id int64, capture sql.NullInt64, n newRecord, entry string) (int64, error) {
	texts := make([]string, 3)
	for i, v := range []any{n.place, n.record, n.header} {
		raw, err := json.Marshal(v)
		if err != nil {
			return 0, err
		}
		texts[i] = string(raw)
	}
	if id == 0 {
		r, err := t.ExecContext(ctx, `INSERT INTO records (capture, page, slip, idx, place, read, header, reading, entry,
			kind, site, site_name, site_sure, at, at_field, fact, now, now_head, confirmed, rejected, note, seq)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, '', '', '', 0, '', '', '', '', '', 0, 0, '', 0)`,
			capture, n.page, n.slip, n.idx, texts[0], texts[1], texts[2], n.reading, entry)
		if err != nil {
			return 0, err
		}
		return r.LastInsertId()
	}
	_, err := t.ExecContext(ctx, `UPDATE records SET capture = ?, page = ?, slip = ?, idx = ?, place = ?, read = ?, header = ?,
		reading = ?, gone = 0, unseen = 0 WHERE id = ?`, capture, n.page, n.slip, n.idx, texts[0], texts[1], texts[2], n.reading, id)
	return id, err
}

func unmarshal3(a string, av any, b string, bv any, c string, cv any) error {
	for _, p := range []struct {
		text string
		into any
	}{{a, av}, {b, bv}, {c, cv}} {
		if err := json.Unmarshal([]byte(p.text), p.into); err != nil {
			return err
		}
	}
	return nil
}
