package paper

import (
	"image"

	"tankroll/record"
)

// Slips side by side lie closer than the paragraphs of one, so that their print may make
// one block. Columns of a table lie as far apart, but between them nothing is seen, and
// between two slips the sides of both are.

// leastGutter is how wide the bare strip between two slips is at least, in pixels: what
// each keeps bare at its side.
const leastGutter = 2 * bareEdge

// split parts a block of the marks in mask where the side of a slip lies in it, with print
// enough for two.
func (f *finder) split(b block, mask []bool) []block {
	for _, upright := range []bool{true, false} {
		for _, g := range gutters(b, mask, f.print.W, upright) {
			first, second := b.Rectangle, b.Rectangle
			if upright {
				first.Max.X, second.Min.X = g[0], g[1]
			} else {
				first.Max.Y, second.Min.Y = g[0], g[1]
			}
			before, after := marksIn(first, mask, f.print.W), marksIn(second, mask, f.print.W)
			if min(before.marks, after.marks) >= leastMarks && f.sideIn(b, g, upright) {
				return append(f.split(before, mask), f.split(after, mask)...)
			}
		}
	}
	return []block{b}
}

// gutters are the bare strips of a block, from and to, upright or level ones.
func gutters(b block, mask []bool, w int, upright bool) [][2]int {
	from, to := b.Min.Y, b.Max.Y
	strip := func(at int) image.Rectangle { return image.Rect(b.Min.X, at, b.Max.X, at+1) }
	if upright {
		from, to = b.Min.X, b.Max.X
		strip = func(at int) image.Rectangle { return image.Rect(at, b.Min.Y, at+1, b.Max.Y) }
	}
	var out [][2]int
	bare := from
	for at := from; at < to; at++ {
		if marksIn(strip(at), mask, w).marks == 0 {
			continue
		}
		if at-bare >= leastGutter {
			out = append(out, [2]int{bare, at})
		}
		bare = at + 1
	}
	return out
}

// marksIn is the block of the marks of mask in box.
func marksIn(box image.Rectangle, mask []bool, w int) block {
	var out block
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if mask[y*w+x] {
				out.Rectangle = out.Union(image.Rect(x, y, x+1, y+1))
				out.marks++
			}
		}
	}
	return out
}

// sideIn says whether the side of a slip is seen all along a block's bare strip g.
func (f *finder) sideIn(b block, g [2]int, upright bool) bool {
	x0, y0, x1, y1 := float64(b.Min.X), float64(b.Min.Y), float64(b.Max.X), float64(b.Max.Y)
	for at := float64(g[0] + bareEdge); at <= float64(g[1]-bareEdge); at++ { // off print, which is darker
		for tilt := -edgeTilt; tilt <= edgeTilt; tilt += tiltStep {
			p, q := record.Point{X: x0, Y: at - tilt/2}, record.Point{X: x1, Y: at + tilt/2}
			if upright {
				p, q = record.Point{X: at - tilt/2, Y: y0}, record.Point{X: at + tilt/2, Y: y1}
			}
			if f.side(p, q) > edgeAcross {
				return true
			}
		}
	}
	return false
}
