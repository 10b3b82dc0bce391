// Package export writes the records of an archive in forms that other programs
// and people without this one can read: CSV for spreadsheets, JSON Lines for
// scripts, and a folder with the pictures and pages that any browser opens.
//
// What is exported is the present state: what was read, with what people decided
// about it. Nothing is left out for being doubtful; it says so. Records come one
// at a time, so that memory does not grow with the archive, and whatever goes
// wrong, nothing half written stays under the name asked for.
package export

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"

	"tankroll/archive"
	"tankroll/internal/whole"
	"tankroll/record"
)

// Line is one record as JSON.
type Line struct {
	ID        string        `json:"id"`
	Site      string        `json:"site"`
	SiteName  string        `json:"site_name,omitempty"`
	SiteSure  bool          `json:"site_sure"`
	At        string        `json:"at,omitempty"`
	AtField   string        `json:"at_field,omitempty"` // the field that At was taken from
	Sure      bool          `json:"sure"`               // nothing about it is in doubt
	Confirmed bool          `json:"confirmed,omitempty"`
	ByHand    bool          `json:"by_hand,omitempty"` // typed in from paper; it has no picture
	Note      string        `json:"note,omitempty"`
	Capture   string        `json:"capture,omitempty"`
	File      string        `json:"file,omitempty"`   // the name that the picture came under
	SHA256    string        `json:"sha256,omitempty"` // of the picture's bytes
	Page      int           `json:"page,omitempty"`
	Slip      int           `json:"slip"`
	Header    record.Header `json:"header"`
	Record    record.Record `json:"record"`
	OneWith   []string      `json:"one_with,omitempty"`    // the same record on other pictures, which has no line of its own
	Followed  string        `json:"followed_up,omitempty"` // what was done about it
}

// source finds what records stand on. Records of one picture come together more
// often than not, so the last one is kept.
type source struct {
	store *archive.Store
	last  archive.Capture
}

func (s *source) capture(ctx context.Context, id string) (archive.Capture, error) {
	if id == "" || s.last.ID == id {
		if id == "" {
			return archive.Capture{}, nil
		}
		return s.last, nil
	}
	c, err := s.store.Capture(ctx, id)
	if err == nil {
		s.last = c
	}
	return c, err
}

// line puts a row into the form for JSON.
func (s *source) line(ctx context.Context, r archive.Row) (Line, error) {
	on := r.On(r.Record.Area())
	c, err := s.capture(ctx, on.Capture)
	return Line{r.ID, r.Site, r.SiteName, r.SiteSure, r.At, r.AtField, r.Sure(), r.Confirmed, r.ByHand, r.Note,
		on.Capture, on.File, c.SHA256, on.Page, on.Slip, r.Header, r.Record, r.With, r.Followed}, err
}

// JSONL writes a file with one record a line, by the time they speak of, and
// counts them. A record that several pictures show counts once, here as in the
// other forms.
func JSONL(ctx context.Context, s *archive.Store, file string, force bool, f archive.Filter) (n int, err error) {
	err = whole.File(file, force, func(temp string) error {
		return create(temp, func(w io.Writer) error {
			n, err = lines(ctx, s, w, s.AllRows(ctx, once(f)))
			return err
		})
	})
	return n, wrap(file, err)
}

func once(f archive.Filter) archive.Filter {
	f.Once = true
	return f
}

func lines(ctx context.Context, s *archive.Store, w io.Writer, rows func(func(archive.Row, error) bool)) (n int, err error) {
	src := &source{store: s}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	for r, err := range rows {
		if err != nil {
			return n, err
		}
		l, err := src.line(ctx, r)
		if err != nil {
			return n, err
		}
		if err := enc.Encode(l); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

// create writes a new file and syncs it.
func create(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	b := bufio.NewWriterSize(f, 1<<16)
	if err = write(b); err == nil {
		err = b.Flush()
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	return err
}

func wrap(path string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("export %s: %w", path, err)
}
