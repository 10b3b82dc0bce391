package lines

import (
	"image"
	"math"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"

	"tankroll/ocr/raster"
)

const (
	typeTimes = 4 // how often the face of seven by thirteen pixels is enlarged
	typeCell  = 7 * typeTimes
	typeCap   = 9 * typeTimes
	typeTop   = 2 * typeTimes // where capitals begin
)

// typed is a line of real letters, print as 1 on 0.
func typed(text string) raster.Plane {
	small := image.NewGray(image.Rect(0, 0, 7*len(text), 16))
	d := font.Drawer{Dst: small, Src: image.White, Face: basicfont.Face7x13, Dot: fixed.P(0, 11)}
	d.DrawString(text)
	p := raster.New(small.Rect.Dx()*typeTimes, small.Rect.Dy()*typeTimes)
	for y := range p.H {
		for x := range p.W {
			p.Pix[y*p.W+x] = float32(small.GrayAt(x/typeTimes, y/typeTimes).Y) / 255
		}
	}
	return p.Blur(0.9)
}

// inkOfCell sums a cell but for its outermost columns: the rim of what is wiped may reach a
// pixel into the next cell.
func inkOfCell(p raster.Plane, k int) (sum float64) {
	for y := range p.H {
		for x := k*typeCell + 1; x < (k+1)*typeCell-1; x++ {
			sum += float64(p.At(x, y))
		}
	}
	return sum
}

// A leader goes, its marks' soft rims as well, and what stands on the line besides stays
// whole: letters, full stops, decimal points, colons, dashes that stand alone, and stops and
// dashes with a figure between each two, which lie at equal steps too.
func TestTakeLeaders(t *testing.T) {
	for _, c := range []struct {
		text, left string // where left has a space and text has none, a mark of a leader stood
		low        bool   // it is of dots
	}{
		{"TANK 1 ..... 12", "TANK 1       12", true},
		{"TANK 1 .... 1.5 GAL.", "TANK 1      1.5 GAL.", true},
		{"TOTAL........1,234.5", "TOTAL        1,234.5", true},
		{"ENDS...", "ENDS   ", true},
		{". . . . 12", "        12", true},
		{"RATE 7.5 - 3.0 --- 4", "RATE 7.5 - 3.0     4", false},
		{"VOL. 7.5 GAL. 1.2", "VOL. 7.5 GAL. 1.2", false},
		{"TIME 01:41:07 06.11.24", "TIME 01:41:07 06.11.24", false},
		{"VERSION 1.2.3.4", "VERSION 1.2.3.4", false},
		{"1-2-3-4 U.S.A.", "1-2-3-4 U.S.A.", false},
	} {
		before, p := typed(c.text), typed(c.text)
		found := TakeLeaders(p, typeCell, typeCap, typeTop)
		from, to := -1, 0 // the leader's cells
		for k := range c.text {
			gone := c.left[k] != c.text[k]
			if gone && from < 0 {
				from = k
			}
			if gone {
				to = k + 1
			}
			was, is := inkOfCell(before, k), inkOfCell(p, k)
			switch {
			case gone && is > 0.01*was:
				t.Errorf("%q: %.2f of mark %d of the leader is left", c.text, is/was, k)
			case !gone && math.Abs(is-was) > 0.01*was:
				t.Errorf("%q: %.2f of %q at %d is left", c.text, is/was, c.text[k], k)
			}
		}
		if from < 0 {
			if len(found) > 0 {
				t.Errorf("%q: found %+v, want no leader", c.text, found)
			}
			continue
		}
		marks := strings.Count(c.text[from:to], c.text[from:from+1])
		if len(found) != 1 || found[0].Count != marks || found[0].Low != c.low || found[0].X0/typeCell != from || (found[0].X1-1)/typeCell != to-1 {
			t.Errorf("%q: found %+v, want one of %d marks in cells %d to %d", c.text, found, marks, from, to-1)
		}
	}
}
