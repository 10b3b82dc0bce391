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
	spots  map[string]*spots         // likewise, see asker.spots
	names  *query.Names              // of the sites; nil until asked for
	known  *knownSites               // likewise
	times  *timeline                 // likewise
	looked uint64                    // how many records were looked at without it
}

// expr chooses records.
type expr interface {
	// set gives all that it chooses.
	set(ctx context.Context, v view) (*roaring.Bitmap, error)
	// within gives those of a set that it chooses.
	within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error)
	// size is how many it chooses at most, or unknown when it looks at each record,
	// which is best left until the other parts of a question have left few.
	size(ctx context.Context, v view) (uint64, error)
	// key tells it from every other expression.
	key() string
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
	exprAt   struct{ spots *spots }
	exprMade struct{ of expr }
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

// anyRecord chooses every record, copies too.
func anyRecord() expr { return keyIn("copy", []string{"no", "yes"}) }

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
func (e exprKey) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	return cutWith(ctx, v, e, of)
}
func (e exprKey) size(ctx context.Context, v view) (uint64, error) { return sizeOf(ctx, v, e) }

// unknown stands for a size that only a look at each record tells.
const unknown = math.MaxUint64

// sizeOf is size for what has a set at hand.
func sizeOf(ctx context.Context, v view, e expr) (uint64, error) {
	s, err := e.set(ctx, v)
	if err != nil {
		return 0, err
	}
	return s.GetCardinality(), nil
}

// cutWith is within for what has a set at hand.
func cutWith(ctx context.Context, v view, e expr, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	s, err := e.set(ctx, v)
	if err != nil {
		return nil, err
	}
	return roaring.And(of, s), nil
}

// setOf is set for what looks at each record.
func setOf(ctx context.Context, v view, e expr) (*roaring.Bitmap, error) {
	all, err := anyRecord().set(ctx, v)
	if err != nil {
		return nil, err
	}
	return e.within(ctx, v, all)
}

func (e exprAll) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	if len(e) == 0 {
		return nil, errors.New("internal error: a search for everything")
	}
	return e.cut(ctx, v, nil)
}

func (e exprAll) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	return e.cut(ctx, v, of)
}

// cut begins with the part that chooses the fewest and cuts it with the others, the
// smaller ones first; nil stands for every record.
func (e exprAll) cut(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	type sized struct {
		expr
		n uint64
	}
	parts := make([]sized, len(e))
	for i, part := range e {
		n, err := part.size(ctx, v)
		if err != nil {
			return nil, err
		}
		parts[i] = sized{part, n}
	}
	slices.SortStableFunc(parts, func(a, b sized) int { return cmp.Compare(a.n, b.n) })
	for _, part := range parts {
		var err error
		switch {
		case of == nil:
			of, err = part.set(ctx, v)
		case !of.IsEmpty():
			of, err = part.within(ctx, v, of)
		}
		if err != nil {
			return nil, err
		}
	}
	return of, nil
}

func (e exprAll) size(ctx context.Context, v view) (uint64, error) {
	least := uint64(unknown)
	for _, part := range e {
		n, err := part.size(ctx, v)
		if err != nil {
			return 0, err
		}
		least = min(least, n)
	}
	return least, nil
}

func (e exprAny) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	if many, ok := e.values(manyValues); ok {
		return many.set(ctx, v)
	}
	return e.union(func(part expr) (*roaring.Bitmap, error) { return part.set(ctx, v) })
}

func (e exprAny) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	if many, ok := e.values(manyValues); ok {
		return many.within(ctx, v, of)
	}
	return e.union(func(part expr) (*roaring.Bitmap, error) { return part.within(ctx, v, of) })
}

func (e exprAny) union(each func(expr) (*roaring.Bitmap, error)) (*roaring.Bitmap, error) {
	out := roaring.New()
	for _, part := range e {
		s, err := each(part)
		if err != nil {
			return nil, err
		}
		out.Or(s)
	}
	return out, nil
}

func (e exprAny) size(ctx context.Context, v view) (uint64, error) {
	if all, ok := e.values(2); ok { // what is needed is read at once
		if err := v.Load(ctx, all.field, all.values); err != nil {
			return 0, err
		}
	}
	sum := uint64(0)
	for _, part := range e {
		n, err := part.size(ctx, v)
		if err != nil {
			return 0, err
		}
		if sum += n; sum < n {
			return unknown, nil
		}
	}
	return sum, nil
}

// manyValues is how many values of a field are put together once for all questions.
const manyValues = 20

// values gives values of one field as such, when they are so many.
func (e exprAny) values(many int) (exprValues, bool) {
	if len(e) < many {
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
	if err != nil {
		return nil, err
	}
	return e.without(ctx, v, some)
}

func (e exprBut) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	some, err := e.some.within(ctx, v, of)
	if err != nil {
		return nil, err
	}
	return e.without(ctx, v, some)
}

func (e exprBut) without(ctx context.Context, v view, some *roaring.Bitmap) (*roaring.Bitmap, error) {
	if some.IsEmpty() {
		return some, nil
	}
	not, err := e.not.within(ctx, v, some)
	if err != nil {
		return nil, err
	}
	return roaring.AndNot(some, not), nil
}

func (e exprBut) size(ctx context.Context, v view) (uint64, error) { return e.some.size(ctx, v) }

func (e exprKey) key() string    { return fmt.Sprintf("%q=%q", e.field, e.value) }
func (e exprAll) key() string    { return "all(" + keysOf(e) + ")" }
func (e exprAny) key() string    { return "any(" + keysOf(e) + ")" }
func (e exprBut) key() string    { return "but(" + e.some.key() + "," + e.not.key() + ")" }
func (e exprTime) key() string   { return fmt.Sprintf("time(%d,%d)", e.low, e.high) }
func (e exprMade) key() string   { return e.of.key() }
func (e exprValues) key() string { return fmt.Sprintf("%q=%q", e.field, e.values) }

func (e exprRange) key() string {
	end := func(f *float64) string {
		if f == nil {
			return ""
		}
		return fmt.Sprint(*f)
	}
	return fmt.Sprintf("%q(%s,%s)", e.field, end(e.low), end(e.high))
}

func keysOf(list []expr) string {
	var out []string
	for _, e := range list {
		out = append(out, e.key())
	}
	return strings.Join(out, ",")
}
