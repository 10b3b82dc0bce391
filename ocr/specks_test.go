package ocr

import (
	"testing"

	"tankroll/ocr/raster"
)

// Specks go wherever they lie; full stops, colons, leaders and the dots of a
// letter stay.
func TestTakeSpecks(t *testing.T) {
	const cap = 30
	p := raster.New(900, 300)
	square := func(x, y, size int) {
		for dy := range size {
			for dx := range size {
				p.Row(y + dy)[x+dx] = 1
			}
		}
	}
	letter := func(x, y int) {
		for dy := range cap {
			for dx := range 4 {
				p.Row(y + dy)[x+dx] = 1
			}
		}
	}
	for x := 40; x < 600; x += 24 { // a line of letters
		letter(x, 40)
	}
	for x := 40; x < 140; x += 24 {
		letter(x, 200)
	}
	type mark struct {
		name       string
		x, y, size int
		speck      bool
	}
	marks := []mark{
		{"a pixel between letters", 52, 50, 2, true},
		{"a pixel in the margin", 700, 60, 2, true},
		{"a blot in the margin", 760, 120, 6, true},
		{"a full stop", 606, 65, 5, false},
		{"a colon's upper dot", 800, 210, 5, false},
		{"a colon's lower dot", 800, 225, 5, false},
	}
	for i := range 10 {
		marks = append(marks, mark{"a leader's dot", 200 + 20*i, 225, 5, false})
	}
	for i := range 12 { // 4 by 3 faint dots, two pixels apart
		marks = append(marks, mark{"a letter's dot", 650 + 4*(i%3), 210 + 4*(i/3), 2, false})
	}
	for _, m := range marks {
		square(m.x, m.y, m.size)
	}
	takeSpecks(p, cap)
	for _, m := range marks {
		if got := p.Row(m.y)[m.x] == 0; got != m.speck {
			t.Errorf("%s at %d, %d: taken off %v, want %v", m.name, m.x, m.y, got, m.speck)
		}
	}
	for x := 40; x < 600; x += 24 {
		if p.Row(55)[x] == 0 {
			t.Fatalf("the letter at %d is gone", x)
		}
	}
}

// Print that is dots only is left alone.
func TestTakeSpecksOfDots(t *testing.T) {
	p := raster.New(400, 200)
	n := 0
	for y := 20; y < 180; y += 37 {
		for x := 20; x < 380; x += 41 {
			p.Row(y)[x], p.Row(y)[x+1], n = 1, 1, n+2
		}
	}
	takeSpecks(p, 30)
	left := 0
	for _, v := range p.Pix {
		left += int(v)
	}
	if left != n {
		t.Errorf("%d of %d pixels left", left, n)
	}
}
