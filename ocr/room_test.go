package ocr

import (
	"context"
	"errors"
	"image"
	"math/rand"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// TestRoom: what is let in together stays within the room, whatever comes, and a
// page larger than the room is let in alone.
func TestRoom(t *testing.T) {
	const size = 100
	r := newRoom(size)
	var inside, most atomic.Int64
	var group sync.WaitGroup
	for i := range 60 {
		p := image.Pt(10, 1+rand.Intn(9))
		if i%15 == 0 {
			p = image.Pt(100, 100)
		}
		counts := min(int64(p.X*p.Y), size)
		group.Go(func() {
			place, err := r.enter(context.Background(), p)
			if err != nil {
				t.Error(err)
				return
			}
			if n := inside.Add(counts); n > most.Load() {
				most.Store(n)
			}
			time.Sleep(time.Millisecond)
			inside.Add(-counts)
			place.leave()
		})
	}
	group.Wait()
	if most.Load() > size || most.Load() < size/2 {
		t.Errorf("%d pixels were in work at once, the room is %d", most.Load(), size)
	}
	// Two that lift large do so one after the other, and give all back.
	for range 3 {
		group.Go(func() {
			s, err := r.enter(context.Background(), image.Pt(2, 2))
			if err != nil {
				t.Error(err)
				return
			}
			if err := stayOf(s.in(context.Background())).lift(context.Background(), largeLift); err != nil {
				t.Error(err)
			}
			if n := inside.Add(1); n > 1 {
				t.Errorf("%d lift large at once", n)
			}
			time.Sleep(time.Millisecond)
			inside.Add(-1)
			s.leave()
		})
	}
	group.Wait()
	if !r.free.TryAcquire(size) || !r.large.TryAcquire(1) {
		t.Fatal("not all was given back")
	}
	r.free.Release(size)
	r.large.Release(1)
	place, err := r.enter(t.Context(), image.Pt(50, 50))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := r.enter(ctx, image.Pt(1, 1)); !errors.Is(err, context.Canceled) {
		t.Errorf("waiting did not end: %v", err)
	}
	place.leave()
}
