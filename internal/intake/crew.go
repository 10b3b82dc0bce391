package intake

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"

	"tankroll/archive"
	"tankroll/ocr"
	"tankroll/parse"
)

// queue is what a crew takes its work from. The archive's own lies in its
// database; another could lie on a server that many machines share.
type queue interface {
	// Claim gives the next job to holder until the lease ends, those that run
	// waits for first.
	Claim(ctx context.Context, holder, run string, lease time.Duration) (archive.Job, bool, error)
	// Renew prolongs all leases of holder, Release gives them back.
	Renew(ctx context.Context, holder string, lease time.Duration) error
	Release(ctx context.Context, holder string) error
	// Want puts a capture in, Hurry only prefers one that is there.
	Want(ctx context.Context, captureID, run string) error
	Hurry(ctx context.Context, captureID, run string) (bool, error)
	// Note keeps what was read of one page of a job that holder has, Begun gives
	// what was noted so: after a crash the next goes on with the other pages.
	Note(ctx context.Context, captureID, holder string, pages int, r archive.Reading) error
	Begun(ctx context.Context, captureID string) (archive.Begun, error)
	Waits(ctx context.Context, captureID string) (bool, error)
	Len(ctx context.Context) (int, error)
}

const (
	// leaseTime is how long the jobs of a killed process stay taken; leases are
	// renewed four times as often. One that runs out while its holder lives, on a
	// machine that was put to sleep, costs no more than a page read twice: the
	// second reading takes the place of the first, and records keep their ids.
	leaseTime = 5 * time.Second
	// mostTries is how often a capture may end the program, or be there when it
	// ends, without that a page of it was read, before it is put aside.
	mostTries = 5
	// lookAgain is how often an empty queue is looked at: others fill it too.
	lookAgain = 300 * time.Millisecond
)

// crew reads what waits in a queue, several pages at once, pages of one file
// too. It begins when it is made and goes on until it is closed.
type crew struct {
	d     *Desk
	queue queue
	name  string // of this crew, unlike any other's
	lease time.Duration
	take  func(context.Context, result) error // is given what was read
	tasks chan task
	wake  chan struct{}
	group *errgroup.Group
	ctx   context.Context // ends when the crew does
	stop  context.CancelFunc

	busy  atomic.Int64 // jobs taken and not done
	empty atomic.Bool  // there was no job to take
	pages atomic.Int64 // read so far

	claimed atomic.Bool // some job was taken
}

// result is what became of a job. Err is set when the original could not be had;
// the job then stays in the queue.
type result struct {
	capture  archive.Capture
	readings []archive.Reading
	err      error
}

// job is a capture being read, task one page of it.
type job struct {
	capture  archive.Capture
	file     *ocr.File
	readings []archive.Reading
	left     atomic.Int64
}

type task struct {
	job  *job
	page int
}

// newCrew begins to read what waits. Take may be called from several goroutines.
func newCrew(ctx context.Context, d *Desk, workers int, lease time.Duration, take func(context.Context, result) error) *crew {
	if workers <= 0 {
		workers = runtime.NumCPU()
	}
	if lease <= 0 {
		lease = leaseTime
	}
	c := &crew{d: d, queue: d.store.Queue(), name: newName(), lease: lease, take: take, tasks: make(chan task), wake: make(chan struct{}, 1)}
	ctx, c.stop = context.WithCancel(ctx)
	c.group, c.ctx = errgroup.WithContext(ctx)
	c.group.Go(func() error { return c.feed(c.ctx) })
	for range workers {
		c.group.Go(func() error { return c.work(c.ctx) })
	}
	c.group.Go(func() error { return c.renew(c.ctx) })
	return c
}

// close ends the crew and gives back what it has not finished, so that another
// need not wait for its leases to end.
func (c *crew) close(ctx context.Context) error {
	c.stop()
	err := c.group.Wait()
	if errors.Is(err, context.Canceled) {
		err = nil
	}
	if !c.claimed.Load() {
		return err
	}
	return errors.Join(err, c.queue.Release(context.WithoutCancel(ctx), c.name))
}

// poke has the crew look at the queue now.
func (c *crew) poke() {
	select {
	case c.wake <- struct{}{}:
	default:
	}
}

// rest waits until nothing is left that the crew could take.
func (c *crew) rest(ctx context.Context) error {
	c.empty.Store(false)
	c.poke()
	for {
		if c.empty.Load() && c.busy.Load() == 0 {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-c.ctx.Done():
			return c.ended()
		case <-time.After(lookAgain / 10):
		}
	}
}

// ended is why the crew has ended by itself.
func (c *crew) ended() error {
	if err := c.group.Wait(); err != nil {
		return err
	}
	return errors.New("reading has ended")
}

