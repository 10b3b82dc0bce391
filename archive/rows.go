package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"tankroll/record"
)

// Row is one record with all that leads back to its original, and with what
// people decided about it folded in.
type Row struct {
	ID       string // such as r87
	Capture  string // such as c12, where its slip begins; "" when entered by hand
	Page     int    // from 1; 0 when entered by hand
	Slip     int    // from 0, on the page
	Index    int    // from 0, on the slip
	File     string // the capture's file name
	Site     string // normalised by SiteKey: a person's word, else the printed number, else the printed name
	SiteName string // the site's name as printed
	SiteSure bool   // a person named the site, or it was read surely
	At       string // the time the record speaks of, "" when not known
	AtField  string // the field that At was taken from
	Record   record.Record
	Header   record.Header
	Turn     int
	Corners  [4]record.Point
	Paper    record.Paper
	Parts    []record.Part // of the slip, when it was joined of several pictures

	Confirmed bool   // a person looked at the whole record
	Rejected  bool   // a person said that this is no record
	ByHand    bool   // typed in from paper; never read by the program
	Note      string // the newest note that a person wrote
	Followed  string // what was done about it, the newest word
	Seq       int64  // of its last change
	Fact      string // equal for records that tell of the same event; "" when not known

	// A record that several pictures show has a row for each, and all rows say the
	// same: what the pictures say together. Parts are then those of all pictures.
	One    string   // the oldest row, which counts; "" in that row itself
	With   []string // the other rows
	Unseen bool     // the newest reading does not show it
	Gone   bool     // and so it counts no longer; only Record finds it
}

// Sure reports whether nothing about the record is in doubt: every field, the
// time it speaks of, and that it is a record at all.
func (r Row) Sure() bool {
	if r.Rejected || !r.Record.Sure() {
		return false
	}
	if r.AtField == "printed_at" {
		return r.Header.PrintedAt != nil && r.Header.PrintedAt.Sure
	}
	return true
}

// On gives the picture on which a box of the record or its header lies.
func (r Row) On(b record.Box) record.Part {
	if b.Part >= 0 && b.Part < len(r.Parts) {
		return r.Parts[b.Part]
	}
	return record.Part{Ref: record.Ref{File: r.File, Page: r.Page, Slip: r.Slip, Capture: r.Capture}, Corners: r.Corners, Turn: r.Turn}
}

// Filter chooses rows; zero fields choose everything. Rejected records are left
// out unless asked for.
type Filter struct {
	IDs      []string
	Site     string // a number or a name
	Kind     record.Kind
	Capture  string
	From, To string   // times or dates, both included; a row without a time is not between any
	SinceSeq int64    // changed after that
	Rejected bool     // rejected ones too
	Facts    []string // telling of one of these events
	ByHand   bool     // only those entered by hand
	Once     bool     // of a record that several pictures show, only the row that counts
	Doubt    string   // with these words in its text, as in a reason to doubt it
	Captures [2]int64 // of captures by the numbers of their ids, both included; zero for all
	Limit    int      // at most so many, 0 for all
}

// Rows lists records by the time they speak of, those without a time first.
func (s *Store) Rows(ctx context.Context, f Filter) ([]Row, error) {
	where, args, err := f.where()
	if err != nil {
		return nil, fmt.Errorf("archive: rows: %w", err)
	}
	q := where + ` ORDER BY r.at, r.id`
	if f.Limit > 0 {
		q += fmt.Sprintf(` LIMIT %d`, f.Limit)
	}
	return selectRows(ctx, s.db, q, args...)
}

// Record finds one record, also a rejected one; ErrNotFound when there is none.
func (s *Store) Record(ctx context.Context, id string) (Row, error) {
	n, err := number("r", id)
	if err != nil {
		return Row{}, fmt.Errorf("archive: record %w", err)
	}
	return oneRow(ctx, s.db, n)
}

// Changes is what happened to records and captures after a count of Seq.
type Changes struct {
	Seq      int64    // the count now
	Captures []string // read, or read again
	Records  []Changed
	Gone     []string // records that are no longer read from the picture
}

// Changed is a record that is new or changed.
type Changed struct {
	ID       string
	Fact     string // as Row.Fact
	Rejected bool
}

