package archive

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"fmt"
	"io/fs"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/mattn/go-sqlite3"
)

// flips is how many bits a test flips: enough to notice a hole, or a thousand.
func flips(t *testing.T, few int) (int, *rand.Rand) {
	t.Helper()
	if os.Getenv("TANKROLL_LONG") != "" {
		few = 1000
	}
	seed := number64(t, "ARCHIVE_TEST_SEED", 20261126)
	t.Logf("%d flips, seed %d", few, seed)
	return few, rand.New(rand.NewSource(seed))
}

// sample makes an archive with some of everything, closed, and returns its
// folder.
func sample(t *testing.T) string {
	t.Helper()
	ctx := context.Background()
	dir := t.TempDir()
	s, err := Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	rng := rand.New(rand.NewSource(7))
	for i := range 6 {
		raw := make([]byte, 3000+500*i)
		rng.Read(raw)
		c, _, err := s.Keep(ctx, fmt.Sprintf("binder %d/slip.jpg", i), append([]byte("\xff\xd8\xff"), raw...), []string{"", "114"}[i%2])
		must(err)
		if i == 5 { // one page of it was read
			_, _, err := s.Queue().Claim(ctx, "crew", "", time.Minute)
			must(err)
			must(s.Queue().Note(ctx, c.ID, "crew", 2, tankTest("1", "2025-02-01T06:41", "pass")))
			break
		}
		p := tankTest(fmt.Sprint(i+1), fmt.Sprintf("2025-03-%02dT06:41", i+1), "pass")
		p.Slips[0].Slip.Lines[0].Words[0].Text = "TANK " + strings.Repeat("LEAK TEST ", 20<<(2*i)) // the last one has overflow pages
		must(s.SaveReadings(ctx, c.ID, []Reading{p, {Page: 2, Error: "no printed slip found"}}))
	}
	for _, d := range []Decision{
		{Record: "r1", Action: Confirm, By: "ann"}, {Record: "r2", Action: Correct, Field: "result", Value: "fail", Note: "see the paper"},
		{Record: "r3", Action: Reject}, {Record: "r3", Action: Undo},
	} {
		must(s.Decide(ctx, d))
	}
	_, err = s.Enter(ctx, Entry{Site: "9", Kind: "tank_test", Fields: map[string]any{"tank": "3", "result": "pass", "ended_at": "2026-02-01T05:00"}, Note: "roll torn"})
	must(err)
	must(joinTwo(ctx, s, "halves"))
	for i := range 2 { // two pictures of one printout, and a record that a person says is another
		c, _, err := s.Keep(ctx, "twice.jpg", fmt.Appendf(nil, "picture %d of it", i), "116")
		must(err)
		must(s.SaveReadings(ctx, c.ID, []Reading{tankTest("8", "2025-04-01T06:41", "pass")}))
	}
	twice, err := s.Rows(ctx, Filter{Site: "116"})
	must(err)
	if len(twice) != 2 || twice[1].One != twice[0].ID {
		t.Fatalf("two pictures are not one record: %+v", twice)
	}
	must(s.Decide(ctx, Decision{Record: twice[1].ID, Action: FollowUp, Note: "probe changed"}))
	must(s.Decide(ctx, Decision{Record: twice[0].ID, Action: Differ, Other: "r5"}))
	must(s.Looked(ctx, Watched{Path: "/scans/slip 1.pdf", Size: 12, Changed: time.Unix(1, 0), Error: "not a picture"}))
	must(s.LinkSite(ctx, Decision{Record: "c4", Value: "117", By: "ann"}))
	again := tankTest("4", "2025-03-04T06:41", "fail")
	again.OCRVersion++
	must(s.SaveReadings(ctx, "c4", []Reading{again, {Page: 2, Error: "no printed slip found"}}))
	must(s.Close())
	return dir
}

// verified is what Verify finds, also when it cannot look for what it found.
func verified(t *testing.T, dir string) []string {
	t.Helper()
	var out []string
	_, err := Verify(context.Background(), dir, VerifyOptions{Found: func(p Problem) {
		if p.Do == "" {
			t.Errorf("%v: says not what to do", p)
		}
		out = append(out, p.Error())
	}})
	if err != nil {
		out = append(out, err.Error())
	}
	return out
}

// silent opens connections for which every row has one and the same seal: what
// is written through it looks to SQLite like a bit that flipped on the disk.
type silent struct {
	dsn  string
	seal int64
}

func (c silent) Connect(context.Context) (driver.Conn, error) { return c.Driver().Open(c.dsn) }

func (c silent) Driver() driver.Driver {
	return &sqlite3.SQLiteDriver{ConnectHook: func(conn *sqlite3.SQLiteConn) error {
		return conn.RegisterFunc(sealFunc, func(...any) int64 { return c.seal }, true)
	}}
}

