package ocr

import (
	"tankroll/ocr/ink"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
)

// view is a slip lifted off its picture at one scale.
type view struct {
	m     paper.Map
	scale float64 // pixels a flat unit
	em    float64 // height of a character cell in pixels
	dens  ink.Density
	even  raster.Plane // print as 1 on 0
}

// lift flattens a slip, lifts its print and clears its border. em is the
// height of a character in the result's pixels, within a factor of two.
func lift(original raster.Pyramid, m paper.Map, scale, em float64, t *trace) view {
	flat := m.Flatten(original, scale)
	t.plane("flat", flat, 0, 255)
	d := ink.LiftSeen(flat, em, t.lifting())
	even := d.Even(em)
	before := t.copied(even)
	clearBorder(even)
	size := original.Size()
	clearMargin(even, m, size.X, size.Y)
	t.taken("border-off", before, even)
	return view{m, scale, em, d, even}
}

// quarter turns the view by quarter turns clockwise. Any bend is lost.
func (v view) quarter(n int) view {
	v.m = v.m.Turned(n)
	v.dens.Plane, v.even = v.dens.Plane.Quarter(n), v.even.Quarter(n)
	return v
}

// flipped is the view with its bottom made its top.
func (v view) flipped() view {
	v.m = v.m.Flipped()
	v.dens.Plane, v.even = v.dens.Plane.Quarter(2), v.even.Quarter(2)
	return v
}

// printOnly is the view's print without what is too large for print, and
// letters that without what is too small.
func (v view) printOnly() raster.Plane { return paper.PrintOnly(v.even, v.em) }

func (v view) letters() raster.Plane { return paper.LettersOnly(v.printOnly(), v.em) }
