package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/mattn/go-sqlite3"
	"golang.org/x/sync/errgroup"
)

// Problem is one thing that Verify found wrong.
type Problem struct {
	What string // such as c12, r87, journal, tankroll.db, or a file below the archive's folder
	Err  error  // what is wrong with it
	Do   string // what to do about it
}

func (p Problem) Error() string { return p.What + ": " + p.Err.Error() }

// Head is a journal's newest entry at some time: its number and its hash.
type Head struct {
	Seq  int64
	Hash string
}

// VerifyOptions say how Verify works; the zero options work.
type VerifyOptions struct {
	Head     *Head                   // noted earlier: the journal must still hold it
	Found    func(Problem)           // called with each problem as it is found, one at a time
	Progress func(done, total int64) // called now and then: bytes of originals looked at; from several goroutines
	Workers  int                     // how many work at once, 0 for one a core
}

// Verified says what Verify looked at.
type Verified struct {
	Captures, Records, Entries int64 // of the journal
	Bytes                      int64 // of originals
	Head                       Head
	Problems                   int
}

// Verify looks at everything an archive holds and changes nothing: every
// original's bytes against their hash and their place, every row of the database
// against its seal and the database against its own structure, the journal's
// chain, captures, readings and records against the journal and each other. It
// reads all there is, so it takes as long as the disk does; memory does not grow
// with the archive. Others may write meanwhile.
//
// What is wrong goes to Found and is no error. The error is for when it could
// not look.
func Verify(ctx context.Context, dir string, o VerifyOptions) (Verified, error) {
	s, err := OpenReadOnly(ctx, dir)
	if errors.Is(err, ErrDamaged) { // the originals can tell for themselves
		return verifyFilesAlone(ctx, dir, o, err)
	}
	if err != nil {
		return Verified{}, err
	}
	defer s.Close()
	return s.verify(ctx, o)
}

// Check is Verify on an open archive; it returns what it found.
func (s *Store) Check(ctx context.Context) ([]Problem, error) {
	var out []Problem
	_, err := s.verify(ctx, VerifyOptions{Found: func(p Problem) { out = append(out, p) }})
	slices.SortStableFunc(out, func(a, b Problem) int { return strings.Compare(a.What, b.What) })
	return out, err
}

// checker is one run of Verify.
type checker struct {
	s    *Store
	o    VerifyOptions
	work *errgroup.Group

	mu    sync.Mutex
	told  map[string]bool // the very same thing is said once
	sum   Verified
	total int64
	done  atomic.Int64
}

func newChecker(s *Store, o VerifyOptions) *checker {
	if o.Workers <= 0 {
		o.Workers = runtime.NumCPU()
	}
	return &checker{s: s, o: o, told: map[string]bool{}}
}

// found tells of a problem.
func (c *checker) found(p Problem) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.told[p.Error()] {
		return
	}
	if len(c.told) < maxTold {
		c.told[p.Error()] = true
	}
	c.sum.Problems++
	if c.o.Found != nil {
		c.o.Found(p)
	}
}

// maxTold bounds what is remembered of an archive in which all is wrong.
const maxTold = 10_000

