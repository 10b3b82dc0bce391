package ocr

import (
	"context"
	"image"
	"math"
	"slices"

	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
)

// upright is a slip that was straightened and set on its feet.
type upright struct {
	view
	layout  lines.Layout
	grid    []grid.Line // nil when its print is on no grid
	turn    int         // degrees
	quarter int         // quarter turns after which its lines lay level, this end up or that
	legible float64     // how surely its characters read, 0 to 1
	looked  bool        // it was read so far as to say so
	written written     // what people left on it

	stands   float64   // how much more speaks for this end up than for the other, 0 and more
	found    paper.Map // as it was outlined, before its print was straightened
	outlined float64   // confidence of its outline
	rise     float64   // how steeply its print rises from the paper, as a share of its darkness
}

// Blur is judged by how steeply print rises from its paper within a tenth of a
// capital's height, as a share of its darkness. On the fit part (six levels, 120
// pictures) every legible slip rises by 0.38 or more. Blurred by a spread of a
// sixteenth of a capital it is 0.37 to 0.60, and nearly all read on; by a tenth
// 0.28 to 0.40, and half still read; by a seventh 0.26 to 0.34, and none does.
const (
	// surelyBlurred is the rise below which print is too soft whatever it
	// seems to read: soft blots can look like characters, very surely.
	surelyBlurred = 0.30
	// softPrint is the rise below which print is too soft unless it reads with
	// at least sureEnough.
	softPrint  = 0.39
	sureEnough = 0.6
)

// blurred is whether the picture must be taken again because it is not sharp.
func (u upright) blurred() bool {
	return u.rise < surelyBlurred || u.rise < softPrint && u.legible < sureEnough
}

// steepness is how steeply the print rises from its paper.
func (u upright) steepness() float64 { return u.dens.Rise(readCap/10, u.places()) }

// places are squares about a character in size along the lines.
func (u upright) places() []image.Rectangle {
	var out []image.Rectangle
	for _, b := range u.layout.Bands {
		if b.Rule || b.Inverse {
			continue
		}
		for x := b.X0; x < b.X1; x += readCap {
			out = append(out, image.Rect(x, b.Y0, min(x+readCap, b.X1), b.Y1))
		}
	}
	return out
}

// The first look is at a scale where the narrow side of a slip, 24 to 48
// characters, is firstWidth wide: characters are then 15 to 30 pixels wide.
const (
	firstWidth = 760
	firstEm    = firstWidth / 36 * 1.6
	mostZoom   = 1.5 // small pictures gain nothing by more
)

// surelyOther is how many times as surely a slip must read on its other axis than on the
// one along which its lines seem to run.
const surelyOther = 1.1

// firstLook lifts a slip at the scale of the first look.
func firstLook(original raster.Pyramid, m paper.Map, t *trace) view {
	v := lift(original, m, min(firstWidth/min(m.W, m.H), mostZoom), firstEm, t)
	t.plane("first-ink", v.even, 1, 0)
	return v
}

// groundRise is how steeply marks rise from what they are on, at the first look,
// below which they are the grain of a ground. On 144 pictures in faces that nothing
// was fitted on (six levels) print rises by 0.25 or more, and the grain of large
// photos by 0.20 or less.
const groundRise = 0.22

// grain is whether the marks of a first look are too soft for print, or too few: each
// tile with print has one vote, and print has some in large tiles too. Whoever reads
// such an outline reads as many lines as fit on it, and none of them is one.
func (v view) grain() bool {
	return v.firstRise(firstTile) < groundRise || v.firstRise(2*firstTile) == 0
}

// plainPrint is whether the marks of a first look rise too steeply for grain, of
// whatever size they are.
func (v view) plainPrint() bool { return v.firstRise(firstTile) >= plainRise }

const (
	// plainRise is what print on sharp pictures rises by at the first look: 109 slips of
	// binder pages by 0.41 or more.
	plainRise = 0.4
	firstTile = 34 // height of a character at the first look, in pixels
)

// firstRise is how steeply marks rise at the first look, by the vote of tiles of so many
// pixels.
func (v view) firstRise(tile int) float64 {
	const step = 2 // pixels, a seventeenth of a character's height
	var all []image.Rectangle
	for y := 0; y < v.dens.H; y += tile {
		for x := 0; x < v.dens.W; x += tile {
			all = append(all, image.Rect(x, y, x+tile, y+tile))
		}
	}
	return v.dens.Rise(step, all)
}

// setUpright finds how the print of one slip lies and stands it on its feet.
func (r *Reader) setUpright(ctx context.Context, original raster.Pyramid, m paper.Map, t *trace) (upright, error) {
	return r.setUprightFrom(ctx, original, firstLook(original, m, t), worth{}, t)
}

