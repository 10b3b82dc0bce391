package lines

import (
	"math"
	"testing"

	"tankroll/ocr/raster"
)

// bars draws lines of upright bars, eight pixels wide, one in the middle of each
// cell that is not a space, height pixels high and standing on base.
type bars struct{ p raster.Plane }

func (b bars) line(text string, x0, cell, base, height int) {
	for k, r := range text {
		if r == ' ' {
			continue
		}
		for y := base - height; y < base; y++ {
			for x := range 8 {
				b.p.Row(y)[x0+k*cell+cell/2-4+x] = 1
			}
		}
	}
}

func TestFindLines(t *testing.T) {
	const cell, height, pitch = 20, 28, 48
	b := bars{raster.New(640, 600)}
	texts := []string{"xxxxx xxxx xxxxxxxx", "xxx   xx", "xxxxxxxxxxxxxxxxxxxxxxxx", "xx", "xxxx xxxx xx"}
	for i, s := range texts {
		b.line(s, 30, cell, 60+i*pitch, height)
	}
	b.line("xxxxxxxxxx", 30, 2*cell, 60+6*pitch, height*2) // double height
	l := Find(b.p, b.p, height*1.2)
	if len(l.Bands) != len(texts)+1 {
		t.Fatalf("%d lines, want %d: %v", len(l.Bands), len(texts)+1, l.Bands)
	}
	for i := range texts {
		got := l.Bands[i]
		if math.Abs(float64(got.Y1-(60+i*pitch))) > 6 || math.Abs(float64(got.Y0-(60+i*pitch-height))) > 6 {
			t.Errorf("line %d is at %d..%d", i, got.Y0, got.Y1)
		}
		if got.Rule || got.Inverse || got.Tall {
			t.Errorf("line %d is taken for more than it is: %+v", i, got)
		}
	}
	if !l.Bands[len(texts)].Tall {
		t.Error("double height was not seen")
	}
	if math.Abs(l.Cap-height) > 2 {
		t.Errorf("capitals of %.1f pixels, want %d", l.Cap, height)
	}
	if math.Abs(l.Pitch-pitch) > 1.5 {
		t.Errorf("lines %.1f apart, want %d", l.Pitch, pitch)
	}
	if math.Abs(l.Cell-cell) > 0.4 {
		t.Errorf("cells of %.1f pixels, want %d", l.Cell, cell)
	}
}

// Neither the bars of tables nor titles of double height make capitals taller than
// those of most lines are.
func TestCapitalsAmongBarsAndTitles(t *testing.T) {
	const cell, height, pitch = 20, 28, 72
	b := bars{raster.New(640, 640)}
	for i := range 7 {
		base, h := 60+i*pitch, height
		if i%3 == 0 {
			h = 2 * height
		}
		b.line("xxxxx xxxx xxxxxxxx", 60, cell, base+h-height, h)
		for _, x := range []int{20, 30, 460, 500, 540, 580, 600, 620} {
			for y := base - 34; y < base+14; y++ {
				for k := range 5 {
					b.p.Row(y)[x+k] = 1
				}
			}
		}
	}
	if got := Heights(b.p, height*1.2); math.Abs(got[0]-height) > 2 {
		t.Errorf("capitals of %.1f pixels, want %d", got, height)
	}
}

// A line of one short word is found between long ones, at the beginning and at
// the end.
func TestShortLines(t *testing.T) {
	const cell, height, pitch = 20, 28, 48
	b := bars{raster.New(1600, 640)}
	long := "xxxxxxxxxxxxxxxxxxxx xxxxxxxxxxxxxxxxx xxxxxxxxxxxxxxxxx xxxxxxxxxxx"
	texts := []string{"xx", long, "  xxx", long, long, "xx", long, "xxx"}
	for i, s := range texts {
		b.line(s, 30, cell, 80+i*pitch, height)
	}
	// Dirt of a few dots is none.
	for y := 560; y < 566; y++ {
		for x := 700; x < 708; x++ {
			b.p.Row(y)[x] = 1
		}
	}
	l := Find(b.p, b.p, height)
	if len(l.Bands) != len(texts) {
		t.Fatalf("%d lines, want %d: %v", len(l.Bands), len(texts), l.Bands)
	}
}

