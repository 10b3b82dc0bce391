package archive

import (
	"context"
	"database/sql"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
)

// maxDamage bounds how many complaints SQLite gives about one database: after a
// thousand nobody needs more to know that a backup is wanted.
const maxDamage = 1000

// database compares the database file with its own structure, and every row with
// its seal, beside other checks.
func (c *checker) database(ctx context.Context) error {
	c.work.Go(func() error { return c.databaseNow(ctx) })
	return nil
}

func (c *checker) databaseNow(ctx context.Context) error {
	for _, step := range []func(context.Context) error{c.header, c.integrity, c.schema, c.counts, c.foreign, c.relations} {
		if err := c.judge(ctx, dbName, step(ctx)); err != nil {
			return err
		}
	}
	return nil
}

// integrity asks SQLite, whose words about seals are put into ours.
func (c *checker) integrity(ctx context.Context) error {
	lines, err := texts(ctx, c.s.db, fmt.Sprintf(`PRAGMA integrity_check(%d)`, maxDamage))
	for _, l := range lines {
		if l == "ok" {
			continue
		}
		what, why := dbName, l
		if m := brokenSeal.FindStringSubmatch(l); m != nil {
			what, why = c.sealed(ctx, m[2], m[1]), "a stored value was changed behind the program's back ("+l+")"
		}
		c.found(Problem{what, fmt.Errorf("%w: %s", ErrDamaged, why), doRestore})
	}
	return err
}

var brokenSeal = regexp.MustCompile(`^row (\d+) missing from index ` + sealPrefix + `(\w+)$`)

// sealed names the row whose seal is broken, as exactly as the table allows.
func (c *checker) sealed(ctx context.Context, table, row string) string {
	n, err := strconv.ParseInt(row, 10, 64)
	if err != nil {
		return dbName
	}
	switch table {
	case "captures":
		return name("c", n)
	case "records":
		return name("r", n)
	case "superseded":
		var r int64
		if c.s.db.QueryRowContext(ctx, `SELECT record FROM superseded NOT INDEXED WHERE id = ?`, n).Scan(&r) == nil {
			return name("r", r)
		}
	}
	query := map[string]string{
		"readings": `SELECT capture, page, -1 FROM readings NOT INDEXED WHERE id = ?`,
		"slips":    `SELECT capture, page, slip FROM slips NOT INDEXED WHERE rowid = ?`,
		// Of a table without row numbers SQLite counts the rows.
		"pages": `SELECT capture, page, -1 FROM pages NOT INDEXED ORDER BY capture, page LIMIT 1 OFFSET ? - 1`,
		"begun": `SELECT capture, page, -1 FROM begun NOT INDEXED ORDER BY capture, page LIMIT 1 OFFSET ? - 1`,
	}[table]
	var capture, page, slip int64
	if query == "" || c.s.db.QueryRowContext(ctx, query, n).Scan(&capture, &page, &slip) != nil {
		return fmt.Sprintf("%s, table %s, row %s", dbName, table, row)
	}
	if slip < 0 {
		return fmt.Sprintf("%s page %d", name("c", capture), page)
	}
	return fmt.Sprintf("%s page %d slip %d", name("c", capture), page, slip)
}

// schema compares the tables with what the migrations make.
func (c *checker) schema(ctx context.Context) error {
	want, err := wantedSchema(ctx)
	if err != nil {
		return err
	}
	have, err := schemaOf(ctx, c.s.db)
	if err != nil {
		return err
	}
	if !slices.Equal(have, want) {
		return fmt.Errorf("%w: its tables, indexes or triggers are not those that this program makes", ErrDamaged)
	}
	return nil
}

func schemaOf(ctx context.Context, q querier) ([]string, error) {
	return texts(ctx, q, `SELECT json_array(type, name, tbl_name, sql) FROM sqlite_schema WHERE name NOT LIKE 'sqlite\_stat%' ESCAPE '\' ORDER BY type, name`)
}

// wantedSchema is the schema of a new archive.
func wantedSchema(ctx context.Context) ([]string, error) {
	db := sql.OpenDB(connector{"file::memory:?_foreign_keys=on"})
	defer db.Close()
	db.SetMaxOpenConns(1) // each connection would be a database of its own
	if err := migrate(ctx, db); err != nil {
		return nil, err
	}
	return schemaOf(ctx, db)
}

