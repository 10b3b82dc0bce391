package ocr

import (
	"image"
	"image/draw"
	"math"
	"slices"
	"strings"
	"testing"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// titled is a slip of three lines, the middle one so many times as wide and high
// as the others.
func titled(t *testing.T, wide, tall int) upright {
	t.Helper()
	const zoom = 3
	page := image.NewGray(image.Rect(0, 0, 700, 320))
	y := 60
	for i, s := range []string{"27-OCT-25 14:03 STORE 92", "TANK REPORT", "VOLUME 4821.7 GAL PASS"} {
		w, h := 1, 1
		if i == 1 {
			w, h = wide, tall
		}
		small := image.NewGray(image.Rect(0, 0, 7*len(s), 13))
		d := font.Drawer{Dst: small, Src: image.White, Face: basicfont.Face7x13, Dot: fixed.P(0, 11)}
		d.DrawString(s)
		high := 13 * zoom * h
		xdraw.CatmullRom.Scale(page, image.Rect(40, y, 40+7*zoom*w*len(s), y+high), small, small.Rect, draw.Src, nil)
		y += high + 20
	}
	p := raster.FromGray(page).Map(func(v float32) float32 { return v / 255 })
	up := upright{layout: lines.Find(p, p, 9*zoom)}
	up.even = p
	if len(up.layout.Bands) != 3 {
		t.Fatalf("%d lines found", len(up.layout.Bands))
	}
	up.layout.Cap = 9 * zoom
	up.grid = grid.Fit(p, up.layout)[0].Lines
	return up
}

// A title that was measured in the wrong shape gets the one in which it reads.
func TestReshape(t *testing.T) {
	r := testReader(t, Options{})
	for _, c := range []struct{ wide, tall int }{{2, 1}, {1, 2}, {2, 2}, {1, 1}} {
		up := titled(t, c.wide, c.tall)
		for _, wrong := range []struct{ wide, tall int }{{1, 1}, {2, 1}, {1, 2}, {2, 2}} {
			set := up
			set.grid, set.layout.Bands = slices.Clone(up.grid), slices.Clone(up.layout.Bands)
			g, b := &set.grid[1], &set.layout.Bands[1]
			b.Tall = wrong.tall == 2
			switch {
			case wrong.wide == 2 && !g.Wide:
				*g = g.AsWide(false)
			case wrong.wide == 1 && g.Wide:
				*g = g.AsNormal()
			}
			g.Base, g.Cap = grid.Baseline(set.even, *b, set.layout)
			r.reshape(&set)
			if set.grid[1].Wide != (c.wide == 2) || set.layout.Bands[1].Tall != (c.tall == 2) {
				t.Errorf("%d times as wide, %d as high, measured as %d and %d: read as wide %v, tall %v",
					c.wide, c.tall, wrong.wide, wrong.tall, set.grid[1].Wide, set.layout.Bands[1].Tall)
			}
		}
	}
}

// TestLeader: a line that is mostly a leader is judged by its other characters. Cells are
// read beforehand here: by these characters, and so surely.
func TestLeader(t *testing.T) {
	dots := strings.Repeat(".", 26)
	for _, c := range []struct {
		name        string
		text        string
		lead, other float64 // probabilities
		want        float64 // of the geometric mean
	}{
		{"a leader in its shape", "END " + dots + " 56", 0.99, 0.95, 0.95},
		{"as I at double height", "ENG " + strings.Repeat("I", 26) + " 14", 0.97, 0.45, 0.45},
		{"nothing but a leader", strings.Repeat("-", 30), 0.99, 0, slightSure},
		{"letters", "STORE 207 TOLLMARSH", 0, 0.9, 0.9},
		{"a clock at midnight", "00:00:00", 0, 0.95, math.Pow(0.96, 0.75)*math.Pow(slightSure+0.01, 0.25) - 0.01},
	} {
		l := &looker{seen: map[cellAt][]float32{}}
		for k, r := range []rune(c.text) {
			prob := make([]float32, len(glyph.Alphabet))
			prob[slices.Index(glyph.Alphabet, r)] = float32(c.other)
			if strings.Count(c.text, string(r)) > 10 {
				prob[slices.Index(glyph.Alphabet, r)] = float32(c.lead)
			}
			inked := 1.0
			if r == ' ' {
				inked = 0
			}
			l.cells = append(l.cells, cell{inked: inked})
			l.seen[cellAt{k: k}] = prob
		}
		if got := math.Exp(l.sureness(0)) - 0.01; math.Abs(got-c.want) > 0.005 {
			t.Errorf("%s: %.3f, want %.3f", c.name, got, c.want)
		}
	}
}
