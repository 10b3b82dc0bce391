package ocr

import (
	"context"
	"image"

	"golang.org/x/sync/semaphore"
)

// room lets pages in as long as their pixels, and with them the memory that
// reading takes, are within a bound. Who came first is let in first, so that a
// large page is not kept waiting by small ones for ever. A page that is larger
// than the room is let in alone.
type room struct {
	size int64
	free *semaphore.Weighted
}

// unknownPixels is what a page counts whose size the header does not tell: a
// letter page of a PDF at 300 dpi has 8.4 million.
const unknownPixels = 9e6

func newRoom(size int64) room {
	if size <= 0 {
		return room{}
	}
	return room{size, semaphore.NewWeighted(size)}
}

// enter waits until there is room for a page; leave gives it back.
func (r room) enter(ctx context.Context, p image.Point) (leave func(), err error) {
	if r.free == nil {
		return func() {}, ctx.Err()
	}
	n := int64(p.X) * int64(p.Y)
	if n <= 0 {
		n = unknownPixels
	}
	n = min(n, r.size)
	if err := r.free.Acquire(ctx, n); err != nil {
		return nil, err
	}
	return func() { r.free.Release(n) }, nil
}
