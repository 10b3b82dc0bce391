package intake

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"tankroll/archive"
	"tankroll/ocr"
	"tankroll/parse"
	"tankroll/record"
)

// RereadOptions say what Reread does.
type RereadOptions struct {
	All bool // also what the newest versions read, from the picture
	Dry bool // tell what would change and keep nothing
}

// Again is what came of reading captures again: one, or several whose slips are
// joined or may have to be.
type Again struct {
	Captures []archive.Capture
	Picture  bool // the pictures were read; else only the grammar ran, over the slips as they were seen
	Records  []archive.Difference
	Pages    []PageError // that could not be read now; their older readings stay
	Err      error       // nothing of it could be read; all stays as it was
}

// PageError says why one page could not be read.
type PageError struct {
	Capture string
	Page    int
	Why     string
}

// Reread reads again what an older version of the reader or the grammar read:
// the captures of the ids (c12, r87), or all there are. What people decided
// stays. Where only the grammar is newer, the pictures are not read again: their
// slips are kept. Each group of captures is changed in one step or not at all,
// and carries the versions that read it, so that after an interruption the next
// Reread goes on where this one stopped. What fails is told to each and the work
// goes on.
func (d *Desk) Reread(ctx context.Context, ids []string, o RereadOptions, each func(Again) error) error {
	list, err := d.toReread(ctx, ids, o.All)
	if err != nil {
		return err
	}
	done := map[string]bool{}
	for _, id := range list {
		if done[id] {
			continue
		}
		group, err := d.linked(ctx, id)
		if err != nil {
			return err
		}
		for _, c := range group {
			done[c.ID] = true
		}
		a := Again{Captures: group}
		a.Err = d.again(ctx, &a, o)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err := each(a); err != nil {
			return err
		}
	}
	return nil
}

// toReread lists captures to read again.
func (d *Desk) toReread(ctx context.Context, ids []string, all bool) ([]string, error) {
	behind, err := d.store.Behind(ctx, ocr.Version, parse.Version)
	if err != nil {
		return nil, err
	}
	if len(ids) == 0 && !all {
		return behind, nil
	}
	var list []string
	for _, id := range ids {
		if strings.HasPrefix(id, "c") {
			if _, err := d.store.Capture(ctx, id); err != nil {
				return nil, err
			}
			list = append(list, id)
			continue
		}
		r, err := d.store.Record(ctx, id)
		if err != nil {
			return nil, err
		}
		if r.ByHand {
			return nil, fmt.Errorf("%s was typed in by hand; there is no picture of it to read again", id)
		}
		list = append(list, r.Capture)
		for _, p := range r.Parts {
			list = append(list, p.Capture)
		}
	}
	if len(ids) == 0 {
		captures, err := d.store.Captures(ctx)
		if err != nil {
			return nil, err
		}
		for _, c := range captures {
			if c.Read {
				list = append(list, c.ID)
			}
		}
	}
	if all {
		return list, nil
	}
	return slices.DeleteFunc(list, func(id string) bool { return !slices.Contains(behind, id) }), nil
}

// linked lists a capture with those that its slips are joined with, or may have
// to be, in the order in which they came in.
func (d *Desk) linked(ctx context.Context, id string) ([]archive.Capture, error) {
	var out []archive.Capture
	for todo := []string{id}; len(todo) > 0; todo = todo[1:] {
		if slices.ContainsFunc(out, func(c archive.Capture) bool { return c.ID == todo[0] }) {
			continue
		}
		c, err := d.store.Capture(ctx, todo[0])
		if err != nil {
			return nil, err
		}
		out = append(out, c)
		readings, err := d.store.Readings(ctx, c.ID)
		if err != nil {
			return nil, err
		}
		for _, p := range readings {
			for _, s := range p.Slips {
				for _, r := range refsOf(s.Links) {
					todo = append(todo, r.Capture)
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b archive.Capture) int {
		if less(a.ID, b.ID) {
			return -1
		}
		return 1
	})
	return out, nil
}

func refsOf(l archive.Links) []record.Ref {
	out := slices.Clone(l.MayGoOn)
	if l.Into != nil {
		out = append(out, *l.Into)
	}
	if l.Whole != nil {
		for _, p := range l.Whole.Slip.Parts {
			out = append(out, p.Ref)
		}
	}
	return out
}

// again reads one group.
func (d *Desk) again(ctx context.Context, a *Again, o RereadOptions) error {
	a.Picture = o.All
	old := map[string][]archive.Reading{}
	for _, c := range a.Captures {
		var err error
		if old[c.ID], err = d.store.Readings(ctx, c.ID); err != nil {
			return err
		}
		for _, p := range old[c.ID] {
			a.Picture = a.Picture || p.OCRVersion < ocr.Version
		}
	}
	read := d.parsedAgain
	if a.Picture {
		read = d.readAgain
	}
	pages, err := read(ctx, a, old)
	if err != nil || len(pages) == 0 {
		return err
	}
	a.Records, err = d.store.Replace(ctx, o.Dry, pages...)
	return err
}

// parsedAgain runs the grammar over the slips of a group.
func (d *Desk) parsedAgain(ctx context.Context, a *Again, old map[string][]archive.Reading) ([]archive.Pages, error) {
	var out []archive.Pages
	for _, c := range a.Captures {
		again, err := reparse(old[c.ID], func(_ archive.SlipReading, s record.Slip, _ record.Report) (record.Report, error) {
			return d.understand(ctx, c, s, parse.Slip(s, Hints(d.now(), c.Site)))
		})
		if err != nil {
			return nil, err
		}
		if again {
			out = append(out, archive.Pages{Capture: c.ID, Readings: old[c.ID]})
		}
	}
	return out, nil
}

// readAgain reads the pictures of a group and joins what belongs together. A
// page that cannot be read now, as when time runs out, keeps the reading that it
// has.
func (d *Desk) readAgain(ctx context.Context, a *Again, old map[string][]archive.Reading) ([]archive.Pages, error) {
	read := map[string][]archive.Reading{}
	var chains []*chain
	q := NewSequence(d.parseJoined, func(record.Page) error { return nil })
	q.save = func(_ context.Context, list []*chain) error { chains = append(chains, list...); return nil }
	for _, c := range a.Captures {
		raw, err := d.store.Original(ctx, c.ID)
		if err != nil {
			return nil, err
		}
		if read[c.ID], err = d.look(ctx, c, raw); err != nil {
			return nil, fmt.Errorf("%s: %w", c.File, err)
		}
		if err := d.understandAll(ctx, c, read[c.ID]); err != nil {
			return nil, err
		}
		for i, p := range read[c.ID] {
			if p.Error != "" && !noText(p.Error) {
				a.Pages = append(a.Pages, PageError{c.ID, p.Page, p.Error})
				for _, was := range old[c.ID] {
					if was.Page == p.Page && was.Error == "" {
						read[c.ID][i] = was
					}
				}
			}
			if err := q.add(ctx, heldPage{name: c.File, sum: c.SHA256, reading: read[c.ID][i]}, nil); err != nil {
				return nil, err
			}
		}
	}
	if err := q.End(ctx); err != nil {
		return nil, err
	}
	return linkAll(read, chains), nil
}
