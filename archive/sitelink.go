package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"
)

// linked is the journal's account of a capture that was linked to a site after it
// was kept.
type linked struct {
	Site string `json:"site"` // "" takes an earlier link back
	Was  string `json:"was,omitempty"`
	By   string `json:"by,omitempty"`
	Note string `json:"note,omitempty"`
	SHA  string `json:"sha256"`
}

// LinkSite notes which site a capture (d.Record, such as c12) is from: d.Value,
// or what it was when it was kept when that is "". What a person put on a record
// itself stands above it.
func (s *Store) LinkSite(ctx context.Context, d Decision) error {
	n, err := number("c", d.Record)
	if err != nil {
		return fmt.Errorf("archive: link to a site: %w", err)
	}
	c, err := s.Capture(ctx, d.Record)
	if err != nil {
		return err
	}
	if len(d.Value) > maxLabel {
		return fmt.Errorf("archive: link %s to a site: %w: its number or name has at most %d bytes", d.Record, ErrValue, maxLabel)
	}
	if d.At.IsZero() {
		d.At = s.now()
	}
	err = s.tx(ctx, func(t *sql.Tx) error {
		seq, err := tick(ctx, t)
		if err != nil {
			return err
		}
		body := linked{Site: SiteKey(d.Value), Was: c.Site, By: d.By, Note: d.Note, SHA: c.SHA256}
		if _, err := appendJournal(ctx, t, d.At, Link, d.Record, body); err != nil {
			return err
		}
		if _, err := t.ExecContext(ctx, `UPDATE captures SET linked = ? WHERE id = ?`, body.Site, n); err != nil {
			return err
		}
		ids, err := numbers(ctx, t, `SELECT id FROM records WHERE capture = ?`, n)
		if err != nil {
			return err
		}
		return regroup(ctx, t, seq, ids)
	})
	if err != nil {
		return fmt.Errorf("archive: link %s to a site: %w", d.Record, err)
	}
	return nil
}

// links are the journal's entries about the site of a capture.
func (s *Store) links(ctx context.Context, capture string) ([]Event, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT seq, at, body FROM journal WHERE subject = ? AND action = ? ORDER BY seq`, capture, Link)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Event
	for rows.Next() {
		var seq int64
		var at, body string
		var l linked
		if err := rows.Scan(&seq, &at, &body); err != nil {
			return nil, err
		}
		if err := json.Unmarshal([]byte(body), &l); err != nil {
			return nil, err
		}
		when, err := time.Parse(time.RFC3339Nano, at)
		if err != nil {
			return nil, err
		}
		out = append(out, Event{At: when, What: Link, Capture: capture,
			Decision: Decision{Action: Link, Value: l.Site, By: l.By, Note: l.Note, At: when, Entry: seq}})
	}
	return out, rows.Err()
}
