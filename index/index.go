// Package index answers questions about an archive: typed questions by Ask,
// words on printed slips by Find.
//
// The index is made from the archive alone and holds nothing of its own: it may
// be deleted at any time and comes back by itself. It says where to look; what
// it hands out is read from the archive.
//
// Start with Open. An Index keeps its files open, but nothing that it holds
// keeps another process from reading or writing them, so that a server and
// commands can use one archive at the same time.
package index

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"tankroll/archive"
	"tankroll/index/table"
	"tankroll/index/text"
	"tankroll/parse/lexicon"
)

// format is raised when older code cannot read the index, or newer code an
// older index; such an index is rebuilt before it is used.
//
// History:
//
//	1  slips and records, folded words
//	2  typed fields as sets in a table, words of slips in parts
//	3  tanks and sites as names, of which a record has one
const format = 3

// content is raised when an index that can be read should still be made anew,
// because other values would be put in it. Until then it answers as it is.
//
// History:
//
//	1  first
//	2  the fields in doubt
//	3  print and test dates of slips, months, labels
//	4  followed up by its own entry in the journal alone
const content = 4

// The table's notes.
const (
	noteSeq = "archive seq" // the archive's count up to which it was read
)

// errUnfit says that the index cannot be used as it lies there.
var errUnfit = errors.New("the index must be rebuilt")

// Index answers questions. Its methods may be called from several goroutines.
type Index struct {
	dir string
	src *archive.Store
	lex *lexicon.Lexicon

	mu     sync.Mutex
	gen    *generation
	closed bool
	writes sync.Mutex // held with the write lock, which does not tell goroutines apart

	testOnlyBuilding func() // called when a new index is filled and does not answer yet
}

// Open opens the index in a folder beside an archive. It makes it when it is
// missing or damaged, and catches up with the archive. Close releases it.
func Open(ctx context.Context, dir string, src *archive.Store) (*Index, error) {
	ix, err := newIndex(dir, src)
	if err != nil {
		return nil, err
	}
	if err := ix.CatchUp(ctx); err != nil {
		ix.Close()
		return nil, err
	}
	return ix, nil
}

func newIndex(dir string, src *archive.Store) (*Index, error) {
	ix := &Index{dir: dir, src: src, lex: lexicon.Default()}
	return ix, ix.makeFolder()
}

func (ix *Index) makeFolder() error {
	if err := os.MkdirAll(ix.dir, 0o755); err != nil {
		return fmt.Errorf("index %s: cannot make the folder, choose one that you may write to: %w", ix.dir, err)
	}
	return nil
}

// Rebuild makes the index anew from the archive. Until it is done the old one
// answers, in this process and in others.
func Rebuild(ctx context.Context, dir string, src *archive.Store) error {
	ix, err := newIndex(dir, src)
	if err != nil {
		return err
	}
	defer ix.Close()
	return ix.Rebuild(ctx)
}

// Rebuild makes the index anew from the archive; questions that come in
// meanwhile are answered by the old one.
func (ix *Index) Rebuild(ctx context.Context) error {
	return ix.locked(ctx, buildLock, func() error { return ix.rebuild(ctx) })
}

// Renew rebuilds an index that answers, but was made by an older version of the
// program which put other values in it.
func (ix *Index) Renew(ctx context.Context) error {
	p, err := ix.readPointer()
	if err != nil || p.Content == content {
		return err
	}
	return ix.locked(ctx, buildLock, func() error {
		if now, err := ix.readPointer(); err == nil && now.Content == content {
			return nil // another process was faster
		}
		return ix.rebuild(ctx)
	})
}

// CatchUp brings the index up to the archive; every question does so too, but
// after adding many pictures it is kinder to the next question.
func (ix *Index) CatchUp(ctx context.Context) error {
	return ix.use(ctx, func(view) error { return nil })
}

// Close releases the index.
func (ix *Index) Close() error {
	ix.mu.Lock()
	defer ix.mu.Unlock()
	ix.closed = true
	ix.retire()
	return nil
}

// maxChanges is how often a question is asked again because another process
// wrote the index meanwhile; the last time it is kept from writing.
const maxChanges = 10

