package table

import (
	"context"
	"database/sql"
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
	rows, err := t.read.QueryContext(ctx, `SELECT bits FROM post UNION ALL SELECT bits FROM number`)
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

// Docs is the set of the records that the file knows.
func (t *Table) Docs(ctx context.Context) (*roaring.Bitmap, error) {
	rows, err := t.read.QueryContext(ctx, `SELECT no FROM doc ORDER BY no`)
	if err != nil {
		return nil, damage(ctx, err)
	}
	defer rows.Close()
	out := roaring.New()
	for rows.Next() {
		var no uint32
		if err := rows.Scan(&no); err != nil {
			return nil, damage(ctx, err)
		}
		out.Add(no)
	}
	return out, damage(ctx, rows.Err())
}

// EachSlip gives every slip that is still in the archive as it was indexed.
func (v *View) EachSlip(ctx context.Context, each func(Slip) error) error {
	live, err := v.Set(ctx, Live.Field, Live.Value)
	if err != nil {
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
