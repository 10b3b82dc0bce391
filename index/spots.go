package index

import (
	"context"
	"strings"
	"sync/atomic"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/archive"
	"tankroll/index/query"
)

// spots are tanks, lines and sensors of sites. What they are is worked out once
// for a view.
type spots struct {
	key     string          // of the records that say it
	names   map[string]bool // as where writes them, under the site's number and its name
	numbers *roaring.Bitmap // that stand for them in the table's names "where"
	looked  atomic.Uint64   // how many records were looked at for them
}

func (s *spots) has(name string) bool { return s != nil && s.names[name] }

// spots are the tanks, lines and sensors that records surely say something of, at
// one site when its number is asked for.
func (k *asker) spots(says expr, q query.Query) (*spots, error) {
	find := allOf(is("copy", "no"), says)
	// A slip may print a site's number without its name, never the number of
	// another, so only a number narrows.
	if site := archive.SiteKey(q.Site); site != "" && strings.Trim(site, "0123456789") == "" {
		find = allOf(find, is("site", site))
	}
	key := find.key()
	k.v.mu.Lock()
	out, ok := k.v.spots[key]
	k.v.mu.Unlock()
	if ok {
		return out, nil
	}
	out, err := k.v.findSpots(k.ctx, find)
	if err != nil {
		return nil, err
	}
	k.v.mu.Lock()
	defer k.v.mu.Unlock()
	if k.v.spots == nil || len(k.v.spots) >= maxKept {
		k.v.spots = map[string]*spots{}
	}
	k.v.spots[key] = out
	return out, nil
}

func (v *snapshot) findSpots(ctx context.Context, find expr) (*spots, error) {
	s, err := find.set(ctx, v)
	if err != nil {
		return nil, err
	}
	where, err := v.Names(ctx, "where")
	if err != nil {
		return nil, err
	}
	known, err := v.sites(ctx)
	if err != nil {
		return nil, err
	}
	out := &spots{key: find.key(), names: map[string]bool{}, numbers: roaring.New()}
	eachOf(s, func(nos []uint32) {
		for _, no := range nos {
			if n := where.Of(no); n != 0 {
				out.numbers.Add(uint32(n))
			}
		}
	})
	for it := out.numbers.Iterator(); it.HasNext(); {
		name := where.Said(int64(it.Next()))
		out.names[name] = true
		site, what, _ := strings.Cut(name, "|")
		if key := known.other[site]; key != "" {
			also := key + "|" + what
			out.names[also] = true
		}
	}
	// Records may name the spot by the site's other key.
	for name := range out.names {
		if n := where.Number(name); n != 0 {
			out.numbers.Add(uint32(n))
		}
	}
	return out, nil
}

func (e exprAt) set(ctx context.Context, v view) (*roaring.Bitmap, error) { return setOf(ctx, v, e) }

func (e exprAt) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	all, err := anyRecord().set(ctx, v)
	if err != nil {
		return nil, err
	}
	n := of.GetCardinality()
	if n <= fewMembers || e.spots.looked.Add(n) < all.GetCardinality()/scattered {
		return e.look(ctx, v, of)
	}
	// So many looks are worth one at every record, for all questions to come.
	at, err := v.Made(e.key(), func() (*roaring.Bitmap, error) { return e.look(ctx, v, all) })
	if err != nil {
		return nil, err
	}
	return roaring.And(of, at), nil
}

func (e exprAt) look(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	where, err := v.Names(ctx, "where")
	if err != nil {
		return nil, err
	}
	at := e.spots.numbers.ToDense() // a bit each: that is looked at faster than a set
	return kept(of, func(no uint32) bool {
		n := where.Of(no)
		return n > 0 && int(n/64) < len(at) && at[n/64]&(1<<(n%64)) != 0
	}), nil
}

func (e exprAt) size(context.Context, view) (uint64, error) { return unknown, nil }
func (e exprAt) key() string                                { return "at(" + e.spots.key + ")" }