// cell is one stored value.
type cell struct {
	table, column string
	row           int64 // in the order of the table
	bytes         int
}

// cells lists every stored value of every table.
func cells(t *testing.T, db *sql.DB) []cell {
	t.Helper()
	ctx := context.Background()
	tables, err := texts(ctx, db, `SELECT name FROM sqlite_schema WHERE type = 'table'`)
	if err != nil {
		t.Fatal(err)
	}
	var out []cell
	for _, table := range tables {
		columns, err := texts(ctx, db, `SELECT name FROM pragma_table_info(?)`, table)
		if err != nil {
			t.Fatal(err)
		}
		for _, col := range columns {
			sizes, err := texts(ctx, db, fmt.Sprintf(`SELECT CASE WHEN %[1]s IS NULL THEN 0 WHEN typeof(%[1]s) = 'integer' THEN 8 ELSE length(CAST(%[1]s AS BLOB)) END FROM %[2]s NOT INDEXED`, col, table))
			if err != nil {
				t.Fatal(err)
			}
			for i, size := range sizes {
				var n int
				fmt.Sscan(size, &n)
				if n > 0 {
					out = append(out, cell{table, col, int64(i), n})
				}
			}
		}
	}
	return out
}

// TestVerifyFindsFlippedBits flips single bits in originals and in stored values,
// in proportion to their bytes; each is found.
func TestVerifyFindsFlippedBits(t *testing.T) {
	dir := sample(t)
	if bad := verified(t, dir); len(bad) > 0 {
		t.Fatalf("before: %v", bad)
	}
	path := filepath.Join(dir, dbName)
	whole := read(t, path)
	db := sql.OpenDB(connector{fileQuery(path).String()})
	all := cells(t, db)
	db.Close()
	total := 0
	for _, c := range all {
		total += c.bytes
	}
	files := originalFiles(t, dir)
	for _, f := range files {
		total += len(f.raw)
	}
	n, rng := flips(t, 16)
	found := 0
	for range n {
		at := rng.Intn(total)
		what := ""
		for _, f := range files {
			if at >= 0 && at < len(f.raw) {
				what = f.path
				raw := []byte(string(f.raw))
				raw[at] ^= 1 << rng.Intn(8)
				rewriteOriginal(t, f.path, raw)
			}
			at -= len(f.raw)
		}
		for _, c := range all {
			if at >= 0 && at < c.bytes {
				what = fmt.Sprintf("%+v byte %d", c, at)
				for bit := rng.Intn(8); !flipCell(t, path, c, at, bit); bit = rng.Intn(8) {
				}
			}
			at -= c.bytes
		}
		if bad := verified(t, dir); len(bad) > 0 {
			found++
		} else {
			t.Errorf("not found: %s", what)
		}
		restoreBytes(t, path, whole)
		for _, f := range files {
			if f.path == what {
				rewriteOriginal(t, f.path, f.raw)
			}
		}
	}
	t.Logf("%d of %d found", found, n)
	if bad := verified(t, dir); len(bad) > 0 {
		t.Fatalf("after: %v", bad)
	}
}

// TestVerifyFindsFlippedFile flips single bits anywhere in the database file.
// Each that changes a stored value or keeps any from being read is found. Some
// change nothing: they fall on free space, or on counters that no one needs.
func TestVerifyFindsFlippedFile(t *testing.T) {
	dir := sample(t)
	path := filepath.Join(dir, dbName)
	whole := read(t, path)
	was, err := dump(path)
	if err != nil {
		t.Fatal(err)
	}
	n, rng := flips(t, 40)
	changed, found, idle, told := 0, 0, 0, 0
	for range n {
		at, bit := rng.Intn(len(whole)), rng.Intn(8)
		raw := []byte(string(whole))
		raw[at] ^= 1 << bit
		restoreBytes(t, path, raw)
		now, err := dump(path)
		same := err == nil && now == was
		bad := verified(t, dir)
		switch {
		case same:
			idle++
			if len(bad) > 0 {
				told++
			}
		case len(bad) > 0:
			changed++
			found++
		default:
			changed++
			t.Errorf("not found: bit %d of byte %d", bit, at)
		}
	}
	t.Logf("%d of %d that changed something found; %d changed nothing, %d of them found", found, changed, idle, told)
	if changed == 0 {
		t.Error("no flip changed anything")
	}
	restoreBytes(t, path, whole)
	if bad := verified(t, dir); len(bad) > 0 {
		t.Fatalf("after: %v", bad)
	}
}

