package ocr

import (
	"context"
	"image"

	"tankroll/ocr/decode"
)

// File is an input that was opened: its pages can be read one by one, several at
// once too.
type File struct {
	r    *Reader
	file *decode.File
}

// Open looks at the header of raw. The error says why it cannot be opened as a
// picture (see the Err variables), or that ctx has ended.
func (r *Reader) Open(ctx context.Context, raw []byte) (*File, error) {
	file, err := r.open(ctx, raw)
	if err != nil {
		return nil, err
	}
	r.pool.Warm()
	return &File{r, file}, nil
}

// Pages is the number of pages.
func (f *File) Pages() int { return f.file.Pages() }

// Page decodes and reads page n, counted from 0, within the time limit. Where
// Options.Room bounds what is in work at once it waits for its turn first.
func (f *File) Page(ctx context.Context, n int) Page {
	out := Page{Number: n + 1}
	told := f.file.Size(n)
	place, err := f.r.room.enter(ctx, told)
	if err != nil {
		out.Err = err
		return out
	}
	defer func() { place.leave() }()
	limited, cancel := context.WithTimeout(ctx, f.r.opts.Limits.Time)
	defer cancel()
	px, err := f.file.Page(limited, n)
	if err != nil {
		out.Err = f.r.late(ctx, err)
		return out
	}
	out.Size = px.Luma.Rect.Size()
	if told == (image.Point{}) { // only now known; one that holds nothing while it waits cannot block another
		place.leave()
		if place, err = f.r.room.enter(ctx, out.Size); err != nil {
			place, out.Err = &stay{}, err
			return out
		}
	}
	out.Slips, err = f.r.slips(place.in(limited), px, newTrace(f.r.opts.Trace, n+1))
	if err != nil {
		out.Slips, out.Err = nil, f.r.late(ctx, err)
	}
	return out
}

// Failed reports whether a page could not even be decoded.
func (p Page) Failed() bool { return p.Err != nil && p.Size == (image.Point{}) }
