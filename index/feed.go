package index

import (
	"context"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"

	"tankroll/archive"
	"tankroll/index/table"
	"tankroll/index/text"
)

// chunkSize is how many captures, records or events are read from the archive at
// once.
const chunkSize = 200

// feed brings an index from one count of the archive to the newest, in one
// transaction. The caller holds the write lock.
func (ix *Index) feed(ctx context.Context, g *generation, since int64) error {
	ch, err := ix.src.Changes(ctx, since)
	if err != nil {
		return err
	}
	f := &feeder{ctx: ctx, ix: ix, g: g}
	err = g.table.Write(ctx, func(w *table.Writer) error {
		f.w = w
		if err := f.all(ch); err != nil {
			return err
		}
		return w.Note(noteSeq, ch.Seq)
	})
	if err != nil {
		f.abandon()
		return err
	}
	f.removeOld()
	return nil
}

// feeder writes what changed.
type feeder struct {
	ctx     context.Context
	ix      *Index
	g       *generation
	w       *table.Writer
	builder *text.Builder // of the part for the slips that are new, nil when there are none yet
	part    string        // its name
	made    []string      // folders of parts that were made
	dropped []string      // and of those that are no longer used
}

func (f *feeder) all(ch archive.Changes) error {
	for list := range slices.Chunk(ch.Gone, chunkSize) {
		if err := f.records(list); err != nil {
			return err
		}
	}
	for list := range slices.Chunk(ch.Captures, chunkSize) {
		if err := f.captures(list); err != nil {
			return err
		}
	}
	ids := []string{}
	for _, r := range ch.Records {
		ids = append(ids, r.ID)
	}
	for list := range slices.Chunk(ids, chunkSize) {
		if err := f.records(list); err != nil {
			return err
		}
	}
	if err := f.closePart(); err != nil {
		return err
	}
	return f.join()
}

// captures writes the slips of captures in place of those they had, and all
// their records, which stand on the new ones.
func (f *feeder) captures(list []string) error {
	var rows []archive.Row
	for _, c := range list {
		no := captureNo(c)
		if err := f.w.DropSlips(no); err != nil {
			return err
		}
		shown, err := f.ix.src.Shown(f.ctx, no, no)
		if err != nil {
			return err
		}
		if err := f.slips(shown); err != nil {
			return err
		}
		own, err := f.ix.src.Rows(f.ctx, archive.Filter{Capture: c})
		if err != nil {
			return err
		}
		rows = append(rows, own...)
	}
	return f.rows(rows, nil)
}

// records writes records that changed or are gone.
func (f *feeder) records(list []string) error {
	rows, err := f.ix.src.Rows(f.ctx, archive.Filter{IDs: list})
	if err != nil {
		return err
	}
	return f.rows(rows, list)
}

// rows writes records, and the others that tell or told of the same events,
// since another of them may count now. Of the named ones those that are not
// among the rows are taken out.
func (f *feeder) rows(rows []archive.Row, named []string) error {
	byID := map[string]archive.Row{}
	var nos []uint32
	for _, r := range rows {
		byID[r.ID] = r
		nos = append(nos, recordNo(r.ID))
	}
	for _, id := range named {
		if _, ok := byID[id]; !ok {
			nos = append(nos, recordNo(id))
		}
	}
	others, err := f.w.Companions(nos)
	if err != nil {
		return err
	}
	for _, id := range named {
		if _, ok := byID[id]; !ok {
			if err := f.w.Delete(recordNo(id)); err != nil {
				return err
			}
		}
	}
	var ids []string
	for _, no := range others {
		ids = append(ids, recordID(no))
	}
	for chunk := range slices.Chunk(ids, chunkSize) {
		more, err := f.ix.src.Rows(f.ctx, archive.Filter{IDs: chunk})
		if err != nil {
			return err
		}
		for _, r := range more {
			byID[r.ID] = r
		}
	}
	facts := map[string]bool{}
	for _, r := range byID {
		if r.Fact != "" {
			facts[r.Fact] = true
		}
	}
	copies := map[string]bool{}
	for chunk := range slices.Chunk(slices.Sorted(maps.Keys(facts)), chunkSize) {
		if err := f.ix.sameEvents(f.ctx, chunk, func(r archive.Row, isCopy bool) error {
			byID[r.ID], copies[r.ID] = r, isCopy
			return nil
		}); err != nil {
			return err
		}
	}
	return f.put(byID, copies)
}

