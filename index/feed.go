package index

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"github.com/blevesearch/bleve/v2"

	"tankroll/archive"
)

// batchSize is how many documents are written at once: much faster than fewer,
// and more win nothing but memory.
const batchSize = 1000

// feeder writes documents in batches.
type feeder struct {
	ctx   context.Context
	ix    *Index
	b     bleve.Index
	batch *bleve.Batch
	fresh bool // nothing was there before
	lines map[string][]string
}

// feed brings an index from one count of the archive to the newest. The count
// is written in the same batch as the last documents, so a crash in between
// only means that some are written again.
func (ix *Index) feed(ctx context.Context, b bleve.Index, since int64) error {
	ch, err := ix.src.Changes(ctx, since)
	if err != nil {
		return err
	}
	f := &feeder{ctx: ctx, ix: ix, b: b, batch: b.NewBatch(), fresh: since == 0, lines: map[string][]string{}}
	for _, c := range ch.Captures {
		if err := f.slips(c); err != nil {
			return err
		}
	}
	facts, err := f.facts(ch)
	if err != nil {
		return err
	}
	if err := f.loners(ch); err != nil {
		return err
	}
	if err := f.events(facts); err != nil {
		return err
	}
	return f.finish(ch.Seq)
}

// slips writes the slips of a capture in place of those it had.
func (f *feeder) slips(capture string) error {
	if !f.fresh {
		old, err := docIDs(f.ctx, f.b, keyIs("capture", capture))
		if err != nil {
			return err
		}
		for _, id := range old {
			f.batch.Delete(id)
		}
	}
	pages, err := f.ix.src.Readings(f.ctx, capture)
	if err != nil {
		return err
	}
	for _, p := range pages {
		for i, s := range p.Slips {
			text := s.Slip.Text()
			if err := f.add(slipID(capture, p.Page, i), slipDoc{capture, joinFolded(text)}); err != nil {
				return err
			}
		}
	}
	return nil
}

func slipID(capture string, page, slip int) string {
	return fmt.Sprintf("%s/%d/%d", capture, page, slip)
}

// facts lists the events that changed records tell of, and told of when they
// were last indexed: the other records of those may now count. It takes out the
// records that are no longer there.
func (f *feeder) facts(ch archive.Changes) ([]string, error) {
	var facts []string // in the order of the archive, which keeps a slip's records together
	seen := map[string]bool{"": true}
	note := func(fact string) {
		if !seen[fact] {
			seen[fact] = true
			facts = append(facts, fact)
		}
	}
	changed := slices.Clone(ch.Gone)
	for _, id := range ch.Gone {
		f.batch.Delete(id)
	}
	for _, r := range ch.Records {
		changed = append(changed, r.ID)
		note(r.Fact)
		if r.Rejected {
			f.batch.Delete(r.ID)
		}
	}
	if !f.fresh {
		for chunk := range slices.Chunk(changed, chunkSize) {
			hits, err := search(f.ctx, f.b, bleve.NewDocIDQuery(chunk), len(chunk), nil, "fact")
			if err != nil {
				return nil, err
			}
			for _, h := range hits.Hits {
				s, _ := h.Fields["fact"].(string)
				note(s)
			}
		}
	}
	return facts, nil
}

// chunkSize is how many records are read from the archive at once.
const chunkSize = 500

// loners writes the changed records that tell of no known event.
func (f *feeder) loners(ch archive.Changes) error {
	var list []string
	for _, r := range ch.Records {
		if r.Fact == "" && !r.Rejected {
			list = append(list, r.ID)
		}
	}
	for chunk := range slices.Chunk(list, chunkSize) {
		rows, err := f.ix.src.Rows(f.ctx, archive.Filter{IDs: chunk})
		if err != nil {
			return err
		}
		for _, r := range rows {
			if err := f.record(r, false); err != nil {
				return err
			}
		}
	}
	return nil
}

