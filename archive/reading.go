package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

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
}

// SlipReading is one slip as it was seen and as it was understood.
type SlipReading struct {
	Slip   record.Slip
	Report record.Report
}

// place is where a record stands, kept with it so that it is one step from its
// original whatever later readings say.
type place struct {
	Turn    int             `json:"turn"`
	Corners [4]record.Point `json:"corners"`
	Paper   record.Paper    `json:"paper"`
}

// SaveReadings stores what was read from all pages of a capture, in one
// transaction, and makes its records. When the capture was read before, records
// that are found again keep their ids and what people decided about them; a
// record that is not found again stays when a person has decided something
// about it, with a doubt that says so, and goes otherwise.
func (s *Store) SaveReadings(ctx context.Context, captureID string, readings []Reading) error {
	c, err := number("c", captureID)
	if err != nil {
		return fmt.Errorf("archive: save readings: %w", err)
	}
	err = s.tx(ctx, func(t *sql.Tx) error {
		seq, err := tick(ctx, t)
		if err != nil {
			return err
		}
		r, err := t.ExecContext(ctx, `UPDATE captures SET read = 1, pages = ?, seq = ? WHERE id = ?`, len(readings), seq, c)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); err != nil || n == 0 {
			return errors.Join(ErrNotFound, err)
		}
		if _, err := t.ExecContext(ctx, `DELETE FROM pages WHERE capture = ?`, c); err != nil {
			return err
		}
		var found []newRecord
		for _, p := range readings {
			if err := savePage(ctx, t, c, p); err != nil {
				return fmt.Errorf("page %d: %w", p.Page, err)
			}
			found = append(found, recordsOf(p)...)
		}
		return saveRecords(ctx, t, c, seq, found)
	})
	if err != nil {
		return fmt.Errorf("archive: save readings of %s: %w", captureID, err)
	}
	return nil
}

func savePage(ctx context.Context, t *sql.Tx, c int64, p Reading) error {
	if _, err := t.ExecContext(ctx, `INSERT INTO pages (capture, page, error, ocr, grammar) VALUES (?, ?, ?, ?, ?)`,
		c, p.Page, p.Error, p.OCRVersion, p.GrammarVersion); err != nil {
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
		if _, err := t.ExecContext(ctx, `INSERT INTO slips (capture, page, slip, seen, said) VALUES (?, ?, ?, ?, ?)`,
			c, p.Page, i, string(seen), string(said)); err != nil {
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
	rows, err := s.db.QueryContext(ctx, `SELECT p.page, p.error, p.ocr, p.grammar, s.seen, s.said
		FROM pages p LEFT JOIN slips s ON s.capture = p.capture AND s.page = p.page
		WHERE p.capture = ? ORDER BY p.page, s.slip`, c)
	if err != nil {
		return nil, wrap("readings", err)
	}
	defer rows.Close()
	var out []Reading
	for rows.Next() {
		p := Reading{Capture: captureID}
		var seen, said sql.NullString
		if err := rows.Scan(&p.Page, &p.Error, &p.OCRVersion, &p.GrammarVersion, &seen, &said); err != nil {
			return nil, wrap("readings", err)
		}
		if len(out) == 0 || out[len(out)-1].Page != p.Page {
			out = append(out, p)
		}
		if !seen.Valid {
			continue
		}
		sl, err := slipReading(seen.String, said.String)
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
	var seen, said string
	err = s.db.QueryRowContext(ctx, `SELECT seen, said FROM slips WHERE capture = ? AND page = ? AND slip = ?`, c, page, slip).
		Scan(&seen, &said)
	if errors.Is(err, sql.ErrNoRows) {
		return SlipReading{}, fmt.Errorf("archive: %s page %d slip %d: %w", captureID, page, slip, ErrNotFound)
	}
	if err != nil {
		return SlipReading{}, wrap("slip", err)
	}
	sl, err := slipReading(seen, said)
	return sl, wrap("slip", err)
}

func slipReading(seen, said string) (sl SlipReading, err error) {
	if err = json.Unmarshal([]byte(seen), &sl.Slip); err != nil {
		return sl, err
	}
	return sl, json.Unmarshal([]byte(said), &sl.Report)
}
