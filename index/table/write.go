package table

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"hash/fnv"

	"github.com/RoaringBitmap/roaring/v2"
)

// Sizes of what is stored as one: a set holds the numbers of a million records,
// so that a rare value is one row; a stretch of numbers is rewritten whole when
// one record changes, so it is short.
const (
	setChunk    = 1 << 20
	numberChunk = 1 << 13
)

// Value is one value of one field.
type Value struct{ Field, Value string }

// Doc is what the table knows of a record.
type Doc struct {
	No      uint32
	Fact    string // the event that it tells of, "" when not known
	Values  []Value
	Numbers map[string]int64  // 0 stands for none; what is not named stays as it was
	Names   map[string]string // likewise, "" for none: values of which a record has one at most, such as its tank of thousands, see View.Names
}

type setKey struct{ term, chunk int64 }

type numberKey struct {
	name  string
	chunk uint32
}

// Writer changes a table within one transaction.
type Writer struct {
	ctx     context.Context
	tx      *sql.Tx
	fresh   bool // nothing was there before: only what is in seen can be taken out
	seen    *roaring.Bitmap
	terms   map[Value]int64
	top     int64 // the highest term
	sets    map[setKey]*roaring.Bitmap
	numbers map[numberKey][]int64
	put     *sql.Stmt
	term    *sql.Stmt
	newTerm *sql.Stmt
	slip    *sql.Stmt
}

// Write runs f in one transaction.
func (t *Table) Write(ctx context.Context, f func(*Writer) error) error {
	tx, err := t.write.BeginTx(ctx, nil)
	if err != nil {
		return damage(ctx, err)
	}
	defer tx.Rollback()
	w := &Writer{ctx: ctx, tx: tx, seen: roaring.New(), terms: map[Value]int64{}, sets: map[setKey]*roaring.Bitmap{}, numbers: map[numberKey][]int64{}}
	if err := w.begin(); err != nil {
		return damage(ctx, err)
	}
	if err := f(w); err != nil {
		return err
	}
	if err := w.flush(); err != nil {
		return damage(ctx, err)
	}
	return damage(ctx, tx.Commit())
}

func (w *Writer) begin() error {
	var docs int64
	err := w.tx.QueryRowContext(w.ctx, `SELECT (SELECT count(*) FROM (SELECT 1 FROM doc LIMIT 1)), coalesce(max(id), 0) FROM term`).Scan(&docs, &w.top)
	if err != nil {
		return err
	}
	w.fresh = docs == 0 && w.top == 0
	if w.put, err = w.tx.PrepareContext(w.ctx, `INSERT OR REPLACE INTO doc (no, fact, terms) VALUES (?, ?, ?)`); err != nil {
		return err
	}
	if w.newTerm, err = w.tx.PrepareContext(w.ctx, `INSERT INTO term VALUES (?, ?, ?)`); err != nil {
		return err
	}
	if w.slip, err = w.tx.PrepareContext(w.ctx, `INSERT INTO slip VALUES (?, ?, ?, ?)`); err != nil {
		return err
	}
	w.term, err = w.tx.PrepareContext(w.ctx, `SELECT id FROM term WHERE field = ? AND value = ?`)
	return err
}

// Note keeps a number under a name.
func (w *Writer) Note(key string, value int64) error {
	_, err := w.tx.ExecContext(w.ctx, `INSERT OR REPLACE INTO note VALUES (?, ?)`, key, value)
	return damage(w.ctx, err)
}

// Put puts a record in place of what the table knew of it.
func (w *Writer) Put(d Doc) error {
	if err := w.takeOut(d.No); err != nil {
		return err
	}
	ids := make([]byte, 0, 3*len(d.Values))
	for _, v := range d.Values {
		id, err := w.termID(v)
		if err != nil {
			return damage(w.ctx, err)
		}
		ids = binary.AppendUvarint(ids, uint64(id))
		s, err := w.set(id, d.No)
		if err != nil {
			return err
		}
		s.Add(d.No)
	}
	for name, n := range d.Numbers {
		if err := w.Number(name, d.No, n); err != nil {
			return err
		}
	}
	for field, name := range d.Names {
		id := int64(0)
		if name != "" {
			var err error
			if id, err = w.termID(Value{field, name}); err != nil {
				return damage(w.ctx, err)
			}
		}
		if err := w.Number(namesOf(field), d.No, id); err != nil {
			return err
		}
	}
	_, err := w.put.ExecContext(w.ctx, d.No, hashOf(d.Fact), ids)
	return damage(w.ctx, err)
}

// Delete takes a record out.
func (w *Writer) Delete(no uint32) error {
	if err := w.takeOut(no); err != nil {
		return err
	}
	_, err := w.tx.ExecContext(w.ctx, `DELETE FROM doc WHERE no = ?`, no)
	return damage(w.ctx, err)
}

func (w *Writer) takeOut(no uint32) error {
	if w.fresh && w.seen.CheckedAdd(no) {
		return nil
	}
	var ids []byte
	err := w.tx.QueryRowContext(w.ctx, `SELECT terms FROM doc WHERE no = ?`, no).Scan(&ids)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return damage(w.ctx, err)
	}
	for len(ids) > 0 {
		id, n := binary.Uvarint(ids)
		if n <= 0 {
			return ErrDamaged
		}
		ids = ids[n:]
		s, err := w.set(int64(id), no)
		if err != nil {
			return err
		}
		s.Remove(no)
	}
	return nil
}

