package index

import (
	"cmp"
	"context"
	"fmt"
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
	if len(values) > fewValues {
		if of, err := v.valueOf(ctx, field, values); err != nil || of != nil {
			return tally(s, of, values), err
		}
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

// valueOf tells for each record which of a field's values it has, as 1 and its
// place; nil when a record has several. It is made once for a view: cutting a
// set with those of ten thousand tanks takes longer than going over its members.
func (v *snapshot) valueOf(ctx context.Context, field string, values []string) ([]int32, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if of, ok := v.byRecord[field]; ok {
		return of, nil
	}
	var of []int32
	for i, value := range values {
		have, err := v.Set(ctx, field, value)
		if err != nil {
			return nil, err
		}
		if have.IsEmpty() {
			continue
		}
		if last := int(have.Maximum()); last >= len(of) {
			of = append(of, make([]int32, last+1-len(of))...)
		}
		for it := have.Iterator(); it.HasNext(); {
			no := it.Next()
			if of[no] != 0 {
				of = nil
				break
			}
			of[no] = int32(i + 1)
		}
		if of == nil {
			break
		}
	}
	if v.byRecord == nil {
		v.byRecord = map[string][]int32{}
	}
	v.byRecord[field] = of
	return of, nil
}

func tally(s *roaring.Bitmap, of []int32, values []string) map[string]int {
	out := map[string]int{}
	for it := s.Iterator(); it.HasNext(); {
		if no := it.Next(); int(no) < len(of) && of[no] != 0 {
			out[values[of[no]-1]]++
		}
	}
	return out
}
