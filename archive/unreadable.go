package archive

import (
	"context"
	"fmt"
)

// Unreadable is a page that could not be read, or holds no print.
type Unreadable struct {
	Capture string
	Page    int // from 1
	Error   string
}

// Unreadable lists the pages of a capture, or of all when the id is "", that
// could not be read, oldest first.
func (s *Store) Unreadable(ctx context.Context, captureID string) ([]Unreadable, error) {
	where, args := ``, []any{}
	if captureID != "" {
		c, err := number("c", captureID)
		if err != nil {
			return nil, fmt.Errorf("archive: unreadable pages: %w", err)
		}
		where, args = ` AND capture = ?`, append(args, c)
	}
	rows, err := s.db.QueryContext(ctx, `SELECT capture, page, error FROM pages WHERE error <> ''`+where+` ORDER BY capture, page`, args...)
	if err != nil {
		return nil, wrap("unreadable pages", err)
	}
	defer rows.Close()
	var out []Unreadable
	for rows.Next() {
		var u Unreadable
		var c int64
		if err := rows.Scan(&c, &u.Page, &u.Error); err != nil {
			return nil, wrap("unreadable pages", err)
		}
		u.Capture = name("c", c)
		out = append(out, u)
	}
	return out, wrap("unreadable pages", rows.Err())
}