// events writes all records of the events that changed, one of each as the one
// that counts.
func (f *feeder) events(facts []string) error {
	for chunk := range slices.Chunk(facts, chunkSize) {
		rows, err := f.ix.src.Rows(f.ctx, archive.Filter{Facts: chunk})
		if err != nil {
			return err
		}
		same := map[string][]archive.Row{}
		for _, r := range rows {
			same[r.Fact] = append(same[r.Fact], r)
		}
		for _, fact := range chunk {
			copies := copiesOf(same[fact])
			for _, r := range same[fact] {
				if err := f.record(r, copies[r.ID]); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// copiesOf tells which records repeat what a better one tells. Records on one
// slip never repeat each other: a slip that lists the same thing twice means
// two things.
func copiesOf(rows []archive.Row) map[string]bool {
	seen := map[string]int{}      // slip -> records of this event on it
	best := map[int]archive.Row{} // n-th on its slip -> the one that counts
	members := map[int][]archive.Row{}
	copies := map[string]bool{}
	for _, r := range rows {
		if r.One != "" { // another picture of a record that has a row already
			copies[r.ID] = true
			continue
		}
		slip := slipID(r.Capture, r.Page, r.Slip)
		if r.ByHand {
			slip = "by hand"
		}
		n := seen[slip]
		seen[slip]++
		members[n] = append(members[n], r)
		if b, ok := best[n]; !ok || better(r, b) {
			best[n] = r
		}
	}
	for n, list := range members {
		for _, r := range list {
			copies[r.ID] = r.ID != best[n].ID
		}
	}
	return copies
}

// better reports whether a is the better witness of an event than b; of equals
// the older record stays.
func better(a, b archive.Row) bool {
	switch {
	case a.Confirmed != b.Confirmed:
		return a.Confirmed
	case a.Sure() != b.Sure():
		return a.Sure()
	}
	return !a.ByHand && b.ByHand
}

func (f *feeder) record(r archive.Row, isCopy bool) error {
	lines, err := f.slipLines(r)
	if err != nil {
		return err
	}
	return f.add(r.ID, newRecordDoc(r, lines, isCopy, f.ix.lex))
}

// slipLines are the printed lines of a record's slip, kept for its neighbours.
func (f *feeder) slipLines(r archive.Row) ([]string, error) {
	if r.ByHand {
		return nil, nil
	}
	id := slipID(r.Capture, r.Page, r.Slip)
	if lines, ok := f.lines[id]; ok {
		return lines, nil
	}
	if len(f.lines) > 500 {
		clear(f.lines)
	}
	s, err := f.ix.src.Slip(f.ctx, r.Capture, r.Page, r.Slip)
	if isNotFound(err) { // a decided record that a newer reading does not show
		f.lines[id] = nil
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	whole, _ := s.Joined()
	f.lines[id] = whole.Text()
	return f.lines[id], nil
}

func (f *feeder) add(id string, doc any) error {
	if err := f.batch.Index(id, doc); err != nil {
		return err
	}
	if f.batch.Size() < batchSize {
		return nil
	}
	if err := f.ctx.Err(); err != nil {
		return err
	}
	// Until the last batch is in, the number of documents means nothing.
	f.batch.SetInternal(keyDocs, []byte("-1"))
	if err := f.b.Batch(f.batch); err != nil {
		return err
	}
	f.batch = f.b.NewBatch()
	return nil
}

func (f *feeder) finish(seq int64) error {
	f.batch.SetInternal(keyDocs, []byte("-1"))
	f.batch.SetInternal(keySeq, []byte(strconv.FormatInt(seq, 10)))
	f.batch.SetInternal(keyForm, []byte(formNote()))
	if err := f.b.Batch(f.batch); err != nil {
		return err
	}
	n, err := f.b.DocCount()
	if err != nil {
		return err
	}
	last := f.b.NewBatch()
	last.SetInternal(keyDocs, []byte(strconv.FormatUint(n, 10)))
	return f.b.Batch(last)
}
