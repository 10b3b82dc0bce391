package intake

import (
	"context"
	"errors"
	"maps"
	"slices"
	"time"

	"tankroll/archive"
	"tankroll/parse"
	"tankroll/record"
)

// Batch takes inputs in that were given together, so that a slip which goes on
// from one picture to the next is read as one. Each input is kept and read on
// its own first, then what belongs together is joined in one step: a crash in
// between loses nothing but the joining, and adding the same files again makes
// up for it.
type Batch struct {
	d    *Desk
	site string
	seq  *Sequence
}

// Batch begins a batch; site is that of all its inputs, or "". Each is called
// for every page, in the order of the inputs.
func (d *Desk) Batch(site string, each func(record.Page) error) *Batch {
	b := &Batch{d: d, site: site}
	b.seq = NewSequence(d.parseJoined, each)
	b.seq.save = d.saveChains
	return b
}

// Add takes one input in and gives every page to the batch's each, now or, when
// a slip of it may go on, in a later call. The picture is checked to be one
// before anything is written; then the original is made durable, then it is
// read, then its readings are kept in one step. Bytes that were kept before are
// not read again; their pages come back with Already set.
//
// A *KeptError means that the original is kept but could not be read now; any
// other error means that nothing was kept. All pages of earlier inputs are
// given out before an error is returned. A page that could not be read, or has
// no print, is kept all the same, since the paper may be gone tomorrow: its
// Error says so.
func (b *Batch) Add(ctx context.Context, name string, raw []byte) error {
	readings, already, err := b.take(ctx, name, raw)
	if err != nil {
		if e := b.End(ctx); e != nil {
			return e
		}
		return err
	}
	for _, r := range readings {
		h := heldPage{name: name, sum: sum(raw), already: already, reading: r}
		wholes, err := b.d.wholes(ctx, r)
		if err != nil {
			return err
		}
		if err := b.seq.add(ctx, h, wholes); err != nil {
			return err
		}
	}
	return nil
}

// take keeps one input and reads it, unless that was done before.
func (b *Batch) take(ctx context.Context, name string, raw []byte) (readings []archive.Reading, already bool, err error) {
	d := b.d
	if err := d.reader.Check(ctx, raw); err != nil {
		return nil, false, err
	}
	c, already, err := d.store.Keep(ctx, name, raw, b.site)
	if err != nil {
		return nil, false, err
	}
	if already && c.Read {
		readings, err = d.store.Readings(ctx, c.ID)
	} else {
		readings, err = d.readTaken(ctx, c, raw)
	}
	if err != nil {
		return nil, false, &KeptError{c.ID, err}
	}
	return readings, already, nil
}

// batchLease is how long an import beside this batch leaves its pictures alone: a
// page or two are read in that time, and if not, reading one twice does no harm.
const batchLease = time.Minute

// readTaken reads a capture that waits in the queue, and lets others know that it
// is being read.
func (d *Desk) readTaken(ctx context.Context, c archive.Capture, raw []byte) ([]archive.Reading, error) {
	holder := newName()
	if _, err := d.store.Queue().Take(ctx, c.ID, holder, batchLease); err != nil {
		return nil, err
	}
	readings, err := d.read(ctx, c, raw)
	if err != nil {
		return nil, errors.Join(err, d.store.Queue().Release(context.WithoutCancel(ctx), holder))
	}
	return readings, nil
}

// End gives out the pages that are still held back. It must be called when all
// inputs were added; the batch may be used on.
func (b *Batch) End(ctx context.Context) error { return b.seq.End(ctx) }

// Add is a batch of one input.
func (d *Desk) Add(ctx context.Context, name string, raw []byte, site string, each func(record.Page) error) error {
	b := d.Batch(site, each)
	if err := b.Add(ctx, name, raw); err != nil {
		return err
	}
	return b.End(ctx)
}

// parseJoined reads a slip that was joined of several pictures.
func (d *Desk) parseJoined(ctx context.Context, s record.Slip) (record.Report, error) {
	var c archive.Capture
	if len(s.Parts) > 0 {
		var err error
		if c, err = d.store.Capture(ctx, s.Parts[0].Capture); err != nil {
			return record.Report{}, err
		}
	}
	return d.understand(ctx, c, s, parse.Slip(s, Hints(d.now(), c.Site)))
}

// understand reads a slip again when more is known than stands on it: the order
// in which its site prints day and month, and what its folder tells. R is what
// was read without.
func (d *Desk) understand(ctx context.Context, c archive.Capture, s record.Slip, r record.Report) (record.Report, error) {
	site := c.Site
	if site == "" {
		site = archive.SiteKey(siteOf(r.Header))
	}
	if site == "" {
		site = c.Told.Site
	}
	h, err := d.hints(ctx, site)
	if err != nil {
		return r, err
	}
	if h.DayFirstKnown || h.Lexicon != nil {
		r = parse.Slip(s, h)
	}
	return heed(s, r, h, c.Told), nil
}

// wholes finds the joined slips that the slips of a page belong to since an
// earlier batch.
func (d *Desk) wholes(ctx context.Context, r archive.Reading) (map[int]*archive.Whole, error) {
	out := map[int]*archive.Whole{}
	for i, s := range r.Slips {
		switch {
		case s.Whole != nil:
			out[i] = s.Whole
		case s.Into != nil:
			begin, err := d.store.Slip(ctx, s.Into.Capture, s.Into.Page, s.Into.Slip)
			if err != nil {
				return nil, err
			}
			out[i] = begin.Whole
		}
	}
	return out, nil
}

// saveChains keeps what was joined, or may have to be, in one step. The
// readings are taken from the archive, since the chain may reach to captures of
// an earlier batch.
func (d *Desk) saveChains(ctx context.Context, chains []*chain) error {
	captures := map[string][]archive.Reading{}
	for _, c := range chains {
		refs := []record.Ref{}
		for _, p := range c.slip.Parts {
			refs = append(refs, p.Ref)
		}
		for _, m := range c.maybe {
			refs = append(refs, m.a, m.b)
		}
		for _, r := range refs {
			if _, ok := captures[r.Capture]; ok {
				continue
			}
			var err error
			if captures[r.Capture], err = d.store.Readings(ctx, r.Capture); err != nil {
				return err
			}
		}
	}
	return d.store.SaveTogether(ctx, linkAll(captures, chains)...)
}

// linkAll links the slips of captures as chains have them.
func linkAll(captures map[string][]archive.Reading, chains []*chain) []archive.Pages {
	var all []archive.Pages
	for _, id := range slices.Sorted(maps.Keys(captures)) {
		for _, p := range captures[id] {
			for i := range p.Slips {
				for _, c := range chains {
					c.link(&p.Slips[i].Links, record.Ref{Page: p.Page, Slip: i, Capture: id})
				}
			}
		}
		all = append(all, archive.Pages{Capture: id, Readings: captures[id]})
	}
	return all
}
