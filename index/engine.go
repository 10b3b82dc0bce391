package index

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/index/table"
)

func isNotFound(err error) bool { return errors.Is(err, archive.ErrNotFound) }

// view is the index as it was at one moment.
type view = *snapshot

type snapshot struct {
	*table.View
	gen *generation
	seq int64 // the archive's count up to which it was read

	mu     sync.Mutex
	counts map[string]map[string]int // by facet; what took work to count
	names  *query.Names              // of the sites; nil until asked for
}

// expr chooses records.
type expr interface {
	set(ctx context.Context, v view) (*roaring.Bitmap, error)
}

type (
	exprKey   struct{ field, value string }
	exprAll   []expr
	exprAny   []expr
	exprBut   struct{ some, not expr }
	exprTime  struct{ low, high int64 }
	exprRange struct {
		field     string
		low, high *float64
	}
	exprValues struct {
		field  string
		values []string
	}
)

// is chooses the records that have a value.
func is(field, value string) expr { return exprKey{field, value} }

// keyIn chooses the records that have one of many values.
func keyIn(field string, values []string) expr { return exprValues{field, values} }

// allOf chooses what all choose, anyOf what any chooses, but what the first
// chooses and the second does not.
func allOf(list ...expr) expr { return exprAll(list) }
func anyOf(list ...expr) expr { return exprAny(list) }
func but(some, not expr) expr { return exprBut{some, not} }

// between chooses the records whose time is in a range of timeKeys, both
// included; nil leaves an end open.
func between(low, high *float64) expr {
	out := exprTime{1, math.MaxInt64}
	if low != nil {
		out.low = int64(*low)
	}
	if high != nil {
		out.high = int64(*high)
	}
	return out
}

// dateRange is the range of times from one date to another, both included; ""
// leaves an end open.
func dateRange(from, to string) (low, high int64) {
	low, high = 1, math.MaxInt64
	if k, ok := timeKey(from); ok {
		low = int64(k)
	}
	if k, ok := timeKey(to); ok {
		high = int64(k + dayStep - 1)
	}
	return low, high
}

// numberIn chooses the records with a number of recordDoc.Nums in a range, both
// included; nil leaves an end open.
func numberIn(field string, low, high *float64) expr { return exprRange{field, low, high} }

func (e exprKey) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	return v.Set(ctx, e.field, e.value)
}

func (e exprAll) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	var out *roaring.Bitmap
	for _, part := range e {
		s, err := part.set(ctx, v)
		if err != nil {
			return nil, err
		}
		if out == nil {
			out = s
		} else {
			out = roaring.And(out, s)
		}
		if out.IsEmpty() {
			return out, nil
		}
	}
	if out == nil {
		return nil, errors.New("internal error: a search for everything")
	}
	return out, nil
}

func (e exprAny) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	if many, ok := e.values(); ok {
		return many.set(ctx, v)
	}
	var list []*roaring.Bitmap
	for _, part := range e {
		s, err := part.set(ctx, v)
		if err != nil {
			return nil, err
		}
		list = append(list, s)
	}
	return roaring.FastOr(list...), nil
}

// values gives many values of one field as such, to be read at once.
func (e exprAny) values() (exprValues, bool) {
	if len(e) < 20 {
		return exprValues{}, false
	}
	var out exprValues
	for _, part := range e {
		k, ok := part.(exprKey)
		if !ok || out.field != "" && k.field != out.field {
			return exprValues{}, false
		}
		out.field, out.values = k.field, append(out.values, k.value)
	}
	return out, true
}

func (e exprBut) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	some, err := e.some.set(ctx, v)
	if err != nil || some.IsEmpty() {
		return some, err
	}
	not, err := e.not.set(ctx, v)
	if err != nil {
		return nil, err
	}
	return roaring.AndNot(some, not), nil
}

func (e exprValues) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	return v.Made(e.field+" in "+strings.Join(e.values, "\x00"), func() (*roaring.Bitmap, error) {
		if err := v.Load(ctx, e.field, e.values); err != nil {
			return nil, err
		}
		var list []*roaring.Bitmap
		for _, s := range e.values {
			set, err := v.Set(ctx, e.field, s)
			if err != nil {
				return nil, err
			}
			list = append(list, set)
		}
		return roaring.FastOr(list...), nil
	})
}

// set takes whole months as they are and looks at the records of the months at
// the ends.
func (e exprTime) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	low, high := e.low, e.high
	return v.Made(fmt.Sprintf("time %d %d", low, high), func() (*roaring.Bitmap, error) {
		months, err := v.Values(ctx, "month")
		if err != nil {
			return nil, err
		}
		if err := v.Load(ctx, "month", months); err != nil {
			return nil, err
		}
		var list []*roaring.Bitmap
		for _, m := range months {
			first, _ := timeKey(m + "-00")
			next := first + 100*dayStep
			if int64(next) <= low || int64(first) > high {
				continue
			}
			s, err := v.Set(ctx, "month", m)
			if err != nil {
				return nil, err
			}
			if int64(first) < low || int64(next)-1 > high {
				if s, err = numbered64(ctx, v, s, "at", low, high); err != nil {
					return nil, err
				}
			}
			list = append(list, s)
		}
		return roaring.FastOr(list...), nil
	})
}

// numbered64 keeps the records of a set whose number is in a range.
func numbered64(ctx context.Context, v view, of *roaring.Bitmap, name string, low, high int64) (*roaring.Bitmap, error) {
	numbers, err := v.Numbers(ctx, name)
	if err != nil {
		return nil, err
	}
	out := roaring.New()
	for it := of.Iterator(); it.HasNext(); {
		no := it.Next()
		if n := numbers.Of(no); n != 0 && low <= n && n <= high {
			out.Add(no)
		}
	}
	return out, nil
}

