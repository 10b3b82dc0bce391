package archive

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"database/sql/driver"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/mattn/go-sqlite3"
)

// Every row carries a seal, a checksum of all its values, so that a bit that
// flips in what was read is found as surely as one in an original. The seal is
// an index on an expression: SQLite keeps it up to date whatever writes the
// row, so that no code can forget it, and PRAGMA integrity_check compares it
// with the row. It guards against disks, not against people: whoever writes
// through SQL gets a new seal. Against those stands the journal's chain.
//
// Given up: a program that does not know the function seal can read tankroll.db
// but not write it.
const sealFunc = "seal"

const sealPrefix = "seal_"

// noSeal lists tables that need none: the hash of each journal entry is one.
var noSeal = []string{"journal"}

// connector opens connections that know the function seal. It stands in place
// of a driver registered by name, which would be a global.
type connector struct{ dsn string }

func (c connector) Connect(context.Context) (driver.Conn, error) { return c.Driver().Open(c.dsn) }

func (c connector) Driver() driver.Driver {
	return &sqlite3.SQLiteDriver{ConnectHook: func(conn *sqlite3.SQLiteConn) error {
		return conn.RegisterFunc(sealFunc, sealOf, true)
	}}
}

// Seal is what the file's own function of that name gives. A program that fills an
// archive without a Store, to measure with, must register it with its driver.
func Seal(values ...any) int64 { return sealOf(values...) }

// sealOf is the first 8 bytes of a SHA-256 over the values, each with its type
// and its length, so that no two lists of values run into each other.
func sealOf(values ...any) int64 {
	h := sha256.New()
	var head [9]byte
	put := func(kind byte, n uint64) {
		head[0] = kind
		binary.BigEndian.PutUint64(head[1:], n)
		h.Write(head[:])
	}
	for _, v := range values {
		switch v := v.(type) {
		case nil:
			put('n', 0)
		case int64:
			put('i', uint64(v))
		case float64:
			put('f', math.Float64bits(v))
		case string:
			put('t', uint64(len(v)))
			h.Write([]byte(v))
		case []byte:
			put('b', uint64(len(v)))
			h.Write(v)
		default:
			panic(fmt.Sprintf("internal error: seal of a %T", v)) // SQLite has no other types
		}
	}
	return int64(binary.BigEndian.Uint64(h.Sum(nil)))
}

// sealTables gives every table its seal, over all the columns it has now. It
// runs after migration steps, since a step may add tables and columns.
func sealTables(ctx context.Context, t *sql.Tx) error {
	tables, err := texts(ctx, t, `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\_%' ESCAPE '\' ORDER BY name`)
	if err != nil {
		return err
	}
	for _, table := range tables {
		if slices.Contains(noSeal, table) {
			continue
		}
		columns, err := texts(ctx, t, `SELECT name FROM pragma_table_info(?) ORDER BY cid`, table)
		if err != nil {
			return err
		}
		// The key comes first so that the index grows at its end, as the table does.
		key, err := texts(ctx, t, `SELECT name FROM pragma_table_info(?) WHERE pk > 0 ORDER BY pk`, table)
		if err != nil {
			return err
		}
		over := append(key, fmt.Sprintf("%s(%s)", sealFunc, strings.Join(columns, ", ")))
		for _, q := range []string{
			`DROP INDEX IF EXISTS ` + sealPrefix + table,
			fmt.Sprintf(`CREATE INDEX %s%s ON %s (%s)`, sealPrefix, table, table, strings.Join(over, ", ")),
		} {
			if _, err := t.ExecContext(ctx, q); err != nil {
				return fmt.Errorf("seal of %s: %w", table, err)
			}
		}
	}
	return nil
}

// texts is the first column of what a query gives.
func texts(ctx context.Context, q querier, query string, args ...any) ([]string, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, rows.Err()
}