func (c *crew) renew(ctx context.Context) error {
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(c.lease / 4):
		}
		n, err := c.queue.Len(ctx)
		if err == nil && n > 0 {
			err = c.queue.Renew(ctx, c.name, c.lease)
		}
		if err != nil {
			return err
		}
	}
}

// feed takes jobs and gives out their pages.
func (c *crew) feed(ctx context.Context) error {
	defer close(c.tasks)
	for {
		j, ok, err := c.next(ctx)
		if err != nil {
			return err
		}
		if ok {
			if err := c.open(ctx, j); err != nil {
				return err
			}
			continue
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-c.wake:
		case <-time.After(lookAgain):
		}
	}
}

// next takes a job. The crew counts as busy before it has one, so that it never
// looks idle while it holds one.
func (c *crew) next(ctx context.Context) (archive.Job, bool, error) {
	n, err := c.queue.Len(ctx)
	if err != nil {
		return archive.Job{}, false, err
	}
	var j archive.Job
	ok := false
	c.busy.Add(1)
	if n > 0 {
		c.claimed.Store(true) // also one that comes with an error may have been taken
		j, ok, err = c.queue.Claim(ctx, c.name, c.name, c.lease)
	}
	if !ok {
		c.busy.Add(-1)
	}
	c.empty.Store(!ok)
	return j, ok, err
}

// open opens a job's original and gives out its pages.
func (c *crew) open(ctx context.Context, claimed archive.Job) error {
	capture, err := c.d.store.Capture(ctx, claimed.Capture)
	if err != nil {
		return err
	}
	begun, err := c.queue.Begun(ctx, capture.ID)
	if err != nil {
		return err
	}
	if claimed.Tries > mostTries {
		return c.done(ctx, givenUp(capture, begun))
	}
	raw, err := c.d.store.Original(ctx, capture.ID)
	if err != nil {
		return c.done(ctx, result{capture: capture, err: err})
	}
	file, err := c.d.reader.Open(ctx, raw)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return c.done(ctx, unopened(capture, err))
	}
	j := &job{capture: capture, file: file, readings: make([]archive.Reading, file.Pages())}
	var todo []int
	for n := range j.readings {
		r, ok := begun.Read[n+1]
		if j.readings[n] = r; !ok || begun.Pages != len(j.readings) || r.OCRVersion != ocr.Version || r.GrammarVersion != parse.Version {
			todo = append(todo, n)
		}
	}
	if len(todo) == 0 {
		return c.done(ctx, result{capture: capture, readings: j.readings})
	}
	j.left.Store(int64(len(todo)))
	for _, n := range todo {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case c.tasks <- task{j, n}:
		}
	}
	return nil
}

// givenUp is the result of an original whose reading has ended the program too
// often; the pages that were read stand.
func givenUp(c archive.Capture, begun archive.Begun) result {
	why := fmt.Errorf("reading it has ended the program %d times; add it again to try once more", mostTries)
	if len(begun.Read) == 0 {
		return unopened(c, why)
	}
	out := result{capture: c}
	for n := 1; n <= begun.Pages; n++ {
		r, ok := begun.Read[n]
		if !ok {
			r = reading(ocr.Page{Number: n, Err: why}, parse.Hints{})
			r.Capture = c.ID
		}
		out.readings = append(out.readings, r)
	}
	return out
}

// unopened is the result of an original that cannot be opened as a picture.
func unopened(c archive.Capture, err error) result {
	r := reading(ocr.Page{Number: 1, Err: err}, parse.Hints{})
	r.Capture = c.ID
	return result{capture: c, readings: []archive.Reading{r}}
}

// done gives out a job's result.
func (c *crew) done(ctx context.Context, r result) error {
	err := c.take(ctx, r)
	c.busy.Add(-1)
	return err
}

// work reads pages.
func (c *crew) work(ctx context.Context) error {
	for t := range c.tasks {
		r := c.read(ctx, t)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		r.Capture = t.job.capture.ID
		t.job.readings[t.page] = r
		c.pages.Add(1)
		if t.job.left.Add(-1) > 0 {
			if err := c.queue.Note(ctx, r.Capture, c.name, len(t.job.readings), r); err != nil {
				return err
			}
			continue
		}
		if err := c.done(ctx, result{capture: t.job.capture, readings: t.job.readings}); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// read reads one page. A page that brings a mistake of the program to light is a
// page that cannot be read, not the end of all others.
func (c *crew) read(ctx context.Context, t task) (r archive.Reading) {
	defer func() {
		if p := recover(); p != nil {
			r = reading(ocr.Page{Number: t.page + 1, Err: fmt.Errorf("internal error: %v", p)}, parse.Hints{})
		}
	}()
	return reading(t.job.file.Page(ctx, t.page), Hints(c.d.now(), t.job.capture.Site))
}
