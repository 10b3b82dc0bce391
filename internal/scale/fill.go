package main

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/mattn/go-sqlite3" // the archive's own driver

	"tankroll/archive"
)

// fill makes an archive with so many records, written straight into its tables:
// taking in as many pictures would take weeks. It returns the slips.
func fill(ctx context.Context, dir string, records int, each func(no int, s made) error) (slips int, err error) {
	store, err := archive.Open(ctx, dir) // makes the tables
	if err != nil {
		return 0, err
	}
	if err := store.Close(); err != nil {
		return 0, err
	}
	db := sql.OpenDB(filled("file:" + filepath.Join(dir, "tankroll.db") + "?_journal_mode=OFF&_synchronous=OFF&_cache_size=-200000"))
	defer db.Close()
	tx, err := db.Begin()
	if err != nil {
		return 0, err
	}
	defer tx.Rollback()
	w := newWorld(records)
	f := &filler{tx: tx}
	for slips = 0; f.records < records; slips++ {
		s := w.slip(slips)
		if err := f.slip(slips+1, s); err != nil {
			return 0, err
		}
		if each != nil {
			if err := each(slips+1, s); err != nil {
				return 0, err
			}
		}
	}
	_, err = tx.Exec(`UPDATE clock SET seq = ?`, slips)
	return slips, errors.Join(err, tx.Commit())
}

// filled opens connections that know the seal of an archive's rows.
type filled string

func (f filled) Connect(context.Context) (driver.Conn, error) { return f.Driver().Open(string(f)) }

func (f filled) Driver() driver.Driver {
	return &sqlite3.SQLiteDriver{ConnectHook: func(c *sqlite3.SQLiteConn) error { return c.RegisterFunc("seal", archive.Seal, true) }}
}

type filler struct {
	tx      *sql.Tx
	records int
	stmts   map[string]*sql.Stmt
}

func (f *filler) exec(statement string, args ...any) error {
	if f.stmts == nil {
		f.stmts = map[string]*sql.Stmt{}
	}
	s := f.stmts[statement]
	if s == nil {
		var err error
		if s, err = f.tx.Prepare(statement); err != nil {
			return err
		}
		f.stmts[statement] = s
	}
	_, err := s.Exec(args...)
	return err
}

// slip writes one capture with one page, one slip and its records.
func (f *filler) slip(no int, s made) error {
	if err := f.exec(`INSERT INTO captures (id, sha256, ext, file, added_at, site, size, pages, read, seq) VALUES (?, ?, '.jpg', ?, ?, '', 500000, 1, 1, ?)`,
		no, fmt.Sprintf("%064x", no), fmt.Sprintf("IMG_%07d.jpg", no), s.printed+":00Z", no); err != nil {
		return err
	}
	if err := f.exec(`INSERT INTO pages (capture, page, error, ocr, grammar) VALUES (?, 1, '', 1, 1)`, no); err != nil {
		return err
	}
	head := fmt.Sprintf(`{"site":%s,"site_number":%s,"printed_at":%s}`,
		madeField{text: s.site.name, sure: true}.json(0), madeField{text: s.site.number, sure: true}.json(1), madeField{text: s.printed, sure: true}.json(2))
	var records []string
	for i, r := range s.records {
		records = append(records, r.json(4+5*i))
	}
	if err := f.exec(`INSERT INTO slips (capture, page, slip, seen, said) VALUES (?, 1, 0, ?, ?)`,
		no, seen(s.lines), fmt.Sprintf(`{"header":%s,"records":[%s]}`, head, strings.Join(records, ","))); err != nil {
		return err
	}
	place := `{"turn":0,"corners":[[100,80],[1100,80],[1100,2300],[100,2300]],"paper":{"ink":0.62,"end_of_roll":false,"cut_off":false,"blurred":false}}`
	for i, r := range s.records {
		f.records++
		fact := strings.Join([]string{r.kind, s.site.number, r.at, r.what, r.text("test_class"), strings.ToUpper(r.text("result")), strings.ToUpper(r.text("state")), strings.ToUpper(r.text("event")), ""}, "\x1f")
		atField := "at"
		if r.text("ended_at") != "" {
			atField = "ended_at"
		}
		if err := f.exec(`INSERT INTO records (id, capture, page, slip, idx, place, read, header, kind, site, site_name, site_sure, at, at_field, fact, now, now_head, confirmed, rejected, note, seq)
			VALUES (?, ?, 1, 0, ?, ?, '{}', '{}', ?, ?, ?, 1, ?, ?, ?, ?, ?, 0, 0, '', ?)`,
			f.records, no, i, place, r.kind, s.site.number, s.site.name, r.at, atField, fact, records[i], head, no); err != nil {
			return err
		}
	}
	return nil
}

func (r madeRecord) text(name string) string {
	for _, f := range r.fields {
		if f.name == name {
			return f.text
		}
	}
	return ""
}

func (r madeRecord) json(line int) string {
	var parts []string
	for i, f := range r.fields {
		parts = append(parts, fmt.Sprintf("%q:%s", f.name, f.json(line+i/2)))
	}
	return fmt.Sprintf(`{"kind":%q,"fields":{%s},"doubts":null,"box":[100,%d,900,150]}`, r.kind, strings.Join(parts, ","), 100+30*line)
}

func (f madeField) json(line int) string {
	value, unit, confidence := fmt.Sprintf("%q", f.text), "", 0.995
	if f.number {
		value, unit = f.text, fmt.Sprintf(`"unit":%q,`, f.unit)
	}
	if !f.sure {
		confidence = 0.71
	}
	return fmt.Sprintf(`{"value":%s,%s"text":%q,"box":[%d,%d,%d,24],"confidence":%g,"sure":%t,"origin":"printed"}`,
		value, unit, f.text, 400, 100+30*line, 14*len(f.text), confidence, f.sure)
}

// seen is the slip as the reader gives it, with a place and a confidence for
// every word.
func seen(lines []string) string {
	var b strings.Builder
	b.WriteString(`{"corners":[[100,80],[1100,80],[1100,2300],[100,2300]],"turn":0,"paper":{"ink":0.62,"end_of_roll":false,"cut_off":false,"blurred":false},"lines":[`)
	first := true
	for i, l := range lines {
		if l == "" {
			continue
		}
		if !first {
			b.WriteString(",")
		}
		first = false
		b.WriteString(`{"words":[`)
		col := 0
		for k, w := range strings.Fields(l) {
			if k > 0 {
				b.WriteString(",")
			}
			fmt.Fprintf(&b, `{"text":%q,"col":%d,"width":%d,"box":[%d,%d,%d,24],"confidence":0.9871234,"as_figures":0.9765432}`, w, col, len(w), 100+14*col, 100+30*i, 14*len(w))
			col += len(w) + 1
		}
		fmt.Fprintf(&b, `],"box":[100,%d,%d,24]}`, 100+30*i, 14*col)
	}
	b.WriteString(`]}`)
	return b.String()
}
