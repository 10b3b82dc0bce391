package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/mattn/go-sqlite3"
)

// What lies beside the database while it is brought forward, and after.
const (
	scratchName = dbName + ".migrating"
	keptName    = dbName + ".before-format-%d"
)

// bringForward brings an archive of an older format to this program's, on a copy:
//
//  1. the database is locked, so that nobody else has it open;
//  2. a copy of it is synced and kept as tankroll.db.before-format-N;
//  3. the steps work on a second copy, which is then checked;
//  4. that takes the database's place in one transaction.
//
// A crash anywhere leaves the old or the new. The file keeps its place, so another
// process that waits for the lock finds the new one. What was kept is never
// deleted by the program.
func (s *Store) bringForward(ctx context.Context) error {
	have, err := s.format(ctx)
	if err != nil {
		return err
	}
	if have > len(migrations) {
		return newerFormat(have)
	}
	if have == 0 || have == len(migrations) {
		return nil // a new one is made in its place, there is nothing to lose
	}
	q := s.query(dbName)
	q.with("_synchronous", "EXTRA") // also the end of a journal is synced
	db := sql.OpenDB(connector{q.String()})
	defer db.Close()
	live, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer live.Close()
	if err := alone(ctx, live); err != nil {
		return err
	}
	// Asked again under the lock: another process may have been faster.
	if err := live.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&have); err != nil || have >= len(migrations) {
		return err
	}
	if err := s.forward(ctx, live); err != nil {
		s.clearScratch() // if it can; the next try does so first
		return fmt.Errorf("bring it from format %d to %d: %w", have, len(migrations), err)
	}
	return s.clearScratch()
}

// format is the format of the database that is there, 0 when there is none. It
// changes nothing unless a crash left something to be taken back first.
func (s *Store) format(ctx context.Context) (have int, err error) {
	if _, err := os.Stat(filepath.Join(s.dir, dbName)); errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	ask := func(mode string) error {
		q := s.query(dbName)
		q.with("mode", mode)
		db := sql.OpenDB(connector{q.String()})
		defer db.Close()
		return db.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&have)
	}
	err = ask("ro")
	var e sqlite3.Error
	if errors.As(err, &e) && (e.Code == sqlite3.ErrReadonly || e.Code == sqlite3.ErrCantOpen) {
		err = ask("rw")
	}
	return have, err
}

// alone locks the database until the connection is closed. It fails as busy when
// anybody else has it open.
func alone(ctx context.Context, live *sql.Conn) error {
	var mode string
	if err := live.QueryRowContext(ctx, `PRAGMA locking_mode = EXCLUSIVE`).Scan(&mode); err != nil {
		return err
	}
	// Without a write-ahead log the database is one file. This needs the lock.
	if err := live.QueryRowContext(ctx, `PRAGMA journal_mode = DELETE`).Scan(&mode); err != nil {
		return err
	}
	if mode != "delete" {
		return sqlite3.Error{Code: sqlite3.ErrBusy}
	}
	_, err := live.ExecContext(ctx, `BEGIN EXCLUSIVE; COMMIT`) // the lock stays
	return err
}

func (s *Store) forward(ctx context.Context, live *sql.Conn) error {
	scratch := filepath.Join(s.dir, scratchName)
	if err := s.onScratch(ctx, live, nil); err != nil {
		return err
	}
	if err := s.disk.syncFile(scratch); err != nil {
		return err
	}
	if err := s.disk.rename(scratch, filepath.Join(s.dir, fmt.Sprintf(keptName, len(migrations)))); err != nil {
		return err
	}
	if err := s.disk.syncDir(s.dir); err != nil {
		return err
	}
	err := s.onScratch(ctx, live, func(db *sql.DB) error {
		if err := migrate(ctx, db); err != nil {
			return err
		}
		for _, check := range []string{`PRAGMA integrity_check(1)`, `PRAGMA foreign_key_check`} {
			bad, err := anyRow(ctx, db, check)
			if err != nil {
				return err
			}
			if bad != "" && bad != "ok" {
				return fmt.Errorf("%s is %w, nothing was changed, restore it from a backup: %s", dbName, ErrDamaged, bad)
			}
		}
		new, err := db.Conn(ctx)
		if err != nil {
			return err
		}
		defer new.Close()
		return copyPages(live, new)
	})
	if err != nil {
		return err
	}
	return s.disk.syncDir(s.dir)
}

