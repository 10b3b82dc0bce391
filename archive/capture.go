package archive

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"
)

// Capture is one original: a photo, a scan, a PDF, as it came in.
type Capture struct {
	ID      string    // such as c12
	SHA256  string    // of the bytes, hexadecimal
	File    string    // the name it came under
	AddedAt time.Time // UTC
	Site    string    // the site that a person named for it, then or since, normalised by SiteKey, or ""
	Told    Told      // what the folder it lay in tells
	Size    int64     // bytes
	Pages   int       // 0 until it was read
	Read    bool      // false when it was kept but not read yet, as after a crash
	ext     string
	came    string // the site that was named when it came in
}

// Told is what the folder of an original tells of it, where a person said which
// folder name means what. It is a hint: what the paper surely says wins. Zero
// fields are not told.
type Told struct {
	Site  string `json:"site,omitempty"` // normalised by SiteKey
	Year  int    `json:"year,omitempty"`
	Month int    `json:"month,omitempty"`
}

// text is t as it is kept.
func (t Told) text() (string, error) {
	if t == (Told{}) {
		return "", nil
	}
	raw, err := json.Marshal(t)
	return string(raw), err
}

// Keep is KeepTold for an original of which nothing is told.
func (s *Store) Keep(ctx context.Context, file string, raw []byte, site string) (c Capture, already bool, err error) {
	return s.KeepTold(ctx, file, raw, site, Told{}, "")
}

// KeepTold stores the bytes of an original. When it returns without error they
// are on disk for good, and wait in the Queue to be read, by run if it is named.
// Bytes that are there already give the capture they have, and already is true; a
// lost or damaged original is healed that way.
func (s *Store) KeepTold(ctx context.Context, file string, raw []byte, site string, told Told, run string) (c Capture, already bool, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("archive: keep %q: %w", file, describe(err))
		}
	}()
	if len(raw) == 0 {
		return Capture{}, false, ErrEmpty
	}
	if int64(len(raw)) > s.MaxBytes {
		return Capture{}, false, fmt.Errorf("%w: %d bytes, at most %d", ErrTooLarge, len(raw), s.MaxBytes)
	}
	told.Site = SiteKey(told.Site)
	tells, err := told.text()
	if err != nil {
		return Capture{}, false, err
	}
	sum := sha256.Sum256(raw)
	c = Capture{SHA256: hex.EncodeToString(sum[:]), File: file, AddedAt: s.now().UTC(), Site: SiteKey(site), came: SiteKey(site), Told: told,
		Size: int64(len(raw)), ext: extension(file, raw)}

	have, err := s.captureWhere(ctx, `sha256 = ?`, c.SHA256)
	switch {
	case err == nil:
		return have, true, s.writeOriginal(have, raw)
	case !errors.Is(err, ErrNotFound):
		return Capture{}, false, err
	}
	if err := s.writeOriginal(c, raw); err != nil {
		return Capture{}, false, err
	}
	err = s.tx(ctx, func(t *sql.Tx) error {
		// Not ON CONFLICT, which would use up an id.
		r, err := t.ExecContext(ctx, `INSERT INTO captures (sha256, ext, file, added_at, site, told, size)
			SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7 WHERE NOT EXISTS (SELECT 1 FROM captures WHERE sha256 = ?1)`,
			c.SHA256, c.ext, c.File, stamp(c.AddedAt), c.Site, tells, c.Size)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); err != nil || n == 0 {
			already = true // another process was faster
			return err
		}
		id, err := r.LastInsertId()
		if err != nil {
			return err
		}
		if _, err := appendJournal(ctx, t, c.AddedAt, "keep", name("c", id), c.kept()); err != nil {
			return err
		}
		return enqueue(ctx, t, id, run)
	})
	if err != nil {
		return Capture{}, false, err
	}
	c, err = s.captureWhere(ctx, `sha256 = ?`, c.SHA256)
	return c, already, err
}

// kept is the journal's account of a new original.
type kept struct {
	SHA256 string `json:"sha256"`
	Ext    string `json:"ext"`
	File   string `json:"file"`
	Site   string `json:"site,omitempty"`
	Told   Told   `json:"told,omitzero"`
	Size   int64  `json:"size"`
}

func (c Capture) kept() kept { return kept{c.SHA256, c.ext, c.File, c.came, c.Told, c.Size} }

// writeOriginal puts the bytes in their place unless they are there, whole.
func (s *Store) writeOriginal(c Capture, raw []byte) error {
	path := s.OriginalPath(c)
	if have, err := os.ReadFile(path); err == nil && bytes.Equal(have, raw) {
		// Whole, but a crash may have come between rename and sync.
		return s.disk.syncDir(filepath.Dir(path))
	}
	top := filepath.Join(s.dir, "originals")
	if err := s.disk.mkdir(filepath.Dir(path)); err != nil {
		return err
	}
	if err := s.disk.syncDir(top); err != nil {
		return err
	}
	return writeNew(s.disk, top, path, raw)
}