// Companions lists the records that tell of the same events as some records did
// when they were last put.
func (w *Writer) Companions(list []uint32) ([]uint32, error) {
	if w.fresh {
		return nil, nil
	}
	var out []uint32
	for _, no := range list {
		rows, err := w.tx.QueryContext(w.ctx, `SELECT b.no FROM doc a JOIN doc b ON b.fact = a.fact AND b.fact <> 0 WHERE a.no = ? AND b.no <> a.no`, no)
		if err != nil {
			return nil, damage(w.ctx, err)
		}
		nos, err := scanNumbers(rows)
		if err != nil {
			return nil, damage(w.ctx, err)
		}
		out = append(out, nos...)
	}
	return out, nil
}

func scanNumbers(rows *sql.Rows) ([]uint32, error) {
	defer rows.Close()
	var out []uint32
	for rows.Next() {
		var n uint32
		if err := rows.Scan(&n); err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, rows.Err()
}

// hashOf stands for an event; two that share one are only looked at together.
func hashOf(fact string) int64 {
	if fact == "" {
		return 0
	}
	h := fnv.New64a()
	h.Write([]byte(fact))
	return int64(h.Sum64() | 1)
}

func (w *Writer) termID(v Value) (int64, error) {
	if id, ok := w.terms[v]; ok {
		return id, nil
	}
	var id int64
	if !w.fresh {
		err := w.term.QueryRowContext(w.ctx, v.Field, v.Value).Scan(&id)
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return 0, err
		}
	}
	if id == 0 {
		w.top++
		id = w.top
		if _, err := w.newTerm.ExecContext(w.ctx, id, v.Field, v.Value); err != nil {
			return 0, err
		}
	}
	w.terms[v] = id
	return id, nil
}

// set is the part of a value's set that a record would be in.
func (w *Writer) set(term int64, no uint32) (*roaring.Bitmap, error) {
	k := setKey{term, int64(no / setChunk)}
	if s, ok := w.sets[k]; ok {
		return s, nil
	}
	s := roaring.New()
	if !w.fresh {
		var raw []byte
		err := w.tx.QueryRowContext(w.ctx, `SELECT bits FROM post WHERE term = ? AND chunk = ?`, k.term, k.chunk).Scan(&raw)
		if err == nil {
			s, err = parseSet(raw)
		}
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return nil, damage(w.ctx, err)
		}
	}
	w.sets[k] = s
	return s, nil
}

func parseSet(raw []byte) (*roaring.Bitmap, error) {
	raw, err := unsealed(raw)
	if err != nil {
		return nil, err
	}
	s := roaring.New()
	_, err = s.FromBuffer(raw)
	return s, err
}

// Number sets a number of a record, or of a slip when the name is one of slips.
func (w *Writer) Number(name string, no uint32, n int64) error {
	k := numberKey{name, no / numberChunk}
	list, ok := w.numbers[k]
	if !ok {
		list = make([]int64, numberChunk)
		if !w.fresh {
			var raw []byte
			err := w.tx.QueryRowContext(w.ctx, `SELECT bits FROM number WHERE name = ? AND chunk = ?`, name, k.chunk).Scan(&raw)
			if err == nil {
				err = parseNumbers(raw, list)
			}
			if err != nil && !errors.Is(err, sql.ErrNoRows) {
				return damage(w.ctx, err)
			}
		}
		w.numbers[k] = list
	}
	list[no%numberChunk] = n
	return nil
}

// packNumbers writes the numbers that are not 0, each after the distance from
// the one before.
func packNumbers(list []int64) []byte {
	var raw []byte
	last := 0
	for i, n := range list {
		if n != 0 {
			raw = binary.AppendUvarint(raw, uint64(i-last))
			raw = binary.LittleEndian.AppendUint64(raw, uint64(n))
			last = i
		}
	}
	return raw
}

func parseNumbers(raw []byte, into []int64) error {
	raw, err := unsealed(raw)
	if err != nil {
		return err
	}
	for at := uint64(0); len(raw) > 0; {
		gap, n := binary.Uvarint(raw)
		at += gap
		if n <= 0 || len(raw) < n+8 || at >= uint64(len(into)) {
			return ErrDamaged
		}
		into[at] = int64(binary.LittleEndian.Uint64(raw[n:]))
		raw = raw[n+8:]
	}
	return nil
}

func (w *Writer) flush() error {
	put, err := w.tx.PrepareContext(w.ctx, `INSERT OR REPLACE INTO post VALUES (?, ?, ?)`)
	if err != nil {
		return err
	}
	for k, s := range w.sets {
		if s.IsEmpty() {
			if _, err := w.tx.ExecContext(w.ctx, `DELETE FROM post WHERE term = ? AND chunk = ?`, k.term, k.chunk); err != nil {
				return err
			}
			continue
		}
		s.RunOptimize()
		raw, err := s.ToBytes()
		if err != nil {
			return err
		}
		if _, err := put.ExecContext(w.ctx, k.term, k.chunk, sealed(raw)); err != nil {
			return err
		}
	}
	for k, list := range w.numbers {
		if _, err := w.tx.ExecContext(w.ctx, `INSERT OR REPLACE INTO number VALUES (?, ?, ?)`, k.name, k.chunk, sealed(packNumbers(list))); err != nil {
			return err
		}
	}
	if w.fresh {
		if _, err := w.tx.ExecContext(w.ctx, indexes); err != nil {
			return err
		}
	}
	_, err = w.tx.ExecContext(w.ctx, `UPDATE note SET value = value + 1 WHERE key = 'stamp'`)
	return err
}
