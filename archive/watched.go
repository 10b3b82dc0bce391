package archive

import (
	"context"
	"time"
)

// Watched is a file of a watched folder that was looked at, so that it is not
// read again after a restart, nor complained of twice.
type Watched struct {
	Path    string
	Size    int64
	Changed time.Time // of the file, when it was looked at
	Error   string    // why it was not kept, or ""
}

// Looked notes that a file was looked at, in place of what was noted before.
func (s *Store) Looked(ctx context.Context, w Watched) error {
	_, err := s.db.ExecContext(ctx, `INSERT INTO watched (path, size, changed, error) VALUES (?, ?, ?, ?)
		ON CONFLICT (path) DO UPDATE SET size = excluded.size, changed = excluded.changed, error = excluded.error`,
		w.Path, w.Size, w.Changed.UnixNano(), w.Error)
	return wrap("note "+w.Path, err)
}

// Forget drops what was noted of a file, as when it was moved away.
func (s *Store) Forget(ctx context.Context, path string) error {
	_, err := s.db.ExecContext(ctx, `DELETE FROM watched WHERE path = ?`, path)
	return wrap("forget "+path, err)
}

// Watched lists what was noted of files of watched folders, by path.
func (s *Store) Watched(ctx context.Context) ([]Watched, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT path, size, changed, error FROM watched ORDER BY path`)
	if err != nil {
		return nil, wrap("watched", err)
	}
	defer rows.Close()
	var out []Watched
	for rows.Next() {
		var w Watched
		var changed int64
		if err := rows.Scan(&w.Path, &w.Size, &changed, &w.Error); err != nil {
			return nil, wrap("watched", err)
		}
		w.Changed = time.Unix(0, changed)
		out = append(out, w)
	}
	return out, wrap("watched", rows.Err())
}
