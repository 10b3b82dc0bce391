package index

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"tankroll/archive"
	"tankroll/index/table"
	"tankroll/index/text"
)

// How a new index is builtStretch: so many captures are read at once, and so many
// slips go into one part at most, which is then finished.
const (
	stretch   = 100
	partSlips = 60000
)

// builtStretch is what one stretch of captures gave.
type builtStretch struct {
	slips []builtSlip
	docs  []table.Doc
	held  map[string]uint32 // records of repeated events, with their slip's number
}

type builtSlip struct {
	table.Slip
	slipDate
	part string
}

// build fills a new index in a folder of its own, with one worker for each
// processor: reading what the archive keeps and cutting it into words is most of
// the work.
func (ix *Index) build(ctx context.Context, p pointed) (*generation, error) {
	dir := filepath.Join(ix.dir, p.Folder)
	g, err := ix.buildIn(ctx, dir, p)
	if err != nil {
		os.RemoveAll(dir)
	}
	return g, err
}

func (ix *Index) buildIn(ctx context.Context, dir string, p pointed) (*generation, error) {
	if err := os.RemoveAll(dir); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	t, err := table.Create(tablePath(dir))
	if err != nil {
		return nil, err
	}
	b := &build{ix: ix, dir: dir}
	err = t.Write(ctx, func(w *table.Writer) error { return b.fill(ctx, w) })
	if err = errors.Join(err, t.Close()); err != nil {
		return nil, err
	}
	return openGeneration(ix.dir, p)
}

type build struct {
	ix       *Index
	dir      string
	repeated map[string]bool // events that several records tell of
	slip     atomic.Int64    // numbers given
	part     atomic.Int64
}

func (b *build) fill(ctx context.Context, w *table.Writer) error {
	// What changes from now on is caught up with later.
	seq, err := b.ix.src.Seq(ctx)
	if err != nil {
		return err
	}
	last, err := b.ix.src.LastCapture(ctx)
	if err != nil {
		return err
	}
	facts, err := b.ix.src.Repeated(ctx)
	if err != nil {
		return err
	}
	b.repeated = map[string]bool{}
	for _, f := range facts {
		b.repeated[f] = true
	}
	held, err := b.workers(ctx, w, last)
	if err != nil {
		return err
	}
	if err := b.rest(ctx, w, facts, held); err != nil {
		return err
	}
	if _, err := w.Next("slip", int(b.slip.Load())); err != nil {
		return err
	}
	if _, err := w.Next("part", int(b.part.Load())); err != nil {
		return err
	}
	return w.Note(noteSeq, seq)
}

// workers reads all captures and writes what they give.
func (b *build) workers(ctx context.Context, w *table.Writer, last int64) (map[string]uint32, error) {
	group, ctx := errgroup.WithContext(ctx)
	out := make(chan builtStretch, 4)
	parts := make(chan table.Part, 4)
	var next atomic.Int64
	var busy atomic.Int64
	n := runtime.GOMAXPROCS(0)
	busy.Store(int64(n))
	for range n {
		group.Go(func() error {
			defer func() {
				if busy.Add(-1) == 0 {
					close(out)
					close(parts)
				}
			}()
			return b.work(ctx, func() int64 { return next.Add(stretch) - stretch + 1 }, last, out, parts)
		})
	}
	held := map[string]uint32{}
	docs, done := out, parts
	group.Go(func() error {
		for docs != nil || done != nil {
			select {
			case f, ok := <-docs:
				if !ok {
					docs = nil
					continue
				}
				if err := b.write(w, f); err != nil {
					return err
				}
				for id, no := range f.held {
					held[id] = no
				}
			case p, ok := <-done:
				if !ok {
					done = nil
					continue
				}
				if err := w.AddPart(p); err != nil {
					return err
				}
			case <-ctx.Done():
				return ctx.Err()
			}
		}
		return nil
	})
	return held, group.Wait()
}

func (b *build) write(w *table.Writer, f builtStretch) error {
	for _, s := range f.slips {
		if err := w.AddSlip(s.Slip, s.part); err != nil {
			return err
		}
		if err := w.Number("printed", s.No, s.printed); err != nil {
			return err
		}
		if err := w.Number("tested", s.No, s.tested); err != nil {
			return err
		}
	}
	for _, d := range f.docs {
		if err := w.Put(d); err != nil {
			return err
		}
	}
	return nil
}

