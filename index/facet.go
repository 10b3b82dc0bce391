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
	all, err := anyRecord().set(ctx, v)
	if err != nil {
		return nil, err
	}
	records, err := v.recordsOn(ctx, slips, all)
	if err != nil {
		return nil, err
	}
	sites, err := v.countSites(ctx, records)
	if err != nil {
		return nil, err
	}
	out := []Facet{newFacet("site", byCount(sites))}
	for _, f := range []struct{ name, field string }{{"kind", "kind"}, {"product", "grade"}, {"result", "result"}} {
		counts, err := v.countSlips(ctx, records, f.field)
		if err != nil {
			return nil, err
		}
		out = append(out, newFacet(f.name, byCount(counts)))
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

// byCount puts the most frequent first.
func byCount(counts []Count) []Count {
	slices.SortFunc(counts, func(a, b Count) int { return cmp.Or(cmp.Compare(b.Slips, a.Slips), cmp.Compare(a.Value, b.Value)) })
	return counts
}

func newFacet(name string, counts []Count) Facet {
	n := min(len(counts), maxCounts)
	return Facet{name, counts[:n], len(counts) - n}
}

// countSites counts the slips of records by the site.
func (v *snapshot) countSites(ctx context.Context, records *roaring.Bitmap) ([]Count, error) {
	names, err := v.Names(ctx, "number")
	if err != nil {
		return nil, err
	}
	on, err := v.Numbers(ctx, "slip")
	if err != nil {
		return nil, err
	}
	var first []int64 // of a slip, the site of its first record
	type pair struct{ name, slip int64 }
	more := map[pair]bool{} // slips of several sites: a person said so of some of their records
	slips := map[int64]int{}
	eachOf(records, func(nos []uint32) {
		for _, no := range nos {
			p := pair{names.Of(no), on.Of(no)}
			if p.name == 0 || p.slip == 0 {
				continue
			}
			if int(p.slip) >= len(first) {
				first = append(first, make([]int64, int(p.slip)+1-len(first)+len(first)/4)...)
			}
			switch {
			case first[p.slip] == 0:
				first[p.slip] = p.name
				slips[p.name]++
			case first[p.slip] != p.name && !more[p]:
				more[p] = true
				slips[p.name]++
			}
		}
	})
	var out []Count
	for name, n := range slips {
		out = append(out, Count{names.Said(name), n})
	}
	return out, nil
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