// Units below the heads of a table stand apart, and most of an L's ink is in its foot:
// they are a line, and no rule. So are two figures far apart.
func TestLettersFarApart(t *testing.T) {
	const cell, height, pitch = 20, 28, 48
	b := bars{raster.New(1000, 640)}
	for i := range 8 {
		if i != 2 && i != 5 {
			b.line("xxxxxx xxxx xxxxxxxxxxx xxxxxxxx xxxxx xx", 30, cell, 80+i*pitch, height)
		}
	}
	base := 80 + 2*pitch
	for _, x := range []int{130, 330, 530, 730} {
		for y := base - height; y < base; y++ {
			for k := range 13 {
				if k < 3 || y >= base-4 {
					b.p.Row(y)[x+k] = 1
				}
			}
		}
	}
	b.line("x                    x", 30, cell, 80+5*pitch, height)
	l := Find(b.p, b.p, height)
	if len(l.Bands) != 8 {
		t.Fatalf("%d lines, want 8: %v", len(l.Bands), l.Bands)
	}
	for _, i := range []int{2, 5} {
		if got := l.Bands[i]; got.Rule || got.Height() < height-4 || got.X1-got.X0 < 400 {
			t.Errorf("line %d is %+v", i, got)
		}
	}
}

func TestFindNothing(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {1, 300}, {300, 1}, {400, 400}} {
		p := raster.New(size[0], size[1])
		if l := Find(p, p, 30); len(l.Bands) != 0 {
			t.Errorf("%v: %d lines on bare paper", size, len(l.Bands))
		}
	}
}

func TestRuleAndBar(t *testing.T) {
	b := bars{raster.New(500, 300)}
	b.line("xxxxxx xxxxx xxxxx", 30, 20, 60, 28)
	for y := 90; y < 94; y++ { // a rule
		for x := 30; x < 430; x++ {
			b.p.Row(y)[x] = 1
		}
	}
	b.line("xxxx xxxx xxxxxxxx", 30, 20, 150, 28)
	for y := 180; y < 226; y++ { // a bar with bare letters
		for x := 30; x < 430; x++ {
			b.p.Row(y)[x] = 1
		}
	}
	for k := range 17 {
		for y := 189; y < 217; y++ {
			for x := range 8 {
				b.p.Row(y)[30+k*20+18+x] = 0
			}
		}
	}
	l := Find(b.p, b.p, 28)
	rules, inverse := 0, 0
	for _, band := range l.Bands {
		if band.Rule {
			rules++
			if band.Y0 > 94 || band.Y1 < 90 {
				t.Errorf("a rule at %d..%d", band.Y0, band.Y1)
			}
		}
		if band.Inverse {
			inverse++
			if band.Y0 > 190 || band.Y1 < 216 {
				t.Errorf("a bar at %d..%d", band.Y0, band.Y1)
			}
		}
	}
	if rules != 1 || inverse != 1 || len(l.Bands) != 4 {
		t.Errorf("%d rules and %d bars among %d lines, want 1 and 1 among 4", rules, inverse, len(l.Bands))
	}
}

// A line of two short words right below a bar of inverse print, which holds ten times its
// ink, is a line.
func TestShortLineBesideBar(t *testing.T) {
	const cell, height, pitch = 20, 28, 44
	b := bars{raster.New(1000, 560)}
	long := "xxxxxxxxx xxxxxxx xxxxx xxxxxx xxxxxxxxx"
	want := 0
	for i, s := range []string{long, "", long, "BAR", "xxx        xxxx", long, "BAR", "xxx        xxxx", long, long} {
		base := 60 + i*pitch
		if s != "BAR" {
			b.line(s, 30, cell, base, height)
		} else {
			for y := base - height - 7; y < base+7; y++ {
				for x := 30; x < 870; x++ {
					b.p.Row(y)[x] = 1
				}
			}
		}
		if s != "" {
			want++
		}
	}
	l := Find(b.p, b.p, height)
	if len(l.Bands) != want {
		t.Errorf("%d lines, want %d: %v", len(l.Bands), want, l.Bands)
	}
}

