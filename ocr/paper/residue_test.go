package paper

import "testing"

// The rims of punched holes are wiped: they draw no print out to them. A mark as large
// within the page stays.
func TestWipeHoles(t *testing.T) {
	const w, h = 340, 440
	ring := func(mask []bool, cx, cy int) {
		for y := -6; y <= 6; y++ {
			for x := -6; x <= 6; x++ {
				if d := x*x + y*y; d >= 25 && d <= 40 {
					mask[(cy+y)*w+cx+x] = true
				}
			}
		}
	}
	mask, want := make([]bool, w*h), make([]bool, w*h)
	for _, m := range [][]bool{mask, want} {
		ring(m, 170, 200)
		for x := 40; x < 120; x++ { // a line of print
			for y := 97; y < 104; y++ {
				m[y*w+x] = x%3 > 0
			}
		}
	}
	ring(mask, 20, 100)
	ring(mask, 20, 340)
	wipeHoles(mask, w, h)
	for i := range mask {
		if mask[i] != want[i] {
			t.Fatalf("at %d, %d a mark is %v, want %v", i%w, i/w, mask[i], want[i])
		}
	}
}

// Print that comes close to a side of its slip on a sheet, and goes on close behind it, is
// that slip's; where the slip keeps a margin it is another's.
func TestContinuesClose(t *testing.T) {
	for _, c := range []struct {
		name string
		side float64 // where the outline of the first slip ends; print does at 178, and goes on right behind the side
		want bool
	}{{"close to it", 185, true}, {"behind a margin", 214, false}} {
		s := newScene(470, 470, plainGround(225))
		upper := rectangle(60, 30, 360, 198)
		s.slip(upper, 225)
		below := rectangle(80, c.side+3, 340, c.side+60)
		s.slip(rectangle(60, c.side-3, 360, c.side+70), 225)
		f := newFinder(s.planes())
		if got := f.continues(rectangle(60, 30, 360, c.side), below); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
