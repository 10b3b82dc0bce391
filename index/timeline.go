package index

import (
	"context"
	"math"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/index/table"
)

// timeline has the records that speak of each month and of each year, so that the
// newest of many are found without a look at all of them, and those between two
// dates without a look at each. It is worked out once for a view.
type timeline struct {
	at     table.Numbers
	months []period // the oldest first
	years  []period // likewise; each says which months are in it
	dated  *roaring.Bitmap
}

// period is a month or a year.
type period struct {
	from, to int64 // timeKeys of its first and its last record
	set      *roaring.Bitmap
	n        uint64 // how many are in it
	months   []period
}

// Digits of a timeKey that are below the month and below the year.
const (
	monthStep = 100 * dayStep
	yearStep  = 100 * monthStep
)

// fewMembers is how many records are looked at one by one in less time than sets
// are cut with each other.
const fewMembers = 2000

// scattered is how many times longer a look at a record takes among others that are
// left out than in a look at all of them.
const scattered = 8

// timeline gives the view's, nil as long as all looks at each record, with the one
// that is about to come, have taken less than making it takes: a command that asks
// once does not need it.
func (v *snapshot) timeline(ctx context.Context, look uint64) (*timeline, error) {
	v.mu.Lock()
	t := v.times
	v.looked += look
	looked := v.looked
	v.mu.Unlock()
	if t != nil {
		return t, nil
	}
	at, err := v.Numbers(ctx, timeName)
	if err != nil {
		return nil, err
	}
	all, err := anyRecord().set(ctx, v)
	if err != nil || looked < all.GetCardinality()/scattered {
		return nil, err
	}
	t = newTimeline(at, all)
	v.mu.Lock()
	v.times = t
	v.mu.Unlock()
	return t, nil
}

func newTimeline(at table.Numbers, all *roaring.Bitmap) *timeline {
	t := &timeline{at: at, dated: roaring.New()}
	first, last := int64(math.MaxInt64), int64(0)
	for _, list := range at {
		for _, n := range list {
			if n != 0 {
				first, last = min(first, n), max(last, n)
			}
		}
	}
	if last == 0 {
		return t
	}
	// Counted first, so that all records go into one list.
	first /= monthStep
	type month struct {
		end      int // of its records in the list
		from, to int64
	}
	months := make([]month, last/monthStep-first+1)
	for _, list := range at {
		for _, n := range list {
			if n != 0 {
				months[n/monthStep-first].end++
			}
		}
	}
	total := 0
	for i, m := range months {
		months[i] = month{end: total, from: math.MaxInt64}
		total += m.end
	}
	nos := make([]uint32, total)
	for c, list := range at {
		for i, n := range list {
			if n != 0 {
				m := &months[n/monthStep-first]
				nos[m.end] = uint32(c*table.Stretch + i)
				m.end++
				m.from, m.to = min(m.from, n), max(m.to, n)
			}
		}
	}
	from := 0
	for _, m := range months {
		set := roaring.BitmapOf(nos[from:m.end]...)
		set.And(all) // others are gone
		if n := set.GetCardinality(); n > 0 {
			t.months = append(t.months, period{from: m.from, to: m.to, set: set, n: n})
		}
		from = m.end
	}
	for i := 0; i < len(t.months); {
		year, j := t.months[i].from/yearStep, i+1
		for j < len(t.months) && t.months[j].from/yearStep == year {
			j++
		}
		all := union(t.months[i:j])
		t.years = append(t.years, period{t.months[i].from, t.months[j-1].to, all, all.GetCardinality(), t.months[i:j]})
		i = j
	}
	t.dated = union(t.years)
	return t
}

// cover parts the timeline by a range of times: what is within it, what is without,
// and the months at its ends that are both.
func (t *timeline) cover(low, high int64) (in, edges, out []period) {
	for _, y := range t.years {
		parts := []period{y}
		if y.to >= low && y.from <= high && (y.from < low || y.to > high) {
			parts = y.months
		}
		for _, p := range parts {
			switch {
			case p.to < low || p.from > high:
				out = append(out, p)
			case low <= p.from && p.to <= high:
				in = append(in, p)
			default:
				edges = append(edges, p)
			}
		}
	}
	return in, edges, out
}

// all gives the records whose time is in a range, both ends included.
func (t *timeline) all(low, high int64) *roaring.Bitmap {
	if in, edges, _ := t.cover(low, high); len(in) == 1 && len(edges) == 0 {
		return in[0].set
	}
	return t.between(t.dated, low, high)
}

// between keeps the records of a set whose time is in a range, both ends included.
func (t *timeline) between(of *roaring.Bitmap, low, high int64) *roaring.Bitmap {
	if of.GetCardinality() <= fewMembers {
		return t.look(of, low, high)
	}
	in, edges, out := t.cover(low, high)
	var sum *roaring.Bitmap
	if len(in) <= len(out)+len(edges) { // the shorter side is put together
		sum = roaring.And(of, union(in))
	} else {
		sum = roaring.And(of, t.dated)
		sum.AndNot(union(append(out, edges...)))
	}
	for _, e := range edges {
		sum.Or(t.look(roaring.And(of, e.set), low, high))
	}
	return sum
}

func union(list []period) *roaring.Bitmap {
	sets := make([]*roaring.Bitmap, len(list))
	for i, p := range list {
		sets[i] = p.set
	}
	return roaring.FastOr(sets...)
}

// size is how many records have a time in a range, at most.
func (t *timeline) size(low, high int64) uint64 {
	n := uint64(0)
	in, edges, _ := t.cover(low, high)
	for _, p := range append(in, edges...) {
		n += p.n
	}
	return n
}

func (t *timeline) look(of *roaring.Bitmap, low, high int64) *roaring.Bitmap {
	return inRange(of, t.at, low, high)
}

// top gives the newest or the oldest records of a set, those without a time last.
func (t *timeline) top(of *roaring.Bitmap, newest bool, size int) []uint32 {
	if of.GetCardinality() <= max(fewMembers, uint64(size)) {
		return top(func(f func([]uint32)) { eachOf(of, f) }, t.at, newest, size)
	}
	var list []uint32
	inOrder(t.years, newest, func(y period) bool {
		if y.set.Intersects(of) {
			inOrder(y.months, newest, func(m period) bool {
				list = append(list, roaring.And(of, m.set).ToArray()...)
				return len(list) < size
			})
		}
		return len(list) < size
	})
	if len(list) < size {
		list = append(list, roaring.AndNot(of, t.dated).ToArray()...)
	}
	return top(func(f func([]uint32)) { f(list) }, t.at, newest, size)
}

// inOrder goes over stretches from one end until f has enough.
func inOrder(list []period, newest bool, f func(period) (more bool)) {
	for i := range list {
		if newest {
			i = len(list) - 1 - i
		}
		if !f(list[i]) {
			return
		}
	}
}
