package index

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/archive"
	"tankroll/index/table"
	"tankroll/index/text"
	"tankroll/record"
)

// Found is what Find found.
type Found struct {
	Understood string // how the search was taken, in words
	Total      int    // slips, also when fewer are given
	Hits       []Hit
	Facets     []Facet // when asked for, and something was found
}

// Hit is a slip that shows what was searched for.
type Hit struct {
	Capture string
	Page    int // from 1
	Slip    int // from 0
	Lines   []HitLine
	Rows    []archive.Row // the slip's records
}

// HitLine is a printed line with a word that was searched for.
type HitLine struct {
	No    int // of the slip's lines, from 0
	Text  string
	Box   record.Box // on the original
	Words []HitWord  // those that were searched for
}

// HitWord is a printed word that was searched for.
type HitWord struct {
	Text string
	Box  record.Box // on the original
}

// Find searches the printed lines of all slips. Misread characters are allowed
// for.
func (ix *Index) Find(ctx context.Context, s Search) (Found, error) {
	w, err := parseSearch(s.Text)
	if err != nil {
		return Found{}, fmt.Errorf("index: find: %w", err)
	}
	if s.Sort != ByMatch && s.Sort != ByPrinted && s.Sort != ByTested {
		return Found{}, fmt.Errorf("index: find: %w: sorted by %q, which is not printed or tested", ErrSearch, s.Sort)
	}
	var out Found
	err = ix.use(ctx, func(v view) error {
		out = Found{Understood: w.String()}
		hits, err := ix.matches(ctx, v, s, w)
		if err != nil {
			return err
		}
		out.Total = len(hits)
		if s.Facets && len(hits) > 0 {
			if out.Facets, err = v.facets(ctx, s, hits); err != nil {
				return err
			}
		}
		limit := MaxRows
		if s.Limit > 0 {
			limit = min(limit, s.Limit)
		}
		for _, m := range hits[:min(limit, len(hits))] {
			at, ok, err := v.Place(ctx, m.no)
			if err != nil {
				return err
			}
			if !ok {
				return table.ErrChanged
			}
			h, err := ix.hit(ctx, at, w.terms)
			if isNotFound(err) {
				continue // read again just now
			}
			if err != nil {
				return err
			}
			out.Hits = append(out.Hits, h)
		}
		return nil
	})
	if err != nil {
		return Found{}, fmt.Errorf("index: find: %w", err)
	}
	return out, nil
}

// matches are the slips that answer, in the order asked for.
func (ix *Index) matches(ctx context.Context, v view, s Search, w lookup) ([]slipHit, error) {
	allowed, err := w.slips(ctx, ix, v)
	if err != nil {
		return nil, err
	}
	for _, t := range w.not {
		hits, err := v.slips(ctx, []text.Term{t}, false)
		if err != nil {
			return nil, err
		}
		without := roaring.New()
		for _, h := range hits {
			without.Add(h.no)
		}
		allowed = roaring.AndNot(allowed, without)
	}
	var hits []slipHit
	if len(w.terms) == 0 {
		for it := allowed.Iterator(); it.HasNext(); {
			hits = append(hits, slipHit{no: it.Next()})
		}
	} else {
		if hits, err = v.slips(ctx, w.terms, false); err != nil {
			return nil, err
		}
		hits = slices.DeleteFunc(hits, func(h slipHit) bool { return !allowed.Contains(h.no) })
	}
	return hits, v.arrange(ctx, s, hits)
}

// slips are the slips that meet the filters. A slip without such a record still
// meets a range of dates by the date printed on it.
func (w lookup) slips(ctx context.Context, ix *Index, v view) (*roaring.Bitmap, error) {
	live, err := v.Set(ctx, table.Live.Field, table.Live.Value)
	if err != nil {
		return nil, err
	}
	e, err := w.records(ctx, ix, v)
	if err != nil || e == nil {
		return live, err
	}
	records, err := e.set(ctx, v)
	if err != nil {
		return nil, err
	}
	out, err := v.slipsOf(ctx, records)
	if err != nil {
		return nil, err
	}
	for name := range w.filters {
		if name != "from" && name != "to" {
			return roaring.And(out, live), nil
		}
	}
	from, to, err := w.dates()
	if err != nil {
		return nil, err
	}
	low, high := dateRange(from, to)
	printed, err := numbered64(ctx, v, live, "printed", low, high)
	if err != nil {
		return nil, err
	}
	return roaring.And(roaring.Or(out, printed), live), nil
}

