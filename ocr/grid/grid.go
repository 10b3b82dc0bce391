// Package grid lays the print head's grid of character cells over the lines of
// a slip. A thermal head prints all lines from the same left edge in cells of
// the same width, so one grid is fitted to all lines together: a line of two
// letters gets its cells from its neighbours.
//
// The columns between letters are bare, so the bareness of a line's columns
// swings once a cell. The swing of every line, taken at one width and set off
// by one slant, must be in step with all others; the width, its change down the
// slip and the slant that bring them most in step are the grid. It is out by a
// tenth of a cell or less where ten letters or more stand on a line; it fails
// where letters touch throughout, as in script. README.md of package ocr shows a grid
// on a faded slip.
package grid

import (
	"cmp"
	"math"
	"slices"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// Line is the grid of one line: cell k reaches from X0+k*Step to X0+(k+1)*Step.
type Line struct {
	X0, Step  float64
	Base, Cap float64 // base line and height of a capital, in pixels
	Cells     int
	Wide      bool    // double width
	Sure      float64 // how far the line's own print is in step with the grid, 0 to 1

	// The base line of the line above, and where the capitals of the line below begin, in
	// pixels; 0 for none.
	Before, Next float64

	off []float64 // how far each border lies beside its even place, in pixels; nil for nowhere

	first int // which of the slip's columns the line begins in; of use within Fit only
}

// Border is where cell k begins, and where the cell before it ends.
func (l Line) Border(k int) float64 {
	x := l.X0 + float64(k)*l.Step
	if k >= 0 && k < len(l.off) {
		x += l.off[k]
	}
	return x
}

// Flipped is the grid of the plane, w x h pixels, turned upside down.
func (l Line) Flipped(w, h int) Line {
	n := l.Cells
	out := l
	out.X0 = float64(w) - l.X0 - float64(n)*l.Step
	out.Base = float64(h) - l.Base + l.Cap
	if l.off != nil {
		out.off = make([]float64, n+1)
		for k := range out.off {
			out.off[k] = l.Border(n-k) - l.X0 - float64(n-k)*l.Step
			out.off[k] = -out.off[k]
		}
	}
	return out
}

// CellAt is the place of x in cells: 2.5 is the middle of cell 2.
func (l Line) CellAt(x float64) float64 {
	k := (x - l.X0) / l.Step
	i := int(math.Floor(k))
	if i >= 0 && i+1 < len(l.off) {
		f := k - float64(i)
		k -= (l.off[i]*(1-f) + l.off[i+1]*f) / l.Step
	}
	return k
}

// Thresholds on being in step, 0 to 1.
const (
	leastStep  = 0.45 // of all lines together: proportional print reaches about 0.3
	wellStep   = 0.80 // from which the measured cell is not questioned
	wellStrong = 0.25 // share of the swing that it then explains
	// nearlyAsWell is the share of the best fit from which another width must be read as
	// well: where two columns of words are far apart a width that is out by one cell
	// between them is in step with both.
	nearlyAsWell = 0.7
)

// The cells tried where the measured one does not fit, as shares of a capital:
// from condensed to expanded print, each within the search's reach of the next.
const (
	narrowest = 0.42
	broadest  = 1.45
	ladder    = 1.09
)

// Fitted is one grid over all lines of a layout.
type Fitted struct {
	Lines []Line  // as the bands; without cells for rules
	Cell  float64 // width of a cell in pixels
	Clear bool    // the lines agree on it so well that reading need not tell
}

// mostFits is how many grids are offered where the print leaves a choice, that of the
// measured cell apart.
const mostFits = 4

// Fit lays the grid over the lines of a layout on p, print as 1 on 0. Where the
// print is clearly in step with the measured cell there is one grid; else there
// are several, the likeliest first, and reading must tell which it is. There is
// none when the print is on no grid.
func Fit(p raster.Plane, l lines.Layout) []Fitted { return fit(p, l, wellStep) }

// Others is Fit where the measured cell is in step and yet reads poorly: the grids that Fit
// then leaves out are among them, for half a cell is in step with all that a cell is.
func Others(p raster.Plane, l lines.Layout) []Fitted {
	const never = 2
	return fit(p, l, never)
}

// fit lays grids; a measured cell that is in step by well is the only one.
func fit(p raster.Plane, l lines.Layout, well float64) []Fitted {
	bare := make([][]float64, len(l.Bands))
	for i, b := range l.Bands {
		if !b.Rule {
			bare[i] = bareness(p, b)
		}
	}
	tried := []laid{lay(bare, l, l.Cell, p.H)}
	if tried[0].inStep < well {
		for c := narrowest * l.Cap; c < broadest*l.Cap; c *= ladder {
			tried = append(tried, lay(bare, l, c, p.H))
		}
	}
	var out []Fitted
	measured := tried[0]
	choice := likeliest(tried)
	open := rivals(choice)
	choice = withMeasured(choice, measured)
	for _, t := range choice {
		l.Cell = t.width
		f := Fitted{make([]Line, len(l.Bands)), t.width, t.inStep >= wellStep && t.strength >= wellStrong && !open}
		for i, b := range l.Bands {
			if w := t.waves[i]; w != nil {
				f.Lines[i] = w.settle(t.shared, b, l)
				f.Lines[i].Base, f.Lines[i].Cap = Baseline(p, b, l)
			}
		}
		agree(f.Lines, t)
		out = append(out, f)
	}
	return out
}

// likeliest picks the grids worth reading: in step, none nearly the same as a
// likelier one.
func likeliest(tried []laid) []laid {
	slices.SortFunc(tried, func(a, b laid) int { return cmp.Compare(b.fits(), a.fits()) })
	var out []laid
	for _, t := range tried {
		if t.inStep >= leastStep && !t.among(out) && len(out) < mostFits {
			out = append(out, t)
		}
	}
	return out
}

// withMeasured adds the grid of the measured cell where wider ones have crowded it out:
// in bold letters that touch several widths are as much in step as the right one.
func withMeasured(choice []laid, measured laid) []laid {
	if measured.inStep >= leastStep && !measured.among(choice) {
		return append(choice, measured)
	}
	return choice
}

// among is whether nearly the same width is among others.
func (t laid) among(others []laid) bool {
	const same = 0.03 // share of the width
	return slices.ContainsFunc(others, func(o laid) bool { return math.Abs(o.width-t.width) < same*t.width })
}

// rivals is whether the second of the likeliest grids fits nearly as well as the first.
func rivals(choice []laid) bool {
	return len(choice) > 1 && choice[1].fits() > nearlyAsWell*choice[0].fits()
}

// laid is a grid tried on all lines.
type laid struct {
	shared
	waves    []*wave
	inStep   float64 // how far the lines agree
	strength float64 // how much of their swing the grid explains
}

// fits is how well the grid fits all in all.
func (t laid) fits() float64 { return t.strength * t.inStep }

func lay(bare [][]float64, l lines.Layout, cell float64, height int) laid {
	out := laid{waves: make([]*wave, len(bare))}
	if cell <= 0 {
		return out
	}
	l.Cell = cell
	for i, gaps := range bare {
		if gaps != nil {
			out.waves[i] = newWave(gaps, l.Bands[i], l, float64(height))
		}
	}
	out.shared, out.inStep, out.strength = together(out.waves, cell)
	return out
}

// bareness is how free of ink each column of a band is, 0 to 1, over the whole
// width of the plane.
func bareness(p raster.Plane, b lines.Band) []float64 {
	out := make([]float64, p.W)
	n := float64(max(b.Y1-b.Y0, 1))
	sums := make([]float64, p.W)
	for y := b.Y0; y < b.Y1; y++ {
		for x, v := range p.Row(y) {
			sums[x] += float64(v)
		}
	}
	for x, s := range sums {
		v := s / n
		if b.Inverse {
			v = max(1-v, 0)
		}
		out[x] = math.Exp(-9 * v)
	}
	return out
}

func at(v []float64, x float64) float64 {
	i := int(x)
	if x < 0 || i+1 >= len(v) {
		return 1
	}
	f := x - float64(i)
	return v[i]*(1-f) + v[i+1]*f
}

// settle gives a line its own place near the shared grid: print shifts by
// fractions of a cell where paper is bent.
func (w *wave) settle(g shared, b lines.Band, l lines.Layout) Line {
	step, x0, sure := w.nudge(g.step(w.y), w.start(g))
	out := Line{X0: x0, Step: step, Sure: sure}
	column := func(x float64) int { return int(math.Round((x - x0) / step)) }
	if wide, odd := w.wide(x0, step, b); wide {
		out.Wide = true
		if odd {
			out.X0 += step
		}
		out.Step = 2 * step
	}
	if b.Inverse {
		// The bar is made of whole cells: what sticks out is its edge.
		first := math.Ceil((float64(b.X0) - 0.2*step - out.X0) / out.Step)
		out.X0 += first * out.Step
		out.Cells = max(int(math.Floor((float64(b.X1)+0.2*step-out.X0)/out.Step)), 0)
		out.first = column(out.X0)
		return out
	}
	// The first cell is the one in which print begins.
	out.X0 += math.Floor((float64(b.X0)+0.3*step-out.X0)/out.Step) * out.Step
	out.Cells = int(math.Ceil((float64(b.X1) - 0.1*step - out.X0) / out.Step))
	out.first = column(out.X0)
	out.follow(w.gaps, nil)
	return out
}

// start is where column 0 of a shared grid begins on the line.
func (w *wave) start(g shared) float64 { return w.origin + g.phase + g.slant*w.y }

// nudge tries small changes of step and place and keeps the one most in step;
// the shared grid wins near a tie, the more so the less print a line has.
func (w *wave) nudge(step, x0 float64) (float64, float64, float64) {
	best, bestV := [2]float64{step, x0}, math.Inf(-1)
	letters := w.extent / step
	hold := 0.6 / max(letters, 1)
	mid := w.from + w.extent/2
	for i := -4; i <= 4; i++ {
		s := step * (1 + 0.0025*float64(i))
		// Turned about the middle of the print, so that place and step are
		// apart.
		base := mid - (mid-x0)/step*s
		z := w.tone(s)
		for k := -5; k <= 5; k++ {
			x := base + step*float64(k)/25
			v := w.inStep(z, s, x) - hold*(0.02*math.Abs(float64(i))+0.02*math.Abs(float64(k)))
			if v > bestV {
				best, bestV = [2]float64{s, x}, v
			}
		}
	}
	return best[0], best[1], max(w.inStep(w.tone(best[0]), best[0], best[1]), 0)
}

// wide tells double width, where letters lie across every other border, and on
// which borders they do not.
func (w *wave) wide(x0, step float64, b lines.Band) (wide, odd bool) {
	const fewest = 5 // borders on which to tell
	var ink [2]float64
	var n [2]float64
	for k := math.Ceil((w.from - x0) / step); x0+k*step < w.from+w.extent; k++ {
		par := int(math.Abs(math.Mod(k, 2)))
		ink[par] += 1 - w.soft(x0+k*step, step)
		n[par]++
	}
	if n[0]+n[1] < fewest || n[0] == 0 || n[1] == 0 {
		return false, false
	}
	even, odds := ink[0]/n[0], ink[1]/n[1]
	const (
		bare  = 0.30 // of the borders between wide letters
		inked = 0.45 // of those across them
	)
	if min(even, odds) < bare && max(even, odds) > inked && max(even, odds) > 2.2*min(even, odds) {
		return true, odds < even
	}
	return false, false
}

// soft is the bareness at x, of the barest column near it.
func (w *wave) soft(x, step float64) float64 {
	d := 0.06 * step
	return max(at(w.gaps, x-d), at(w.gaps, x), at(w.gaps, x+d))
}
