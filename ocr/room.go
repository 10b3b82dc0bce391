package ocr

import (
	"context"
	"image"
	"time"

	"golang.org/x/sync/semaphore"
)

// room lets pages in as long as their pixels, and with them the memory that
// reading takes, are within a bound. Who came first is let in first, so that a
// large page is not kept waiting by small ones for ever. A page that is larger
// than the room is let in alone.
type room struct {
	size  int64
	free  *semaphore.Weighted
	large *semaphore.Weighted // of one: the right to lift a slip large
}

// unknownPixels is what a page counts whose size the header does not tell: a
// letter page of a PDF at 300 dpi has 8.4 million.
const unknownPixels = 9e6

func newRoom(size int64) room {
	if size <= 0 {
		return room{}
	}
	return room{size, semaphore.NewWeighted(size), semaphore.NewWeighted(1)}
}

// stay is a page's stay in the room.
type stay struct {
	r     room
	n     int64 // pixels that it counts
	alone bool  // it holds the right to lift a slip large
}

// enter waits until there is room for a page; leave gives it back.
func (r room) enter(ctx context.Context, p image.Point) (*stay, error) {
	if r.free == nil {
		return &stay{}, ctx.Err()
	}
	n := int64(p.X) * int64(p.Y)
	if n <= 0 {
		n = unknownPixels
	}
	n = min(n, r.size)
	if err := r.free.Acquire(ctx, n); err != nil {
		return nil, err
	}
	return &stay{r: r, n: n}, nil
}

func (s *stay) leave() {
	if s.r.free == nil {
		return
	}
	s.r.free.Release(s.n)
	if s.alone {
		s.r.large.Release(1)
	}
	*s = stay{}
}

// A slip that seems to need many pixels at the scale for reading takes memory of its
// own, however small its page is: some 45 bytes a lifted pixel, where a page takes
// ten.
const (
	largeLift   = 5e6 // lifted pixels; 60 lines of 36 characters are 2.4 million
	liftWeight  = 4   // what a lifted pixel counts beside one of the page
	patientLift = 20 * time.Second
)

// lift lets one page at a time lift a slip large, when there is room for it. Pages
// that wait for each other could wait for ever, so after a while it goes on all the
// same: the bound holds but for pages that are all large in both ways. Where a page's time is
// up it lifts none.
func (s *stay) lift(ctx context.Context, pixels float64) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if s == nil || s.r.free == nil || s.alone || pixels < largeLift {
		return nil
	}
	if err := s.r.large.Acquire(ctx, 1); err != nil {
		return err
	}
	s.alone = true
	more := max(min(int64(liftWeight*pixels), s.r.size*3/4-s.n), 0)
	limited, cancel := context.WithTimeout(ctx, patientLift)
	defer cancel()
	if s.r.free.Acquire(limited, more) == nil {
		s.n += more
	}
	return ctx.Err()
}

// stayKey is where a page's context holds its stay.
type stayKey struct{}

func (s *stay) in(ctx context.Context) context.Context { return context.WithValue(ctx, stayKey{}, s) }

func stayOf(ctx context.Context) *stay {
	s, _ := ctx.Value(stayKey{}).(*stay)
	return s
}
