// Package timed stops a decoder that has no notion of time by what it reads.
package timed

import (
	"context"
	"io"
)

// most is how many bytes are given at once. A JPEG may hold a scan over all its
// pixels in a hundred bytes, so pixels do not bound the time of one; some scans between
// two looks do.
const most = 256

// Reader reads until its context ends.
type Reader struct {
	ctx   context.Context
	in    io.Reader
	ended error
}

// NewReader reads what in gives until ctx ends.
func NewReader(ctx context.Context, in io.Reader) *Reader { return &Reader{ctx: ctx, in: in} }

// Read implements io.Reader. The error is the context's once it has ended.
func (r *Reader) Read(p []byte) (int, error) {
	if r.ended == nil {
		r.ended = r.ctx.Err()
	}
	if r.ended != nil {
		return 0, r.ended
	}
	return r.in.Read(p[:min(len(p), most)])
}

// Ended is the context's error if that is why reading ended. Decoders may have made
// something else of it.
func (r *Reader) Ended() error { return r.ended }