// dump is everything that can be read from a database: each table by its rows
// and by each of its indexes.
func dump(path string) (string, error) {
	ctx := context.Background()
	q := fileQuery(path)
	q.with("mode", "ro")
	db := sql.OpenDB(connector{q.String()})
	defer db.Close()
	var b strings.Builder
	add := func(query string, args ...any) ([]string, error) {
		list, err := texts(ctx, db, query, args...)
		fmt.Fprintln(&b, query, list)
		return list, err
	}
	if _, err := add(`PRAGMA user_version`); err != nil {
		return "", err
	}
	if _, err := add(`SELECT json_array(type, name, tbl_name, sql) FROM sqlite_schema`); err != nil {
		return "", err
	}
	tables, err := add(`SELECT name FROM sqlite_schema WHERE type = 'table'`)
	if err != nil {
		return "", err
	}
	for _, table := range tables {
		columns, err := texts(ctx, db, `SELECT name FROM pragma_table_info(?)`, table)
		if err != nil {
			return "", err
		}
		row := "hex(" + strings.Join(columns, ") || ' ' || hex(") + ")"
		ways := []string{"NOT INDEXED"}
		indexes, err := texts(ctx, db, `SELECT name FROM pragma_index_list(?) WHERE partial = 0`, table)
		if err != nil {
			return "", err
		}
		for _, i := range indexes {
			ways = append(ways, "INDEXED BY "+i)
		}
		for _, way := range ways {
			order := ""
			if way != "NOT INDEXED" { // all its columns in its order, so that it is walked
				cols, err := texts(ctx, db, `SELECT coalesce(name, '') FROM pragma_index_xinfo(?) WHERE key = 1`, strings.TrimPrefix(way, "INDEXED BY "))
				if err != nil {
					return "", err
				}
				if cols[0] != "" {
					order = " ORDER BY " + cols[0]
				}
			}
			if _, err := add(fmt.Sprintf(`SELECT %s FROM %s %s%s`, row, table, way, order)); err != nil {
				return "", err
			}
		}
	}
	return b.String(), nil
}

type originalFile struct {
	path string
	raw  []byte
}

func originalFiles(t *testing.T, dir string) []originalFile {
	t.Helper()
	var out []originalFile
	err := filepath.WalkDir(filepath.Join(dir, "originals"), func(p string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			out = append(out, originalFile{p, read(t, p)})
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func rewriteOriginal(t *testing.T, path string, raw []byte) {
	t.Helper()
	rewrite(t, path, raw)
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
}

func restoreBytes(t *testing.T, path string, raw []byte) {
	t.Helper()
	for _, tail := range []string{"-wal", "-shm"} {
		if err := os.Remove(path + tail); err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(path, raw, 0o644); err != nil {
		t.Fatal(err)
	}
}

// flipCell flips a bit of one stored value; all indexes but the seal follow. It
// reports whether the table could take the value: a key may be taken.
func flipCell(t *testing.T, path string, c cell, at, bit int) bool {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatalf("%+v: %v", c, err)
		}
	}
	ctx := context.Background()
	q := fileQuery(path)
	q.with("_foreign_keys", "off")
	q.with("_synchronous", "off")
	db := sql.OpenDB(connector{q.String()})
	columns, err := texts(ctx, db, `SELECT name FROM pragma_table_info(?) ORDER BY cid`, c.table)
	must(err)
	key, err := texts(ctx, db, `SELECT name FROM pragma_table_info(?) WHERE pk > 0`, c.table)
	must(err)
	if len(key) == 0 {
		key = []string{"rowid"}
	}
	where := strings.Join(key, " = ? AND ") + " = ?"
	ids, value, seal := make([]any, len(key)), any(nil), int64(0)
	into := []any{&value, &seal}
	for i := range ids {
		into = append(into, &ids[i])
	}
	must(db.QueryRow(fmt.Sprintf(`SELECT %s, seal(%s), %s FROM %s NOT INDEXED LIMIT 1 OFFSET %d`,
		c.column, strings.Join(columns, ", "), strings.Join(key, ", "), c.table, c.row)).Scan(into...))
	triggers, err := texts(ctx, db, `SELECT sql FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = ?`, c.table)
	must(err)
	must(db.Close())
	switch v := value.(type) {
	case int64:
		value = v ^ 1<<(8*at+bit)
	case string:
		raw := []byte(v)
		raw[at] ^= 1 << bit
		value = string(raw)
	default:
		t.Fatalf("%+v holds a %T", c, value)
	}
	db = sql.OpenDB(silent{q.String(), seal})
	defer db.Close()
	for _, tr := range triggers {
		_, err = db.Exec(`DROP TRIGGER ` + strings.Fields(tr)[2])
		must(err)
	}
	_, failed := db.Exec(fmt.Sprintf(`UPDATE %s SET %s = ? WHERE %s`, c.table, c.column, where), append([]any{value}, ids...)...)
	for _, tr := range triggers {
		_, err = db.Exec(tr)
		must(err)
	}
	return failed == nil
}
