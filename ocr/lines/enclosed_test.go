package lines

import (
	"math"
	"strings"
	"testing"

	"tankroll/ocr/raster"
)

// ring is how much of a dotted zero's ring is left.
type ring int

const (
	wholeRing ring = iota
	sidesOnly      // its top and foot have faded
	endsOnly       // its sides have
	noTop          // its top has
)

// dottedZero draws a zero with a dot in it into a cell.
func dottedZero(p raster.Plane, cell int, left ring) {
	const stroke, dot = 4, 3
	a, b := 0.43*typeCell, 0.5*typeCap
	x0, y0 := (float64(cell)+0.5)*typeCell, typeTop+b
	for y := range p.H {
		for x := cell * typeCell; x < (cell+1)*typeCell; x++ {
			dx, dy := float64(x)+0.5-x0, float64(y)+0.5-y0
			ringed := math.Hypot(dx/a, dy/b) <= 1 && math.Hypot(dx/(a-stroke), dy/(b-stroke)) >= 1
			switch left {
			case sidesOnly:
				ringed = ringed && math.Abs(dy) < 0.66*b
			case endsOnly:
				ringed = ringed && math.Abs(dy) > 0.5*b
			case noTop:
				ringed = ringed && dy > -0.66*b
			}
			if ringed || math.Abs(dx) <= dot && math.Abs(dy) <= dot+1 {
				p.Pix[y*p.W+x] = 1
			}
		}
	}
}

// The dots of dotted zeros stand in a row at equal steps and are no leader, whether the
// zeros are whole, touch each other or are broken by fading; a leader beside them goes.
func TestDottedZeros(t *testing.T) {
	const zero = '0'
	leads := func(r byte) bool { return r == '.' || r == '-' }
	for _, c := range []struct {
		text   string // each 0 is drawn with a dot in it
		left   ring
		joined bool // by a hair from zero to zero
	}{
		{text: "NO 00031"},
		{text: "00000"},
		{text: "0000000"},
		{text: "00000", joined: true},
		{text: "0000000", joined: true},
		{text: "12000.5 10000"},
		{text: "0 0 0 0"},
		{text: "TANK 1 ..... 00031"},
		{text: "000.....00000"},
		{text: "000-----00000"},
		{text: "00000.......1", joined: true},
		{text: "NO 00031", left: sidesOnly},
		{text: "00000", left: sidesOnly},
		{text: "000.....00000", left: sidesOnly},
		{text: "NO 00031", left: endsOnly},
		{text: "00000", left: endsOnly},
		{text: "TANK ..... 00031", left: endsOnly},
		{text: "NO 00031", left: noTop},
		{text: "000.....00000", left: noTop},
	} {
		draw := func() raster.Plane {
			letters := []byte(c.text)
			for k, r := range letters {
				if r == zero {
					letters[k] = ' '
				}
			}
			p := typed(string(letters))
			for k, r := range c.text {
				if r == zero {
					dottedZero(p, k, c.left)
				}
				for x := k * typeCell; c.joined && k > 0 && r == zero && c.text[k-1] == zero && x < k*typeCell+5; x++ {
					for y := range 3 {
						i := (typeTop+typeCap/2+y)*p.W + x
						p.Pix[i], p.Pix[i-5] = 1, 1
					}
				}
			}
			return p.Blur(0.7)
		}
		before, p := draw(), draw()
		found := TakeLeaders(p, typeCell, typeCap, typeTop)
		dots := 0
		for k := range c.text {
			was, is := inkOfCell(before, k), inkOfCell(p, k)
			lone := k == 0 || k+1 == len(c.text) || !leads(c.text[k-1]) && !leads(c.text[k+1])
			switch {
			case leads(c.text[k]) && !lone:
				if dots++; is > 0.01*was {
					t.Errorf("%q, ring %d: %.2f of mark %d of the leader is left", c.text, c.left, is/was, k)
				}
			case math.Abs(is-was) > 0.01*was:
				t.Errorf("%q, ring %d: %.2f of %q at %d is left", c.text, c.left, is/was, c.text[k], k)
			}
		}
		switch {
		case dots == 0 && len(found) > 0:
			t.Errorf("%q, ring %d: found %+v, want no leader", c.text, c.left, found)
		case dots > 0 && (len(found) != 1 || found[0].Count != dots || found[0].Low != strings.Contains(c.text, "..")):
			t.Errorf("%q, ring %d: found %+v, want one of %d marks", c.text, c.left, found, dots)
		}
	}
}
