//go:build sqlite_fts5

package main

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand"
	"os"
	"slices"
	"strings"
	"time"
)

// rival is what the index is measured beside: the same rows in SQLite's own
// tables with the indexes that the questions want, and the words of the slips in
// its full text index. It knows nothing of misread characters, of doubtful
// records that may answer, or of why nothing does.
type rival struct {
	path    string
	db      *sql.DB
	tx      *sql.Tx
	records int
	sites   int
	seconds float64
}

func newRival(path string) (*rival, error) { return &rival{path: path}, nil }

const rivalSchema = `
CREATE TABLE rec (id INTEGER PRIMARY KEY, slip INTEGER, kind TEXT, site TEXT, class TEXT, result TEXT, grade TEXT, tank TEXT, line TEXT, state TEXT, at TEXT);
CREATE VIRTUAL TABLE words USING fts5 (body, content='', tokenize='unicode61');`

const rivalIndexes = `
CREATE INDEX rec_at ON rec (kind, at);
CREATE INDEX rec_site ON rec (site, kind, at);
CREATE INDEX rec_result ON rec (kind, result, at);
CREATE INDEX rec_slip ON rec (slip);
ANALYZE;`

func (r *rival) add(no int, s made) error {
	if r.db == nil {
		if err := r.open(); err != nil {
			return err
		}
	}
	start := time.Now()
	defer func() { r.seconds += time.Since(start).Seconds() }()
	if _, err := r.tx.Exec(`INSERT INTO words (rowid, body) VALUES (?, ?)`, no, strings.Join(s.lines, "\n")); err != nil {
		return err
	}
	for _, m := range s.records {
		r.records++
		if _, err := r.tx.Exec(`INSERT INTO rec VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, r.records, no, m.kind, s.site.number, m.text("test_class"),
			m.text("result"), m.text("grade"), m.text("tank"), m.text("line"), m.text("state"), m.at); err != nil {
			return err
		}
	}
	return nil
}

func (r *rival) open() error {
	var err error
	os.Remove(r.path)
	if r.db, err = sql.Open("sqlite3", "file:"+r.path+"?_journal_mode=OFF&_synchronous=OFF"); err != nil {
		return err
	}
	r.db.SetMaxOpenConns(1)
	if _, err := r.db.Exec(rivalSchema); err != nil {
		return err
	}
	r.tx, err = r.db.Begin()
	return err
}

// The questions that can be put in SQL, with the same meaning as those with the
// same place in ours.
var rivalAsks = []struct{ find, count string }{
	{`SELECT id FROM rec WHERE kind='tank_test' AND site=@site AND class='0.2' AND result='pass' AND grade='diesel' ORDER BY at DESC LIMIT 1`,
		`SELECT count(*) FROM rec WHERE kind='tank_test' AND site=@site AND class='0.2' AND result='pass' AND grade='diesel'`},
	{`SELECT id FROM rec WHERE kind='tank_test' AND class='0.2' AND result='pass' AND grade='diesel' ORDER BY at DESC LIMIT 1`,
		`SELECT count(*) FROM rec WHERE kind='tank_test' AND class='0.2' AND result='pass' AND grade='diesel'`},
	{`SELECT id FROM rec WHERE kind='line_test' AND site=@site AND result='pass' AND line=@tank ORDER BY at DESC LIMIT 1`,
		`SELECT count(*) FROM rec WHERE kind='line_test' AND site=@site AND result='pass' AND line=@tank`},
	{`SELECT id FROM rec WHERE kind='tank_test' AND result='fail' AND at BETWEEN @year AND @year||'-99' ORDER BY at DESC LIMIT 1000`,
		`SELECT count(*) FROM rec WHERE kind='tank_test' AND result='fail' AND at BETWEEN @year AND @year||'-99'`},
	{`SELECT id FROM rec WHERE kind='tank_test' AND result='fail' ORDER BY at DESC LIMIT 1000`,
		`SELECT count(*) FROM rec WHERE kind='tank_test' AND result='fail'`},
	{`SELECT id FROM rec WHERE kind='alarm' AND at BETWEEN @year||'-03' AND @year||'-03-99' AND state='raised' ORDER BY at DESC LIMIT 1000`,
		`SELECT count(*) FROM rec WHERE kind='alarm' AND at BETWEEN @year||'-03' AND @year||'-03-99' AND state='raised'`},
	{`SELECT id FROM rec WHERE kind='delivery' AND grade='premium' AND site=@site AND at BETWEEN @year||'-03' AND @year||'-03-99' ORDER BY at DESC LIMIT 1000`,
		`SELECT count(*) FROM rec WHERE kind='delivery' AND grade='premium' AND site=@site AND at BETWEEN @year||'-03' AND @year||'-03-99'`},
}

var rivalSearches = []string{`diesel`, `"tightness report"`, `"fuel in sump"`, `inconclusive`, `temperature`}

// measure finishes the rows and asks them.
func (r *rival) measure(n int) error {
	made := "        " // when the archive was there already, so was this
	if r.db == nil {
		if _, err := os.Stat(r.path); err != nil {
			return nil
		}
		var err error
		if r.db, err = sql.Open("sqlite3", "file:"+r.path+"?mode=ro"); err != nil {
			return err
		}
		defer r.db.Close()
	} else {
		defer r.db.Close()
		start := time.Now()
		if err := r.tx.Commit(); err != nil {
			return err
		}
		if _, err := r.db.Exec(rivalIndexes); err != nil {
			return err
		}
		made = fmt.Sprintf("%8.1f", r.seconds+time.Since(start).Seconds())
	}
	rng := rand.New(rand.NewSource(2))
	var asks, finds []float64
	for i := range 300 {
		q := rivalAsks[i%len(rivalAsks)]
		args := []any{sql.Named("site", fmt.Sprint(100+rng.Intn(max(n/recordsASite, 1)))), sql.Named("tank", fmt.Sprint(1+rng.Intn(4))), sql.Named("year", fmt.Sprint(firstYear+rng.Intn(years)))}
		ms, err := r.time(q.find, args)
		if err != nil {
			return err
		}
		more, err := r.time(q.count, args)
		if err != nil {
			return err
		}
		asks = append(asks, ms+more)
	}
	for i := range 50 {
		words := rivalSearches[i%len(rivalSearches)]
		ms, err := r.time(`SELECT rowid FROM words WHERE words MATCH ? ORDER BY rank LIMIT 20`, []any{words})
		if err != nil {
			return err
		}
		finds = append(finds, ms)
	}
	slices.Sort(asks)
	slices.Sort(finds)
	fmt.Printf("%-9s %8s %9s %s %9s %9d | %6.1f ms %6.1f ms %9s | %9s %9s | %6.1f ms %6.1f ms   SQLite with FTS5: rows alone, no records read, no misread words\n",
		"", "", "", made, "", sizeOf(r.path)/int64(n), at(asks, 0.5), at(asks, 0.99), "", "", "", at(finds, 0.5), at(finds, 0.99))
	return nil
}

func (r *rival) time(q string, args []any) (float64, error) {
	start := time.Now()
	rows, err := r.db.QueryContext(context.Background(), q, args...)
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	for rows.Next() {
		var id int64
		if err := rows.Scan(&id); err != nil {
			return 0, err
		}
	}
	return 1000 * time.Since(start).Seconds(), rows.Err()
}
