package intake

import (
	"cmp"
	"context"
	"slices"

	"tankroll/archive"
	"tankroll/ocr/join"
	"tankroll/record"
)

// Sequence gives out pages that came in one after the other, in their order. A
// slip that is longer than a picture is joined of neighbouring pages. So a page
// with a slip that may go on (Paper.Top or Bottom is not whole) is held back
// until the next page was looked at; every other page is given at once.
type Sequence struct {
	parse func(context.Context, record.Slip) (record.Report, error)
	save  func(context.Context, []*chain) error // nil when nothing is kept
	give  func(record.Page) error

	held []heldPage // since the first that waits; the last one came in last
	last []*chain   // one for each slip of the last page
}

// heldPage is a page that was read and not yet given out.
type heldPage struct {
	name, sum string
	already   bool
	reading   archive.Reading
	chains    []*chain // one for each slip
}

// chain is a slip with all the pictures that it was joined of so far.
type chain struct {
	slip   record.Slip // with its Parts
	report record.Report
	grown  bool // since it was kept
	maybe  []doubt
}

// doubt is a pair of slips that may be one.
type doubt struct{ a, b record.Ref }

// NewSequence gives the pages that are added to it to give.
func NewSequence(parse func(context.Context, record.Slip) (record.Report, error), give func(record.Page) error) *Sequence {
	return &Sequence{parse: parse, give: give}
}

// Add takes the next page of the sequence. Raw are the bytes of its file.
func (q *Sequence) Add(ctx context.Context, name string, raw []byte, already bool, r archive.Reading) error {
	return q.add(ctx, heldPage{name: name, sum: sum(raw), already: already, reading: r}, nil)
}

// add takes the next page; wholes are the joined slips that its slips belong to
// already, by their number.
func (q *Sequence) add(ctx context.Context, p heldPage, wholes map[int]*archive.Whole) error {
	for i, s := range p.reading.Slips {
		p.chains = append(p.chains, q.chain(p, i, s, wholes[i]))
	}
	if err := q.meet(ctx, p); err != nil {
		return err
	}
	q.held = append(q.held, p)
	q.last = p.chains
	return q.release(ctx, q.waiting())
}

// chain is the chain that a slip belongs to: one that waits, or its own.
func (q *Sequence) chain(p heldPage, i int, s archive.SlipReading, whole *archive.Whole) *chain {
	ref := record.Ref{File: p.name, Page: p.reading.Page, Slip: i, Capture: p.reading.Capture}
	for _, h := range q.held {
		for _, c := range h.chains {
			if slices.ContainsFunc(c.slip.Parts, func(o record.Part) bool { return o.Same(ref) }) {
				return c
			}
		}
	}
	if whole != nil {
		return &chain{slip: whole.Slip, report: whole.Report}
	}
	slip := s.Slip
	slip.Parts = []record.Part{{Ref: ref, Corners: slip.Corners, Turn: slip.Turn}}
	return &chain{slip: slip, report: s.Report}
}

// open reports whether a slip may go on on another picture.
func open(s record.Slip) bool {
	return len(s.Lines) > 0 && (s.Paper.Top != record.EdgeWhole || s.Paper.Bottom != record.EdgeWhole)
}

// tie is two chains that may be one.
type tie struct {
	upper, lower *chain
	seam         join.Seam
}

// meet joins the slips of the last page with those of the next, the surest
// first.
func (q *Sequence) meet(ctx context.Context, next heldPage) error {
	var ties []tie
	for _, a := range q.last {
		for _, b := range next.chains {
			if a == b || !open(a.slip) || !open(b.slip) {
				continue
			}
			for _, t := range []tie{{upper: a, lower: b}, {upper: b, lower: a}} {
				if t.seam = join.Meet(t.upper.slip, t.lower.slip); t.seam.Answer != join.Apart {
					ties = append(ties, t)
				}
			}
		}
	}
	slices.SortStableFunc(ties, func(a, b tie) int { return cmp.Compare(b.seam.Evidence, a.seam.Evidence) })
	taken := map[*chain]bool{}
	for _, t := range ties {
		if taken[t.upper] || taken[t.lower] {
			continue
		}
		joined := false
		if t.seam.Answer == join.Together {
			var err error
			if joined, err = q.join(ctx, next, t); err != nil {
				return err
			}
		}
		if !joined {
			d := doubt{t.upper.slip.Parts[len(t.upper.slip.Parts)-1].Ref, t.lower.slip.Parts[0].Ref}
			t.upper.maybe = append(t.upper.maybe, d)
			t.lower.maybe = append(t.lower.maybe, d)
		}
		taken[t.upper], taken[t.lower] = true, true
	}
	return nil
}