// onScratch copies the database to the scratch file and works on it.
func (s *Store) onScratch(ctx context.Context, live *sql.Conn, work func(*sql.DB) error) error {
	if err := s.clearScratch(); err != nil { // that a crash left
		return err
	}
	q := s.query(scratchName)
	q.with("_txlock", "immediate")
	q.with("_journal_mode", "OFF") // what fails here is thrown away as a whole
	db := sql.OpenDB(connector{q.String()})
	defer db.Close()
	db.SetMaxOpenConns(1)
	scratch, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	err = copyPages(scratch, live)
	if err := errors.Join(err, scratch.Close()); err != nil || work == nil {
		return err
	}
	return work(db)
}

func (s *Store) clearScratch() error {
	for _, tail := range []string{"", "-journal"} {
		path := filepath.Join(s.dir, scratchName+tail)
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err := s.disk.remove(path); err != nil {
			return err
		}
	}
	return nil
}

// anyRow is the first value of what a query gives, "" when it gives nothing.
func anyRow(ctx context.Context, q querier, query string) (string, error) {
	rows, err := q.QueryContext(ctx, query)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	if !rows.Next() {
		return "", rows.Err()
	}
	columns, err := rows.Columns()
	if err != nil {
		return "", err
	}
	first := make([]any, len(columns))
	var text sql.NullString
	for i := range first {
		first[i] = new(any)
	}
	first[0] = &text
	err = rows.Scan(first...)
	return text.String, err
}

// migrate brings the database up to this program's version.
func migrate(ctx context.Context, db *sql.DB) error {
	var have int
	if err := db.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&have); err != nil {
		return err
	}
	if have == len(migrations) {
		return nil
	}
	t, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer t.Rollback()
	// Asked again inside the transaction: another process may have been faster.
	if err := t.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&have); err != nil {
		return err
	}
	if have > len(migrations) {
		return newerFormat(have)
	}
	was := have
	for ; have < len(migrations); have++ {
		if _, err := t.ExecContext(ctx, migrations[have]); err != nil {
			return fmt.Errorf("format %d: %w", have+1, err)
		}
		if _, err := t.ExecContext(ctx, fmt.Sprintf(`PRAGMA user_version = %d`, have+1)); err != nil {
			return err
		}
	}
	if was > 0 && was < twinsFormat {
		if err := findTwins(ctx, t); err != nil {
			return fmt.Errorf("records that are one: %w", err)
		}
	}
	if err := sealTables(ctx, t); err != nil {
		return err
	}
	return t.Commit()
}

// twinsFormat is the format from which on every record has the key by which other
// pictures of it are found. Records from before format 3 had none until they changed.
const twinsFormat = 6

// findTwins groups all records anew, slip by slip: each finds those before it.
func findTwins(ctx context.Context, t *sql.Tx) error {
	seq, err := tick(ctx, t)
	if err != nil {
		return err
	}
	type slip struct{ capture, page, slip int64 }
	var slips []slip
	rows, err := t.QueryContext(ctx, `SELECT DISTINCT capture, page, slip FROM records WHERE capture IS NOT NULL ORDER BY 1, 2, 3`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var s slip
		if err := rows.Scan(&s.capture, &s.page, &s.slip); err != nil {
			return err
		}
		slips = append(slips, s)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, s := range slips {
		ids, err := numbers(ctx, t, `SELECT id FROM records WHERE capture = ? AND page = ? AND slip = ? ORDER BY idx, id`, s.capture, s.page, s.slip)
		if err != nil {
			return err
		}
		if err := regroup(ctx, t, seq, ids); err != nil {
			return err
		}
	}
	return nil
}

func newerFormat(have int) error {
	return fmt.Errorf("%w (format %d, this one knows up to %d): use the newer program, nothing was changed",
		ErrNewer, have, len(migrations))
}
