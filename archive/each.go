package archive

import (
	"context"
	"fmt"
	"iter"
)

// AllRows gives the rows that Rows lists, one at a time, as they stood when the
// first was asked for; memory does not grow with their number. What is given
// after an error is nothing.
func (s *Store) AllRows(ctx context.Context, f Filter) iter.Seq2[Row, error] {
	return func(yield func(Row, error) bool) {
		where, args, err := f.where()
		if err != nil {
			yield(Row{}, fmt.Errorf("archive: rows: %w", err))
			return
		}
		rows, err := s.db.QueryContext(ctx, rowQuery+where+` ORDER BY r.at, r.id`, args...)
		if err != nil {
			yield(Row{}, wrap("rows", err))
			return
		}
		defer rows.Close()
		known := slipParts{}
		for rows.Next() {
			r, err := known.scanRow(rows)
			if err != nil {
				yield(Row{}, wrap("rows", err))
				return
			}
			if !yield(r, nil) {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(Row{}, wrap("rows", err))
		}
	}
}

// AllCaptures gives the captures that Captures lists, one at a time.
func (s *Store) AllCaptures(ctx context.Context) iter.Seq2[Capture, error] {
	return func(yield func(Capture, error) bool) {
		for last := int64(0); ; {
			list, err := s.captures(ctx, `id IN (SELECT id FROM captures WHERE id > ? ORDER BY id LIMIT ?)`, last, chunk)
			if err != nil {
				yield(Capture{}, err)
				return
			}
			for _, c := range list {
				if !yield(c, nil) {
					return
				}
			}
			if len(list) < chunk {
				return
			}
			if last, err = number("c", list[len(list)-1].ID); err != nil {
				yield(Capture{}, err)
				return
			}
		}
	}
}

// AllSlips names every slip that was read.
func (s *Store) AllSlips(ctx context.Context) iter.Seq2[SlipName, error] {
	return func(yield func(SlipName, error) bool) {
		rows, err := s.db.QueryContext(ctx, `SELECT capture, page, slip FROM slips ORDER BY capture, page, slip`)
		if err != nil {
			yield(SlipName{}, wrap("slips", err))
			return
		}
		defer rows.Close()
		for rows.Next() {
			var n SlipName
			var c int64
			if err := rows.Scan(&c, &n.Page, &n.Slip); err != nil {
				yield(SlipName{}, wrap("slips", err))
				return
			}
			n.Capture = name("c", c)
			if !yield(n, nil) {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(SlipName{}, wrap("slips", err))
		}
	}
}

// SlipName says where a slip was read.
type SlipName struct {
	Capture    string
	Page, Slip int // the page from 1, the slip from 0
}
