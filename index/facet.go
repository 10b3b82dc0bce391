package index

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"github.com/RoaringBitmap/roaring/v2"
)

// Facet counts what was found by one property: the slips that have a record with
// each value. The most frequent are first, months the newest first.
type Facet struct {
	Name   string // site kind product result month
	Counts []Count
	More   int // values that are not listed
}

// Count is a value and the number of slips that have it.
type Count struct {
	Value string
	Slips int
}

// maxCounts bounds the values of a facet.
const maxCounts = 24

func (v *snapshot) facets(ctx context.Context, s Search, hits []slipHit) ([]Facet, error) {
	slips := roaring.New()
	for _, h := range hits {
		slips.Add(h.no)
	}
	all, err := keyIn("copy", []string{"no", "yes"}).set(ctx, v)
	if err != nil {
		return nil, err
	}
	records, err := v.recordsOn(ctx, slips, all)
	if err != nil {
		return nil, err
	}
	var out []Facet
	for _, f := range []struct{ name, field string }{{"site", "number"}, {"kind", "kind"}, {"product", "grade"}, {"result", "result"}} {
		counts, err := v.countSlips(ctx, records, f.field)
		if err != nil {
			return nil, err
		}
		slices.SortStableFunc(counts, func(a, b Count) int { return cmp.Compare(b.Slips, a.Slips) })
		out = append(out, newFacet(f.name, counts))
	}
	when, err := v.when(ctx, s.Sort)
	if err != nil {
		return nil, err
	}
	months := map[string]int{}
	for _, h := range hits {
		if at := when(h.no); at != 0 {
			day := at / dayStep
			months[fmt.Sprintf("%04d-%02d", day/10000, day/100%100)]++
		}
	}
	var counts []Count
	for m, n := range months {
		counts = append(counts, Count{m, n})
	}
	slices.SortFunc(counts, func(a, b Count) int { return cmp.Compare(b.Value, a.Value) })
	return append(out, newFacet("month", counts)), nil
}

func newFacet(name string, counts []Count) Facet {
	n := min(len(counts), maxCounts)
	return Facet{name, counts[:n], len(counts) - n}
}

// countSlips counts the slips of records by the values of a field.
func (v *snapshot) countSlips(ctx context.Context, records *roaring.Bitmap, field string) ([]Count, error) {
	values, err := v.Values(ctx, field)
	if err == nil {
		err = v.Load(ctx, field, values)
	}
	if err != nil {
		return nil, err
	}
	var out []Count
	for _, value := range values {
		have, err := v.Set(ctx, field, value)
		if err != nil {
			return nil, err
		}
		if value == noGrade || !records.Intersects(have) {
			continue
		}
		slips, err := v.slipsOf(ctx, roaring.And(records, have))
		if err != nil {
			return nil, err
		}
		out = append(out, Count{value, int(slips.GetCardinality())})
	}
	return out, nil
}