// counts looks at the numbers that give ids and order.
func (c *checker) counts(ctx context.Context) error {
	for _, q := range []struct{ what, count string }{
		{"the count of captures", `SELECT (SELECT count(*) FROM captures) > 0 AND coalesce((SELECT seq FROM sqlite_sequence WHERE name = 'captures'), 0) <> (SELECT max(id) FROM captures)`},
		{"the count of records", `SELECT (SELECT count(*) FROM records) > 0 AND coalesce((SELECT seq FROM sqlite_sequence WHERE name = 'records'), 0) <> (SELECT max(id) FROM records)`},
		{"the count of changes", `SELECT (SELECT count(*) FROM clock) <> 1 OR (SELECT max(seq) FROM clock) < max((SELECT coalesce(max(seq), 0) FROM records), (SELECT coalesce(max(seq), 0) FROM captures))`},
		{"the count of readings", `SELECT (SELECT count(*) FROM readings) > 0 AND coalesce((SELECT seq FROM sqlite_sequence WHERE name = 'readings'), 0) <> (SELECT max(id) FROM readings)`},
		{"the count of what earlier readings said", `SELECT (SELECT count(*) FROM superseded) > 0 AND coalesce((SELECT seq FROM sqlite_sequence WHERE name = 'superseded'), 0) <> (SELECT max(id) FROM superseded)`},
	} {
		var wrong bool
		if err := c.s.db.QueryRowContext(ctx, q.count).Scan(&wrong); err != nil {
			return err
		}
		if wrong {
			c.found(Problem{dbName, fmt.Errorf("%w: %s does not fit what is there", ErrDamaged, q.what), doRestore})
		}
	}
	return nil
}

// foreign looks for rows that name rows which are not there.
func (c *checker) foreign(ctx context.Context) error {
	rows, err := texts(ctx, c.s.db, `SELECT DISTINCT "table" || ' names ' || parent FROM pragma_foreign_key_check`)
	for _, r := range rows {
		c.found(Problem{dbName, fmt.Errorf("%w: a row of %s that is not there", ErrDamaged, r), doRestore})
	}
	return err
}

// header looks at the numbers at the start of the file that SQLite takes as they
// are, and at the write-ahead log.
func (c *checker) header(ctx context.Context) error {
	f, err := os.Open(filepath.Join(c.s.dir, dbName))
	if err != nil {
		return err
	}
	defer f.Close()
	var h [100]byte
	if _, err := io.ReadFull(f, h[:]); err != nil {
		return fmt.Errorf("%w: it is cut short: %w", ErrDamaged, err)
	}
	parts := headerParts
	if !emptyFile(filepath.Join(c.s.dir, dbName+"-wal")) {
		parts = nil // the newest header may be in the log
	}
	for _, part := range parts {
		if !slices.Contains(part.want, string(h[part.at:part.at+len(part.want[0])])) {
			c.found(Problem{dbName, fmt.Errorf("%w: its header says something else about %s than this program writes", ErrDamaged, part.what), doRestore})
		}
	}
	return c.writeAheadLog(ctx, int64(binary.BigEndian.Uint16(h[16:])))
}

// headerParts are the parts of the header that are always the same, by the
// file format of SQLite (https://www.sqlite.org/fileformat2.html).
var headerParts = []struct {
	at   int
	want []string // one of these
	what string
}{
	{18, []string{"\x02\x02", "\x01\x01"}, "how it is written"},
	{20, []string{"\x00\x40\x20\x20"}, "how its pages are filled"},
	{44, []string{"\x00\x00\x00\x04"}, "the schema's format"},
	{48, []string{"\x00\x00\x00\x00"}, "the cache"},
	{52, []string{"\x00\x00\x00\x00"}, "vacuuming"},
	{56, []string{"\x00\x00\x00\x01"}, "the text's encoding"},
	{64, []string{"\x00\x00\x00\x00\x00\x00\x00\x00"}, "vacuuming and the application"},
	{72, []string{"\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00"}, "what is reserved"},
}
