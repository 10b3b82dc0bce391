package index

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"tankroll/archive"
	"tankroll/index/table"
	"tankroll/index/text"
)

// Verify compares the index in a folder with the archive and its files with their
// checksums, and returns what is wrong; it changes nothing, not even an index that
// the next question would make anew. An index that is not there, or behind the
// archive, is not wrong: it catches up by itself.
func Verify(ctx context.Context, dir string, src *archive.Store) ([]error, error) {
	ix := &Index{dir: dir, src: src}
	if _, err := os.Stat(filepath.Join(dir, pointer)); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var wrong []error
	tell := func(err error) error {
		if unfit(err) {
			wrong = append(wrong, err)
			return nil
		}
		return err
	}
	// Another process may write or replace it meanwhile; then it is looked at again.
	for try := 0; ; try++ {
		p, err := ix.readPointer()
		if err != nil {
			return wrong, tell(err)
		}
		err = guarded(func() error { return ix.verify(ctx, p) })
		now, again := ix.readPointer()
		if changed := again == nil && now != p; try < maxChanges && (changed || errors.Is(err, table.ErrChanged)) {
			continue
		}
		if errors.Is(err, table.ErrChanged) {
			return wrong, nil // whoever writes it all the time reads it too
		}
		return wrong, tell(err)
	}
}

// verify looks at one index.
func (ix *Index) verify(ctx context.Context, p pointed) error {
	dir := filepath.Join(ix.dir, p.Folder)
	if _, err := os.Stat(tablePath(dir)); err != nil {
		return fmt.Errorf("%w: %w", errUnfit, err)
	}
	t, err := table.OpenReadOnly(tablePath(dir))
	if err != nil {
		return err
	}
	defer t.Close()
	v, err := t.View(ctx)
	if err != nil {
		return err
	}
	if err := t.Check(ctx); err != nil {
		return changedOr(ctx, v, err)
	}
	for _, part := range v.Parts {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := text.CheckPart(filepath.Join(dir, part.Name), part.Sum); err != nil {
			return changedOr(ctx, v, err)
		}
	}
	return changedOr(ctx, v, ix.compare(ctx, t, v))
}

// changedOr is an error unless the index was written meanwhile.
func changedOr(ctx context.Context, v *table.View, err error) error {
	if unfit(err) && errors.Is(v.Current(ctx), table.ErrChanged) {
		return table.ErrChanged
	}
	return err
}

// compare looks for each slip and each record of the archive.
func (ix *Index) compare(ctx context.Context, t *table.Table, v *table.View) error {
	have, err := t.Note(ctx, noteSeq)
	if err != nil {
		return err
	}
	// Asked before and after: others may write meanwhile, and then the two need
	// not agree.
	before, err := ix.src.Seq(ctx)
	if err != nil {
		return err
	}
	if have > before {
		return fmt.Errorf("%w: it knows %d changes, the archive only %d: it is of another archive, or the archive lost what was written last", errUnfit, have, before)
	}
	found := ix.compareRecords(ctx, t)
	if found == nil {
		found = ix.compareSlips(ctx, v)
	}
	if after, err := ix.src.Seq(ctx); err != nil || have != before || after != before {
		return err
	}
	return found
}

func (ix *Index) compareRecords(ctx context.Context, t *table.Table) error {
	facts := map[uint32]int64{}
	known, err := t.CheckDocs(ctx, func(no uint32, fact int64) { facts[no] = fact })
	if err != nil {
		return err
	}
	ch, err := ix.src.Changes(ctx, 0)
	if err != nil {
		return err
	}
	missing, total, other := 0, 0, 0
	for _, r := range ch.Records {
		if r.Rejected {
			continue
		}
		no := recordNo(r.ID)
		if total++; !known.CheckedRemove(no) {
			missing++
		} else if facts[no] != table.FactNumber(r.Fact) {
			other++
		}
	}
	switch {
	case other > 0:
		return fmt.Errorf("%w: it takes %d records for ones of other events", errUnfit, other)
	case missing > 0:
		return fmt.Errorf("%w: it does not know %d of %d records", errUnfit, missing, total)
	case !known.IsEmpty():
		return fmt.Errorf("%w: it knows %d records that the archive has not", errUnfit, known.GetCardinality())
	}
	return nil
}

func (ix *Index) compareSlips(ctx context.Context, v *table.View) error {
	known := map[table.Slip]bool{}
	for s, err := range ix.src.AllSlips(ctx) {
		if err != nil {
			return err
		}
		known[table.Slip{Capture: captureNo(s.Capture), Page: s.Page, Slip: s.Slip}] = true
	}
	total := len(known)
	more := 0
	err := v.EachSlip(ctx, func(s table.Slip) error {
		s.No = 0
		if !known[s] {
			more++
		}
		delete(known, s)
		return nil
	})
	switch {
	case err != nil:
		return err
	case len(known) > 0:
		return fmt.Errorf("%w: it does not know %d of %d slips", errUnfit, len(known), total)
	case more > 0:
		return fmt.Errorf("%w: it knows %d slips that the archive has not", errUnfit, more)
	}
	return nil
}