// setUprightAgain is setUpright for a slip of which something was taken off since it stood
// as before: if that was sure, its lines lie as they did.
func (r *Reader) setUprightAgain(ctx context.Context, original raster.Pyramid, before upright, t *trace) (upright, error) {
	var again worth
	if before.surelyUpright() {
		again.quarter = &before.quarter
	}
	return r.setUprightFrom(ctx, original, firstLook(original, before.found, t), again, t)
}

// worth says whether a slip is worth going on with, as soon as that can be told: when it is
// known how high its capitals are on the picture, when its lines are found, and how surely
// they read. Nil is always.
type worth struct {
	capital func(pixels float64) bool
	lines   func(upright) bool
	ends    func(ends) bool
	quarter *int // which of the two ways its lines lie, nil when it is to be found out
}

// setUprightFrom is setUpright after the first look. It ends where the slip is not worth
// going on with: it is not looked at then.
func (r *Reader) setUprightFrom(ctx context.Context, original raster.Pyramid, v view, only worth, t *trace) (upright, error) {
	letters := v.letters()
	if !only.maybe(v, letters) && !only.maybe(v, letters.Quarter(1)) {
		return upright{view: v}, nil
	}
	axis := paper.LineAxis(letters, v.em)
	first, second := 0, 1
	if axis < 0 {
		first, second = 1, 0
	}
	if only.quarter != nil {
		first = *only.quarter
	}
	best, err := r.straighten(ctx, original, v, letters, first, only, t)
	if err != nil {
		return best.upright, err
	}
	plain := math.Abs(axis) >= sidewaysDoubt
	if only.quarter == nil && !best.surelyUpright() && (!plain || best.looked && best.legible < poorlyRead) {
		other, err := r.straighten(ctx, original, v, letters, second, only, t)
		if err != nil {
			return best.upright, err
		}
		// Against what its lines plainly say a slip lies only where it then reads as print does.
		if other.surelyUpright() || !plain && (other.legible > surelyOther*best.legible || other.looked && !best.looked) {
			best = other
		}
	}
	if err := r.atOtherHeights(ctx, original, &best, t); err != nil {
		return best.upright, err
	}
	t.plane("straight-ink", best.even, 1, 0)
	return best.upright, nil
}

const (
	// leastSkew is the skew in degrees from which a slip is turned: less than
	// this the following of lines takes care of.
	leastSkew = 0.3
	// mostLean is how far, in degrees, columns may lean when lines are level.
	mostLean = 4
	// mostFan is how far, in degrees, the lines of either half may fall when they are level
	// on the whole.
	mostFan = 4
	// leastFollowed is the share of a slip on which lines must have been
	// followed before its bend is believed.
	leastFollowed = 0.1
)

// heightsOn are the heights that capitals may have on a view.
func heightsOn(v view, letters raster.Plane) []float64 { return lines.Heights(letters, 0.7*v.em) }

// maybe is whether capitals may be of a height that is worth going on with.
func (w worth) maybe(v view, letters raster.Plane) bool {
	return w.capital == nil || slices.ContainsFunc(heightsOn(v, letters), func(h float64) bool { return w.capital(h / v.scale) })
}

// straightened is a slip that stands on its feet, and from what.
type straightened struct {
	upright
	from    view
	heights []float64 // of its capitals on it, as its marks tell
}

// straighten levels the lines of the first view after some quarter turns, lifts
// the slip at the scale for reading, finds its lines and decides which end is
// up.
func (r *Reader) straighten(ctx context.Context, original raster.Pyramid, first view, letters raster.Plane, quarter int, only worth, t *trace) (straightened, error) {
	if err := ctx.Err(); err != nil {
		return straightened{}, err
	}
	v, letters := first.quarter(quarter), letters.Quarter(quarter)
	if skew, _ := paper.MeasureSkew(letters, mostSkew); math.Abs(skew) > leastSkew {
		v = lift(original, v.m.Skewed(skew), v.scale, v.em, nil)
		letters = v.letters()
		t.relaid("skew-off", original, v)
	}
	if fan, ok := paper.MeasureFan(letters, mostFan); ok {
		v = lift(original, v.m.Fanned(fan), v.scale, v.em, nil)
		letters = v.letters()
		t.relaid("fan-off", original, v)
	}
	if lean := paper.MeasureLean(letters, mostLean); math.Abs(lean) > leastSkew {
		v.m = v.m.Leaned(lean)
		t.relaid("lean-off", original, v)
	}
	if b, share := paper.MeasureBend(letters, v.em, v.scale); share > leastFollowed {
		v.m = v.m.Bent(b)
		t.relaid("bend-off", original, v)
	}
	best := straightened{from: v, heights: heightsOn(v, letters)}
	for i, height := range best.heights {
		if only.capital != nil && !only.capital(height/v.scale) {
			continue
		}
		if err := stayOf(ctx).lift(ctx, liftedPixels(v, height)); err != nil {
			return best, err
		}
		lifted := liftLines(original, v, height, quarter, t)
		if i == 0 && only.lines != nil && !only.lines(lifted) {
			best.upright = lifted
			return best, nil
		}
		e := r.bothEnds(lifted)
		if only.ends != nil && !only.ends(e) {
			continue
		}
		up, err := r.headUp(ctx, e)
		if err != nil {
			return best, err
		}
		if !best.looked || up.readsBetter(best.upright) {
			best.upright, best.looked = up, true
		}
	}
	if best.looked {
		best.rise = best.steepness()
	}
	return best, nil
}

