package table

import (
	"context"
	"database/sql"
	"encoding/binary"
	"fmt"
	"net/url"
	"path/filepath"

	"github.com/RoaringBitmap/roaring/v2"
)

// OpenReadOnly opens a file for looking alone: it makes nothing and writes
// nothing.
func OpenReadOnly(path string) (*Table, error) {
	u := url.URL{Scheme: "file", OmitHost: true, Path: filepath.ToSlash(path)}
	q := url.Values{"mode": {"ro"}, "_busy_timeout": {busyTimeout}}
	open := func() (*sql.DB, error) { return sql.Open("sqlite3", u.String()+"?"+q.Encode()) }
	read, err := open()
	if err != nil {
		return nil, err
	}
	write, err := open() // fails when it is used
	if err != nil {
		read.Close()
		return nil, err
	}
	return &Table{path, read, write}, nil
}

// Check compares the file with its own structure and every stored set with
// its checksum; ErrDamaged says that it is not what was written.
func (t *Table) Check(ctx context.Context) error {
	var said string
	if err := t.read.QueryRowContext(ctx, `PRAGMA integrity_check(1)`).Scan(&said); err != nil {
		return damage(ctx, err)
	}
	if said != "ok" {
		return fmt.Errorf("%w: %s", ErrDamaged, said)
	}
	rows, err := t.read.QueryContext(ctx, `SELECT bits FROM number`)
	if err != nil {
		return damage(ctx, err)
	}
	defer rows.Close()
	for rows.Next() {
		var raw sql.RawBytes
		if err := rows.Scan(&raw); err != nil {
			return damage(ctx, err)
		}
		if _, err := unsealed(raw); err != nil {
			return err
		}
	}
	return damage(ctx, rows.Err())
}

// CheckDocs compares what is kept of each record, to take it out again one day,
// with the sets that it should be in. It gives the records that the file knows, and
// calls each with the number that stands for a record's event, see FactNumber.
func (t *Table) CheckDocs(ctx context.Context, each func(no uint32, fact int64)) (*roaring.Bitmap, error) {
	rows, err := t.read.QueryContext(ctx, `SELECT no, fact, terms FROM doc ORDER BY no`)
	if err != nil {
		return nil, damage(ctx, err)
	}
	defer rows.Close()
	known, sets := roaring.New(), map[setKey]*roaring.Bitmap{}
	for rows.Next() {
		var no uint32
		var fact int64
		var ids sql.RawBytes
		if err := rows.Scan(&no, &fact, &ids); err != nil {
			return nil, damage(ctx, err)
		}
		known.Add(no)
		each(no, fact)
		for rest := []byte(ids); len(rest) > 0; {
			id, n := binary.Uvarint(rest)
			if n <= 0 {
				return nil, ErrDamaged
			}
			rest = rest[n:]
			k := setKey{int64(id), int64(no / setChunk)}
			if sets[k] == nil {
				sets[k] = roaring.New()
			}
			sets[k].Add(no)
		}
	}
	if err := rows.Err(); err != nil {
		return nil, damage(ctx, err)
	}
	return known, t.checkSets(ctx, sets)
}

// checkSets compares the stored sets of records with those that they should be.
func (t *Table) checkSets(ctx context.Context, want map[setKey]*roaring.Bitmap) error {
	rows, err := t.read.QueryContext(ctx, `SELECT p.term, p.chunk, p.bits, coalesce(t.field IN ('slip', 'part'), 0) FROM post p LEFT JOIN term t ON t.id = p.term`)
	if err != nil {
		return damage(ctx, err)
	}
	defer rows.Close()
	for rows.Next() {
		var k setKey
		var raw sql.RawBytes
		var ofSlips bool
		if err := rows.Scan(&k.term, &k.chunk, &raw, &ofSlips); err != nil {
			return damage(ctx, err)
		}
		s, err := parseSet(raw)
		if err != nil {
			return err
		}
		if !ofSlips && (want[k] == nil || !want[k].Equals(s)) {
			return fmt.Errorf("%w: a set does not hold the records that have its value", ErrDamaged)
		}
		delete(want, k)
	}
	if err := rows.Err(); err != nil {
		return damage(ctx, err)
	}
	if len(want) > 0 {
		return fmt.Errorf("%w: %d sets are missing", ErrDamaged, len(want))
	}
	return nil
}

// FactNumber is the number that stands for an event.
func FactNumber(fact string) int64 { return hashOf(fact) }

// EachSlip gives every slip that is still in the archive as it was indexed; the
// words of each are to be in just one part.
func (v *View) EachSlip(ctx context.Context, each func(Slip) error) error {
	live, err := v.Set(ctx, Live.Field, Live.Value)
	if err != nil {
		return err
	}
	if err := v.checkParts(ctx, live); err != nil {
		return err
	}
	rows, err := v.t.read.QueryContext(ctx, `SELECT no, capture, page, slip FROM slip ORDER BY no`)
	if err != nil {
		return damage(ctx, err)
	}
	defer rows.Close()
	known := uint64(0)
	for rows.Next() {
		var s Slip
		if err := rows.Scan(&s.No, &s.Capture, &s.Page, &s.Slip); err != nil {
			return damage(ctx, err)
		}
		if !live.Contains(s.No) {
			continue
		}
		known++
		if err := each(s); err != nil {
			return err
		}
	}
	if err := rows.Err(); err != nil {
		return damage(ctx, err)
	}
	if known != live.GetCardinality() {
		return fmt.Errorf("%w: it does not say where a slip stands", ErrDamaged)
	}
	return nil
}

// checkParts compares the slips that are in the archive with those of the parts.
func (v *View) checkParts(ctx context.Context, live *roaring.Bitmap) error {
	all, times := roaring.New(), uint64(0)
	for _, p := range v.Parts {
		in := inPart(p.Name)
		s, err := v.Set(ctx, in.Field, in.Value)
		if err != nil {
			return err
		}
		times += s.AndCardinality(live)
		all.Or(s)
	}
	if found := all.AndCardinality(live); found != live.GetCardinality() || found != times {
		return fmt.Errorf("%w: it does not say where the words of a slip are", ErrDamaged)
	}
	return nil
}
