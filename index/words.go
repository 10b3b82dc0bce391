package index

import (
	"context"
	"strings"

	"github.com/RoaringBitmap/roaring/v2"

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

// exprSaid chooses the records that say words, themselves or by their slip.
type exprSaid struct{ term text.Term }

// said chooses the records that show a word or phrase: in their own labels, or
// on their slip where it is about little else. A list of alarms or sensors
// shares its slip with many others, whose words are not its own.
func said(t text.Term) expr { return exprSaid{t} }

func (e exprSaid) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	return v.Made("said "+e.term.Shown, func() (*roaring.Bitmap, error) {
		hits, err := v.slips(ctx, []text.Term{e.term}, true)
		if err != nil {
			return nil, err
		}
		slips := roaring.New()
		for _, h := range hits {
			slips.Add(h.no)
		}
		all, err := keyIn("copy", []string{"no", "yes"}).set(ctx, v)
		if err != nil {
			return nil, err
		}
		lists, err := keyIn("kind", []string{string(record.Alarm), string(record.SensorStatus)}).set(ctx, v)
		if err != nil {
			return nil, err
		}
		on, err := v.recordsOn(ctx, slips, roaring.AndNot(all, lists))
		if err != nil {
			return nil, err
		}
		mine, err := v.labelled(ctx, e.term)
		if err != nil {
			return nil, err
		}
		own, err := keyIn("label", mine).set(ctx, v)
		if err != nil {
			return nil, err
		}
		return roaring.Or(on, own), nil
	})
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
	out := roaring.New()
	if slips.IsEmpty() {
		return out, nil
	}
	numbers, err := v.Numbers(ctx, "slip")
	if err != nil {
		return nil, err
	}
	for it := of.Iterator(); it.HasNext(); {
		no := it.Next()
		if n := numbers.Of(no); n != 0 && slips.Contains(uint32(n)) {
			out.Add(no)
		}
	}
	return out, nil
}

// slipsOf gives the slips on which the records of a set stand.
func (v *snapshot) slipsOf(ctx context.Context, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	numbers, err := v.Numbers(ctx, "slip")
	if err != nil {
		return nil, err
	}
	out := roaring.New()
	for it := of.Iterator(); it.HasNext(); {
		if n := numbers.Of(it.Next()); n != 0 {
			out.Add(uint32(n))
		}
	}
	return out, nil
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
