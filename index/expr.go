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
}

// expr chooses records.
type expr interface {
	// set gives all that it chooses.
	set(ctx context.Context, v view) (*roaring.Bitmap, error)
	// within gives those of a set that it chooses.
	within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error)
	// looks reports whether it looks at each record. That is best left until the
	// other parts of a question have left few.
	looks() bool
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
	exprAt struct{ spots *spots }
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
func (e exprKey) looks() bool { return false }

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

// cut cuts what is at hand with each other, the smallest first, then with what has
// to be made, and looks at what is left; nil stands for every record.
func (e exprAll) cut(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	var sets []*roaring.Bitmap
	var rest []expr
	if of != nil {
		sets = append(sets, of)
	}
	for _, part := range e {
		if !atHand(part) {
			rest = append(rest, part)
			continue
		}
		s, err := part.set(ctx, v)
		if err != nil {
			return nil, err
		}
		sets = append(sets, s)
	}
	if len(sets) == 0 {
		i := max(slices.IndexFunc(rest, func(part expr) bool { return !part.looks() }), 0)
		s, err := rest[i].set(ctx, v)
		if err != nil {
			return nil, err
		}
		sets, rest = append(sets, s), slices.Delete(rest, i, i+1)
	}
	slices.SortStableFunc(sets, func(a, b *roaring.Bitmap) int { return cmp.Compare(a.GetCardinality(), b.GetCardinality()) })
	of = sets[0]
	for _, s := range sets[1:] {
		of = roaring.And(of, s)
	}
	for _, last := range []bool{false, true} {
		for _, part := range rest {
			if part.looks() != last || of.IsEmpty() {
				continue
			}
			var err error
			if of, err = part.within(ctx, v, of); err != nil {
				return nil, err
			}
		}
	}
	return of, nil
}

// atHand reports an expression whose set is kept.
func atHand(e expr) bool {
	switch e.(type) {
	case exprKey, exprValues, exprSaid:
		return true
	}
	return false
}

func (e exprAll) looks() bool { return slices.ContainsFunc(e, expr.looks) }

func (e exprAny) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	if many, ok := e.values(); ok {
		return many.set(ctx, v)
	}
	return e.union(func(part expr) (*roaring.Bitmap, error) { return part.set(ctx, v) })
}

func (e exprAny) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	if many, ok := e.values(); ok {
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

func (e exprAny) looks() bool { return slices.ContainsFunc(e, expr.looks) }

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

func (e exprBut) looks() bool { return e.some.looks() || e.not.looks() }

func (e exprValues) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	return v.Made(e.field+" in "+strings.Join(e.values, "\x00"), func() (*roaring.Bitmap, error) {
		if err := v.Load(ctx, e.field, e.values); err != nil {
			return nil, err
		}
		out := roaring.New()
		for _, s := range e.values {
			set, err := v.Set(ctx, e.field, s)
			if err != nil {
				return nil, err
			}
			out.Or(set)
		}
		return out, nil
	})
}
func (e exprValues) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	return cutWith(ctx, v, e, of)
}
func (e exprValues) looks() bool { return false }

func (e exprKey) key() string    { return fmt.Sprintf("%q=%q", e.field, e.value) }
func (e exprAll) key() string    { return "all(" + keysOf(e) + ")" }
func (e exprAny) key() string    { return "any(" + keysOf(e) + ")" }
func (e exprBut) key() string    { return "but(" + e.some.key() + "," + e.not.key() + ")" }
func (e exprTime) key() string   { return fmt.Sprintf("time(%d,%d)", e.low, e.high) }
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