// atOtherHeights reads a slip that reads poorly, though its print is sharp, as if its
// capitals were of other heights.
func (r *Reader) atOtherHeights(ctx context.Context, original raster.Pyramid, best *straightened, t *trace) error {
	if !best.looked || best.legible < leastLegible || best.legible >= doubtfulHeight || best.rise < surelyBlurred {
		return nil
	}
	v := best.from
	var other ends
	for _, height := range otherHeights(best.heights) {
		if err := stayOf(ctx).lift(ctx, liftedPixels(v, height)); err != nil {
			return err
		}
		if e := r.bothEnds(liftLines(original, v, height, best.quarter, t)); e.legible() > other.legible() {
			other = e
		}
	}
	if other.legible() <= max(best.legible+clearlyBetter, poorlyRead) {
		return nil
	}
	up, err := r.headUp(ctx, other)
	if err != nil {
		return err
	}
	if up.readsBetter(best.upright) {
		best.upright, best.looked = up, true
		best.rise = up.steepness()
	}
	return nil
}

// poorlyRead is how surely a slip reads below which it may be read in the wrong way.
const poorlyRead = 0.6

// doubtfulHeight is how surely a slip reads below which its capitals may be of another
// height than what they were taken for: touching letters and the bars of a table are
// higher, small letters lower. clearlyBetter is by how much more surely it must then read.
// Of seven slips at 0.61 to 0.68, faded and ghost, five read better so, their lost words
// 0.27 before and 0.04 then, and none worse.
const (
	doubtfulHeight = 0.7
	clearlyBetter  = 0.03
)

// surelyUpright is whether a slip reads as only print that stands right does. Of 207
// pictures in faces that nothing was fitted on nine were in doubt: on its side their
// print read at 0.52 or less, upright at 0.75 or more.
func (u upright) surelyUpright() bool {
	const plain = 0.8
	return u.grid != nil && u.legible >= plain
}

// otherHeights are the heights of a capital to try where a slip reads poorly at those
// that its marks tell.
func otherHeights(tried []float64) []float64 {
	var out []float64
	for _, f := range []float64{0.72, 0.85, 1.18, 1.4} {
		h := f * tried[0]
		if !slices.ContainsFunc(tried, func(t float64) bool { return math.Abs(math.Log(h/t)) < 0.1 }) {
			out = append(out, h)
		}
	}
	return out
}

// mostLifted bounds the pixels of a slip at the scale for reading: 48 characters of
// 280 lines are 16 million. What seems to need more is the grain of a ground.
const mostLifted = 16e6

// liftScale is the scale at which capitals so high on the first view are of the
// height for reading.
func liftScale(first view, height float64) float64 {
	return min(first.scale*readCap/height, math.Sqrt(mostLifted/(first.m.W*first.m.H)))
}

// liftedPixels is how many pixels the slip has at that scale.
func liftedPixels(first view, height float64) float64 {
	k := liftScale(first, height)
	return first.m.W * first.m.H * k * k
}

// liftLines lifts a slip again so that capitals so high on the first view are of the
// height for reading, and finds its lines.
func liftLines(original raster.Pyramid, first view, height float64, quarter int, t *trace) upright {
	v := lift(original, first.m, liftScale(first, height), 1.4*readCap, t)
	before := t.copied(v.even)
	takeStrokes(v.even, readCap)
	before = t.taken("strokes-off", before, v.even)
	takeSpecks(v.even, readCap)
	before = t.taken("specks-off", before, v.even)
	up := upright{view: v, turn: 90 * quarter, quarter: quarter, layout: lines.Find(v.printOnly(), v.even, readCap)}
	if takeSides(v.even, up.layout.Bands, readCap) {
		t.taken("sides-off", before, v.even)
		up.layout = lines.Find(v.printOnly(), v.even, readCap)
	}
	up.layout.Bands = up.layout.Bands[:min(len(up.layout.Bands), mostLines)]
	return up
}

// readsBetter is whether u reads more surely than o, which is the same slip at
// another scale. A grid is worth more than none.
func (u upright) readsBetter(o upright) bool {
	if (u.grid == nil) != (o.grid == nil) {
		return u.grid != nil
	}
	return u.legible > o.legible
}

// mostLines bounds the lines of a slip: a metre of paper holds 280.
const mostLines = 400