// work reads one stretch of captures after the other into parts of its own.
func (b *build) work(ctx context.Context, take func() int64, last int64, out chan<- builtStretch, parts chan<- table.Part) (err error) {
	var builder *text.Builder
	var name string
	defer func() {
		if err != nil && builder != nil {
			builder.Abandon()
		}
	}()
	finish := func() error {
		if builder == nil {
			return nil
		}
		docs := builder.Docs()
		sum, err := builder.Close()
		if err != nil {
			return err
		}
		builder = nil
		return send(ctx, parts, table.Part{Name: name, Docs: docs, Sum: sum})
	}
	for first := take(); first <= last; first = take() {
		shown, err := b.ix.src.Shown(ctx, first, first+stretch-1)
		if err != nil {
			return err
		}
		if builder == nil && len(shown) > 0 {
			name = partName(b.part.Add(1))
			if builder, err = text.NewBuilder(filepath.Join(b.dir, name)); err != nil {
				return err
			}
		}
		f := builtStretch{held: map[string]uint32{}}
		places := map[string]map[place]uint32{}
		for _, s := range shown {
			no := uint32(b.slip.Add(1))
			if places[s.Capture] == nil {
				places[s.Capture] = map[place]uint32{}
			}
			places[s.Capture][place{s.Page, s.Slip}] = no
			f.slips = append(f.slips, builtSlip{table.Slip{No: no, Capture: captureNo(s.Capture), Page: s.Page, Slip: s.Slip},
				slipDate{printed: timeNumber(s.PrintedAt)}, name})
			if err := builder.Add(no, s.Lines, s.Whole); err != nil {
				return err
			}
		}
		rows, err := b.ix.src.Rows(ctx, archive.Filter{Captures: [2]int64{first, first + stretch - 1}})
		if err != nil {
			return err
		}
		b.rows(&f, rows, places)
		if err := send(ctx, out, f); err != nil {
			return err
		}
		if builder != nil && builder.Docs() >= partSlips {
			if err := finish(); err != nil {
				return err
			}
		}
	}
	return finish()
}

func send[T any](ctx context.Context, to chan<- T, v T) error {
	select {
	case to <- v:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// rows makes what the index knows of records; those of repeated events wait
// until all are known.
func (b *build) rows(f *builtStretch, rows []archive.Row, places map[string]map[place]uint32) {
	own := map[string][]archive.Row{}
	for _, r := range rows {
		own[r.Capture] = append(own[r.Capture], r)
		no := places[r.Capture][place{r.Page, r.Slip}]
		if b.repeated[r.Fact] {
			f.held[r.ID] = no
			continue
		}
		f.docs = append(f.docs, newRecordDoc(r, false, b.ix.lex).row(r, no))
	}
	dates := map[uint32]slipDate{}
	for c, list := range own {
		for no, d := range slipDates(list, places[c]) {
			dates[no] = d
		}
	}
	for i, s := range f.slips {
		if d, ok := dates[s.No]; ok {
			f.slips[i].tested = d.tested
			if d.printed != 0 {
				f.slips[i].printed = d.printed
			}
		}
	}
}

// rest writes the records that were typed in and those of repeated events.
func (b *build) rest(ctx context.Context, w *table.Writer, facts []string, held map[string]uint32) error {
	rows, err := b.ix.src.Rows(ctx, archive.Filter{ByHand: true})
	if err != nil {
		return err
	}
	for _, r := range rows {
		if !b.repeated[r.Fact] {
			if err := w.Put(newRecordDoc(r, false, b.ix.lex).row(r, 0)); err != nil {
				return err
			}
		}
	}
	for len(facts) > 0 {
		n := min(chunkSize, len(facts))
		err := b.ix.sameEvents(ctx, facts[:n], func(r archive.Row, isCopy bool) error {
			return w.Put(newRecordDoc(r, isCopy, b.ix.lex).row(r, held[r.ID]))
		})
		if err != nil {
			return err
		}
		facts = facts[n:]
	}
	return nil
}
