package index

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/blevesearch/bleve/v2"

	"tankroll/archive"
)

// Verify compares the index in a folder with the archive and its files with their
// checksums, and returns what is wrong; it changes nothing, not even an index that
// the next question would make anew. An index that is not there, or behind the
// archive, is not wrong: it catches up by itself.
func Verify(ctx context.Context, dir string, src *archive.Store) ([]error, error) {
	ix := &Index{dir: dir, src: src}
	if _, err := os.Stat(ix.path()); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var wrong []error
	tell := func(err error) error {
		if errors.Is(err, errUnfit) {
			wrong = append(wrong, err)
			return nil
		}
		return err
	}
	b, err := ix.open(ctx, true) // while it is open no other program can write it
	if err != nil {
		return wrong, tell(err)
	}
	defer b.Close()
	if err := tell(guarded(func() error { return ix.compare(ctx, b) })); err != nil {
		return wrong, err
	}
	files, err := filepath.Glob(filepath.Join(ix.path(), "store", "*.zap"))
	if err != nil {
		return wrong, err
	}
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return wrong, err
		}
		if err := tell(segment(f)); err != nil {
			return wrong, err
		}
	}
	return wrong, nil
}

// compare looks for each slip and each record of the archive.
func (ix *Index) compare(ctx context.Context, b bleve.Index) error {
	have, err := check(b)
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
	missing, total, err := ix.missing(ctx, b)
	if err != nil {
		return err
	}
	docs, err := b.DocCount()
	if err != nil {
		return fmt.Errorf("%w: %w", errUnfit, err)
	}
	after, err := ix.src.Seq(ctx)
	switch {
	case err != nil:
		return err
	case have != before || after != before:
		return nil
	case missing > 0:
		return fmt.Errorf("%w: it does not know %d of %d slips and records", errUnfit, missing, total)
	case int(docs) != total:
		return fmt.Errorf("%w: it knows %d slips and records, the archive has %d", errUnfit, docs, total)
	}
	return nil
}

// missing counts the slips and records that the index does not know.
func (ix *Index) missing(ctx context.Context, b bleve.Index) (missing, total int, err error) {
	var ids []string
	look := func() error {
		n, err := count(ctx, b, bleve.NewDocIDQuery(ids))
		missing, total, ids = missing+len(ids)-n, total+len(ids), ids[:0]
		return err
	}
	add := func(id string) error {
		if ids = append(ids, id); len(ids) < chunkSize {
			return nil
		}
		return look()
	}
	for s, err := range ix.src.AllSlips(ctx) {
		if err != nil {
			return 0, 0, err
		}
		if err := add(slipID(s.Capture, s.Page, s.Slip)); err != nil {
			return 0, 0, err
		}
	}
	ch, err := ix.src.Changes(ctx, 0)
	if err != nil {
		return 0, 0, err
	}
	for _, r := range ch.Records {
		if r.Rejected {
			continue
		}
		if err := add(r.ID); err != nil {
			return 0, 0, err
		}
	}
	return missing, total, look()
}

// segment compares a file of the index with the checksum at its end.
func segment(path string) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil // merged into another meanwhile
	}
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	h := crc32.NewIEEE()
	var want [4]byte
	if _, err = io.CopyN(h, f, max(info.Size()-4, 0)); err == nil {
		_, err = io.ReadFull(f, want[:])
	}
	switch {
	case err != nil:
		return fmt.Errorf("%w: %s cannot be read: %w", errUnfit, filepath.Base(path), err)
	case h.Sum32() != binary.BigEndian.Uint32(want[:]):
		return fmt.Errorf("%w: %s does not have the bytes that were written", errUnfit, filepath.Base(path))
	}
	return nil
}
