package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"tankroll/record"
)

// Reading is what was read from one page of a capture, and by which versions
// of the reader and the grammar.
type Reading struct {
	Capture        string
	Page           int    // from 1
	Error          string // why the page could not be read, or ""
	OCRVersion     int
	GrammarVersion int
	Slips          []SlipReading

	Number int64     // in the account of readings; 0 is a reading of its own that was not kept yet
	ReadAt time.Time // zero for now; in one that was kept, when that was not noted
}

// SlipReading is one slip as it was seen on its page and as it was understood,
// with its links to the slips of other pictures.
type SlipReading struct {
	Slip   record.Slip
	Report record.Report
	Links
}

// place is where a record stands, kept with it so that it is one step from its
// original whatever later readings say.
type place struct {
	Turn    int             `json:"turn"`
	Corners [4]record.Point `json:"corners"`
	Paper   record.Paper    `json:"paper"`
	Parts   []record.Part   `json:"parts,omitempty"`
}

// SaveReadings stores what was read from all pages of a capture, in one
// transaction, and makes its records. When the capture was read before, records
// that are found again keep their ids and what people decided about them; a
// record that is not found again stays when a person has decided something
// about it, with a doubt that says so, and goes otherwise. What the earlier
// reading said is kept where it differs (Story).
func (s *Store) SaveReadings(ctx context.Context, captureID string, readings []Reading) error {
	return s.SaveTogether(ctx, Pages{captureID, readings})
}

// Pages are the readings of all pages of one capture.
type Pages struct {
	Capture  string
	Readings []Reading
}

// SaveTogether is SaveReadings for several captures in one transaction, as when
// a slip was joined of their pictures. A joined slip stands in the reading of
// the page where it begins (Links.Whole) and the pages of its other parts point
// there (Links.Into). Where one of the two is missing, because a capture was
// read again on its own, the other is taken back: every slip is then read as it
// was seen on its own page, and no record is lost.
func (s *Store) SaveTogether(ctx context.Context, all ...Pages) error {
	what := ""
	err := s.tx(ctx, func(t *sql.Tx) error { return s.saveTogether(ctx, t, all, &what) })
	if err != nil {
		return fmt.Errorf("archive: save readings of %s: %w", what, err)
	}
	return nil
}

// saveTogether does it; what names the capture that it is at.
func (s *Store) saveTogether(ctx context.Context, t *sql.Tx, all []Pages, what *string) error {
	seq, err := tick(ctx, t)
	if err != nil {
		return err
	}
	var saved []int64
	linked := map[int64]bool{}
	for _, p := range all {
		*what = p.Capture
		c, err := number("c", p.Capture)
		if err != nil {
			return err
		}
		if err := s.savePages(ctx, t, c, seq, p.Readings, linked); err != nil {
			return err
		}
		saved = append(saved, c)
	}
	changed, err := settleLinks(ctx, t, seq, saved, linked)
	if err != nil {
		return err
	}
	return saveRecords(ctx, t, seq, changed)
}

// savePages puts the readings of a capture in place of those it had. The
// captures that either is linked to are added to linked.
func (s *Store) savePages(ctx context.Context, t *sql.Tx, c, seq int64, readings []Reading, linked map[int64]bool) error {
	r, err := t.ExecContext(ctx, `UPDATE captures SET read = 1, pages = ?, seq = ? WHERE id = ?`, len(readings), seq, c)
	if err != nil {
		return err
	}
	if n, err := r.RowsAffected(); err != nil || n == 0 {
		return errors.Join(ErrNotFound, err)
	}
	for _, q := range []string{`DELETE FROM jobs WHERE capture = ?`, `DELETE FROM begun WHERE capture = ?`} {
		if _, err := t.ExecContext(ctx, q, c); err != nil {
			return err
		}
	}
	old, err := pageReadings(ctx, t, c)
	if err != nil {
		return err
	}
	for _, list := range [][]Reading{old, readings} {
		if err := noteLinks(list, linked); err != nil {
			return err
		}
	}
	if _, err := t.ExecContext(ctx, `DELETE FROM pages WHERE capture = ?`, c); err != nil {
		return err
	}
	for _, p := range readings {
		if p.Number == 0 {
			if p.Number, err = s.noteReading(ctx, t, c, p); err != nil {
				return err
			}
		}
		if err := savePage(ctx, t, c, p); err != nil {
			return fmt.Errorf("page %d: %w", p.Page, err)
		}
	}
	return nil
}