// sameEvents calls each for all records that tell of some events, with whether a
// better one tells of the same.
func (ix *Index) sameEvents(ctx context.Context, facts []string, each func(r archive.Row, isCopy bool) error) error {
	rows, err := ix.src.Rows(ctx, archive.Filter{Facts: facts})
	if err != nil {
		return err
	}
	same := map[string][]archive.Row{}
	for _, r := range rows {
		same[r.Fact] = append(same[r.Fact], r)
	}
	for _, fact := range facts {
		copies := copiesOf(same[fact])
		for _, r := range same[fact] {
			if err := each(r, copies[r.ID]); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f *feeder) put(rows map[string]archive.Row, copies map[string]bool) error {
	places := map[string]map[place]uint32{}
	for _, id := range slices.Sorted(maps.Keys(rows)) {
		r := rows[id]
		if places[r.Capture] == nil && !r.ByHand {
			list, err := f.w.Slips(captureNo(r.Capture))
			if err != nil {
				return err
			}
			places[r.Capture] = map[place]uint32{}
			for _, s := range list {
				places[r.Capture][place{s.Page, s.Slip}] = s.No
			}
			// The dates of a slip rest on all its records.
			own, err := f.ix.src.Rows(f.ctx, archive.Filter{Capture: r.Capture})
			if err != nil {
				return err
			}
			if err := f.dates(own, places[r.Capture]); err != nil {
				return err
			}
		}
		no := places[r.Capture][place{r.Page, r.Slip}]
		if err := f.w.Put(newRecordDoc(r, copies[id], f.ix.lex).row(r, no)); err != nil {
			return err
		}
	}
	return nil
}

// place is where a slip stands in its capture.
type place struct{ page, slip int }

func (f *feeder) dates(rows []archive.Row, places map[place]uint32) error {
	for no, d := range slipDates(rows, places) {
		if err := f.w.Number("printed", no, d.printed); err != nil {
			return err
		}
		if err := f.w.Number("tested", no, d.tested); err != nil {
			return err
		}
	}
	return nil
}

// slipDate is when a slip was printed and the newest time that it speaks of
// otherwise, as timeKeys; 0 when not known.
type slipDate struct{ printed, tested int64 }

func slipDates(rows []archive.Row, places map[place]uint32) map[uint32]slipDate {
	out := map[uint32]slipDate{}
	for _, r := range rows {
		no := places[place{r.Page, r.Slip}]
		if no == 0 {
			continue
		}
		d := out[no]
		if p := r.Header.PrintedAt; p != nil {
			d.printed = max(d.printed, timeNumber(p.String()))
		}
		if r.AtField != "printed_at" {
			d.tested = max(d.tested, timeNumber(r.At))
		}
		out[no] = d
	}
	return out
}

func timeNumber(at string) int64 {
	k, _ := timeKey(at)
	return int64(k)
}

// slips puts new slips into the part that is being made.
func (f *feeder) slips(list []archive.Shown) error {
	for _, s := range list {
		if f.builder == nil {
			if err := f.startPart(); err != nil {
				return err
			}
		}
		no, err := f.w.Next("slip", 1)
		if err != nil {
			return err
		}
		if err := f.w.AddSlip(table.Slip{No: uint32(no), Capture: captureNo(s.Capture), Page: s.Page, Slip: s.Slip}, f.part); err != nil {
			return err
		}
		if err := f.w.Number("printed", uint32(no), timeNumber(s.PrintedAt)); err != nil {
			return err
		}
		if err := f.builder.Add(uint32(no), s.Lines, s.Whole); err != nil {
			return err
		}
	}
	return nil
}

// abandon takes away the parts that were made when the transaction failed.
func (f *feeder) abandon() {
	if f.builder != nil {
		f.builder.Abandon()
	}
	for _, path := range f.made {
		os.RemoveAll(path)
	}
}

// removeOld takes away parts that are no longer used, and what a crash left. A
// process that still reads one has its files open, or asks again.
func (f *feeder) removeOld() {
	for _, path := range f.dropped {
		os.RemoveAll(path)
	}
}

func captureNo(id string) int64 {
	n, _ := strconv.ParseInt(strings.TrimPrefix(id, "c"), 10, 64)
	return n
}