// Changes lists what changed after since.
func (s *Store) Changes(ctx context.Context, since int64) (Changes, error) {
	// The count is taken first: what comes in meanwhile is then seen twice
	// rather than never.
	seq, err := s.Seq(ctx)
	if err != nil {
		return Changes{}, err
	}
	c := Changes{Seq: seq}
	if c.Captures, err = s.names(ctx, "c", `SELECT id FROM captures WHERE seq > ? ORDER BY id`, since); err != nil {
		return Changes{}, err
	}
	if c.Gone, err = s.names(ctx, "r", `SELECT id FROM records WHERE gone = 1 AND seq > ? ORDER BY id`, since); err != nil {
		return Changes{}, err
	}
	c.Records, err = s.changed(ctx, since)
	return c, err
}

func (s *Store) changed(ctx context.Context, since int64) ([]Changed, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT id, fact, rejected FROM records WHERE gone = 0 AND seq > ? ORDER BY id`, since)
	if err != nil {
		return nil, wrap("changes", err)
	}
	defer rows.Close()
	var out []Changed
	for rows.Next() {
		var c Changed
		var n int64
		if err := rows.Scan(&n, &c.Fact, &c.Rejected); err != nil {
			return nil, wrap("changes", err)
		}
		c.ID = name("r", n)
		out = append(out, c)
	}
	return out, wrap("changes", rows.Err())
}

func (s *Store) names(ctx context.Context, prefix, query string, args ...any) ([]string, error) {
	rows, err := s.db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, wrap("changes", err)
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return nil, wrap("changes", err)
		}
		out = append(out, name(prefix, n))
	}
	return out, wrap("changes", rows.Err())
}

func (f Filter) where() (string, []any, error) {
	terms, args := []string{"r.gone = 0"}, []any{}
	add := func(term string, a ...any) {
		terms, args = append(terms, term), append(args, a...)
	}
	if f.IDs != nil {
		marks := make([]string, len(f.IDs))
		ids := make([]any, len(f.IDs))
		for i, id := range f.IDs {
			n, err := number("r", id)
			if err != nil {
				return "", nil, err
			}
			marks[i], ids[i] = "?", n
		}
		add(`r.id IN (`+strings.Join(marks, ",")+`)`, ids...)
	}
	if f.Capture != "" {
		n, err := number("c", f.Capture)
		if err != nil {
			return "", nil, err
		}
		add(`r.capture = ?`, n)
	}
	if f.Site != "" {
		add(`(r.site = ? OR upper(r.site_name) = ?)`, SiteKey(f.Site), SiteKey(f.Site))
	}
	if f.Kind != "" {
		add(`r.kind = ?`, string(f.Kind))
	}
	if f.From != "" {
		add(`r.at >= ?`, f.From)
	}
	if f.To != "" { // a date includes its whole day: 2025-03-14T10:00 begins with it
		add(`r.at <> '' AND (r.at <= ? OR substr(r.at, 1, length(?)) = ?)`, f.To, f.To, f.To)
	}
	if f.SinceSeq > 0 {
		add(`r.seq > ?`, f.SinceSeq)
	}
	if !f.Rejected {
		add(`r.rejected = 0`)
	}
	if f.Facts != nil {
		facts := make([]any, len(f.Facts))
		for i, fact := range f.Facts {
			facts[i] = fact
		}
		// Without the first term SQLite would not use records_fact, which leaves
		// empty facts out. IN (NULL) holds for nothing.
		add(`r.fact <> '' AND r.fact IN (?`+strings.Repeat(",?", max(len(facts)-1, 0))+`)`, append(facts, make([]any, max(1-len(facts), 0))...)...)
	}
	if f.Once {
		add(`r.one = 0`)
	}
	if f.Doubt != "" {
		add(`instr(r.now, ?) > 0`, f.Doubt)
	}
	if f.ByHand {
		add(`r.capture IS NULL`)
	}
	if f.Captures != [2]int64{} {
		add(`r.capture BETWEEN ? AND ?`, f.Captures[0], f.Captures[1])
	}
	return "WHERE " + strings.Join(terms, " AND "), args, nil
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func oneRow(ctx context.Context, q querier, n int64) (Row, error) {
	rows, err := selectRows(ctx, q, `WHERE r.id = ?`, n)
	if err != nil {
		return Row{}, err
	}
	if len(rows) == 0 {
		return Row{}, fmt.Errorf("archive: record %s: %w", name("r", n), ErrNotFound)
	}
	return rows[0], nil
}

// rowQuery selects what scanRow reads.
const rowQuery = `SELECT r.id, r.capture, r.page, r.slip, r.idx, coalesce(c.file, ''), r.place,
		r.site, r.site_name, r.site_sure, r.at, r.at_field, r.fact, r.now, r.now_head, r.confirmed, r.rejected, r.note, r.seq,
		r.followed, r.one, r.pictures, r.unseen, r.gone,
		CASE WHEN r.pictures = '' THEN NULL ELSE (SELECT group_concat(id) FROM (
			SELECT o.id FROM records o WHERE o.one = iif(r.one = 0, r.id, r.one) AND o.one <> 0 AND o.id <> r.id UNION SELECT nullif(r.one, 0) ORDER BY 1)) END
		FROM records r LEFT JOIN captures c ON c.id = r.capture `

func selectRows(ctx context.Context, q querier, tail string, args ...any) ([]Row, error) {
	rows, err := q.QueryContext(ctx, rowQuery+tail, args...)
	if err != nil {
		return nil, wrap("rows", err)
	}
	defer rows.Close()
	var out []Row
	known := slipParts{}
	for rows.Next() {
		r, err := known.scanRow(rows)
		if err != nil {
			return nil, wrap("rows", err)
		}
		out = append(out, r)
	}
	return out, wrap("rows", rows.Err())
}

// slipParts are what the rows of one slip share, by the text that it is kept as:
// a list of alarms has a hundred rows with one header.
type slipParts map[string]slipPart

type slipPart struct {
	place  place
	header record.Header
}

// maxSlipParts bounds what is remembered.
const maxSlipParts = 1000

func (known slipParts) of(at, head string) (slipPart, error) {
	key := at + head
	if p, ok := known[key]; ok {
		return p, nil
	}
	var p slipPart
	if err := json.Unmarshal([]byte(at), &p.place); err != nil {
		return p, err
	}
	if err := json.Unmarshal([]byte(head), &p.header); err != nil {
		return p, err
	}
	if len(known) >= maxSlipParts {
		clear(known)
	}
	known[key] = p
	return p, nil
}

// copied is a header that shares no field with another row's.
func copied(h record.Header) record.Header {
	for _, f := range []**record.Field{&h.Site, &h.SiteNumber, &h.Address, &h.PrintedAt} {
		if *f != nil {
			own := **f
			*f = &own
		}
	}
	return h
}

func (known slipParts) scanRow(rows *sql.Rows) (Row, error) {
	var r Row
	var id int64
	var capture sql.NullInt64
	var at, head, pictures string
	var now []byte
	var one int64
	var with sql.NullString
	err := rows.Scan(&id, &capture, &r.Page, &r.Slip, &r.Index, &r.File, &at,
		&r.Site, &r.SiteName, &r.SiteSure, &r.At, &r.AtField, &r.Fact, &now, &head, &r.Confirmed, &r.Rejected, &r.Note, &r.Seq,
		&r.Followed, &one, &pictures, &r.Unseen, &r.Gone, &with)
	if err != nil {
		return r, err
	}
	r.ID, r.ByHand = name("r", id), !capture.Valid
	if capture.Valid {
		r.Capture = name("c", capture.Int64)
	}
	p, err := known.of(at, head)
	if err == nil {
		err = r.Record.UnmarshalJSON(now)
	}
	if err != nil {
		return r, fmt.Errorf("record %s: %w: %w", r.ID, ErrDamaged, err)
	}
	r.Header = copied(p.header)
	r.Turn, r.Corners, r.Paper, r.Parts = p.place.Turn, p.place.Corners, p.place.Paper, slices.Clone(p.place.Parts)
	if pictures != "" {
		r.Parts = nil
		if err := json.Unmarshal([]byte(pictures), &r.Parts); err != nil {
			return r, fmt.Errorf("record %s: %w: %w", r.ID, ErrDamaged, err)
		}
	}
	if one != 0 {
		r.One = name("r", one)
	}
	if with.Valid {
		for _, id := range strings.Split(with.String, ",") {
			r.With = append(r.With, "r"+id)
		}
	}
	return r, nil
}
