package ocr

import (
	"math"
	"slices"
	"strings"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// Titles are printed at double width or height. Gaps between letters tell the
// first only where there are gaps, and the height of a band the second only where
// letters are tall, so a line that reads badly as it was measured is tried in the
// other shapes.
const (
	// plainlyRead is how surely a line's characters must read, as their geometric
	// mean, for its shape to be left alone. Lines of a wrong shape are at 0.3 to 0.6.
	plainlyRead = 0.85
	// betterShape is by how much more surely, as a natural logarithm, a line must
	// read in another shape.
	betterShape = 0.15
	// shapeRead is how surely it must then read: among many shapes the grain of wood
	// finds one in which it looks a little like letters.
	shapeRead = 0.6
	// stretchStep is the share by which cells are tried wider and narrower, up to
	// mostStretch times: half a cell over a line of 32 is one in 64.
	stretchStep   = 0.005
	mostStretch   = 6
	betterStretch = 0.05
	// besideRead is how surely a line may read whose cells lie beside their place: such
	// lines are at 0.35 to 0.8, the most of them below 0.65.
	besideRead = 0.8
	// slideStep is the share of a cell by which cells are tried further left and right,
	// up to mostSlide times.
	slideStep   = 0.1
	mostSlide   = 4
	betterSlide = 0.2
	// betterTogether is how much it takes where other lines say the same.
	betterTogether = 0.01
)

// reshape gives the lines of a slip that read badly the shape in which they read
// best. What width of cells helped some lines is then tried on all others: where
// letters touch, the measured width can be two in a hundred off, and a line of few
// letters at its far end hardly tells.
func (r *Reader) reshape(up *upright) {
	if up.grid == nil {
		return
	}
	pass := glyph.NewPass()
	up.grid, up.layout.Bands = slices.Clone(up.grid), slices.Clone(up.layout.Bands)
	sure := make([]float64, len(up.grid)) // of each line; 0 is all
	var helped []float32
	for i, g := range up.grid {
		if g.Cells <= 0 || g.Cells > maxCells || up.layout.Bands[i].Rule || up.layout.Bands[i].Inverse {
			continue
		}
		best, dy := r.lineSureness(up, g, pass)
		if best < math.Log(plainlyRead) {
			band, before, at := up.layout.Bands[i], best, dy
			best, dy = r.turnInto(up, i, best, dy, pass)
			if before < math.Log(besideRead) && best < math.Log(plainlyRead) {
				if v, off, beside := r.slide(up, g, before, at, pass); v > best {
					best, dy, up.grid[i], up.layout.Bands[i] = v, off, beside, band
				}
			}
			var share float64
			if best, share = r.stretch(up, i, best, dy, pass); share != 0 {
				helped = append(helped, float32(share))
			}
		}
		sure[i] = best
	}
	if len(helped) < 2 {
		return
	}
	share := float64(raster.Quantile(helped, 0.5))
	for i, v := range sure {
		if v < 0 {
			g := up.grid[i].Stretched(share)
			if better, _ := r.lineSureness(up, g, pass); better > v+betterTogether {
				up.grid[i] = g
			}
		}
	}
}

// turnInto gives line i the width and height in which it reads best, and returns
// how surely it then does and by how much its base line was missed.
func (r *Reader) turnInto(up *upright, i int, sure, dy float64, pass *glyph.Pass) (best, missed float64) {
	for _, t := range shapes(*up, up.grid[i], up.layout.Bands[i]) {
		if v, off := r.lineSureness(up, t.grid, pass); v > max(sure+betterShape, math.Log(shapeRead)) {
			sure, dy, up.grid[i], up.layout.Bands[i] = v, off, t.grid, t.band
		}
	}
	return sure, dy
}

// slide moves the cells of a line to where it reads best, and returns how surely it
// then does and by how much its base line was missed. Few bold letters may look most in
// step a third of a cell beside their place, and borders that follow gaps go astray where
// letters touch, so that even cells are tried as well.
func (r *Reader) slide(up *upright, g grid.Line, sure, dy float64, pass *glyph.Pass) (best, missed float64, beside grid.Line) {
	beside = g
	for n := -mostSlide; n <= mostSlide; n++ {
		for _, from := range []grid.Line{g, g.Even()} {
			moved := from.Moved(slideStep * float64(n) * g.Step)
			if l := r.newLooker(up.even, moved, false, pass); max(l.sureness(0), l.sureness(dy)) < sure+betterSlide {
				continue
			}
			if v, off := r.lineSureness(up, moved, pass); v > max(sure+betterSlide, math.Log(shapeRead)) {
				sure, dy, beside = v, off, moved
			}
		}
	}
	return sure, dy, beside
}

// stretch gives line i the width of cells in which it reads best, and returns how
// surely it then does and by which share the cells are wider.
func (r *Reader) stretch(up *upright, i int, sure, dy float64, pass *glyph.Pass) (best, share float64) {
	g := up.grid[i]
	for n := -mostStretch; n <= mostStretch; n++ {
		wider := g.Stretched(stretchStep * float64(n))
		if v := r.newLooker(up.even, wider, false, pass).sureness(dy); v > max(sure+betterStretch, math.Log(shapeRead)) {
			sure, share, up.grid[i] = v, stretchStep*float64(n), wider
		}
	}
	return sure, share
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

// slight are marks as which a slice of any letter may read, very surely.
const slight = "_-=~.,:'`\" "

// slightSure is the most that reading one of them says for a line's shape.
const slightSure = 0.5

// lineSureness is how surely a line's characters read on a grid, each alone, as
// the mean logarithm of the likeliest character's probability, and by how many
// capitals its base line was missed.
func (r *Reader) lineSureness(up *upright, g grid.Line, pass *glyph.Pass) (sure, dy float64) {
	l := r.newLooker(up.even, g, false, pass)
	dy = l.settlePart(0, len(l.cells), 0, 0, 0)
	return l.sureness(dy), dy
}

// shapeCells is on how many characters of a line its shape is told.
const shapeCells = 20

// A leader is one mark again and again, which tells nothing of a line's shape: at double
// height the dots of two lines are as sure to be a letter I as letters are themselves.
const (
	leaderShare = 1.0 / 3 // of a line's characters
	fewestLead  = 5
	fewestLed   = 2 // other characters, to tell the shape by them alone
)

// sureness is how surely the line reads with its base line dy capitals lower.
func (l *looker) sureness(dy float64) float64 {
	var inked []int
	for k, c := range l.cells {
		if c.inked >= clearInk {
			inked = append(inked, k)
		}
	}
	if len(inked) == 0 {
		return 0
	}
	some := make([]int, min(len(inked), shapeCells))
	for i := range some {
		some[i] = inked[i*len(inked)/len(some)]
	}
	if lead, ok := l.leader(some, dy); ok {
		led := slices.DeleteFunc(inked, func(k int) bool { r, _ := topOf(l.look(k, dy)); return r == lead })
		if len(led) >= fewestLed {
			some = led
		}
	}
	sum := 0.0
	for _, k := range some {
		sum += math.Log(sureMark(l.look(k, dy)) + 0.01)
	}
	return sum / float64(len(some))
}

// leader is the character that so many of some cells read as, one behind the other, that
// they are a leader. The noughts of 00:00:00 are none.
func (l *looker) leader(some []int, dy float64) (rune, bool) {
	count, run := map[rune]int{}, map[rune]int{} // of each, and the longest run
	last, length := rune(0), 0
	for _, k := range some {
		r, _ := topOf(l.look(k, dy))
		if r != last {
			last, length = r, 0
		}
		length++
		count[r]++
		run[r] = max(run[r], length)
	}
	lead := rune(0)
	for r, n := range run {
		if n > run[lead] || n == run[lead] && r < lead {
			lead = r
		}
	}
	return lead, run[lead] >= fewestLead && float64(count[lead]) >= leaderShare*float64(len(some))
}

// sureMark is the probability of the likeliest character.
func sureMark(prob []float32) float64 {
	r, p := topOf(prob)
	if strings.ContainsRune(slight, r) {
		return min(p, slightSure)
	}
	return p
}