// join makes one chain of two. What a console is set to is printed with the same
// figures each time, so no seam tells whether it is of one printout: such slips
// stay apart.
func (q *Sequence) join(ctx context.Context, next heldPage, t tie) (bool, error) {
	c := &chain{slip: join.Two(t.upper.slip, t.lower.slip, t.seam), grown: true, maybe: append(t.upper.maybe, t.lower.maybe...)}
	var err error
	if c.report, err = q.parse(ctx, c.slip); err != nil {
		return false, err
	}
	if slices.ContainsFunc(c.report.Records, func(r record.Record) bool { return r.Kind == record.TankLimits }) {
		return false, nil
	}
	for _, p := range append(q.held[:len(q.held):len(q.held)], next) {
		for i, old := range p.chains {
			if old == t.upper || old == t.lower {
				p.chains[i] = c
			}
		}
	}
	return true, nil
}

// waiting is the number of the first held page that the next page may still
// change.
func (q *Sequence) waiting() int {
	for i, h := range q.held {
		for _, c := range h.chains {
			if open(c.slip) && slices.Contains(q.held[len(q.held)-1].chains, c) {
				return i
			}
		}
	}
	return len(q.held)
}

// End gives out what is still held back. Pages added later begin anew.
func (q *Sequence) End(ctx context.Context) error {
	err := q.release(ctx, len(q.held))
	q.held, q.last = nil, nil
	return err
}

// Flush gives out what is still held back; pages added later may still go on
// those of before.
func (q *Sequence) Flush(ctx context.Context) error {
	err := q.release(ctx, len(q.held))
	q.held = nil
	return err
}

// release gives out the first n held pages, after what was joined is kept.
func (q *Sequence) release(ctx context.Context, n int) error {
	if n == 0 {
		return nil
	}
	var news []*chain
	for _, h := range q.held[:n] {
		for _, c := range h.chains {
			if (c.grown || len(c.maybe) > 0) && !slices.Contains(news, c) {
				news = append(news, c)
			}
		}
	}
	if q.save != nil && len(news) > 0 {
		if err := q.save(ctx, news); err != nil {
			return err
		}
	}
	for _, h := range q.held[:n] {
		for i, c := range h.chains {
			ref := record.Ref{File: h.name, Page: h.reading.Page, Slip: i, Capture: h.reading.Capture}
			c.link(&h.reading.Slips[i].Links, ref)
		}
		p := page(h.name, h.sum, h.reading)
		p.Already = h.already
		if h.reading.Capture != "" && p.Error != "" {
			p.Error = nothingRead(p.Error, h.reading.Capture).Error()
		}
		if err := q.give(p); err != nil {
			return err
		}
	}
	for _, c := range news {
		c.grown = false
	}
	q.held = slices.Clone(q.held[n:])
	return nil
}

// link sets the links of the slip that ref names, when it is a part of the
// chain.
func (c *chain) link(l *archive.Links, ref record.Ref) {
	parts := c.slip.Parts
	for _, d := range c.maybe {
		for _, pair := range [][2]record.Ref{{d.a, d.b}, {d.b, d.a}} {
			if pair[0].Same(ref) && !slices.ContainsFunc(l.MayGoOn, pair[1].Same) {
				l.MayGoOn = append(l.MayGoOn, pair[1])
			}
		}
	}
	if len(parts) < 2 || !slices.ContainsFunc(parts, func(p record.Part) bool { return p.Same(ref) }) {
		return
	}
	l.Whole, l.Into = nil, nil
	if parts[0].Same(ref) {
		l.Whole = &archive.Whole{Slip: c.slip, Report: c.report}
	} else {
		l.Into = &parts[0].Ref
	}
	// What was joined since is no longer in doubt.
	l.MayGoOn = slices.DeleteFunc(l.MayGoOn, func(r record.Ref) bool {
		return slices.ContainsFunc(parts, func(p record.Part) bool { return p.Same(r) })
	})
}
