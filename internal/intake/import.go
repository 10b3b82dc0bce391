package intake

import (
	"context"
	"crypto/rand"
	"sync"
	"time"

	"tankroll/archive"
	"tankroll/record"
)

// newName is a name that no other process has.
func newName() string { return rand.Text() }

// ImportOptions say how an Import works; the zero value works.
type ImportOptions struct {
	Site    string                  // of all inputs, as a person named it
	Folders *Folders                // what the names of folders tell; nil for nothing
	Jobs    int                     // pages read at once; 0 means one a processor
	Page    func(record.Page) error // is given every page, in input order
	Done    func(Outcome)           // is told what became of every input, in input order

	lease time.Duration // for tests; 0 means leaseTime
}

// Import takes many inputs in. Each is kept at once and waits in the archive's
// queue; a crew reads what waits on all processors, and pages are given out in
// the order of the inputs, long slips of neighbouring ones joined. What is kept
// stays in the queue until it is read, whatever happens to this process, and
// several processes may import into one archive: they share the queue.
//
// An input that begins as a picture is kept even when it is damaged or of a kind
// that cannot be read: the paper may be gone tomorrow.
type Import struct {
	d     *Desk
	o     ImportOptions
	crew  *crew
	queue queue
	seq   *Sequence
	news  chan struct{} // something was read

	keeping sync.RWMutex   // held to write while an original is kept and wanted is not up to date
	wanted  map[string]int // captures that are waited for

	mu       sync.Mutex
	finished map[string]result // read, and not yet given out
	counts   Progress
	earlier  []Outcome
	open     []*Outcome      // inputs of which pages are still to be given, in order
	given    map[string]bool // captures that were inputs before
	onDone   func(Outcome)   // of Watch
}

// mostFinished bounds what was read and waits for its turn to be saved in input
// order; beyond it readings are saved out of order.
const mostFinished = 64

// Progress is how far an import has come.
type Progress struct {
	Found   int // inputs seen so far
	All     bool
	Done    int // inputs given out
	Already int // of them, those that were there before
	Pages   int // pages read
	Earlier int // kept by an earlier import and read besides
}

// Left is how long it will still take, going by what it took so far; not known at
// the start, nor while inputs are still being found.
func (p Progress) Left(took time.Duration) (time.Duration, bool) {
	read := p.Done - p.Already
	if !p.All || read < 1 || p.Done >= p.Found {
		return 0, false
	}
	return time.Duration(float64(took) / float64(read) * float64(p.Found-p.Done)), true
}

// Import begins to read what waits in the queue; Run takes inputs in. Close must
// be called.
func (d *Desk) Import(ctx context.Context, o ImportOptions) *Import {
	if o.Page == nil {
		o.Page = func(record.Page) error { return nil }
	}
	if o.Done == nil {
		o.Done = func(Outcome) {}
	}
	m := &Import{d: d, o: o, queue: d.store.Queue(), news: make(chan struct{}, 1), wanted: map[string]int{}, finished: map[string]result{}, given: map[string]bool{}}
	m.seq = NewSequence(d.parseJoined, m.page)
	m.seq.save = d.saveChains
	m.crew = newCrew(ctx, d, o.Jobs, o.lease, m.take)
	return m
}

// Close ends the import; what was taken and not read goes back to the queue.
func (m *Import) Close(ctx context.Context) error { return m.crew.close(ctx) }

// Progress is how far the import has come.
func (m *Import) Progress() Progress {
	m.mu.Lock()
	defer m.mu.Unlock()
	p := m.counts
	p.Pages = int(m.crew.pages.Load())
	return p
}

// Run takes in the inputs that feed gives to put, and returns when all their
// pages are given out. What feed gives to fail could not be opened; it is told of
// in its turn. The slips of a later Run may still go on those of this one.
func (m *Import) Run(ctx context.Context, feed func(ctx context.Context, put func(Input) error, fail func(string, error)) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	list := newLine()
	fed := make(chan error, 1)
	go func() {
		err := feed(ctx, func(in Input) error {
			it, err := m.keep(ctx, in)
			if err == nil {
				m.found(list, it)
			}
			return err
		}, func(name string, err error) { m.found(list, &item{name: name, err: err}) })
		m.mu.Lock()
		m.counts.All = err == nil
		m.mu.Unlock()
		list.end()
		fed <- err
	}()
	var err error
	for it := range list.all() {
		if err = m.give(ctx, it); err != nil {
			break
		}
	}
	if err != nil {
		stop()
	}
	// An error of keeping comes after what stands before it was given out.
	if e := <-fed; err == nil {
		err = e
	}
	if err == nil {
		err = m.seq.Flush(ctx)
	}
	return err
}

