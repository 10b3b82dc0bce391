package intake

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"tankroll/archive"
	"tankroll/index"
	"tankroll/ocr"
)

// Options say how a Desk works; the zero Options work.
type Options struct {
	OCR ocr.Options
	Now func() time.Time // nil means time.Now
}

// Desk is an archive with its reader and its index: where pictures are taken
// in and questions answered. It may be used by several goroutines, and several
// processes may each have a Desk on one archive.
type Desk struct {
	dir    string // absolute
	store  *archive.Store
	reader *ocr.Reader
	now    func() time.Time
	most   int64 // bytes of one input
	orders orders
	words  ownWords

	mu sync.Mutex
	ix *index.Index // nil until the first question
}

// Open opens the archive in dir, making it when it is not there.
func Open(ctx context.Context, dir string, o Options) (*Desk, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	store, err := archive.Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	reader, err := ocr.NewReader(o.OCR)
	if err != nil {
		store.Close()
		return nil, err
	}
	// What may be read may be kept.
	most := orDefault(o.OCR.Limits.Bytes)
	store.MaxBytes = max(store.MaxBytes, most)
	return &Desk{dir: store.Dir(), store: store, reader: reader, now: o.Now, most: most}, nil
}

// Close ends the reader and the archive.
func (d *Desk) Close() error {
	err := d.reader.Close()
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.ix != nil {
		d.ix.Close()
	}
	if e := d.store.Close(); e != nil {
		err = e
	}
	return err
}

// Store is the archive behind the desk.
func (d *Desk) Store() *archive.Store { return d.store }

// MaxBytes is the largest input that Add takes.
func (d *Desk) MaxBytes() int64 { return d.most }

// Now is the desk's clock.
func (d *Desk) Now() time.Time { return d.now() }

// KeptError says that an original is safe in the archive but was not read;
// Resume reads it later.
type KeptError struct {
	Capture string
	Err     error
}

func (e *KeptError) Error() string {
	return fmt.Sprintf("kept as %s, but not read yet: %v; run tankroll add again to read it", e.Capture, e.Err)
}

func (e *KeptError) Unwrap() error { return e.Err }

func (d *Desk) read(ctx context.Context, c archive.Capture, raw []byte) ([]archive.Reading, error) {
	readings, err := d.look(ctx, c, raw)
	if err != nil {
		return nil, err
	}
	return d.save(ctx, c, readings)
}

// look reads a capture and keeps nothing.
func (d *Desk) look(ctx context.Context, c archive.Capture, raw []byte) ([]archive.Reading, error) {
	var readings []archive.Reading
	for r, err := range Read(ctx, d.reader, raw, Hints(d.now(), c.Site)) {
		if err != nil {
			return nil, err
		}
		r.Capture = c.ID
		readings = append(readings, r)
	}
	return readings, ctx.Err()
}

// save keeps what was read from a capture, read again with all that is known
// besides.
func (d *Desk) save(ctx context.Context, c archive.Capture, readings []archive.Reading) ([]archive.Reading, error) {
	if err := d.understandAll(ctx, c, readings); err != nil {
		return nil, err
	}
	return readings, d.store.SaveReadings(ctx, c.ID, readings)
}

// understandAll is understand for all slips of a capture, in place.
func (d *Desk) understandAll(ctx context.Context, c archive.Capture, readings []archive.Reading) error {
	for _, r := range readings {
		for i, s := range r.Slips {
			var err error
			if r.Slips[i].Report, err = d.understand(ctx, c, s.Slip, s.Report); err != nil {
				return err
			}
		}
	}
	return nil
}

// Resume reads what was kept but not read.
func (d *Desk) Resume(ctx context.Context) error {
	m := d.Import(ctx, ImportOptions{})
	_, err := m.Rest(ctx)
	return errors.Join(err, m.Close(ctx))
}

// indexName is the index's folder in the archive's.
const indexName = "index"

func (d *Desk) indexDir() string { return filepath.Join(d.dir, indexName) }

// Known lists the sites or products of an archive for a shell to complete.
func Known(ctx context.Context, dir, filter string) ([]string, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	return index.Known(ctx, filepath.Join(abs, indexName), filter)
}

// index opens the index when it is first needed. It stays open, which keeps no
// other process from it.
func (d *Desk) index(ctx context.Context) (*index.Index, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.ix != nil {
		return d.ix, nil
	}
	ix, err := index.Open(ctx, d.indexDir(), d.store)
	if err == nil {
		d.ix = ix
	}
	return ix, err
}

// Ask answers a question in plain words.
func (d *Desk) Ask(ctx context.Context, question string) (index.Answer, error) {
	ix, err := d.index(ctx)
	if err != nil {
		return index.Answer{}, err
	}
	return ix.AskWords(ctx, question, d.now())
}

// Find looks for printed words.
func (d *Desk) Find(ctx context.Context, s index.Search) (index.Found, error) {
	ix, err := d.index(ctx)
	if err != nil {
		return index.Found{}, err
	}
	return ix.Find(ctx, s)
}

// Reindex makes the index again from the archive; until it is done the old one
// answers.
func (d *Desk) Reindex(ctx context.Context) error {
	return index.Rebuild(ctx, d.indexDir(), d.store)
}

// CatchUp brings the index up to the archive, and makes one anew that an older
// version of the program made.
func (d *Desk) CatchUp(ctx context.Context) error {
	ix, err := d.index(ctx)
	if err != nil {
		return err
	}
	if err := ix.Renew(ctx); err != nil {
		return err
	}
	return ix.CatchUp(ctx)
}