// One mark over and over is a rule although it is as high as small letters; marks
// of other shapes at equal steps are not.
func TestLikeMarks(t *testing.T) {
	const cell, height = 20, 16
	draw := func(shape func(k, dx, dy int) bool) (raster.Plane, Band) {
		p := raster.New(640, 60)
		for k := range 25 {
			for dx := range 14 {
				for dy := range height {
					if shape(k, dx, dy) {
						p.Row(20 + dy)[40+k*cell+dx] = 1
					}
				}
			}
		}
		return p, Band{X0: 40, X1: 40 + 25*cell - 6, Y0: 20, Y1: 20 + height}
	}
	star := func(_, dx, dy int) bool { return dx/3 == 2 || dy/3 == 2 || dx*height/14 == dy }
	equals := func(_, _, dy int) bool { return dy < 4 || dy >= 12 }
	letters := func(k, dx, dy int) bool { return star(k, (dx*(3+k*7%5)+5*k)%14, (dy+3*k)%height) }
	for name, c := range map[string]struct {
		shape func(k, dx, dy int) bool
		want  bool
	}{"stars": {star, true}, "equals signs": {equals, true}, "letters": {letters, false}} {
		p, b := draw(c.shape)
		if got := likeMarks(p, b, 28); got != c.want {
			t.Errorf("%s: like marks %v, want %v", name, got, c.want)
		}
	}
}

// A bar with marks at some distance beside it is a bar still, as long as it is.
func TestBarBesideMarks(t *testing.T) {
	const cap = 28
	b := bars{raster.New(900, 400)}
	for i := range 3 {
		b.line("xxxx xxx xxxxxx xxx", 30, 20, 60+i*48, cap)
	}
	for y := 240; y < 280; y++ {
		for x := 40; x < 340; x++ {
			b.p.Row(y)[x] = 1
		}
		for k := range 12 {
			if y > 246 && y < 274 && k != 5 {
				for x := range 6 {
					b.p.Row(y)[52+24*k+x] = 0
				}
			}
		}
		for x := range 25 { // a ring's side
			b.p.Row(y)[700+(280-y)/2+x] = 0.3
		}
	}
	l := Find(b.p, b.p, cap)
	found := false
	for _, band := range l.Bands {
		if band.Y0 > 230 && band.Y1 < 300 {
			found = true
			if !band.Inverse || band.X0 < 36 || band.X1 > 344 {
				t.Errorf("the bar is %+v", band)
			}
		}
	}
	if !found {
		t.Errorf("no bar found: %+v", l.Bands)
	}
}

// A bar of inverse print is one though it lies askew, and though its letters reach up to its
// upper edge; bold print of touching letters is none.
func TestBars(t *testing.T) {
	const cap = 30
	for _, c := range []struct {
		name    string
		ink     func(x, y int) bool // x from the band's left, y from its top
		inverse bool
	}{
		{"askew", func(x, y int) bool { return y >= x/60 && y < 38+x/60 && !(x%24 < 8 && y > 12 && y < 30) }, true},
		{"open above", func(x, y int) bool { return y < 40 && !(x > 20 && x < 280 && x%24 < 8 && y < 30) }, true},
		{"bold letters", func(x, y int) bool { return y < 30 && (x%20 < 14 || y < 5 && x%60 < 40) }, false},
	} {
		p := raster.New(400, 120)
		for x := range 300 {
			for y := range 60 {
				if c.ink(x, y) {
					p.Pix[(40+y)*p.W+50+x] = 1
				}
			}
		}
		got, ok := describe(p, span{y0: 40, y1: 80}, 20, 110, Layout{Cap: cap})
		if !ok || got.Inverse != c.inverse {
			t.Errorf("%s: inverse is %v, want %v", c.name, got.Inverse, c.inverse)
		}
	}
}
