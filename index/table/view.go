package table

import (
	"context"
	"database/sql"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/RoaringBitmap/roaring/v2"
)

// View is the table as it was at one moment. It reads what it is asked for and
// keeps it; its methods give ErrChanged once the file has been written since.
// The sets that it gives out must not be changed.
type View struct {
	t     *Table
	stamp int64
	Parts []Part

	mu      sync.Mutex
	sets    map[Value]*roaring.Bitmap
	values  map[string][]string
	numbers map[string]Numbers
	names   map[string]Names
	made    map[string]*roaring.Bitmap
}

// View starts a view.
func (t *Table) View(ctx context.Context) (*View, error) {
	stamp, err := t.Note(ctx, "stamp")
	if err != nil {
		return nil, err
	}
	v := &View{t: t, stamp: stamp, sets: map[Value]*roaring.Bitmap{}, values: map[string][]string{}, numbers: map[string]Numbers{}, names: map[string]Names{}, made: map[string]*roaring.Bitmap{}}
	if v.Parts, err = parts(ctx, t.read); err != nil {
		return nil, err
	}
	return v, v.Current(ctx)
}

// Current gives ErrChanged when the file has been written since.
func (v *View) Current(ctx context.Context) error {
	now, err := v.t.Note(ctx, "stamp")
	if err == nil && now != v.stamp {
		err = ErrChanged
	}
	return err
}

// each runs a query whose first column is the stamp; the second, NULL when
// nothing was found, and the third are handed to f.
func (v *View) each(ctx context.Context, q string, f func(key sql.NullString, raw []byte) error, args ...any) error {
	rows, err := v.t.read.QueryContext(ctx, q, args...)
	if err != nil {
		return damage(ctx, err)
	}
	defer rows.Close()
	n := 0
	for rows.Next() {
		var stamp int64
		var key sql.NullString
		var raw []byte
		if err := rows.Scan(&stamp, &key, &raw); err != nil {
			return damage(ctx, err)
		}
		if stamp != v.stamp {
			return ErrChanged
		}
		if n++; key.Valid {
			if err := f(key, raw); err != nil {
				return damage(ctx, err)
			}
		}
	}
	if err := rows.Err(); err != nil || n > 0 {
		return damage(ctx, err)
	}
	return ErrDamaged // not even a stamp
}

// Set is the set of the records that have a value.
func (v *View) Set(ctx context.Context, field, value string) (*roaring.Bitmap, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	k := Value{field, value}
	if s, ok := v.sets[k]; ok {
		return s, nil
	}
	all := roaring.New()
	err := v.each(ctx, `SELECT n.value, p.chunk, p.bits FROM note n LEFT JOIN term t ON t.field = ? AND t.value = ?
		LEFT JOIN post p ON p.term = t.id WHERE n.key = 'stamp'`, func(_ sql.NullString, raw []byte) error {
		return join(&all, raw)
	}, field, value)
	if err != nil {
		return nil, err
	}
	v.sets[k] = all
	return all, nil
}

// join adds one stored stretch to a set.
func join(all **roaring.Bitmap, raw []byte) error {
	s, err := parseSet(raw)
	if err != nil {
		return err
	}
	if (*all).IsEmpty() {
		*all = s
		return nil
	}
	sum := roaring.Or(*all, s)
	*all = sum
	return nil
}

// Values lists the values of a field that records have, in order.
func (v *View) Values(ctx context.Context, field string) ([]string, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if list, ok := v.values[field]; ok {
		return list, nil
	}
	var out []string
	err := v.each(ctx, `SELECT n.value, t.value, NULL FROM note n LEFT JOIN term t ON t.field = ?
		AND EXISTS (SELECT 1 FROM post p WHERE p.term = t.id) WHERE n.key = 'stamp' ORDER BY t.value`,
		func(value sql.NullString, _ []byte) error {
			out = append(out, value.String)
			return nil
		}, field)
	if err != nil {
		return nil, err
	}
	v.values[field] = out
	return out, nil
}

// loadChunk is how many sets are read at once.
const loadChunk = 500

// Load reads the sets of many values at once, which is faster than one by one.
func (v *View) Load(ctx context.Context, field string, values []string) error {
	v.mu.Lock()
	defer v.mu.Unlock()
	for list := range slices.Chunk(values, loadChunk) {
		args := []any{field}
		sets := map[string]*roaring.Bitmap{}
		for _, s := range list {
			if _, ok := v.sets[Value{field, s}]; !ok {
				args, sets[s] = append(args, s), roaring.New()
			}
		}
		if len(args) == 1 {
			continue
		}
		err := v.each(ctx, `SELECT n.value, t.value, p.bits FROM note n LEFT JOIN (term t JOIN post p ON p.term = t.id)
			ON t.field = ? AND t.value IN (?`+strings.Repeat(",?", len(args)-2)+`) WHERE n.key = 'stamp'`,
			func(value sql.NullString, raw []byte) error {
				all := sets[value.String]
				err := join(&all, raw)
				sets[value.String] = all
				return err
			}, args...)
		if err != nil {
			return err
		}
		for s, set := range sets {
			v.sets[Value{field, s}] = set
		}
	}
	return nil
}

// Numbers are one number a record, 0 where there is none, in stretches of Stretch
// records; one without any may be nil.
type Numbers [][]int64

// Stretch is how many numbers are kept as one.
const Stretch = numberChunk

// Of is the number of a record.
func (n Numbers) Of(no uint32) int64 {
	if c := no / numberChunk; int(c) < len(n) && n[c] != nil {
		return n[c][no%numberChunk]
	}
	return 0
}

// Numbers gives a number of all records.
func (v *View) Numbers(ctx context.Context, name string) (Numbers, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if n, ok := v.numbers[name]; ok {
		return n, nil
	}
	var out Numbers
	err := v.each(ctx, `SELECT n.value, p.chunk, p.bits FROM note n LEFT JOIN number p ON p.name = ? WHERE n.key = 'stamp' ORDER BY p.chunk`,
		func(key sql.NullString, raw []byte) error {
			chunk, err := strconv.Atoi(key.String)
			if err != nil {
				return err
			}
			if chunk < 0 || chunk > math.MaxUint32/numberChunk {
				return ErrDamaged
			}
			for len(out) <= chunk {
				out = append(out, nil)
			}
			out[chunk] = make([]int64, numberChunk)
			return parseNumbers(raw, out[chunk])
		}, name)
	if err != nil {
		return nil, err
	}
	v.numbers[name] = out
	return out, nil
}

// Made keeps a set that took work to make, under a name.
func (v *View) Made(name string, f func() (*roaring.Bitmap, error)) (*roaring.Bitmap, error) {
	v.mu.Lock()
	s, ok := v.made[name]
	v.mu.Unlock()
	if ok {
		return s, nil
	}
	s, err := f()
	if err != nil {
		return nil, err
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if len(v.made) >= maxMade {
		clear(v.made)
	}
	v.made[name] = s
	return s, nil
}

// maxMade bounds the sets that are kept beside those that are stored: at a
// million records each takes up to 128 kB.
const maxMade = 500

// Place finds a slip by its number.
func (v *View) Place(ctx context.Context, no uint32) (Slip, bool, error) {
	return v.t.Place(ctx, no)
}
