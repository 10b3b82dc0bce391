package index

import (
	"context"
	"errors"
	"fmt"
	"math"
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

	byRecord map[string][]int32 // by field, see valueOf
	names    *query.Names       // of the sites; nil until asked for
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
