package index

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/index/query"
	"tankroll/index/text"
	"tankroll/record"
)

// slipHit is a slip with all words of a search, how well they fit and its date.
type slipHit struct {
	no    uint32
	score float64
	at    int64
}

// slips finds the slips that show all terms.
func (v *snapshot) slips(ctx context.Context, terms []text.Term, joined bool) ([]slipHit, error) {
	live, err := v.Set(ctx, "slip", "live")
	if err != nil {
		return nil, err
	}
	var out []slipHit
	for _, p := range v.Parts {
		open, err := v.gen.part(p)
		if err != nil {
			return nil, v.stale(ctx, err)
		}
		err = open.Search(ctx, terms, joined, func(no uint32, score float64) {
			if live.Contains(no) {
				out = append(out, slipHit{no: no, score: score})
			}
		})
		if err != nil {
			return nil, v.stale(ctx, err)
		}
	}
	return out, nil
}

// stale tells a part that was taken away by another process from one that is
// damaged.
func (v *snapshot) stale(ctx context.Context, err error) error {
	if now := v.Current(ctx); now != nil {
		return now
	}
	return err
}

// exprSaid chooses the records that say words: themselves, or, when slips is set,
// by their slip.
type exprSaid struct {
	term  text.Term
	slips bool
}

// saidBy chooses the records that show a word or phrase: in their own labels, or
// on their slip where it is about little else. A list of alarms or sensors
// shares its slip with many others, whose words are not its own.
func saidBy(kind record.Kind, t text.Term) expr { return exprSaid{t, !slices.Contains(lists, kind)} }

// lists are the kinds of which a slip lists many.
var lists = []record.Kind{record.Alarm, record.SensorStatus}

func (e exprSaid) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	return v.Made(e.key(), func() (*roaring.Bitmap, error) {
		mine, err := v.labelled(ctx, e.term)
		if err != nil {
			return nil, err
		}
		own, err := keyIn("label", mine).set(ctx, v)
		if err != nil || !e.slips {
			return own, err
		}
		on, err := v.recordsOnSlips(ctx, e.term)
		if err != nil {
			return nil, err
		}
		return roaring.Or(on, own), nil
	})
}

func (e exprSaid) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	return cutWith(ctx, v, e, of)
}
func (e exprSaid) size(ctx context.Context, v view) (uint64, error) { return sizeOf(ctx, v, e) }
func (e exprSaid) key() string                                      { return fmt.Sprintf("said(%q,%t)", e.term.Shown, e.slips) }

// recordsOnSlips are the records on slips that show a term, those of lists left
// out.
func (v *snapshot) recordsOnSlips(ctx context.Context, t text.Term) (*roaring.Bitmap, error) {
	hits, err := v.slips(ctx, []text.Term{t}, true)
	if err != nil {
		return nil, err
	}
	slips := roaring.New()
	for _, h := range hits {
		slips.Add(h.no)
	}
	of, err := but(anyRecord(), anyOf(is("kind", string(lists[0])), is("kind", string(lists[1])))).set(ctx, v)
	if err != nil {
		return nil, err
	}
	return v.recordsOn(ctx, slips, of)
}

// labelled lists the labels that show a term.
func (v *snapshot) labelled(ctx context.Context, t text.Term) ([]string, error) {
	labels, err := v.Values(ctx, "label")
	if err != nil {
		return nil, err
	}
	var out []string
	for _, l := range labels {
		if t.On(strings.Fields(l), nil) {
			out = append(out, l)
		}
	}
	return out, nil
}

// recordsOn keeps the records that stand on one of the slips.
func (v *snapshot) recordsOn(ctx context.Context, slips, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	if slips.IsEmpty() {
		return slips, nil
	}
	numbers, err := v.Numbers(ctx, "slip")
	if err != nil {
		return nil, err
	}
	return kept(of, func(no uint32) bool {
		n := numbers.Of(no)
		return n != 0 && slips.Contains(uint32(n))
	}), nil
}

// slipsOf gives the slips on which the records of a set stand.
func (v *snapshot) slipsOf(ctx context.Context, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	numbers, err := v.Numbers(ctx, "slip")
	if err != nil {
		return nil, err
	}
	out := roaring.New()
	eachOf(of, func(nos []uint32) {
		for _, no := range nos {
			if n := numbers.Of(no); n != 0 {
				out.Add(uint32(n))
			}
		}
	})
	return out, nil
}

// eitherOf are the terms of a word of a query: one, or several of which any will do.
func eitherOf(word string) []text.Term { return phrases(strings.Split(word, query.OrWord)) }

// anySaidBy chooses the records that show one of several.
func anySaidBy(kind record.Kind, terms []text.Term) expr {
	var list []expr
	for _, t := range terms {
		list = append(list, saidBy(kind, t))
	}
	if len(list) == 1 {
		return list[0]
	}
	return anyOf(list...)
}

// phrases are terms that must be there as they stand.
func phrases(words []string) []text.Term {
	var out []text.Term
	for _, w := range words {
		if t, ok := text.NewTerm(w, false); ok {
			out = append(out, t)
		}
	}
	return out
}
