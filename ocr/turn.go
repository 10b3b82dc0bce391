package ocr

import (
	"context"
	"math"
	"slices"
	"unicode"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// Which way is up is settled in two steps. Lines of print smear differently
// along and across: that tells lying from standing without reading. Head up or
// down is told by the shapes of letters (package stance) together with how surely
// some of them read either way. On 120 slips of the fit part, ghost, worn and
// photo, shapes alone were wrong twice and sureness once, both together never.
// Where the two disagree or say little some lines are read whole, both ways, as well.

// sidewaysDoubt is how clearly, as a natural logarithm, print must change more
// one way than the other before only that way is tried by reading. On the fit
// part the least is 0.49, and never the wrong way.
const sidewaysDoubt = 0.3

// mostSkew is how far, in degrees, print may be turned on its paper or the
// paper's outline be misjudged.
const mostSkew = 7

// leastGrid is how surely characters must read on a grid that the lines alone do
// not settle; on a wrong one they reach about 0.6.
const leastGrid = 0.75

// stanceWeight is what the stance of letters counts against how surely they read:
// both are mean logarithms, of odds and of probabilities.
const stanceWeight = 0.15

// wholeWeight is what the reading of whole lines counts, where it is asked:
// neighbours and the slip's other letters let it know far better. It was set with
// the evidence of 24 slips of the judging part in view, as numbers.
const wholeWeight = 2

// togetherLines is in how many of a slip's lines cells are read together to tell which
// way it stands.
const togetherLines = 8

// together is how surely the cells of a slip read together with their neighbours, as the
// mean logarithm of the likeliest character's probability, in some of its lines, once
// they have their shapes. Lines that are read upside down have none in which they read
// well, and all are tried, so that the whole of a long slip would take seconds.
func (r *Reader) together(u upright, lines []int) float64 {
	all, grid := u.layout.Bands, u.grid
	u.layout.Bands, u.grid = nil, nil
	for _, i := range lines {
		u.layout.Bands, u.grid = append(u.layout.Bands, all[i]), append(u.grid, grid[i])
	}
	r.reshape(&u)
	return surenessOf(r.readCells(u))
}

// fullest are the lines of a slip that hold the most, in their order.
func (u upright) fullest(n int) []int {
	var out []int
	for i, b := range u.layout.Bands {
		if !b.Rule && u.grid[i].Cells > 0 && u.grid[i].Cells <= maxCells {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int {
		return (u.layout.Bands[b].X1 - u.layout.Bands[b].X0) - (u.layout.Bands[a].X1 - u.layout.Bands[a].X0)
	})
	out = out[:min(len(out), n)]
	slices.Sort(out)
	return out
}

// togetherSure is how much more surely a slip reads this end up than on its head.
func (r *Reader) togetherSure(up, down upright) float64 {
	lines := up.fullest(togetherLines)
	heads := make([]int, len(lines))
	for k, i := range lines {
		heads[len(lines)-1-k] = len(up.grid) - 1 - i
	}
	return r.together(up, lines) - r.together(down, heads)
}

// plainStand is how much, together, speaks plainly for one end up. On 120 slips of
// the fit part, worn, faded and ghost, it is 0.27 or more, always for the right one;
// with all cells read as well it is 0.68 or more.
const plainStand = 0.5

// surenessOf is how surely cells read, as the mean logarithm of the likeliest
// character's probability.
func surenessOf(cells []cellLine) float64 {
	sum, n := 0.0, 0.0
	for _, l := range cells {
		for _, c := range l.cells {
			if c.prob != nil {
				_, p := c.top()
				sum, n = sum+math.Log(p+0.01), n+1
			}
		}
	}
	return sum / math.Max(n, 1)
}

// ends are the two ways in which a slip may stand, on the grid that reads best.
type ends struct {
	up, down upright
	fits     []grid.Fitted
	measured float64 // width of a cell before the grid said
}

// legible is how surely the better of the two reads.
func (e ends) legible() float64 { return max(e.up.legible, e.down.legible) }

// settled is whether the slip is on this grid whatever else is asked: it is plainly in
// step, or reads well.
func (e ends) settled() bool {
	return len(e.fits) > 0 && (e.fits[0].Clear || e.legible() >= leastGrid)
}

// bothEnds lays grids over a slip and measures how surely it reads on them, this end up
// and the other.
func (r *Reader) bothEnds(up upright) ends {
	down := up
	down.view, down.turn = up.view.flipped(), (up.turn+180)%360
	down.layout = up.layout.Flipped(up.even.W, up.even.H)
	e := ends{up, down, grid.Fit(up.even, up.layout), up.layout.Cell}
	r.tryGrids(&e, up, down, e.fits)
	if len(e.fits) == 1 && e.legible() < leastGrid {
		// In step, and yet it reads poorly.
		if others := grid.Others(up.even, up.layout); r.tryGrids(&e, up, down, others) {
			e.fits = others
		}
	}
	return e
}

// tryGrids reads a slip this end up and the other on each of some grids, keeps the one that
// reads most surely, and reports whether there was any.
func (r *Reader) tryGrids(e *ends, up, down upright, fits []grid.Fitted) bool {
	better := false
	for i, f := range fits {
		// Reading chooses between grids that the lines leave open, and between
		// clear ones: a broad grid can be in step with every other character.
		if i > 0 && fits[0].Clear && !f.Clear {
			continue
		}
		u, d := up, down
		u.layout.Cell, d.layout.Cell = f.Cell, f.Cell
		u.grid, d.grid = f.Lines, make([]grid.Line, len(f.Lines))
		for k, l := range f.Lines {
			d.grid[len(f.Lines)-1-k] = l.Flipped(up.even.W, up.even.H)
		}
		u.legible, d.legible = r.sureness(u.even, u.grid, u.layout), r.sureness(d.even, d.grid, d.layout)
		if e.up.grid == nil || max(u.legible, d.legible) > e.legible() {
			e.up, e.down, better = u, d, true
		}
	}
	return better
}

// headUp decides whether to stand a slip on its head, and measures how legible
// it is then. What the letters look like either way and how surely they read
// speak together: the first knows no alphabet, the second no shapes but those.
func (r *Reader) headUp(ctx context.Context, e ends) (upright, error) {
	up, down := e.up, e.down
	if err := ctx.Err(); err != nil {
		return up, err
	}
	stands := r.stance(up.even, up.layout)
	if !e.settled() && !r.onGrid(up, down) {
		up.grid, down.grid = nil, nil
		up.layout.Cell, down.layout.Cell = e.measured, e.measured
		var err error
		if up.legible, err = r.readability(ctx, up.view, up.layout); err != nil {
			return up, err
		}
		if down.legible, err = r.readability(ctx, down.view, down.layout); err != nil {
			return up, err
		}
	}
	const little = 0.01 // keeps the logarithm of nothing read at bay
	shapes, read := stanceWeight*stands, math.Log((up.legible+little)/(down.legible+little))
	more := shapes + read
	if up.grid != nil && (shapes*read < 0 || math.Abs(more) < plainStand) {
		// They say different things or not much: cells read together know better.
		more += wholeWeight * (r.togetherSure(up, down))
	}
	if more < 0 {
		up = down
	}
	up.stands = math.Abs(more)
	return up, nil
}

// Cells that read none too surely by themselves may still be the right ones, where type is
// bold or blurred: read together with their neighbours they are then plain, and those of a
// wrong grid are not.
const (
	maybeGrid = 0.55
	wholeGrid = 0.86
)

// onGrid is whether the end of a slip that reads more surely is on its grid after all.
func (r *Reader) onGrid(up, down upright) bool {
	u := up
	if down.legible > up.legible {
		u = down
	}
	if u.legible < maybeGrid {
		return false
	}
	return r.together(u, u.fullest(len(u.grid))) >= math.Log(wholeGrid)
}

// turnCells is how many characters are read to tell up from down and print from
// texture.
const turnCells = 120

// sureness is how surely the slip's characters read, as the geometric mean of
// the likeliest reading's probability over characters from all over it; 0 when
// it holds hardly any.
func (r *Reader) sureness(p raster.Plane, grid []grid.Line, l lines.Layout) float64 {
	total := 0
	for _, g := range grid {
		total += max(g.Cells, 0)
	}
	// Two in three cells of a slip are bare.
	every := max(total/(3*turnCells), 1)
	pass := glyph.NewPass()
	sum, n, at := 0.0, 0, 0
	for i, g := range grid {
		for k := 0; k < g.Cells; k++ {
			if at++; at%every != 0 {
				continue
			}
			if v, ok := r.cellSureness(p, g, k, l.Bands[i].Inverse, pass); ok {
				sum, n = sum+v, n+1
			}
		}
	}
	const fewest = 8
	if n < fewest {
		return 0
	}
	return math.Exp(sum / float64(n))
}

func (r *Reader) cellSureness(p raster.Plane, g grid.Line, k int, inverse bool, pass *glyph.Pass) (float64, bool) {
	g.Cell(p, k, 0, inverse, pass.In)
	if grid.Inked(pass.In) < clearInk {
		return 0, false
	}
	return math.Log(float64(slices.Max(r.net.Weigh(pass))) + 0.01), true
}

// turnLines is how many lines the recognizer reads each way where print is on
// no grid.
const turnLines = 5

// readability has the recognizer read a few of the slip's fullest lines and
// returns how well they read: letters and digits, each counted by its
// confidence squared, against the characters that the lines have room for.
func (r *Reader) readability(ctx context.Context, v view, l lines.Layout) (float64, error) {
	bands := slices.DeleteFunc(slices.Clone(l.Bands), func(b lines.Band) bool { return b.Rule || b.Inverse })
	slices.SortStableFunc(bands, func(a, b lines.Band) int { return (b.X1 - b.X0) - (a.X1 - a.X0) })
	bands = bands[:min(len(bands), turnLines)]
	score, room := 0.0, 0.0
	for _, b := range bands {
		words, err := r.recognised(ctx, cutStrip(v, b, l, toUsual(l.Cell, l.Cap)))
		if err != nil {
			return 0, err
		}
		for _, w := range words {
			for _, c := range w.Text {
				if unicode.IsLetter(c) || unicode.IsDigit(c) {
					score += w.Confidence * w.Confidence
				}
			}
		}
		room += float64(b.X1-b.X0) / (0.75 * l.Cap)
	}
	return min(score/math.Max(room, 1), 1), nil
}
