// Package table keeps which records have which values: for every value of every
// field the set of the numbers of the records that have it, in one SQLite file.
// A question is then answered by cutting sets with each other, which takes
// about as long for a million records as for a few.
//
// Start with Create or Open; Write changes the file in one transaction, View
// reads it. Several processes may use one file.
package table

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"maps"
	"net/url"
	"os"
	"path/filepath"

	_ "github.com/mattn/go-sqlite3" // the driver named in openDB
)

// ErrDamaged says that the file cannot be what was written.
var ErrDamaged = errors.New("the index's table is damaged")

// ErrChanged says that the file was written since the view was made; a new
// view must be made and the question asked again.
var ErrChanged = errors.New("the index changed meanwhile")

// busyTimeout is how long a call waits for another process that writes, in
// milliseconds. Catching up with a large batch takes a few seconds.
const busyTimeout = "30000"

const schema = `
CREATE TABLE note (key TEXT PRIMARY KEY, value INTEGER NOT NULL) STRICT, WITHOUT ROWID;
INSERT INTO note VALUES ('stamp', 1);
CREATE TABLE term (id INTEGER PRIMARY KEY, field TEXT NOT NULL, value TEXT NOT NULL, UNIQUE (field, value)) STRICT;
CREATE TABLE post (term INTEGER NOT NULL, chunk INTEGER NOT NULL, bits BLOB NOT NULL, PRIMARY KEY (term, chunk)) STRICT;
CREATE TABLE number (name TEXT NOT NULL, chunk INTEGER NOT NULL, bits BLOB NOT NULL, PRIMARY KEY (name, chunk)) STRICT;
CREATE TABLE doc (no INTEGER PRIMARY KEY, fact INTEGER NOT NULL, terms BLOB NOT NULL) STRICT; -- to take a record out again
CREATE TABLE slip (no INTEGER PRIMARY KEY, capture INTEGER NOT NULL, page INTEGER NOT NULL, slip INTEGER NOT NULL) STRICT;
CREATE TABLE part (name TEXT PRIMARY KEY, docs INTEGER NOT NULL, sum TEXT NOT NULL) STRICT, WITHOUT ROWID;
`

// Made after a new table is filled, which is faster.
const indexes = `
CREATE INDEX IF NOT EXISTS doc_fact ON doc (fact) WHERE fact <> 0;
CREATE INDEX IF NOT EXISTS slip_place ON slip (capture, page, slip);
`

// Table is an open file. Its methods may be called from several goroutines.
type Table struct {
	path  string
	read  *sql.DB
	write *sql.DB
}

// Create makes a new file to be filled; once it is filled it is closed and opened
// again by those who use it. Until then a crash may spoil it.
func Create(path string) (*Table, error) {
	t, err := openDB(path, url.Values{"_journal_mode": {"OFF"}, "_synchronous": {"OFF"}})
	if err != nil {
		return nil, err
	}
	if _, err := t.write.Exec(schema); err != nil {
		t.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return t, nil
}

// Open opens a file that Create made.
func Open(path string) (*Table, error) {
	if info, err := os.Stat(path); err != nil || info.Size() == 0 {
		return nil, fmt.Errorf("%s: %w: %w", path, ErrDamaged, errors.Join(err))
	}
	// What a power cut takes is read from the archive again.
	return openDB(path, url.Values{"_journal_mode": {"WAL"}, "_synchronous": {"NORMAL"}})
}

func openDB(path string, mode url.Values) (*Table, error) {
	open := func(lock string) (*sql.DB, error) {
		u := url.URL{Scheme: "file", OmitHost: true, Path: filepath.ToSlash(path)}
		q := maps.Clone(mode)
		q["_busy_timeout"], q["_txlock"] = []string{busyTimeout}, []string{lock}
		return sql.Open("sqlite3", u.String()+"?"+q.Encode())
	}
	read, err := open("deferred")
	if err != nil {
		return nil, err
	}
	read.SetMaxOpenConns(4)
	write, err := open("immediate")
	if err != nil {
		read.Close()
		return nil, err
	}
	write.SetMaxOpenConns(1)
	return &Table{path, read, write}, nil
}

// Close releases the file.
func (t *Table) Close() error { return errors.Join(t.read.Close(), t.write.Close()) }

// Note is a number that was noted with Writer.Note, 0 when there is none.
func (t *Table) Note(ctx context.Context, key string) (int64, error) {
	var n int64
	err := t.read.QueryRowContext(ctx, `SELECT value FROM note WHERE key = ?`, key).Scan(&n)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return n, damage(ctx, err)
}

// damage marks an error of the database as such: the file is derived, and
// whatever is wrong with it is mended by making it anew.
func damage(ctx context.Context, err error) error {
	if err == nil || ctx.Err() != nil || errors.Is(err, ErrChanged) || errors.Is(err, ErrDamaged) {
		return err
	}
	return fmt.Errorf("%w: %w", ErrDamaged, err)
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// sealed puts a checksum before the bytes: SQLite does not notice a flipped bit.
func sealed(raw []byte) []byte {
	return append(binary.LittleEndian.AppendUint32(nil, crc32.Checksum(raw, castagnoli)), raw...)
}

func unsealed(raw []byte) ([]byte, error) {
	if len(raw) < 4 || binary.LittleEndian.Uint32(raw) != crc32.Checksum(raw[4:], castagnoli) {
		return nil, fmt.Errorf("%w: a checksum is wrong", ErrDamaged)
	}
	return raw[4:], nil
}
