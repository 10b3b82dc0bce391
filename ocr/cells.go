package ocr

import (
	"slices"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// cellLine is what one line reads as, cell by cell.
type cellLine struct {
	grid.Line
	cells []cell
}

// cell is one character cell: how likely each character of the alphabet is.
type cell struct {
	prob  []float32
	inked float64
}

// blankInk is the ink below which a cell is bare without asking.
const blankInk = 0.10

// top is the likeliest character and its probability.
func (c cell) top() (rune, float64) {
	if c.prob == nil {
		return ' ', 1
	}
	best := 0
	for i, v := range c.prob {
		if v > c.prob[best] {
			best = i
		}
	}
	return glyph.Alphabet[best], float64(c.prob[best])
}

// of is the probability of r.
func (c cell) of(r rune) float64 {
	i := slices.Index(glyph.Alphabet, r)
	switch {
	case i < 0:
		return 0
	case c.prob == nil:
		if i == 0 {
			return 1
		}
		return 0
	}
	return float64(c.prob[i])
}

// readCells reads the slip on its own grid; nil when its print is on none.
func (r *Reader) readCells(v view, l lines.Layout) []cellLine {
	gridLines, ok := grid.Fit(v.even, l)
	if !ok {
		return nil
	}
	pass := glyph.NewPass()
	out := make([]cellLine, len(gridLines))
	for i, g := range gridLines {
		if g.Cells > 0 && g.Cells <= maxCells {
			out[i] = r.readLine(v.even, g, l.Bands[i].Inverse, pass)
		}
	}
	return out
}

// maxCells bounds a line: no roll prints more than 64 columns, a strip of two
// slips side by side would hold twice that.
const maxCells = 160

func (r *Reader) readLine(p raster.Plane, g grid.Line, inverse bool, pass *glyph.Pass) cellLine {
	out := cellLine{Line: g, cells: make([]cell, g.Cells)}
	for k := range out.cells {
		g.Cell(p, k, 0, inverse, pass.In)
		out.cells[k].inked = grid.Inked(pass.In)
	}
	dy := r.settle(p, g, out.cells, inverse, pass)
	out.Base += dy * g.Cap
	for k := range out.cells {
		c := &out.cells[k]
		if c.inked < blankInk {
			continue
		}
		g.Cell(p, k, dy, inverse, pass.In)
		r.net.Forward(pass)
		c.prob = slices.Clone(pass.Out)
		glyph.Probabilities(c.prob)
	}
	return out
}

// settle finds by how much the base line was missed: where a few of the line's
// cells read most surely.
func (r *Reader) settle(p raster.Plane, g grid.Line, cells []cell, inverse bool, pass *glyph.Pass) float64 {
	const few = 8
	var pick []int
	for k := range cells {
		if cells[k].inked >= 2*blankInk {
			pick = append(pick, k)
		}
	}
	step := max(len(pick)/few, 1)
	best, bestV := 0.0, -1.0
	for _, dy := range []float64{0, -0.08, 0.08, -0.16, 0.16} {
		sum, n := 0.0, 0.0
		for i := 0; i < len(pick); i += step {
			g.Cell(p, pick[i], dy, inverse, pass.In)
			r.net.Forward(pass)
			glyph.Probabilities(pass.Out)
			sum += float64(slices.Max(pass.Out))
			n++
		}
		if n > 0 && sum/n > bestV+0.01 {
			best, bestV = dy, sum/n
		}
	}
	return best
}