// judge sorts an error: what a disk or another program does at the moment comes
// back, what the archive itself is to blame for is a problem.
func (c *checker) judge(ctx context.Context, what string, err error) error {
	if err == nil {
		return nil
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	var e sqlite3.Error
	if errors.As(err, &e) {
		switch e.Code {
		case sqlite3.ErrBusy, sqlite3.ErrLocked, sqlite3.ErrCantOpen, sqlite3.ErrPerm, sqlite3.ErrNomem, sqlite3.ErrFull:
			return describe(err)
		}
	}
	if !errors.Is(err, ErrDamaged) {
		err = fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	c.found(Problem{what, err, doRestore})
	return nil
}

// What to do.
const (
	doRestore  = "restore the archive from a backup into a new folder (tankroll restore) and compare"
	doAddAgain = "add the file again with tankroll add, or take it from a backup"
)

func (s *Store) verify(ctx context.Context, o VerifyOptions) (Verified, error) {
	c := newChecker(s, o)
	if err := c.judge(ctx, dbName, s.db.QueryRowContext(ctx, `SELECT coalesce(sum(size), 0) FROM captures`).Scan(&c.total)); err != nil {
		return c.sum, err
	}
	err := c.run(ctx, c.database, c.journal, c.captures, c.records, c.originals)
	return c.sum, err
}

// run makes checks, as many at once as there are workers; a check may hand its
// work out in pieces.
func (c *checker) run(ctx context.Context, checks ...func(context.Context) error) error {
	work, inner := errgroup.WithContext(ctx)
	work.SetLimit(c.o.Workers)
	c.work = work
	var err error
	for _, check := range checks {
		err = errors.Join(err, check(inner))
	}
	if e := work.Wait(); e != nil {
		err = e
	}
	if ctx.Err() != nil {
		err = ctx.Err()
	}
	return err
}

// OpenReadOnly opens an archive for looking alone: it makes nothing, brings
// nothing forward and writes nothing. fs.ErrNotExist says that there is none.
func OpenReadOnly(ctx context.Context, dir string) (*Store, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("archive %s: %w", dir, err)
	}
	path := filepath.Join(abs, dbName)
	if err := Exists(dir); err != nil {
		return nil, err
	}
	s := &Store{dir: abs, disk: osDisk{}, now: time.Now, MaxBytes: DefaultMaxBytes}
	err = s.openReadOnly(ctx, false)
	var e sqlite3.Error
	if errors.As(err, &e) && e.Code == sqlite3.ErrCantOpen && emptyFile(path+"-wal") {
		// On a disk that cannot be written SQLite cannot make the files that it
		// shares with writers; then there are no writers either.
		err = s.openReadOnly(ctx, true)
	}
	if err != nil {
		return nil, fmt.Errorf("archive %s: %w", dir, describe(err))
	}
	return s, nil
}

// Exists fails when a folder holds no archive: Open would make one.
func Exists(dir string) error {
	_, err := os.Stat(filepath.Join(dir, dbName))
	if err != nil && !errors.Is(err, os.ErrNotExist) && !errors.Is(err, syscall.ENOTDIR) {
		return fmt.Errorf("archive %s: %w", dir, describe(err))
	}
	if err != nil {
		return fmt.Errorf("archive %s: there is none; --archive DIR names the folder that holds %s: %w", dir, dbName, errors.Unwrap(err))
	}
	return nil
}

// openReadOnly opens the database for reading; still says that nobody else can
// be writing it.
func (s *Store) openReadOnly(ctx context.Context, still bool) error {
	q := fileQuery(filepath.Join(s.dir, dbName))
	q.with("mode", "ro")
	q.with("_stmt_cache_size", keptStatements)
	if still {
		q.with("immutable", "1")
	}
	db := sql.OpenDB(connector{q.String()})
	var format int
	err := db.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&format)
	if err == nil {
		var tables int
		err = db.QueryRowContext(ctx, `SELECT count(*) FROM sqlite_schema`).Scan(&tables)
	}
	if err == nil && format != len(migrations) {
		err = otherFormat(ctx, db, format)
	}
	if err != nil {
		db.Close()
		return err
	}
	s.db = db
	return nil
}

// otherFormat says why an archive of another format is not looked at.
func otherFormat(ctx context.Context, db *sql.DB, have int) error {
	want, err := wantedSchema(ctx)
	if err != nil {
		return err
	}
	switch tables, err := schemaOf(ctx, db); {
	case err != nil:
		return err
	case slices.Equal(tables, want):
		return fmt.Errorf("%s is %w: its header says format %d, its tables are of format %d", dbName, ErrDamaged, have, len(migrations))
	case have > len(migrations):
		return newerFormat(have)
	}
	return fmt.Errorf("it has the older format %d, this program works with %d: open it once with any other command, such as tankroll find, to bring it forward", have, len(migrations))
}

func emptyFile(path string) bool {
	info, err := os.Stat(path)
	return errors.Is(err, os.ErrNotExist) || err == nil && info.Size() == 0
}