// Original returns the bytes of a capture, checked against their hash; they
// are ErrDamaged when they are not what came in.
func (s *Store) Original(ctx context.Context, captureID string) ([]byte, error) {
	c, err := s.Capture(ctx, captureID)
	if err != nil {
		return nil, err
	}
	return s.original(c)
}

func (s *Store) original(c Capture) ([]byte, error) {
	raw, err := os.ReadFile(s.OriginalPath(c))
	if err != nil {
		return nil, fmt.Errorf("archive: original of %s (%s) is gone, restore it from a backup or add the file again: %w", c.ID, c.File, err)
	}
	if sum := sha256.Sum256(raw); hex.EncodeToString(sum[:]) != c.SHA256 {
		return nil, fmt.Errorf("archive: original of %s (%s) is %w, restore it from a backup or add the file again", c.ID, c.File, ErrDamaged)
	}
	return raw, nil
}

// OriginalPath is where the original lies.
func (s *Store) OriginalPath(c Capture) string {
	return filepath.Join(s.dir, "originals", c.SHA256[:2], c.SHA256+"."+c.ext)
}

// Capture finds one capture; ErrNotFound when there is none.
func (s *Store) Capture(ctx context.Context, id string) (Capture, error) {
	n, err := number("c", id)
	if err != nil {
		return Capture{}, fmt.Errorf("archive: capture %w", err)
	}
	c, err := s.captureWhere(ctx, `id = ?`, n)
	if err != nil {
		return Capture{}, fmt.Errorf("archive: capture %s: %w", id, err)
	}
	return c, nil
}

// Captures lists every capture, oldest first.
func (s *Store) Captures(ctx context.Context) ([]Capture, error) {
	return s.captures(ctx, `1 = 1`)
}

// Unread lists the captures that were kept but not read, oldest first.
func (s *Store) Unread(ctx context.Context) ([]Capture, error) {
	// What was never read has no count yet: that is found without a look at all.
	return s.captures(ctx, `read = 0 AND seq = 0`)
}

func (s *Store) captureWhere(ctx context.Context, where string, args ...any) (Capture, error) {
	list, err := s.captures(ctx, where, args...)
	if err != nil {
		return Capture{}, err
	}
	if len(list) == 0 {
		return Capture{}, ErrNotFound
	}
	return list[0], nil
}

func (s *Store) captures(ctx context.Context, where string, args ...any) ([]Capture, error) {
	return capturesOf(ctx, s.db, where, args...)
}

func capturesOf(ctx context.Context, q querier, where string, args ...any) ([]Capture, error) {
	rows, err := q.QueryContext(ctx, `SELECT id, sha256, ext, file, added_at, coalesce(nullif(linked, ''), site), site, told, size, pages, read
		FROM captures WHERE `+where+` ORDER BY id`, args...)
	if err != nil {
		return nil, wrap("captures", err)
	}
	defer rows.Close()
	var out []Capture
	for rows.Next() {
		var c Capture
		var id int64
		var added, told string
		if err := rows.Scan(&id, &c.SHA256, &c.ext, &c.File, &added, &c.Site, &c.came, &told, &c.Size, &c.Pages, &c.Read); err != nil {
			return nil, wrap("captures", err)
		}
		c.ID = name("c", id)
		if told != "" {
			if err := json.Unmarshal([]byte(told), &c.Told); err != nil {
				return nil, wrap("captures", err)
			}
		}
		if c.AddedAt, err = time.Parse(time.RFC3339Nano, added); err != nil {
			return nil, wrap("captures", err)
		}
		out = append(out, c)
	}
	return out, wrap("captures", rows.Err())
}

func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339Nano) }

// signatures say what bytes are, whatever the file is called.
var signatures = []struct{ start, ext string }{
	{"\xff\xd8\xff", "jpg"}, {"\x89PNG\r\n", "png"}, {"%PDF-", "pdf"}, {"II*\x00", "tif"}, {"MM\x00*", "tif"},
	{"GIF8", "gif"}, {"BM", "bmp"}, {"PK\x03\x04", "zip"},
}

var plainExt = regexp.MustCompile(`^[a-z0-9]{1,5}$`)

// extension names the file on disk so that a person can open it by hand.
func extension(file string, raw []byte) string {
	for _, s := range signatures {
		if bytes.HasPrefix(raw, []byte(s.start)) {
			return s.ext
		}
	}
	if ext := strings.ToLower(strings.TrimPrefix(filepath.Ext(file), ".")); plainExt.MatchString(ext) {
		return ext
	}
	return "bin"
}
