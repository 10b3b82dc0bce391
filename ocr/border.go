package ocr

import (
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
)

// bareMargin is the share of a slip's shorter side that no head prints on next
// to the paper's own edge: rolls have 2 to 5 mm of 57 or 80.
const bareMargin = 0.013

// clearMargin wipes the outermost part of p along the sides where the paper
// itself ends. Where the picture ends, print may run right up to it.
func clearMargin(p raster.Plane, m paper.Map, w, h int) {
	n := max(int(bareMargin*float64(min(p.W, p.H))), 1)
	wipe := func(x0, y0, x1, y1 int) {
		for y := y0; y < y1; y++ {
			clear(p.Row(y)[x0:x1])
		}
	}
	ends := m.Ends(w, h)
	if ends[0] {
		wipe(0, 0, p.W, min(n, p.H))
	}
	if ends[1] {
		wipe(max(p.W-n, 0), 0, p.W, p.H)
	}
	if ends[2] {
		wipe(0, max(p.H-n, 0), p.W, p.H)
	}
	if ends[3] {
		wipe(0, 0, min(n, p.W), p.H)
	}
}

// borderDepth is how far from the slip's sides, as a share of its shorter
// side, what touches them is taken for ground or shadow that the outline let
// in, and cleared. Print stays farther away than that.
const borderDepth = 0.03

// clearBorder removes from p (print as 1 on 0) what hangs together with its
// border.
func clearBorder(p raster.Plane) {
	depth := max(int(borderDepth*float64(min(p.W, p.H))), 2)
	var stack []int
	push := func(x, y int) {
		if x < 0 || y < 0 || x >= p.W || y >= p.H || min(x, p.W-1-x, y, p.H-1-y) > depth {
			return
		}
		if i := y*p.W + x; p.Pix[i] > 0.05 {
			p.Pix[i] = 0
			stack = append(stack, i)
		}
	}
	for x := range p.W {
		push(x, 0)
		push(x, p.H-1)
	}
	for y := range p.H {
		push(0, y)
		push(p.W-1, y)
	}
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		x, y := i%p.W, i/p.W
		push(x-1, y)
		push(x+1, y)
		push(x, y-1)
		push(x, y+1)
	}
}