func (m *Import) found(list *line, it *item) {
	m.mu.Lock()
	m.counts.Found++
	m.mu.Unlock()
	list.put(it)
}

// Rest reads what is left in the queue: what was kept and not read when an
// earlier import ended. What another process is at is left to it. It returns what
// became of all that was read so since the last call.
func (m *Import) Rest(ctx context.Context) ([]Outcome, error) {
	err := m.crew.rest(ctx)
	m.mu.Lock()
	defer m.mu.Unlock()
	list := m.earlier
	m.earlier = nil
	return list, err
}

// item is one input in its turn.
type item struct {
	name, sum string
	capture   archive.Capture
	already   bool
	outside   bool  // of the pattern of folders
	err       error // why it was not kept
}

// keep makes an input durable and puts it in the queue. Its error is one of the
// archive, which the next input would meet as well.
func (m *Import) keep(ctx context.Context, in Input) (*item, error) {
	it := &item{name: in.Name}
	raw, err := in.Read()
	if len(raw) > 0 {
		it.sum = sum(raw)
	}
	if err == nil {
		err = m.d.reader.Look(raw)
	}
	if err != nil {
		it.err = err
		return it, ctx.Err()
	}
	var told archive.Told
	if m.o.Folders != nil {
		var ok bool
		told, ok = m.o.Folders.Told(in.Folders)
		it.outside = !ok
	}
	if err := m.store(ctx, it, raw, told); err != nil {
		return nil, err
	}
	m.crew.poke()
	return it, nil
}

func (m *Import) store(ctx context.Context, it *item, raw []byte, told archive.Told) (err error) {
	m.keeping.Lock()
	defer m.keeping.Unlock()
	it.capture, it.already, err = m.d.store.KeepTold(ctx, it.name, raw, m.o.Site, told, m.crew.name)
	if err != nil {
		return err
	}
	m.wanted[it.capture.ID]++
	if !it.already {
		return nil
	}
	if !it.capture.Read {
		_, err = m.queue.Hurry(ctx, it.capture.ID, m.crew.name)
		return err
	}
	again, err := m.d.failed(ctx, it.capture)
	if again && err == nil {
		err = m.queue.Want(ctx, it.capture.ID, m.crew.name)
	}
	return err
}

// failed reports whether no page of a capture could be read, for another reason
// than that no print can be read there: then it is worth another try.
func (d *Desk) failed(ctx context.Context, c archive.Capture) (bool, error) {
	bad, err := d.store.Unreadable(ctx, c.ID)
	if err != nil || len(bad) < c.Pages {
		return false, err
	}
	for _, b := range bad {
		if noText(b.Error) {
			return false, nil
		}
	}
	return len(bad) > 0, nil
}

// take is given what the crew has read. What an input waits for is saved in its
// turn, so that records are numbered in input order; anything else at once.
func (m *Import) take(ctx context.Context, r result) error {
	m.keeping.RLock()
	wanted := m.wanted[r.capture.ID] > 0
	m.keeping.RUnlock()
	m.mu.Lock()
	wait := wanted && (len(m.finished) < mostFinished || r.err != nil)
	if wait {
		m.finished[r.capture.ID] = r
	}
	m.mu.Unlock()
	if !wait {
		if err := m.aside(ctx, r, wanted); err != nil {
			return err
		}
	}
	select {
	case m.news <- struct{}{}:
	default:
	}
	return nil
}

// aside saves what was read out of turn. Of what no input waits for, Rest tells.
func (m *Import) aside(ctx context.Context, r result, wanted bool) error {
	var err error
	if r.err == nil {
		if r.readings, err = m.d.save(ctx, r.capture, r.readings); err != nil {
			return err
		}
	}
	if wanted {
		return nil
	}
	o := Outcome{File: r.capture.File, Capture: r.capture.ID, Earlier: true}
	if r.err != nil {
		o.add(Failed(r.capture.File, nil, &KeptError{r.capture.ID, r.err}))
	}
	for _, p := range r.readings {
		o.add(page(r.capture.File, r.capture.SHA256, p))
	}
	m.mu.Lock()
	m.earlier = append(m.earlier, o)
	m.counts.Earlier++
	m.mu.Unlock()
	return nil
}
