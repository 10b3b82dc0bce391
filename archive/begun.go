package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"

	"tankroll/record"
)

// A file of many pages is saved when all its pages were read. What was read of it
// until then is noted page by page, so that who takes the job up after a crash goes
// on with the pages that are left.

// begunPage is a page's reading as it is noted.
type begunPage struct {
	Error   string      `json:"error,omitempty"`
	OCR     int         `json:"ocr"`
	Grammar int         `json:"grammar"`
	At      time.Time   `json:"at"`
	Slips   []begunSlip `json:"slips,omitempty"`
}

type begunSlip struct {
	Seen record.Slip   `json:"seen"`
	Said record.Report `json:"said"`
}

// Begun is the pages that were read of a capture while others of it wait.
type Begun struct {
	Pages int             // how many it has in all, 0 when none was read
	Read  map[int]Reading // by page, from 1
}

// Note keeps the reading of one page of a job that holder has, of a file with so
// many pages, until SaveReadings keeps them all. A job that gets on a page has not
// failed: its tries begin anew. Where holder has lost the job nothing is noted.
func (q Queue) Note(ctx context.Context, captureID, holder string, pages int, r Reading) error {
	return q.change(ctx, "note a page of "+captureID, captureID, func(t *sql.Tx, c int64) error {
		p := begunPage{Error: r.Error, OCR: r.OCRVersion, Grammar: r.GrammarVersion, At: q.s.now()}
		for _, sl := range r.Slips {
			p.Slips = append(p.Slips, begunSlip{sl.Slip, sl.Report})
		}
		raw, err := json.Marshal(p)
		if err != nil {
			return err
		}
		done, err := t.ExecContext(ctx, `UPDATE jobs SET tries = 1 WHERE capture = ? AND holder = ?`, c, holder)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return err
		}
		_, err = t.ExecContext(ctx, `INSERT OR REPLACE INTO begun (capture, page, pages, reading) VALUES (?, ?, ?, ?)`, c, r.Page, pages, string(raw))
		return err
	})
}

// Begun gives what was noted of a job.
func (q Queue) Begun(ctx context.Context, captureID string) (Begun, error) {
	out := Begun{Read: map[int]Reading{}}
	c, err := number("c", captureID)
	if err != nil {
		return out, wrap("pages read", err)
	}
	rows, err := q.s.db.QueryContext(ctx, `SELECT page, pages, reading FROM begun WHERE capture = ?`, c)
	if err != nil {
		return out, wrap("pages read", err)
	}
	defer rows.Close()
	for rows.Next() {
		var page int
		var text []byte
		if err := rows.Scan(&page, &out.Pages, &text); err != nil {
			return out, wrap("pages read", err)
		}
		var p begunPage
		if err := json.Unmarshal(text, &p); err != nil {
			return out, wrap("pages read", err)
		}
		r := Reading{Capture: captureID, Page: page, Error: p.Error, OCRVersion: p.OCR, GrammarVersion: p.Grammar, ReadAt: p.At}
		for _, sl := range p.Slips {
			r.Slips = append(r.Slips, SlipReading{Slip: sl.Seen, Report: sl.Said})
		}
		out.Read[page] = r
	}
	return out, wrap("pages read", rows.Err())
}
