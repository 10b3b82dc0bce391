package archive

import (
	"context"
	"encoding/json"
	"strings"

	"tankroll/record"
)

// Shown is what stands on a slip, in words alone.
type Shown struct {
	Capture   string
	Page      int // from 1
	Slip      int // from 0, on the page
	Lines     []string
	Whole     []string // the lines of the joined slip that begins here, nil when none does
	PrintedAt string   // as read
}

// LastCapture is the highest number of a capture's id, 0 when there is none.
// With Shown and Filter.Captures a whole archive is read in stretches, several
// at once.
func (s *Store) LastCapture(ctx context.Context) (int64, error) {
	var n int64
	err := s.db.QueryRowContext(ctx, `SELECT coalesce(max(id), 0) FROM captures`).Scan(&n)
	return n, wrap("captures", err)
}

// Shown lists what stands on the slips of captures, by the numbers of their ids,
// first and last included.
func (s *Store) Shown(ctx context.Context, first, last int64) ([]Shown, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT capture, page, slip, seen, coalesce(json_extract(said, '$.header.printed_at.value'), ''), joined
		FROM slips WHERE capture BETWEEN ? AND ? ORDER BY capture, page, slip`, first, last)
	if err != nil {
		return nil, wrap("slips", err)
	}
	defer rows.Close()
	var out []Shown
	for rows.Next() {
		var sh Shown
		var capture int64
		var seen, joined []byte
		if err := rows.Scan(&capture, &sh.Page, &sh.Slip, &seen, &sh.PrintedAt, &joined); err != nil {
			return nil, wrap("slips", err)
		}
		sh.Capture = name("c", capture)
		if sh.Lines, err = linesOf(seen); err != nil {
			return nil, wrap("slip of "+sh.Capture, err)
		}
		if len(joined) > 0 {
			var l struct {
				Whole *struct {
					Slip wording `json:"slip"`
				} `json:"whole"`
			}
			if err := json.Unmarshal(joined, &l); err != nil {
				return nil, wrap("slip of "+sh.Capture, err)
			}
			if l.Whole != nil {
				sh.Whole = l.Whole.Slip.lines()
			}
		}
		out = append(out, sh)
	}
	return out, wrap("slips", rows.Err())
}

// linesOf are the printed lines of a slip that is kept as JSON. encoding/json takes
// four times as long, which is felt when an index is made of a million records.
func linesOf(seen []byte) ([]string, error) {
	if words, ok := record.WordsOf(seen); ok {
		out := make([]string, 0, len(words))
		for _, line := range words {
			out = append(out, strings.Join(line, " "))
		}
		return out, nil
	}
	var own wording
	err := json.Unmarshal(seen, &own)
	return own.lines(), err
}

// wording is a record.Slip of which only the words are read.
type wording struct {
	Lines []struct {
		Words []struct {
			Text string `json:"text"`
		} `json:"words"`
		Rule bool `json:"rule"`
	} `json:"lines"`
}

func (w wording) lines() []string {
	out := []string{}
	var line []byte
	for _, l := range w.Lines {
		if l.Rule {
			continue
		}
		line = line[:0]
		for i, word := range l.Words {
			if i > 0 {
				line = append(line, ' ')
			}
			line = append(line, word.Text...)
		}
		out = append(out, string(line))
	}
	return out
}

// Repeated lists the events that more than one record tells of.
func (s *Store) Repeated(ctx context.Context) ([]string, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT fact FROM records WHERE fact <> '' AND gone = 0 AND rejected = 0 GROUP BY fact HAVING count(*) > 1`)
	if err != nil {
		return nil, wrap("rows", err)
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var f string
		if err := rows.Scan(&f); err != nil {
			return nil, wrap("rows", err)
		}
		out = append(out, f)
	}
	return out, wrap("rows", rows.Err())
}