// arrange puts slips in the order asked for; of equals the newest is first.
func (v *snapshot) arrange(ctx context.Context, s Search, hits []slipHit) error {
	when, err := v.when(ctx, s.Sort)
	if err != nil {
		return err
	}
	for i := range hits {
		hits[i].at = when(hits[i].no)
	}
	slices.SortFunc(hits, func(a, b slipHit) int {
		if s.Sort == ByMatch {
			if c := cmp.Compare(b.score, a.score); c != 0 {
				return c
			}
		}
		if (a.at == 0) != (b.at == 0) { // without a date, last
			if a.at == 0 {
				return 1
			}
			return -1
		}
		c := cmp.Or(cmp.Compare(b.at, a.at), cmp.Compare(b.no, a.no))
		if s.Oldest && s.Sort != ByMatch {
			return -c
		}
		return c
	})
	return nil
}

// when gives the date of a slip by which it is sorted: the one asked for, or when
// any will do the newest test, else the printed one.
func (v *snapshot) when(ctx context.Context, sort string) (func(no uint32) int64, error) {
	printed, err := v.Numbers(ctx, "printed")
	if err != nil {
		return nil, err
	}
	tested, err := v.Numbers(ctx, "tested")
	if err != nil {
		return nil, err
	}
	switch sort {
	case ByPrinted:
		return printed.Of, nil
	case ByTested:
		return tested.Of, nil
	}
	return func(no uint32) int64 { return cmp.Or(tested.Of(no), printed.Of(no)) }, nil
}

func (ix *Index) hit(ctx context.Context, at table.Slip, terms []text.Term) (Hit, error) {
	h := Hit{Capture: fmt.Sprintf("c%d", at.Capture), Page: at.Page, Slip: at.Slip}
	s, err := ix.src.Slip(ctx, h.Capture, h.Page, h.Slip)
	if err != nil {
		return h, err
	}
	h.Lines = shown(s.Slip, terms)
	here := record.Ref{Capture: h.Capture, Page: h.Page, Slip: h.Slip}
	begins := here // of a part of a joined slip, the records that stand on it
	if s.Into != nil {
		begins = *s.Into
	}
	rows, err := ix.src.Rows(ctx, archive.Filter{Capture: begins.Capture})
	for _, r := range rows {
		if r.Page != begins.Page || r.Slip != begins.Slip {
			continue
		}
		on := func(b record.Box) bool { return r.On(b).Same(here) }
		if s.Into == nil || slices.ContainsFunc(r.Record.Areas(), on) {
			h.Rows = append(h.Rows, r)
		}
	}
	return h, err
}

// shown are the lines on which terms stand, with the words that they are made of.
// A phrase may go on on the next line, as it may in the index.
func shown(s record.Slip, terms []text.Term) []HitLine {
	type at struct{ line, word int }
	var folded []string
	var places []at
	for i, l := range s.Lines {
		if l.Rule {
			continue
		}
		for k, w := range l.Words {
			for _, f := range text.Fold(w.Text) {
				folded, places = append(folded, f), append(places, at{i, k})
			}
		}
	}
	marked := map[at]bool{}
	for _, t := range terms {
		t.On(folded, func(first int) {
			for i := range t.Words {
				marked[places[first+i]] = true
			}
		})
	}
	var out []HitLine
	for i, l := range s.Lines {
		line := HitLine{No: i, Text: l.String(), Box: l.Box}
		for k, w := range l.Words {
			if marked[at{i, k}] {
				line.Words = append(line.Words, HitWord{w.Text, w.Box})
			}
		}
		if len(line.Words) > 0 {
			out = append(out, line)
		}
	}
	return out
}
