// Package archive keeps what may never be lost: the original pictures, as the
// bytes that came in, under their SHA-256, and what people decided about them,
// in an append-only journal whose entries carry the hash of the one before.
//
// Beside that truth it holds what was read from the originals. Readings may be
// made again by a newer reader at any time; what a person confirmed or
// corrected stands on top of every reading.
//
// The call most people need is Open, then Keep, SaveReadings and Rows. A folder
// may be used by several processes at once.
//
// The folder holds originals/ab/abcdef….jpg (never changed, read-only),
// tankroll.db (SQLite), what was kept of it when it was brought to a newer format
// (tankroll.db.before-format-N), and whatever an index puts beside them.
package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/mattn/go-sqlite3"
)

// What callers may branch on with errors.Is.
var (
	ErrNotFound = errors.New("not in the archive")
	ErrNewer    = errors.New("the archive was written by a newer version of this program")
	ErrDamaged  = errors.New("damaged")
	ErrEmpty    = errors.New("the file is empty")
	ErrTooLarge = errors.New("the file is too large")
	ErrValue    = errors.New("not a valid value")
)

// DefaultMaxBytes bounds one original: a 600 dpi colour scan of a binder page
// is some 100 MB uncompressed, and a whole original is held in memory.
const DefaultMaxBytes = 512 << 20

// busyTimeout is how long a write waits for another process. Saving a large
// capture takes well under a second, so ten seconds means that something hangs.
const busyTimeout = 10 * time.Second

// keptStatements is how many statements a connection keeps ready. The same few
// dozen are asked for every record, and to compile one takes longer than to run it.
const keptStatements = "64"

const dbName = "tankroll.db"

// Store is an open archive. Its methods may be called from several goroutines.
type Store struct {
	dir      string
	db       *sql.DB
	disk     disk
	now      func() time.Time
	MaxBytes int64 // largest original that Keep takes; DefaultMaxBytes unless changed before first use
}

// Open opens the archive in a folder and creates it when there is none. It
// refuses an archive from a newer version with ErrNewer.
func Open(ctx context.Context, dir string) (*Store, error) {
	return openOn(ctx, osDisk{}, dir)
}

func openOn(ctx context.Context, d disk, dir string) (*Store, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("archive %s: %w", dir, err)
	}
	s := &Store{dir: abs, disk: d, now: time.Now, MaxBytes: DefaultMaxBytes}
	if err := makeDir(d, filepath.Join(abs, "originals")); err != nil {
		return nil, fmt.Errorf("archive %s: cannot make the folder, choose one that you may write to: %w", dir, describe(err))
	}
	if err := s.openDB(ctx); err != nil {
		return nil, fmt.Errorf("archive %s: %w", dir, err)
	}
	s.sweepTemp()
	return s, nil
}

func (s *Store) openDB(ctx context.Context) error {
	// Turning WAL on is not covered by the busy timeout, and whoever brings the
	// database forward wants it alone, so processes that open the same archive at
	// once can meet here; all but one of them try again.
	deadline := time.Now().Add(busyTimeout)
	for {
		err := s.openOnce(ctx)
		if !isBusy(err) || time.Now().After(deadline) || ctx.Err() != nil {
			return describe(err)
		}
		time.Sleep(time.Duration(10+rand.IntN(20)) * time.Millisecond)
	}
}

func (s *Store) openOnce(ctx context.Context) error {
	if err := s.bringForward(ctx); err != nil {
		return err
	}
	q := s.query(dbName)
	q.with("_journal_mode", "WAL")
	q.with("_synchronous", "FULL")
	q.with("_txlock", "immediate")
	q.with("_stmt_cache_size", keptStatements)
	db := sql.OpenDB(connector{q.String()})
	db.SetMaxOpenConns(4)
	if err := migrate(ctx, db); err != nil {
		return errors.Join(err, db.Close())
	}
	s.db = db
	return nil
}

// query names a database file in the archive's folder.
func (s *Store) query(file string) *dsn {
	q := fileQuery(filepath.Join(s.dir, file))
	if v := s.disk.vfs(); v != "" {
		q.with("vfs", v)
	}
	return q
}

// Close releases the archive.
func (s *Store) Close() error { return s.db.Close() }

// Dir is the archive's folder, absolute.
func (s *Store) Dir() string { return s.dir }

// Seq grows with every change of records or of what was read; an index that
// notes it can tell what it has missed.
func (s *Store) Seq(ctx context.Context) (int64, error) {
	var n int64
	err := s.db.QueryRowContext(ctx, `SELECT seq FROM clock`).Scan(&n)
	return n, wrap("seq", err)
}

// tx runs f in one immediate transaction.
func (s *Store) tx(ctx context.Context, f func(*sql.Tx) error) error {
	t, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return describe(err)
	}
	if err := f(t); err != nil {
		t.Rollback()
		return describe(err)
	}
	return describe(t.Commit())
}

// reading runs f on one state of the database without keeping writers out: a
// transaction of tx takes the write lock at once, and readers would wait for each other.
func (s *Store) reading(ctx context.Context, f func(querier) error) error {
	c, err := s.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	if _, err := c.ExecContext(ctx, `BEGIN`); err != nil {
		return err
	}
	// The transaction must end whatever became of ctx: the connection is used on.
	defer c.ExecContext(context.WithoutCancel(ctx), `ROLLBACK`)
	return f(c)
}

// tick moves the clock on and returns the new count.
func tick(ctx context.Context, t *sql.Tx) (int64, error) {
	var n int64
	err := t.QueryRowContext(ctx, `UPDATE clock SET seq = seq + 1 RETURNING seq`).Scan(&n)
	return n, err
}

func isBusy(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && (e.Code&0xff == sqlite3.ErrBusy || e.Code&0xff == sqlite3.ErrLocked)
}

func wrap(what string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("archive: %s: %w", what, describe(err))
}

// number reads an id such as c12 or r87.
func number(prefix, id string) (int64, error) {
	n, err := strconv.ParseInt(strings.TrimPrefix(id, prefix), 10, 64)
	if !strings.HasPrefix(id, prefix) || err != nil || n < 1 {
		return 0, fmt.Errorf("%q is not an id like %s12: %w", id, prefix, ErrNotFound)
	}
	return n, nil
}

func name(prefix string, n int64) string { return prefix + strconv.FormatInt(n, 10) }
