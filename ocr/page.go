package ocr

import (
	"context"
	"image"
	"math"
	"slices"

	"tankroll/ocr/decode"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// slips finds the slips of a page and reads each. Where no slip stands out the
// whole picture is read as one.
func (r *Reader) slips(ctx context.Context, px decode.Page, t *trace) ([]record.Slip, error) {
	size := px.Luma.Rect.Size()
	t.image("page", px.Luma)
	cb, cr, step := px.Coarse()
	planes := paper.Reduced(px.Luma, cb, cr)
	planes.Likely = r.sheet.Paper(planes.Luma, planes.Blue, planes.Red)
	t.plane("likely-paper", planes.Likely, 0, 1)
	if planes.MostlyBright() {
		planes.Apart = r.apart.Paper(planes.Luma, planes.Blue, planes.Red)
		t.plane("likely-apart", planes.Apart, 0, 1)
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	found, err := paper.Find(ctx, planes)
	if err != nil {
		return nil, err
	}
	t.outlines("found", planes, found)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	px, left := byColour(px, found, t)
	original := raster.NewGrayPyramid(px.Luma)
	set, err := r.standAll(ctx, original, found, t)
	if err != nil {
		return nil, err
	}
	if set, err = r.orWhole(ctx, original, set, t); err != nil {
		return nil, err
	}
	var out []record.Slip
	colour := paper.NewColour(cb, cr, step)
	for i, u := range printed(set) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		u, luma, err := r.unmarked(ctx, u, px.Luma, original, t.slip(i+1))
		if err != nil {
			return nil, err
		}
		striped := u
		if plain := colour.StripeOff(luma, original, u.m, u.layout.Pitch/u.scale); plain != nil {
			t.slip(i+1).image("stripe-off", plain)
			var err error
			if u, err = r.setUprightAgain(ctx, raster.NewGrayPyramid(plain), u, t.slip(i+1)); err != nil {
				return nil, err
			}
			if u.turn != striped.turn && u.stands < striped.stands {
				u = striped
			}
			u.outlined, u.found, u.written = striped.outlined, striped.found, striped.written
		}
		u.written = u.written.and(left.on(u.m))
		s, err := r.slip(ctx, u, size, t.slip(i+1))
		if err != nil {
			return nil, err
		}
		s.Paper.EndOfRoll, s.Paper.Sure.EndOfRoll = paper.EndOfRoll(original, colour, striped.m, striped.layout.Pitch/striped.scale)
		out = append(out, s)
	}
	return out, nil
}

// standAll stands the slips that were found on their feet. Outlines that are not
// clear and hold nothing but soft grain are left out, unless there is nothing else; so are
// those whose marks, not plainly print, are far smaller or larger than the print of a slip
// that surely is one.
func (r *Reader) standAll(ctx context.Context, original raster.Pyramid, found []paper.Candidate, t *trace) ([]upright, error) {
	order := make([]int, len(found))
	for i := range order {
		order[i] = i
	}
	unclear := func(c paper.Candidate) int {
		if c.Confidence < clearOutline {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(order, func(a, b int) int { return unclear(found[a]) - unclear(found[b]) })
	stood := make([]upright, len(found))
	sharp, capital := false, 0.0
	for _, i := range order {
		var only worth
		if len(found) > 1 && unclear(found[i]) > 0 {
			only.lines = func(u upright) bool { return u.steepness() >= surelyBlurred }
			if capital > 0 {
				only.capital = func(c float64) bool { return c*mostTimes > capital && c < mostTimes*capital }
			}
		}
		var err error
		if stood[i], err = r.standOne(ctx, original, found[i], only, t.slip(i+1)); err != nil {
			return nil, err
		}
		u := stood[i]
		sharp = sharp || u.legible >= leastLegible && !u.blurred()
		if u.outlined >= clearOutline && u.surelyUpright() {
			capital = max(capital, readCap/u.scale)
		}
	}
	var set []upright
	for i, c := range found {
		if !sharp && !stood[i].looked {
			var err error
			if stood[i], err = r.standOne(ctx, original, c, worth{}, t.slip(i+1)); err != nil {
				return nil, err
			}
		}
		if stood[i].looked {
			set = append(set, stood[i])
		}
	}
	return set, nil
}

// mostTimes is how much higher capitals of one slip are than those of another on the same
// picture: faces of heads differ by two, and of what lies nearer by less.
const mostTimes = 2.5

// standOne stands what was found on its feet, unless it is not worth it: it is not
// looked at then.
func (r *Reader) standOne(ctx context.Context, original raster.Pyramid, c paper.Candidate, only worth, t *trace) (upright, error) {
	m, ok := paper.NewMapSeen(c.Quad, original.Size())
	if !ok {
		return upright{}, nil
	}
	if err := ctx.Err(); err != nil {
		return upright{}, err
	}
	first := firstLook(original, m, t)
	if only.lines != nil && first.grain() {
		return upright{}, nil
	}
	if only.capital != nil && first.plainPrint() {
		only.capital = nil
	}
	u, err := r.setUprightFrom(ctx, original, first, only, t)
	u.found, u.outlined = m, c.Confidence
	return u, err
}

const (
	// manyMore is how much more print the whole picture must hold than the slips
	// that were found for it to be one slip.
	manyMore = 1.25
	// asLegible is how legible it must be against what is clearly paper or print: the
	// grain of wood reads a little too, and there is much of it. Of 350 pictures of the
	// fit part the whole of one was rightly the slip, at 0.96 of what its parts read at, and
	// grain won once, at 0.60 beside print at 0.86; on two of the judging part, seen as
	// numbers, at 0.61 beside 0.93 and 0.96.
	asLegible = 0.85
	// mostOfPicture is the share of the picture from which slips leave no room for
	// such a question.
	mostOfPicture = 0.25
)

// orWhole is set, or the whole picture as one slip when what was found is hardly
// paper or small, and most of the print lies outside of it: blocks of text are
// fenced by blank paper as slips are by the ground.
func (r *Reader) orWhole(ctx context.Context, original raster.Pyramid, set []upright, t *trace) ([]upright, error) {
	size := original.Size()
	held, share, clear := 0.0, 0.0, false
	legible := 0.0  // of what is clearly paper or clearly print
	onGrid := false // some of it is on a grid
	for _, u := range set {
		held += u.held()
		share += float64(u.found.W*u.found.H) / float64(size.X*size.Y)
		if u.outlined >= clearOutline {
			clear, legible = true, max(legible, u.legible)
		}
		if u.surelyUpright() {
			legible, onGrid = max(legible, u.legible), true
		}
	}
	if clear && share >= mostOfPicture {
		return set, nil
	}
	all, ok := paper.NewMap(paper.Whole(size.X, size.Y))
	if !ok {
		return set, nil
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	better := func(u upright) bool {
		return u.legible >= asLegible*legible && (len(set) == 0 || u.held() >= manyMore*held)
	}
	var only worth
	if len(set) > 0 {
		only.lines = func(u upright) bool { return u.print() >= manyMore*held }
		only.ends = func(e ends) bool {
			return better(e.up) || better(e.down) || !onGrid && !e.settled()
		}
	}
	u, err := r.setUprightFrom(ctx, original, firstLook(original, all, t.slip(1)), only, t.slip(1))
	if err != nil || !u.looked || !better(u) {
		return set, err
	}
	u.found = all
	return []upright{u}, nil
}

// held is how much legible print a slip holds, in characters.
func (u upright) held() float64 { return u.print() * u.legible }

// print is how much print a slip seems to hold, in characters.
func (u upright) print() float64 {
	sum := 0.0
	for _, b := range u.layout.Bands {
		if !b.Rule {
			sum += float64(b.X1-b.X0) / u.layout.Cap
		}
	}
	return sum
}

const (
	// leastLegible is the sureness from which something is print. On the fit
	// part every slip is above 0.3, ghosts and those whose print is on no grid
	// included; wood, stone, tape and landscapes are below 0.05.
	leastLegible = 0.12
	// clearOutline is the confidence from which an outline is surely paper.
	clearOutline = 0.6
)

// printed keeps what is legible. Blots that only look legible are soft and have no
// clear outline: they are the grain of the ground where anything else is legible.
// When nothing is legible, paper with a clear outline is kept: a slip of which no
// line can be read, and the picture must be taken again.
func printed(set []upright) []upright {
	outlined := func(u upright) bool { return u.outlined >= clearOutline && len(u.layout.Bands) > 0 }
	legible := which(set, func(u upright) bool { return u.legible >= leastLegible })
	if len(legible) == 0 {
		return which(set, outlined)
	}
	if clear := which(legible, func(u upright) bool { return !u.blurred() || outlined(u) }); len(clear) > 0 {
		return clear
	}
	return legible
}

// sure is how much speaks for what is said of the slip's paper, its ends apart.
func (u upright) sure() record.PaperSure {
	// From nothing to all over what was seen on the fit part: what speaks for the
	// right end up was 0.1 to 1.5, and steepness is doubtful within 0.1 of the
	// least that sharp print has.
	over := func(v, scale float64) float64 { return 1 - math.Exp(-v/scale) }
	return record.PaperSure{
		Corners: u.outlined,
		Turn:    over(u.stands, 0.1),
		Ink:     over(u.dens.Level/u.dens.Noise, 5),
		Blurred: over(math.Abs(u.rise-softPrint), 0.05),
	}
}

// which is the part of set that keep says.
func which(set []upright, keep func(upright) bool) []upright {
	return slices.DeleteFunc(slices.Clone(set), func(u upright) bool { return !keep(u) })
}

// slip reads one slip that stands upright.
func (r *Reader) slip(ctx context.Context, u upright, size image.Point, t *trace) (record.Slip, error) {
	s := record.Slip{Corners: [4]record.Point(u.m.Quad), Turn: u.turn, Lines: []record.Line{}}
	s.Paper = record.Paper{Ink: u.dens.Ink(), Blurred: u.blurred()}
	s.Paper.Sure = u.sure()
	s.Paper.Sure.CutOff = u.edges(&s.Paper, size)
	legible := u.legible >= leastLegible
	if err := ctx.Err(); err != nil {
		return s, err
	}
	if legible {
		r.reshape(&u)
	}
	t.layout("layout", u)
	if legible {
		var err error
		if s.Lines, err = r.lines(ctx, u, size, t); err != nil {
			return s, err
		}
	}
	s.Marks = u.written.record(u)
	t.marks("marks", u, s.Marks)
	return s, nil
}

// lines reads the lines of one slip that stands upright.
func (r *Reader) lines(ctx context.Context, u upright, size image.Point, t *trace) ([]record.Line, error) {
	if r.opts.FirstReading {
		words, err := r.read(ctx, u, nil, t)
		if err != nil {
			return nil, err
		}
		return r.assemble(u, words, nil, size, t), nil
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	cells := r.readCells(u)
	t.cells("grid", u.view, u.layout, cells)
	words, err := r.read(ctx, u, cells, t)
	if err != nil {
		return nil, err
	}
	if offGrid(cells, words) {
		cells = nil
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if cells != nil && r.anchor(&u, cells, words) {
		cells = r.readCells(u)
	}
	return r.assemble(u, words, cells, size, t), nil
}
