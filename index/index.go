// Package index answers questions about an archive: typed questions by Ask,
// words on printed slips by Find.
//
// The index is made from the archive alone and holds nothing of its own: it may
// be deleted at any time and comes back by itself. It says where to look; what
// it hands out is read from the archive.
//
// Start with Open. An Index takes its files only for the length of one call, so
// that a server and a command can use one archive at the same time.
package index

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
	bolt "go.etcd.io/bbolt"

	"tankroll/archive"
	"tankroll/parse/lexicon"
)

// format is raised when older code cannot read the index, or newer code an
// older index; such an index is rebuilt before it is used.
//
// History:
//
//	1  slips and records, folded words
const format = 1

// content is raised when an index that can be read should still be made anew,
// because other values would be put in it.
//
// History:
//
//	1  first
//	2  the fields in doubt
//	3  tags and numbers
const content = 3

// How long a call waits for another process that holds the index. One open
// operation takes milliseconds, a rebuild of a large archive a minute.
const (
	boltTimeout = "500ms"
	waitLimit   = 90 * time.Second
)

// The index's own notes, written in the same batch as the documents.
var (
	keySeq  = []byte("archive seq")
	keyDocs = []byte("documents")
	keyForm = []byte("format")
)

// errUnfit says that the index cannot be used as it lies there.
var errUnfit = errors.New("the index must be rebuilt")

// Index answers questions. Its methods may be called from several goroutines.
type Index struct {
	dir string
	src *archive.Store
	lex *lexicon.Lexicon
}

// Open opens the index in a folder beside an archive. It makes it when it is
// missing, older or damaged, and catches up with the archive.
func Open(ctx context.Context, dir string, src *archive.Store) (*Index, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("index %s: cannot make the folder, choose one that you may write to: %w", dir, err)
	}
	ix := &Index{dir: dir, src: src, lex: lexicon.Default()}
	if err := ix.use(ctx, func(bleve.Index) error { return nil }); err != nil {
		return nil, err
	}
	return ix, nil
}

// Rebuild makes the index anew from the archive.
func Rebuild(ctx context.Context, dir string, src *archive.Store) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("index %s: cannot make the folder, choose one that you may write to: %w", dir, err)
	}
	ix := &Index{dir: dir, src: src, lex: lexicon.Default()}
	return ix.locked(ctx, func() error { return ix.rebuild(ctx) })
}

// CatchUp brings the index up to the archive; every question does so too, but
// after adding many pictures it is kinder to the next question.
func (ix *Index) CatchUp(ctx context.Context) error {
	return ix.use(ctx, func(bleve.Index) error { return nil })
}

// Close releases the index.
func (ix *Index) Close() error { return nil }

func (ix *Index) path() string { return filepath.Join(ix.dir, "words") }

// use runs f on an index that is up to date. What looks damaged, also while f
// runs, is made anew once.
func (ix *Index) use(ctx context.Context, f func(bleve.Index) error) error {
	rebuilt := false
	for {
		seen, _ := os.Stat(ix.path())
		err := ix.tryUse(ctx, f)
		if err == nil || ctx.Err() != nil || !errors.Is(err, errUnfit) {
			return err
		}
		if rebuilt {
			return fmt.Errorf("index %s: still unfit after a rebuild, delete the folder and try again: %w", ix.dir, err)
		}
		rebuilt = true
		if err := ix.locked(ctx, func() error {
			now, err := os.Stat(ix.path())
			if err == nil && (seen == nil || !os.SameFile(seen, now)) {
				return nil // another process was faster
			}
			return ix.rebuild(ctx)
		}); err != nil {
			return err
		}
	}
}

func (ix *Index) tryUse(ctx context.Context, f func(bleve.Index) error) (err error) {
	seq, err := ix.src.Seq(ctx)
	if err != nil {
		return err
	}
	b, err := ix.open(ctx, true)
	if err != nil {
		return err
	}
	have, err := check(b)
	if err == nil && have < seq {
		b.Close()
		if err := ix.locked(ctx, func() error { return ix.catchUp(ctx) }); err != nil {
			return err
		}
		if b, err = ix.open(ctx, true); err != nil {
			return err
		}
		have, err = check(b)
	}
	defer b.Close()
	if err != nil {
		return err
	}
	if have > seq {
		if now, err := ix.src.Seq(ctx); err != nil || have > now {
			return errors.Join(fmt.Errorf("%w: it is of another archive", errUnfit), err)
		}
	}
	return guarded(func() error { return f(b) })
}

