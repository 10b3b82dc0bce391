package ocr

import (
	"math"
	"slices"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
)

// Titles are printed at double width or height. Gaps between letters tell the
// first only where there are gaps, and the height of a band the second only where
// letters are tall, so a line that reads badly as it was measured is tried in the
// other shapes.
const (
	// plainlyRead is how surely a line's characters must read, as their geometric
	// mean, for its shape to be left alone. Lines of a wrong shape are at 0.3 to 0.6.
	plainlyRead = 0.75
	// betterShape is by how much more surely, as a natural logarithm, a line must
	// read in another shape.
	betterShape = 0.15
)

// reshape gives the lines of a slip that read badly the shape in which they read
// best.
func (r *Reader) reshape(up *upright) {
	if up.grid == nil {
		return
	}
	pass := glyph.NewPass()
	up.grid, up.layout.Bands = slices.Clone(up.grid), slices.Clone(up.layout.Bands)
	for i, g := range up.grid {
		b := up.layout.Bands[i]
		if g.Cells <= 0 || g.Cells > maxCells || b.Rule || b.Inverse {
			continue
		}
		best := r.lineSureness(up, g, pass)
		if best > math.Log(plainlyRead) {
			continue
		}
		for _, s := range shapes(*up, g, b) {
			if v := r.lineSureness(up, s.grid, pass); v > best+betterShape {
				best, up.grid[i], up.layout.Bands[i] = v, s.grid, s.band
			}
		}
	}
}

// shape is a line of some width and height.
type shape struct {
	grid grid.Line
	band lines.Band
}

// shapes are the shapes that a line may have, but the one it is taken to have.
func shapes(up upright, g grid.Line, b lines.Band) []shape {
	normal := g
	if g.Wide {
		normal = g.AsNormal()
	}
	var out []shape
	for _, tall := range []bool{false, true} {
		band := b
		band.Tall = tall
		base, capital := grid.Baseline(up.even, band, up.layout)
		for k, l := range []grid.Line{normal, normal.AsWide(false), normal.AsWide(true)} {
			if tall == b.Tall && l.Wide == g.Wide && (k == 0 || l.X0 == g.X0) {
				continue
			}
			l.Base, l.Cap = base, capital
			band.Wide = l.Wide
			out = append(out, shape{l, band})
		}
	}
	return out
}

// lineSureness is how surely a line's characters read on a grid, each alone, as
// the mean logarithm of the likeliest character's probability.
func (r *Reader) lineSureness(up *upright, g grid.Line, pass *glyph.Pass) float64 {
	cells := make([]cell, g.Cells)
	for k := range cells {
		g.Cell(up.even, k, 0, false, pass.In)
		cells[k].inked = grid.Inked(pass.In)
	}
	l := &looker{r.net, pass, up.even, g, false, map[cellAt][]float32{}}
	dy := l.settlePart(cells, 0, len(cells), 0)
	sum, n := 0.0, 0
	for k, c := range cells {
		if c.inked >= clearInk {
			sum, n = sum+math.Log(float64(slices.Max(l.look(k, dy)))+0.01), n+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}
