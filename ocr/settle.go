package ocr

import (
	"math"
	"slices"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/raster"
	"tankroll/ocr/slipnet"
)

// looker reads the cells of one line alone, and keeps what it read: settling a
// line asks for the same cell at the same height many times.
type looker struct {
	net     *glyph.Net
	pass    *glyph.Pass
	plane   raster.Plane
	line    grid.Line
	inverse bool
	cells   []cell // with their ink
	seen    map[cellAt][]float32
}

// cellAt is cell k with the base line moved down by dy capitals.
type cellAt struct {
	k  int
	dy float64
}

// look gives how likely each character is in cell k; not to be changed.
func (l *looker) look(k int, dy float64) []float32 {
	at := cellAt{k, dy}
	if prob, ok := l.seen[at]; ok {
		return prob
	}
	l.line.Cell(l.plane, k, dy, l.inverse, l.pass.In)
	prob := slices.Clone(l.net.Weigh(l.pass))
	l.seen[at] = prob
	return prob
}

func (r *Reader) newLooker(p raster.Plane, g grid.Line, inverse bool, pass *glyph.Pass) *looker {
	l := &looker{r.net, pass, p, g, inverse, make([]cell, g.Cells), map[cellAt][]float32{}}
	for k := range l.cells {
		g.Cell(p, k, 0, inverse, pass.In)
		l.cells[k].inked = grid.Inked(pass.In)
	}
	return l
}

// lines looks at each cell of a line alone, and makes the picture of the line
// for them to be read together. by is what its neighbours say of its base line.
func (l *looker) lines(by neighbours) (cellLine, slipnet.Line) {
	g := l.line
	out := cellLine{Line: g, cells: l.cells}
	dy := l.settle(by)
	for k := range out.cells {
		if c := &out.cells[k]; !c.bare() {
			c.alone = l.look(k, dy[k*len(dy)/len(out.cells)])
		}
	}
	strip := g.Strip(l.plane, dy, l.inverse)
	for k := range strip.Cells {
		if i := k - 1; i < 0 || i >= len(out.cells) || out.cells[i].bare() {
			strip.Wipe(k)
		}
	}
	out.Base += mean(dy) * g.Cap
	return out, strip
}

// stretch is how many cells of a line share one base line: paper that still
// bends after flattening bends little over so few.
const stretch = 12

// settle finds by how much the base line was missed, for each stretch of the
// line: where a few of its cells read most surely, near to where its neighbours say.
func (l *looker) settle(by neighbours) []float64 {
	cells := len(l.cells)
	hold := holdLoose
	if by.agree {
		hold = holdTold
	}
	whole := l.settlePart(0, cells, 0, by.missed, hold)
	n := (cells + stretch - 1) / stretch
	out := make([]float64, max(n, 1))
	for i := range out {
		out[i] = whole
		if n > 1 {
			out[i] = l.settlePart(i*cells/n, (i+1)*cells/n, whole, whole, holdPart)
		}
	}
	return out
}

// What it costs, in sureness, to lie a capital beside where a base line is said to be: by
// the line's own edges, by neighbours that agree, and a stretch by its whole line.
const (
	holdLoose = 0.1
	holdTold  = 0.8
	holdPart  = 0.4
)

// settlePart is by how many capitals the base line of cells from..to was missed, looked for
// around start and, at a cost of hold a capital, around told.
func (l *looker) settlePart(from, to int, start, told, hold float64) float64 {
	const few = 8
	var pick []int
	for k := from; k < to; k++ {
		if l.cells[k].inked >= clearInk {
			pick = append(pick, k)
		}
	}
	step := max(len(pick)/few, 1)
	best, bestV := start, math.Inf(-1)
	tried := []float64{start, start - 0.08, start + 0.08, start - 0.16, start + 0.16}
	if math.Abs(told-start) > leastMissed {
		tried = append(tried, told, told-0.08, told+0.08)
	}
	for _, dy := range tried {
		sum, n := 0.0, 0.0
		for i := 0; i < len(pick); i += step {
			sum += float64(slices.Max(l.look(pick[i], dy)))
			n++
		}
		if v := sum/n - hold*math.Abs(dy-told); n > 0 && v > bestV+0.01 {
			best, bestV = dy, v
		}
	}
	return best
}

// leastMissed is by how many capitals a base line is missed for it to be looked for
// elsewhere.
const leastMissed = 0.1