func (e exprRange) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	low, high := int64(math.MinInt64), int64(math.MaxInt64)
	if e.low != nil {
		low = sortable(*e.low)
	}
	if e.high != nil {
		high = sortable(*e.high)
	}
	have, err := v.Set(ctx, "has", e.field)
	if err != nil {
		return nil, err
	}
	return numbered64(ctx, v, have, numberName(e.field), low, high)
}

// numberName is a quantity's name in the table, away from the table's own.
func numberName(field string) string { return "n " + field }

// sortable is an integer that orders as the number does and is never 0.
func sortable(f float64) int64 {
	if f < 0 {
		return -int64(math.Float64bits(-f)) - 1
	}
	return int64(math.Float64bits(f)) + 1
}

// order is the order of an answer: by a number, those without one last, and of
// equals by the number in their ids.
type order struct {
	name string
	desc bool
}

// byTime orders by the records' own time.
func byTime(newest bool) order { return order{"at", newest} }

// byNumber orders by a number of recordDoc.Nums.
func byNumber(field string, desc bool) order { return order{numberName(field), desc} }

// found is what a search found.
type found struct {
	Total int
	Nos   []uint32 // the first ones
}

// search finds records and gives the first in an order.
func search(ctx context.Context, v view, e expr, size int, o order) (found, error) {
	s, err := e.set(ctx, v)
	if err != nil {
		return found{}, err
	}
	out := found{Total: int(s.GetCardinality())}
	if size <= 0 {
		return out, nil
	}
	numbers, err := v.Numbers(ctx, o.name)
	if err != nil {
		return found{}, err
	}
	out.Nos = top(s, numbers, o.desc, size)
	return out, nil
}

// ranked is a record with the number that it is ordered by.
type ranked struct {
	n  int64
	no uint32
}

// top gives the first members of a set in the order of their numbers.
func top(s *roaring.Bitmap, numbers table.Numbers, desc bool, size int) []uint32 {
	compare := func(a, b ranked) int {
		if (a.n == 0) != (b.n == 0) {
			if a.n == 0 {
				return 1
			}
			return -1
		}
		c := cmp.Or(cmp.Compare(a.n, b.n), cmp.Compare(a.no, b.no))
		if desc {
			return -c
		}
		return c
	}
	// Twice as many as wanted are gathered, then the worse half goes: that looks
	// at nearly every member once.
	room := 2*size + 64
	list := make([]ranked, 0, min(room, int(s.GetCardinality())))
	cut := func() {
		slices.SortFunc(list, compare)
		list = list[:min(size, len(list))]
	}
	var worst *ranked
	for it := s.ManyIterator(); ; {
		var buf [512]uint32
		n := it.NextMany(buf[:])
		for _, no := range buf[:n] {
			r := ranked{numbers.Of(no), no}
			if worst != nil && compare(r, *worst) > 0 {
				continue
			}
			if list = append(list, r); len(list) >= room {
				cut()
				last := list[len(list)-1]
				worst = &last
			}
		}
		if n == 0 {
			break
		}
	}
	cut()
	out := make([]uint32, len(list))
	for i, r := range list {
		out[i] = r.no
	}
	return out
}

// find gives the ids of the first records that an expression chooses, and how
// many it chooses.
func find(ctx context.Context, v view, e expr, size int, o order) (list []string, total int, err error) {
	f, err := search(ctx, v, e, size, o)
	for _, no := range f.Nos {
		list = append(list, recordID(no))
	}
	return list, f.Total, err
}

// count is the number of records that an expression chooses.
func count(ctx context.Context, v view, e expr) (int, error) {
	f, err := search(ctx, v, e, 0, order{})
	return f.Total, err
}

// maxKept bounds the counts that are kept for the next question.
const maxKept = 200

// fewValues is the number of values up to which those without any are counted.
const fewValues = 100

// facet counts the records that an expression chooses by the values of a field;
// of a field of few values also those that have none, as "".
func facet(ctx context.Context, v view, e expr, field string) (map[string]int, error) {
	key := fmt.Sprint(field, " of ", e)
	v.mu.Lock()
	known, ok := v.counts[key]
	v.mu.Unlock()
	if ok {
		return known, nil
	}
	out, err := countBy(ctx, v, e, field)
	if err != nil {
		return nil, err
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.counts == nil || len(v.counts) >= maxKept {
		v.counts = map[string]map[string]int{}
	}
	v.counts[key] = out
	return out, nil
}

// values lists the values of a field, in order.
func values(ctx context.Context, v view, field string) ([]string, error) { return v.Values(ctx, field) }

func countBy(ctx context.Context, v view, e expr, field string) (map[string]int, error) {
	s, err := e.set(ctx, v)
	if err != nil {
		return nil, err
	}
	values, err := v.Values(ctx, field)
	if err == nil {
		err = v.Load(ctx, field, values)
	}
	if err != nil {
		return nil, err
	}
	out := map[string]int{}
	var any []*roaring.Bitmap
	for _, value := range values {
		have, err := v.Set(ctx, field, value)
		if err != nil {
			return nil, err
		}
		any = append(any, have)
		if n := s.AndCardinality(have); n > 0 {
			out[value] = int(n)
		}
	}
	if len(any) <= fewValues {
		if n := roaring.AndNot(s, roaring.FastOr(any...)).GetCardinality(); n > 0 {
			out[""] = int(n)
		}
	}
	return out, nil
}