func savePage(ctx context.Context, t *sql.Tx, c int64, p Reading) error {
	if _, err := t.ExecContext(ctx, `INSERT INTO pages (capture, page, error, ocr, grammar, reading) VALUES (?, ?, ?, ?, ?, ?)`,
		c, p.Page, p.Error, p.OCRVersion, p.GrammarVersion, p.Number); err != nil {
		return err
	}
	for i, sl := range p.Slips {
		seen, err := json.Marshal(sl.Slip)
		if err != nil {
			return err
		}
		said, err := json.Marshal(sl.Report)
		if err != nil {
			return err
		}
		links, err := sl.Links.text()
		if err != nil {
			return err
		}
		if _, err := t.ExecContext(ctx, `INSERT INTO slips (capture, page, slip, seen, said, joined) VALUES (?, ?, ?, ?, ?, ?)`,
			c, p.Page, i, string(seen), string(said), links); err != nil {
			return err
		}
	}
	return nil
}

// Readings returns what was read from a capture, page by page; none when it was
// not read yet.
func (s *Store) Readings(ctx context.Context, captureID string) ([]Reading, error) {
	c, err := number("c", captureID)
	if err != nil {
		return nil, fmt.Errorf("archive: readings: %w", err)
	}
	return pageReadings(ctx, s.db, c)
}

func pageReadings(ctx context.Context, q querier, c int64) ([]Reading, error) {
	rows, err := q.QueryContext(ctx, `SELECT p.page, p.error, p.ocr, p.grammar, p.reading, coalesce(n.at, ''), s.seen, s.said, s.joined
		FROM pages p LEFT JOIN readings n ON n.id = p.reading LEFT JOIN slips s ON s.capture = p.capture AND s.page = p.page
		WHERE p.capture = ? ORDER BY p.page, s.slip`, c)
	if err != nil {
		return nil, wrap("readings", err)
	}
	defer rows.Close()
	var out []Reading
	for rows.Next() {
		p := Reading{Capture: name("c", c)}
		var at string
		var seen, said, links sql.NullString
		if err := rows.Scan(&p.Page, &p.Error, &p.OCRVersion, &p.GrammarVersion, &p.Number, &at, &seen, &said, &links); err != nil {
			return nil, wrap("readings", err)
		}
		if p.ReadAt, err = parseStamp(at); err != nil {
			return nil, wrap("readings", err)
		}
		if len(out) == 0 || out[len(out)-1].Page != p.Page {
			out = append(out, p)
		}
		if !seen.Valid {
			continue
		}
		sl, err := slipReading(seen.String, said.String, links.String)
		if err != nil {
			return nil, wrap("readings", err)
		}
		last := &out[len(out)-1]
		last.Slips = append(last.Slips, sl)
	}
	return out, wrap("readings", rows.Err())
}

// Slip returns one slip as it was read; slips are counted from 0 on each page.
func (s *Store) Slip(ctx context.Context, captureID string, page, slip int) (SlipReading, error) {
	c, err := number("c", captureID)
	if err != nil {
		return SlipReading{}, fmt.Errorf("archive: slip: %w", err)
	}
	var seen, said, links string
	err = s.db.QueryRowContext(ctx, `SELECT seen, said, joined FROM slips WHERE capture = ? AND page = ? AND slip = ?`, c, page, slip).
		Scan(&seen, &said, &links)
	if errors.Is(err, sql.ErrNoRows) {
		return SlipReading{}, fmt.Errorf("archive: %s page %d slip %d: %w", captureID, page, slip, ErrNotFound)
	}
	if err != nil {
		return SlipReading{}, wrap("slip", err)
	}
	sl, err := slipReading(seen, said, links)
	return sl, wrap("slip", err)
}

func slipReading(seen, said, links string) (sl SlipReading, err error) {
	if err = json.Unmarshal([]byte(seen), &sl.Slip); err != nil {
		return sl, err
	}
	if err = json.Unmarshal([]byte(said), &sl.Report); err != nil || links == "" {
		return sl, err
	}
	return sl, json.Unmarshal([]byte(links), &sl.Links)
}