// open opens the files, waiting for another process that writes them.
func (ix *Index) open(ctx context.Context, readOnly bool) (bleve.Index, error) {
	if _, err := os.Stat(ix.path()); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w: there is none", errUnfit)
	}
	deadline := time.Now().Add(waitLimit)
	for {
		var b bleve.Index
		err := guarded(func() (err error) {
			b, err = bleve.OpenUsing(ix.path(), map[string]any{"bolt_timeout": boltTimeout, "read_only": readOnly})
			return err
		})
		switch {
		case err == nil:
			return b, nil
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case !strings.Contains(err.Error(), "timeout"):
			return nil, fmt.Errorf("%w: %w", errUnfit, err)
		case time.Now().After(deadline):
			return nil, fmt.Errorf("index %s: another program has held it for %s, wait for it to end and try again", ix.dir, waitLimit)
		}
	}
}

// check reads the index's own notes and returns the archive's count at which it
// was last brought up to date.
func check(b bleve.Index) (int64, error) {
	form, err := b.GetInternal(keyForm)
	if err != nil {
		return 0, fmt.Errorf("%w: %w", errUnfit, err)
	}
	if string(form) != formNote() {
		return 0, fmt.Errorf("%w: it has format %q", errUnfit, form)
	}
	seq, err := note(b, keySeq)
	if err != nil {
		return 0, err
	}
	docs, err := note(b, keyDocs)
	if err != nil {
		return 0, err
	}
	// A lost segment leaves an index that opens and knows fewer documents.
	if n, err := b.DocCount(); err != nil || docs >= 0 && int64(n) != docs {
		return 0, fmt.Errorf("%w: it holds %d documents instead of %d: %w", errUnfit, n, docs, errors.Join(err))
	}
	return seq, nil
}

func formNote() string { return fmt.Sprintf("%d.%d", format, content) }

func note(b bleve.Index, key []byte) (int64, error) {
	raw, err := b.GetInternal(key)
	if err != nil {
		return 0, fmt.Errorf("%w: %w", errUnfit, err)
	}
	n, err := strconv.ParseInt(string(raw), 10, 64)
	if err != nil {
		return 0, fmt.Errorf("%w: no note of its %s", errUnfit, key)
	}
	return n, nil
}

// guarded turns a panic over damaged files into errUnfit.
func guarded(f func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: %v", errUnfit, r)
		}
	}()
	return f()
}

// locked runs f while no other process writes the index. The lock is a small
// database of its own, because its file lock ends with the process and works
// on every system.
func (ix *Index) locked(ctx context.Context, f func() error) error {
	deadline := time.Now().Add(waitLimit)
	for {
		l, err := bolt.Open(filepath.Join(ix.dir, "lock"), 0o644, &bolt.Options{Timeout: time.Second})
		if err == nil {
			defer l.Close()
			return guarded(f)
		}
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.Is(err, fs.ErrPermission):
			return fmt.Errorf("index %s: cannot write, check the folder's permissions: %w", ix.dir, err)
		case !strings.Contains(err.Error(), "timeout"):
			// A lock file that a crash cut short is worth nothing.
			if os.Remove(filepath.Join(ix.dir, "lock")) != nil || time.Now().After(deadline) {
				return fmt.Errorf("index %s: lock: %w", ix.dir, err)
			}
		case time.Now().After(deadline):
			return fmt.Errorf("index %s: another program has been writing it for %s, wait for it to end and try again", ix.dir, waitLimit)
		}
	}
}

// rebuild makes the index in a new folder and then gives it the old one's name.
func (ix *Index) rebuild(ctx context.Context) error {
	for _, old := range []string{"new", "old"} { // what a crash left
		if err := os.RemoveAll(filepath.Join(ix.dir, old)); err != nil {
			return fmt.Errorf("index %s: %w", ix.dir, err)
		}
	}
	fresh, old := filepath.Join(ix.dir, "new"), filepath.Join(ix.dir, "old")
	b, err := bleve.NewUsing(fresh, newMapping(), scorch.Name, scorch.Name, map[string]any{"bolt_timeout": boltTimeout})
	if err != nil {
		return fmt.Errorf("index %s: %w", ix.dir, err)
	}
	err = ix.feed(ctx, b, 0)
	if err = errors.Join(err, b.Close()); err != nil {
		os.RemoveAll(fresh)
		return fmt.Errorf("index %s: rebuild: %w", ix.dir, err)
	}
	if err := os.Rename(ix.path(), old); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("index %s: %w", ix.dir, err)
	}
	if err := os.Rename(fresh, ix.path()); err != nil {
		return fmt.Errorf("index %s: %w", ix.dir, err)
	}
	os.RemoveAll(old) // a reader may still hold it; the next rebuild tries again
	return nil
}

// catchUp feeds what the archive changed since the index was last written.
func (ix *Index) catchUp(ctx context.Context) error {
	b, err := ix.open(ctx, false)
	if err != nil {
		return err
	}
	defer b.Close()
	have, err := check(b)
	if err != nil {
		return err
	}
	return ix.feed(ctx, b, have)
}
