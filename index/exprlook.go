package index

import (
	"context"
	"math"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/index/table"
)

func (e exprTime) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	all, err := anyRecord().set(ctx, v)
	if err != nil {
		return nil, err
	}
	t, err := v.timeline(ctx, all.GetCardinality())
	if err != nil {
		return nil, err
	}
	if t != nil {
		return t.all(e.low, e.high), nil
	}
	return numbered64(ctx, v, all, timeName, e.low, e.high)
}

func (e exprTime) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	if n := of.GetCardinality(); n > fewMembers {
		t, err := v.timeline(ctx, n)
		if err != nil {
			return nil, err
		}
		if t != nil {
			return t.between(of, e.low, e.high), nil
		}
	}
	return numbered64(ctx, v, of, timeName, e.low, e.high)
}

func (e exprTime) size(ctx context.Context, v view) (uint64, error) {
	t, err := v.timeline(ctx, 0)
	if err != nil || t == nil {
		return unknown, err
	}
	return t.size(e.low, e.high), nil
}

// numbered64 keeps the records of a set whose number is in a range.
func numbered64(ctx context.Context, v view, of *roaring.Bitmap, name string, low, high int64) (*roaring.Bitmap, error) {
	numbers, err := v.Numbers(ctx, name)
	if err != nil {
		return nil, err
	}
	return inRange(of, numbers, low, high), nil
}

func inRange(of *roaring.Bitmap, numbers table.Numbers, low, high int64) *roaring.Bitmap {
	return kept(of, func(no uint32) bool {
		n := numbers.Of(no)
		return n != 0 && low <= n && n <= high
	})
}

// kept are the members of a set that meet a condition.
func kept(of *roaring.Bitmap, meets func(no uint32) bool) *roaring.Bitmap {
	out := roaring.New()
	var list []uint32
	eachOf(of, func(nos []uint32) {
		list = list[:0]
		for _, no := range nos {
			if meets(no) {
				list = append(list, no)
			}
		}
		out.AddMany(list)
	})
	return out
}

// eachOf hands over the members of a set, many at once.
func eachOf(of *roaring.Bitmap, f func(nos []uint32)) {
	var buf [1024]uint32
	for it := of.ManyIterator(); ; {
		n := it.NextMany(buf[:])
		if n == 0 {
			return
		}
		f(buf[:n])
	}
}

func (e exprRange) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	have, err := v.Set(ctx, "has", e.field)
	if err != nil {
		return nil, err
	}
	return e.inRange(ctx, v, have)
}

func (e exprRange) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	have, err := v.Set(ctx, "has", e.field)
	if err != nil {
		return nil, err
	}
	return e.inRange(ctx, v, roaring.And(of, have))
}

func (e exprRange) size(ctx context.Context, v view) (uint64, error) {
	if e.low != nil || e.high != nil {
		return unknown, nil
	}
	return sizeOf(ctx, v, e)
}

func (e exprRange) inRange(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	low, high := int64(math.MinInt64), int64(math.MaxInt64)
	if e.low != nil {
		low = sortable(*e.low)
	}
	if e.high != nil {
		high = sortable(*e.high)
	}
	if e.low == nil && e.high == nil {
		return of, nil
	}
	return numbered64(ctx, v, of, numberName(e.field), low, high)
}

// numberName is a quantity's name in the table, away from the table's own.
func numberName(field string) string { return "n " + field }

// signedName is where the sign of a quantity is kept that is ordered without it.
func signedName(field string) string { return "s " + field }

// sortable is an integer that orders as the number does and is never 0.
func sortable(f float64) int64 {
	if f < 0 {
		return -int64(math.Float64bits(-f)) - 1
	}
	return int64(math.Float64bits(f)) + 1
}

// unsortable is the number of which sortable made an integer.
func unsortable(n int64) float64 {
	if n < 0 {
		return -math.Float64frombits(uint64(-(n + 1)))
	}
	return math.Float64frombits(uint64(max(n, 1) - 1))
}
