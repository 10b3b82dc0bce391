package table

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"slices"

	"github.com/RoaringBitmap/roaring/v2"
)

// Live is the value that all slips have that are still in the archive as they
// were indexed; their numbers are a sequence of their own.
var Live = Value{"slip", "live"}

// Slip is where a slip stands. Its number is never given to another.
type Slip struct {
	No      uint32
	Capture int64
	Page    int
	Slip    int // from 0, on the page
}

// Part names one finished part of the text index.
type Part struct {
	Name string
	Docs int
	Sum  string // of its files
}

// AddSlip adds a slip whose words are in a part; its number is one that Next
// gave.
func (w *Writer) AddSlip(s Slip, part string) error {
	if _, err := w.slip.ExecContext(w.ctx, s.No, s.Capture, s.Page, s.Slip); err != nil {
		return damage(w.ctx, err)
	}
	return errors.Join(w.mark(Live, s.No, true), w.mark(inPart(part), s.No, true))
}

// inPart is the value of the slips whose words are in a part, also of those that
// are gone.
func inPart(name string) Value { return Value{"part", name} }

// mark puts a number into a set or takes it out.
func (w *Writer) mark(v Value, no uint32, in bool) error {
	id, err := w.termID(v)
	if err != nil {
		return damage(w.ctx, err)
	}
	s, err := w.set(id, no)
	if err != nil {
		return err
	}
	if in {
		s.Add(no)
	} else {
		s.Remove(no)
	}
	return nil
}

// DropSlips forgets the slips of a capture.
func (w *Writer) DropSlips(capture int64) error {
	list, err := w.Slips(capture)
	if err != nil || len(list) == 0 {
		return err
	}
	for _, s := range list {
		if err := w.mark(Live, s.No, false); err != nil {
			return err
		}
	}
	_, err = w.tx.ExecContext(w.ctx, `DELETE FROM slip WHERE capture = ?`, capture)
	return damage(w.ctx, err)
}

// Slips lists the slips of a capture.
func (w *Writer) Slips(capture int64) ([]Slip, error) {
	rows, err := w.tx.QueryContext(w.ctx, `SELECT no, capture, page, slip FROM slip WHERE capture = ? ORDER BY page, slip`, capture)
	if err != nil {
		return nil, damage(w.ctx, err)
	}
	defer rows.Close()
	var out []Slip
	for rows.Next() {
		var s Slip
		if err := rows.Scan(&s.No, &s.Capture, &s.Page, &s.Slip); err != nil {
			return nil, damage(w.ctx, err)
		}
		out = append(out, s)
	}
	return out, damage(w.ctx, rows.Err())
}

// Next takes n numbers of a count that only grows and gives the first; the first
// of all is 1.
func (w *Writer) Next(count string, n int) (int64, error) {
	key, next := "next "+count, int64(0)
	err := w.tx.QueryRowContext(w.ctx, `SELECT value FROM note WHERE key = ?`, key).Scan(&next)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return 0, damage(w.ctx, err)
	}
	next = max(next, 1)
	return next, w.Note(key, next+int64(n))
}

// Place finds a slip by its number.
func (t *Table) Place(ctx context.Context, no uint32) (Slip, bool, error) {
	var s Slip
	err := t.read.QueryRowContext(ctx, `SELECT no, capture, page, slip FROM slip WHERE no = ?`, no).Scan(&s.No, &s.Capture, &s.Page, &s.Slip)
	if errors.Is(err, sql.ErrNoRows) {
		return s, false, nil
	}
	return s, err == nil, damage(ctx, err)
}

// Parts lists the parts of the text index.
func (w *Writer) Parts() ([]Part, error) { return parts(w.ctx, w.tx) }

type lister interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func parts(ctx context.Context, q lister) ([]Part, error) {
	rows, err := q.QueryContext(ctx, `SELECT name, docs, sum FROM part ORDER BY name`)
	if err != nil {
		return nil, damage(ctx, err)
	}
	defer rows.Close()
	var out []Part
	for rows.Next() {
		var p Part
		if err := rows.Scan(&p.Name, &p.Docs, &p.Sum); err != nil {
			return nil, damage(ctx, err)
		}
		out = append(out, p)
	}
	return out, damage(ctx, rows.Err())
}

// AddPart adds a part.
func (w *Writer) AddPart(p Part) error {
	_, err := w.tx.ExecContext(w.ctx, `INSERT INTO part VALUES (?, ?, ?)`, p.Name, p.Docs, p.Sum)
	return damage(w.ctx, err)
}

// DropPart forgets a part.
func (w *Writer) DropPart(name string) error {
	id, err := w.termID(inPart(name))
	if err != nil {
		return damage(w.ctx, err)
	}
	for k, s := range w.sets {
		if k.term == id {
			s.Clear()
		}
	}
	_, err = w.tx.ExecContext(w.ctx, `DELETE FROM part WHERE name = ?`, name)
	if err == nil {
		_, err = w.tx.ExecContext(w.ctx, `DELETE FROM post WHERE term = ?`, id)
	}
	return damage(w.ctx, err)
}

// InPart lists the slips whose words are in a part and that are not gone, by
// capture.
func (w *Writer) InPart(name string) ([]Slip, error) {
	var last int64
	if err := w.tx.QueryRowContext(w.ctx, `SELECT coalesce(max(no), 0) FROM slip`).Scan(&last); err != nil {
		return nil, damage(w.ctx, err)
	}
	var out []Slip
	for chunk := range last/setChunk + 1 {
		var sets [2]*roaring.Bitmap
		for i, v := range []Value{inPart(name), Live} {
			id, err := w.termID(v)
			if err != nil {
				return nil, damage(w.ctx, err)
			}
			if sets[i], err = w.set(id, uint32(chunk*setChunk)); err != nil {
				return nil, err
			}
		}
		for _, no := range roaring.And(sets[0], sets[1]).ToArray() {
			s := Slip{No: no}
			err := w.tx.QueryRowContext(w.ctx, `SELECT capture, page, slip FROM slip WHERE no = ?`, no).Scan(&s.Capture, &s.Page, &s.Slip)
			if err != nil {
				return nil, damage(w.ctx, err)
			}
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b Slip) int { return cmp.Compare(a.Capture, b.Capture) })
	return out, nil
}

// Move notes that the words of a slip are in another part.
func (w *Writer) Move(no uint32, part string) error { return w.mark(inPart(part), no, true) }
