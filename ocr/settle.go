package ocr

import (
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

// lookAt looks at each cell of a line alone, and makes the picture of the line
// for them to be read together. missed is by how many capitals its neighbours say
// that its base line was missed.
func (r *Reader) lookAt(p raster.Plane, g grid.Line, inverse bool, missed float64, pass *glyph.Pass) (cellLine, slipnet.Line) {
	l := r.newLooker(p, g, inverse, pass)
	out := cellLine{Line: g, cells: l.cells}
	dy := l.settle(missed)
	for k := range out.cells {
		if c := &out.cells[k]; !c.bare() {
			c.alone = l.look(k, dy[k*len(dy)/len(out.cells)])
		}
	}
	strip := g.Strip(p, dy, inverse)
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
// line: where a few of its cells read most surely. missed is by how much its
// neighbours say that it was.
func (l *looker) settle(missed float64) []float64 {
	cells := len(l.cells)
	whole := l.settlePart(0, cells, 0, missed)
	n := (cells + stretch - 1) / stretch
	out := make([]float64, max(n, 1))
	for i := range out {
		out[i] = whole
		if n > 1 {
			out[i] = l.settlePart(i*cells/n, (i+1)*cells/n, whole, 0)
		}
	}
	return out
}

func (l *looker) settlePart(from, to int, start, missed float64) float64 {
	const few = 8
	var pick []int
	for k := from; k < to; k++ {
		if l.cells[k].inked >= clearInk {
			pick = append(pick, k)
		}
	}
	step := max(len(pick)/few, 1)
	best, bestV := start, -1.0
	shifts := []float64{0, -0.08, 0.08, -0.16, 0.16}
	if missed != 0 {
		shifts = append(shifts, missed, missed-0.08, missed+0.08)
	}
	for _, d := range shifts {
		dy := start + d
		sum, n := 0.0, 0.0
		for i := 0; i < len(pick); i += step {
			sum += float64(slices.Max(l.look(pick[i], dy)))
			n++
		}
		if n > 0 && sum/n > bestV+0.01 {
			best, bestV = dy, sum/n
		}
	}
	return best
}
