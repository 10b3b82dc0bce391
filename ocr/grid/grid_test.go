package grid

import (
	"image"
	"image/draw"
	"math"
	"testing"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

var sample = []string{"FIRST LINE OF A SLIP 123", "TANK 3   DIESEL", "VOLUME     4821 GAL", "OK", "ENDED 12:41  PASSED TEST", "-1.25 in 88.7 deg"}

const (
	zoom  = 3
	left  = 40 // of the first cell, in pixels
	pitch = 66
)

// print draws the sample in cells of 7*zoom pixels, or in proportional type.
func print(t testing.TB, proportional bool) raster.Plane {
	t.Helper()
	small := image.NewGray(image.Rect(0, 0, 230, pitch/zoom*(len(sample)+1)))
	d := font.Drawer{Dst: small, Src: image.White, Face: basicfont.Face7x13}
	if proportional {
		f, err := opentype.Parse(goregular.TTF)
		if err != nil {
			t.Fatal(err)
		}
		if d.Face, err = opentype.NewFace(f, &opentype.FaceOptions{Size: 13, DPI: 72}); err != nil {
			t.Fatal(err)
		}
	}
	for i, s := range sample {
		d.Dot = fixed.Point26_6{X: fixed.I(left) / zoom, Y: fixed.I(pitch / zoom * (i + 1))}
		d.DrawString(s)
	}
	big := image.NewGray(image.Rect(0, 0, small.Rect.Dx()*zoom, small.Rect.Dy()*zoom))
	xdraw.CatmullRom.Scale(big, big.Rect, small, small.Rect, draw.Src, nil)
	return raster.FromGray(big).Map(func(v float32) float32 { return v / 255 })
}

func layout(t *testing.T, p raster.Plane) lines.Layout {
	t.Helper()
	l := lines.Find(p, p, 9*zoom)
	if len(l.Bands) != len(sample) {
		t.Fatalf("%d lines found of %d", len(l.Bands), len(sample))
	}
	return l
}

func TestFitFindsTheCells(t *testing.T) {
	p := print(t, false)
	fits := Fit(p, layout(t, p))
	if len(fits) == 0 {
		t.Fatal("print on a grid, and no grid found")
	}
	f := fits[0]
	if want := 7.0 * zoom; math.Abs(f.Cell-want) > 0.005*want {
		t.Errorf("cells of %.2f pixels, want %.2f", f.Cell, want)
	}
	for i, l := range f.Lines {
		text := sample[i]
		first := 0
		for text[first] == ' ' {
			first++
		}
		// Cell k of the line is character first+k.
		for _, k := range []int{0, len(text) - first - 1} {
			want := left + float64(first+k)*7*zoom
			if off := math.Abs(l.Border(k)-want) / (7 * zoom); off > 0.22 { // its letters stand a twelfth off the middle of their cells
				t.Errorf("line %d, cell %d begins %.2f cells off", i, k, off)
			}
		}
		if got := l.Cells; got != len(text)-first {
			t.Errorf("line %d has %d cells, want %d", i, got, len(text)-first)
		}
		base := float64(pitch * (i + 1))
		if math.Abs(l.Base-base) > 0.12*l.Cap {
			t.Errorf("line %d stands at %.1f, want %.1f", i, l.Base, base)
		}
	}
}

// Where two columns of words stand far apart a width that is out by one cell between
// them is nearly as much in step; it is not clear then, and reading must tell.
func TestFitLeavesRivalsOpen(t *testing.T) {
	clear, rival := laid{inStep: 0.81, strength: 0.41}, laid{inStep: 0.72, strength: 0.37}
	clear.width, rival.width = 22.4, 20.6
	for _, c := range []struct {
		tried []laid
		want  bool
	}{{[]laid{clear}, false}, {[]laid{rival, clear}, true}, {[]laid{{shared: shared{width: 22.5}, inStep: 0.8, strength: 0.4}, clear}, false},
		{[]laid{{shared: shared{width: 20.6}, inStep: 0.5, strength: 0.2}, clear}, false}} {
		if got := rivals(likeliest(c.tried)); got != c.want {
			t.Errorf("%v: rivals %v, want %v", c.tried, got, c.want)
		}
	}
}

// The measured cell is read as well where others crowd it out, unless it is out of step.
func TestMeasuredIsOffered(t *testing.T) {
	var crowd []laid
	for _, width := range []float64{42, 36, 17.1, 18.1} {
		crowd = append(crowd, laid{shared: shared{width: width}, inStep: 0.7, strength: 0.3})
	}
	for _, c := range []struct {
		measured laid
		want     int
	}{{laid{shared: shared{width: 16}, inStep: 0.72, strength: 0.25}, 5}, {laid{shared: shared{width: 17}, inStep: 0.72, strength: 0.25}, 4},
		{laid{shared: shared{width: 16}, inStep: 0.3, strength: 0.25}, 4}} {
		if got := withMeasured(likeliest(crowd), c.measured); len(got) != c.want {
			t.Errorf("measured %v: %d grids offered, want %d", c.measured, len(got), c.want)
		}
	}
}

// Half a cell is in step with all that a cell is; the whole cell is among the others.
func TestOthersHoldTheCell(t *testing.T) {
	p := print(t, false)
	l := layout(t, p)
	l.Cell = 3.5 * zoom
	for _, f := range Others(p, l) {
		if math.Abs(f.Cell-7*zoom) < 0.01*7*zoom {
			return
		}
	}
	t.Error("the cell that print has is not among the grids")
}

func TestFitLeavesProportionalPrint(t *testing.T) {
	p := print(t, true)
	for _, f := range Fit(p, layout(t, p)) {
		if f.Clear {
			t.Errorf("proportional print is said to be clearly on a grid of %.1f pixels", f.Cell)
		}
	}
}

// A grid turned upside down and back is the same.
func TestFlipped(t *testing.T) {
	p := print(t, false)
	for i, l := range Fit(p, layout(t, p))[0].Lines {
		back := l.Flipped(p.W, p.H).Flipped(p.W, p.H)
		for k := range l.Cells + 1 {
			if math.Abs(back.Border(k)-l.Border(k)) > 1e-6 || math.Abs(back.Base-l.Base) > 1e-6 {
				t.Fatalf("line %d, border %d: %v, was %v", i, k, back.Border(k), l.Border(k))
			}
		}
		for k := range l.Cells {
			middle := (l.Border(k) + l.Border(k+1)) / 2
			if at := l.CellAt(middle); math.Abs(at-float64(k)-0.5) > 0.02 {
				t.Errorf("line %d: the middle of cell %d is said to be at %.2f", i, k, at)
			}
		}
	}
}

// Cells of double width begin on every other border of the line's own.
func TestAsWide(t *testing.T) {
	p := print(t, false)
	for i, l := range Fit(p, layout(t, p))[0].Lines {
		for first, wide := range []Line{l.AsWide(false), l.AsWide(true)} {
			for k := range wide.Cells {
				own := 2*k - first
				if own < 0 || own > l.Cells {
					continue
				}
				if off := math.Abs(wide.Border(k) - l.Border(own)); off > 1e-6 {
					t.Errorf("line %d: cell %d of double width begins %.2f pixels off", i, k, off)
				}
			}
			if end := wide.Border(wide.Cells); end < l.Border(l.Cells)-0.1*l.Step {
				t.Errorf("line %d: cells of double width end at %.1f, the print at %.1f", i, end, l.Border(l.Cells))
			}
		}
		back := l.AsWide(false).AsNormal()
		for k := 0; k <= l.Cells; k += 2 {
			if off := math.Abs(back.Border(k) - l.Border(k)); off > 1e-6 {
				t.Errorf("line %d: border %d is %.2f pixels off", i, k, off)
			}
		}
	}
}

func BenchmarkFit(b *testing.B) {
	for _, c := range []struct {
		name         string
		proportional bool
	}{{"grid", false}, {"no-grid", true}} {
		b.Run(c.name, func(b *testing.B) {
			p := print(b, c.proportional)
			l := lines.Find(p, p, 9*zoom)
			b.ReportAllocs()
			for b.Loop() {
				Fit(p, l)
			}
		})
	}
}
