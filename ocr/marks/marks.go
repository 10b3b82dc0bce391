// Package marks finds what people wrote and stamped on a slip, tells it from print
// and takes it off as far as it can be told apart.
//
// Ink of another colour than the dye of thermal paper is found and taken off before
// anything is read (ByColour): what a mark takes from red, green and blue differs, what
// print takes does not, so that the two can be parted even where one lies on the
// other. Black ink, and any ink on a picture without colour, is told by its shape
// once lines are found (ByShape): marks are much larger than a character, bent, and
// as wide as a pen everywhere. There what lies off the lines of print is taken off;
// on them nothing is, for it may be print.
//
// It fails where a mark is as small as a character or as straight as a rule, and
// where print is so faint that a pen's halo hides it.
package marks

import (
	"image"

	"tankroll/record"
)

// Found is one mark. Its places are of the plane or page on which it was found.
type Found struct {
	Kind record.MarkKind
	Box  image.Rectangle
	Sure float64 // 0 to 1: how much speaks for it
}

// Ink is where ink of marks lies: one sample a square of Step pixels.
type Ink struct {
	W, H, Step int
	On         []bool
}

// NewInk is no ink on w x h pixels.
func NewInk(w, h, step int) Ink {
	n := Ink{W: (w + step - 1) / step, H: (h + step - 1) / step, Step: step}
	n.On = make([]bool, n.W*n.H)
	return n
}

// Set notes ink at a pixel; places outside are left out.
func (n Ink) Set(x, y int) {
	x, y = x/n.Step, y/n.Step
	if x >= 0 && y >= 0 && x < n.W && y < n.H {
		n.On[y*n.W+x] = true
	}
}

// At says whether ink lies on a pixel.
func (n Ink) At(x, y int) bool {
	if n.Step == 0 || x < 0 || y < 0 {
		return false
	}
	x, y = x/n.Step, y/n.Step
	return x < n.W && y < n.H && n.On[y*n.W+x]
}
