package paper

import (
	"image"
	"slices"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// A slip as white as the sheet that it is taped to may show no outline at all.
// Its print does: what print is left outside of the slips that were found is
// gathered into blocks, and each block read as a slip of its own, so that no
// print goes unread because its paper was not seen.

// Sizes are in pixels of the searched picture, where a sheet of letter paper
// has about 1.7 a millimetre.
const (
	blockGap   = 10   // marks this far apart still hang together: twice this is three blank lines
	leastBlock = 28   // longer side of a block: wider than a punched hole
	blockRoom  = 7    // paper added around a block
	leastMarks = 60   // of pixels: a dozen characters
	asBright   = 0.87 // of the brightest slip: darker is the ground, whose grain is no print
	// leastBlocks is how many blocks are slips of a sheet; the parts of one slip are fewer.
	// seenOutline is the confidence from which an outline is a slip's.
	leastBlocks = 3
	seenOutline = 0.55
	leastSides  = 3    // of the paper, seen around a block of print that is a slip, on the whole
	sheetEven   = 0.06 // by how much a sheet may be darker or brighter around its slips
	calmGround  = 0.02 // share of marks beyond which the ground is textured and holds no blocks
)

// block is print outside of the slips: the rectangle of its marks.
type block struct {
	image.Rectangle
	marks int
}

// residue finds blocks of print outside of the chosen slips.
func (f *finder) residue(chosen []Candidate) []block {
	marks := raster.New(f.print.W, f.print.H)
	copy(marks.Pix, f.print.Pix)
	bright := 0.0
	for _, c := range chosen {
		erase(marks, expanded(f.snapped(c.Quad), 4))
		bright = max(bright, f.light.density(c.Quad, -3))
	}
	var total float64
	for _, v := range marks.Pix {
		total += float64(v)
	}
	few := f.fewAreIn(chosen)
	if total > calmGround*4*float64(len(marks.Pix)) && !few {
		return nil
	}
	near := marks.Blur(2)
	mask := make([]bool, len(marks.Pix))
	for i, v := range near.Pix {
		mask[i] = marks.Pix[i] > 0 && v > 0.15
	}
	wipeHoles(mask, marks.W, marks.H)
	if few {
		wipeEdges(mask, marks.W, marks.H)
	}
	wide := dilate(mask, marks.W, marks.H, blockGap)
	var out []block
	var part []int32
	for i := range wide {
		if !wide[i] {
			continue
		}
		part = raster.Flood(wide, marks.W, marks.H, i, part[:0])
		box, n := markBox(part, mask, marks.W)
		if n < leastMarks || isStreak(box, n) {
			continue
		}
		// Paper that does not stand out from its ground is as bright as it.
		q := boxQuad(box, marks.W, marks.H)
		if f.light.density(q, 0) > asBright*bright {
			out = append(out, f.split(block{box, n}, mask)...)
		}
	}
	return out
}

// unseen are blocks of print as slips where there are several and no outline that was
// chosen stands out: on a sheet as white as its slips what looks like one has a side here
// of this slip and there of that.
func (f *finder) unseen(chosen []Candidate) []Candidate {
	for _, c := range chosen {
		if c.Confidence > seenOutline {
			return nil
		}
	}
	blocks := f.residue(nil)
	if len(chosen) == 0 {
		return f.onlyPrint(blocks)
	}
	if len(blocks) < leastBlocks && !f.crossedBlocks(blocks) || len(blocks) <= len(chosen) || !f.onSheet(blocks) {
		return nil
	}
	var out []Candidate
	for _, b := range blocks {
		out = append(out, Candidate{Quad: boxQuad(b.Inset(-blockRoom), f.print.W, f.print.H), Confidence: leastConfidence})
	}
	return out
}

// onlyPrint are blocks of print as slips where no outline was found at all. Parts of one
// slip lie apart as well, but hardly with a side of paper seen between any two of them.
func (f *finder) onlyPrint(blocks []block) []Candidate {
	if len(blocks) < 2 || !f.onSheet(blocks) {
		return nil
	}
	var out []Candidate
	var seen [][4]bool
	sides := 0
	for i, b := range blocks {
		q, s := f.grown(b)
		for k, o := range blocks[:i] {
			if !sideBetween(o, b, seen[k], s) {
				return nil
			}
		}
		out, seen, sides = append(out, Candidate{Quad: q, Confidence: leastConfidence}), append(seen, s), sides+count(s)
	}
	if sides < leastSides*len(blocks) {
		return nil
	}
	return out
}

// sideBetween says whether a side of paper is seen between two blocks of which these sides
// are seen, or neither lies above nor beside the other.
func sideBetween(a, b block, seenA, seenB [4]bool) bool {
	wide, high := min(a.Max.X, b.Max.X)-max(a.Min.X, b.Min.X), min(a.Max.Y, b.Max.Y)-max(a.Min.Y, b.Min.Y)
	top, right, bottom, left := 0, 1, 2, 3
	switch {
	case wide > 0 && a.Min.Y < b.Min.Y:
		return seenA[bottom] || seenB[top]
	case wide > 0:
		return seenA[top] || seenB[bottom]
	case high > 0 && a.Min.X < b.Min.X:
		return seenA[right] || seenB[left]
	case high > 0:
		return seenA[left] || seenB[right]
	}
	return true
}

// crossedBlocks says whether these are two blocks, neither much smaller, of which one lies
// on its side: parts of one slip do not.
func (f *finder) crossedBlocks(b []block) bool {
	if len(b) != 2 || float64(min(b[0].marks, b[1].marks)) < leastOfTwo*float64(b[0].marks+b[1].marks) {
		return false
	}
	return f.crossed(boxQuad(b[0].Rectangle, f.print.W, f.print.H), boxQuad(b[1].Rectangle, f.print.W, f.print.H))
}

// onSheet says whether what lies around blocks, up to the picture's border, is as bright
// as they are: around a slip on some ground it is not.
func (f *finder) onSheet(blocks []block) bool {
	quads := make([]Quad, len(blocks))
	for i, b := range blocks {
		quads[i] = boxQuad(b.Rectangle, f.print.W, f.print.H)
	}
	around, left := f.brightAround(quads)
	return left >= 1 && around > 1-sheetEven && around < 1+sheetEven
}

// brightAround is how bright what lies around some outlines is, up to the picture's border, against
// what lies within, and how many pixels that is; 0 and 0 where nothing lies within.
func (f *finder) brightAround(quads []Quad) (around, left float64) {
	all, n := f.light.inside(Whole(f.light.w, f.light.h), 0)
	in, k := 0.0, 0.0
	for _, q := range quads {
		v, m := f.light.inside(q, 0)
		in, k = in+v, k+m
	}
	if k < 1 {
		return 0, 0
	}
	return (all - in) / (n - k) / (in / k), n - k
}

// wipeEdges takes long thin lines out of mask: the shadow along a sheet's edge,
// which would draw print that is the rest of a slip out to it and beyond.
func wipeEdges(mask []bool, w, h int) {
	const long, thin = 100, 3.0
	wipe(mask, w, h, func(part []int32) bool {
		pw, ph := extent(part, w)
		l := max(pw, ph)
		return l >= long && float64(len(part)) <= thin*float64(l)
	})
}

// wipeHoles takes the rims of punched holes out of mask, which would draw print near by
// out to them: they lie along the picture's border, and are as high as they are wide, and
// higher than print.
func wipeHoles(mask []bool, w, h int) {
	const least, most, border = 7, 17, 40
	wipe(mask, w, h, func(part []int32) bool {
		box, _ := markBox(part, mask, w)
		bw, bh := box.Dx(), box.Dy()
		return min(bw, bh) >= least && max(bw, bh) <= most && 4*min(bw, bh) >= 3*max(bw, bh) &&
			min(box.Min.X, box.Min.Y, w-box.Max.X, h-box.Max.Y) <= border
	})
}

// wipe takes those parts that hang together out of mask of which it is said.
func wipe(mask []bool, w, h int, said func(part []int32) bool) {
	left := slices.Clone(mask)
	var part []int32
	for i := range left {
		if !left[i] {
			continue
		}
		part = raster.Flood(left, w, h, i, part[:0])
		if !said(part) {
			continue
		}
		for _, k := range part {
			mask[k] = false
		}
	}
}

// fewAreIn says whether the chosen slips are a small part of the picture and
// hold little of its print: then what was found is no slip, or not the only one.
func (f *finder) fewAreIn(chosen []Candidate) bool {
	var in, size float64
	for _, c := range chosen {
		n, _ := f.marks.inside(c.Quad, 0)
		in, size = in+n, size+c.area
	}
	return size < 0.25*float64(len(f.print.Pix)) && in < 0.3*f.marks.total()
}

// isStreak tells an edge, a shadow's line or a punched hole from a block of
// print.
func isStreak(b image.Rectangle, marks int) bool {
	return min(b.Dx(), b.Dy()) < 5 || max(b.Dx(), b.Dy()) < leastBlock || float64(marks) < 0.04*float64(b.Dx()*b.Dy())
}

func erase(p raster.Plane, q Quad) {
	y0, y1 := rowsOf(q)
	for y := max(int(y0), 0); y <= min(int(y1), p.H-1); y++ {
		l, r := cutRow(q, float64(y)+0.5)
		for x := max(int(l), 0); x <= min(int(r), p.W-1); x++ {
			p.Pix[y*p.W+x] = 0
		}
	}
}

func dilate(mask []bool, w, h, r int) []bool {
	p := raster.New(w, h)
	for i, m := range mask {
		if m {
			p.Pix[i] = 1
		}
	}
	p = p.Max(r, r)
	out := make([]bool, len(mask))
	for i, v := range p.Pix {
		out[i] = v > 0
	}
	return out
}

func markBox(part []int32, mask []bool, w int) (box image.Rectangle, n int) {
	for _, k := range part {
		if mask[k] {
			x, y := int(k)%w, int(k)/w
			box = box.Union(image.Rect(x, y, x+1, y+1))
			n++
		}
	}
	return box, n
}

func boxQuad(b image.Rectangle, w, h int) Quad {
	b = b.Intersect(image.Rect(0, 0, w, h))
	x0, y0, x1, y1 := float64(b.Min.X), float64(b.Min.Y), float64(b.Max.X), float64(b.Max.Y)
	return Quad{record.Point{X: x0, Y: y0}, record.Point{X: x1, Y: y0}, record.Point{X: x1, Y: y1}, record.Point{X: x0, Y: y1}}
}