// use runs f on an index that is up to date. When it is changed while f runs, f
// runs again; what looks damaged, also while f runs, is made anew once.
func (ix *Index) use(ctx context.Context, f func(view) error) error {
	rebuilt := false
	for changes := 0; ; {
		seen, _ := ix.readPointer()
		var err error
		if changes < maxChanges {
			err = ix.tryUse(ctx, f, ix.writing)
		} else {
			err = ix.writing(ctx, func() error { return ix.tryUse(ctx, f, held) })
		}
		switch {
		case err == nil || ctx.Err() != nil:
			return err
		case errors.Is(err, table.ErrChanged) && changes < maxChanges:
			changes++
			time.Sleep(time.Duration(changes) * time.Millisecond)
			continue
		case !unfit(err):
			return err
		case rebuilt:
			return fmt.Errorf("index %s: still unfit after a rebuild, delete the folder and try again: %w", ix.dir, err)
		}
		rebuilt = true
		if err := ix.makeFolder(); err != nil { // it may have been deleted
			return err
		}
		if err := ix.locked(ctx, buildLock, func() error {
			if now, err := ix.readPointer(); err == nil && now != seen {
				return nil // another process was faster
			}
			return ix.rebuild(ctx)
		}); err != nil {
			return err
		}
	}
}

func unfit(err error) bool {
	return errors.Is(err, errUnfit) || errors.Is(err, table.ErrDamaged) || errors.Is(err, text.ErrDamaged)
}

// writing runs f while nobody else writes the index that answers.
func (ix *Index) writing(ctx context.Context, f func() error) error {
	ix.writes.Lock()
	defer ix.writes.Unlock()
	return ix.locked(ctx, writeLock, f)
}

// held runs f for a caller that holds the lock already.
func held(_ context.Context, f func() error) error { return f() }

func (ix *Index) tryUse(ctx context.Context, f func(view) error, writing func(context.Context, func() error) error) error {
	seq, err := ix.src.Seq(ctx)
	if err != nil {
		return err
	}
	g, release, err := ix.hold()
	if err != nil {
		return err
	}
	defer release()
	v, err := g.now(ctx)
	if err != nil {
		return err
	}
	if v.seq < seq {
		if err := writing(ctx, func() error { return ix.catchUpCurrent(ctx, g) }); err != nil {
			return err
		}
		if v, err = g.now(ctx); err != nil {
			return err
		}
	}
	if v.seq > seq {
		if now, err := ix.src.Seq(ctx); err != nil || v.seq > now {
			return errors.Join(fmt.Errorf("%w: it is of another archive", errUnfit), err)
		}
	}
	return guarded(func() error { return f(v) })
}

// catchUpCurrent is catchUp, for a caller that holds the write lock, unless another
// index has taken over: the folder of this one may be swept away.
func (ix *Index) catchUpCurrent(ctx context.Context, g *generation) error {
	now, err := ix.readPointer()
	if err != nil {
		return err
	}
	if now != g.pointed {
		return table.ErrChanged
	}
	return ix.catchUp(ctx, g)
}

// catchUp feeds what the archive changed since the index was last written.
func (ix *Index) catchUp(ctx context.Context, g *generation) error {
	have, err := g.table.Note(ctx, noteSeq)
	if err != nil {
		return err
	}
	if seq, err := ix.src.Seq(ctx); err != nil || have >= seq {
		return err
	}
	return ix.feed(ctx, g, have)
}

// rebuild makes the index in a new folder, which then takes over. The caller
// holds the build lock.
func (ix *Index) rebuild(ctx context.Context) error {
	err := ix.makeNew(ctx)
	if err != nil && ctx.Err() == nil {
		return fmt.Errorf("index %s: rebuild: %w", ix.dir, err)
	}
	return err
}

func (ix *Index) makeNew(ctx context.Context) error {
	no, err := ix.sweep()
	if err != nil {
		return err
	}
	p := pointed{Folder: fmt.Sprintf("g%d", no), Format: format, Content: content, Made: time.Now().UnixNano()}
	g, err := ix.build(ctx, p)
	if err != nil {
		return err
	}
	defer g.close()
	if ix.testOnlyBuilding != nil {
		ix.testOnlyBuilding()
	}
	// What came in meanwhile, for once while nobody writes the old one.
	err = ix.writing(ctx, func() error {
		if err := ix.catchUp(ctx, g); err != nil {
			return err
		}
		return ix.writePointer(p)
	})
	if err != nil {
		os.RemoveAll(g.dir)
		return err
	}
	_, err = ix.sweep()
	return err
}
