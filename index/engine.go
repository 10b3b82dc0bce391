package index

import (
	"cmp"
	"context"
	"slices"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/index/table"
)

// order is the order of an answer: by a number, those without one last, and of
// equals by the number in their ids.
type order struct {
	name string
	desc bool
}

// byTime orders by the records' own time.
func byTime(newest bool) order { return order{timeName, newest} }

// timeName is the name of the records' own time in the table.
const timeName = "at"

// byNumber orders by a number of recordDoc.Nums.
func byNumber(field string, desc bool) order { return order{numberName(field), desc} }

// firstIn gives the first records of a set in an order.
func firstIn(ctx context.Context, v view, s *roaring.Bitmap, size int, o order) ([]uint32, error) {
	if size <= 0 || s.IsEmpty() {
		return nil, nil
	}
	if n := s.GetCardinality(); o.name == timeName && n > fewMembers {
		t, err := v.timeline(ctx, n)
		if err != nil {
			return nil, err
		}
		if t != nil {
			return t.top(s, o.desc, size), nil
		}
	}
	numbers, err := v.Numbers(ctx, o.name)
	if err != nil {
		return nil, err
	}
	return top(func(f func([]uint32)) { eachOf(s, f) }, numbers, o.desc, size), nil
}

// firstOf gives the first of known records in an order.
func firstOf(ctx context.Context, v view, nos []uint32, size int, o order) ([]string, error) {
	if size <= 0 || len(nos) == 0 {
		return nil, nil
	}
	numbers, err := v.Numbers(ctx, o.name)
	if err != nil {
		return nil, err
	}
	return recordIDs(top(func(f func([]uint32)) { f(nos) }, numbers, o.desc, size)), nil
}

// ranked is a record with the number that it is ordered by.
type ranked struct {
	n  int64
	no uint32
}

// top gives the first of many records in the order of their numbers.
func top(all func(func(nos []uint32)), numbers table.Numbers, desc bool, size int) []uint32 {
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
	var list []ranked
	cut := func() {
		slices.SortFunc(list, compare)
		list = list[:min(size, len(list))]
	}
	var worst *ranked
	all(func(nos []uint32) {
		for _, no := range nos {
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
	})
	cut()
	out := make([]uint32, len(list))
	for i, r := range list {
		out[i] = r.no
	}
	return out
}

// find gives the ids of the first records that an expression chooses.
func find(ctx context.Context, v view, e expr, size int, o order) ([]string, error) {
	s, err := e.set(ctx, v)
	if err != nil {
		return nil, err
	}
	nos, err := firstIn(ctx, v, s, size, o)
	return recordIDs(nos), err
}

func recordIDs(nos []uint32) []string {
	var out []string
	for _, no := range nos {
		out = append(out, recordID(no))
	}
	return out
}

// count is the number of records that an expression chooses.
func count(ctx context.Context, v view, e expr) (int, error) {
	s, err := e.set(ctx, v)
	if err != nil {
		return 0, err
	}
	return int(s.GetCardinality()), nil
}

// maxKept bounds the counts that are kept for the next question.
const maxKept = 200

// fewValues is the number of values up to which those without any are counted.
const fewValues = 100

// facet counts the records that an expression chooses by the values of a field;
// of a field of few values also those that have none, as "".
func facet(ctx context.Context, v view, e expr, field string) (map[string]int, error) {
	key := field + " of " + e.key()
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
