package main

import (
	"fmt"
	"image"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"tankroll/ocr/glyph"
)

// master is the height of a capital, in pixels, at which characters are kept.
const master = 56

// typeface holds one font's characters as coverage around the base line.
type typeface struct {
	name    string
	advance float64 // in master pixels
	glyphs  map[rune]*letter
}

// letter is one character's coverage; x, y is its top left from the pen on the
// base line.
type letter struct {
	w, h, x, y int
	pix        []uint8
}

// left out: the designs that faces kept for judging are made from, and styles
// that no head prints.
var leftOut = []string{"liberation", "lmmono", "inconsolata", "italic", "oblique", "ultralight", "monofurx", "nerd", " i.ttf", " bi.ttf", "monof56", "largelinespacing", "nolooped"}

func loadFaces(dirs []string) ([]*typeface, error) {
	var files []string
	for _, d := range dirs {
		err := filepath.WalkDir(d, func(p string, _ fs.DirEntry, err error) error {
			low := strings.ToLower(p)
			if strings.HasSuffix(low, ".ttf") || strings.HasSuffix(low, ".otf") {
				if !slices.ContainsFunc(leftOut, func(s string) bool { return strings.Contains(low, s) }) {
					files = append(files, p)
				}
			}
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	slices.Sort(files)
	var out []*typeface
	for _, f := range files {
		if t, err := loadFace(f); err == nil {
			out = append(out, t)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no monospaced font in %v", dirs)
	}
	for range matrixShare {
		out = append(out, matrixFace(false), matrixFace(true))
	}
	return out, nil
}

func loadFace(file string) (*typeface, error) {
	raw, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	f, err := opentype.Parse(raw)
	if err != nil {
		return nil, err
	}
	probe, err := opentype.NewFace(f, &opentype.FaceOptions{Size: 100, DPI: 72})
	if err != nil {
		return nil, err
	}
	a, okA := probe.GlyphAdvance('i')
	b, okB := probe.GlyphAdvance('M')
	box, _, okH := probe.GlyphBounds('H')
	if !okA || !okB || !okH || a != b {
		return nil, fmt.Errorf("not monospaced")
	}
	capital := float64(-box.Min.Y) / 64
	if capital < 20 {
		return nil, fmt.Errorf("no capitals")
	}
	size := 100 * master / capital
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, err
	}
	adv, _ := face.GlyphAdvance('M')
	t := &typeface{name: filepath.Base(file), advance: float64(adv) / 64, glyphs: map[rune]*letter{}}
	for _, r := range glyph.Alphabet[1:] {
		if l := rasterise(face, r); l != nil {
			t.glyphs[r] = l
		}
	}
	if len(t.glyphs) < 80 {
		return nil, fmt.Errorf("too few characters")
	}
	return t, nil
}

func rasterise(face font.Face, r rune) *letter {
	dr, mask, mp, _, ok := face.Glyph(fixed.P(0, 0), r)
	if !ok || dr.Empty() {
		return nil
	}
	l := &letter{w: dr.Dx(), h: dr.Dy(), x: dr.Min.X, y: dr.Min.Y, pix: make([]uint8, dr.Dx()*dr.Dy())}
	a := mask.(*image.Alpha)
	for y := range l.h {
		for x := range l.w {
			l.pix[y*l.w+x] = a.AlphaAt(mp.X+x, mp.Y+y).A
		}
	}
	return l
}

// cover is the mean coverage of the box x0..x1, y0..y1, from the pen.
func (l *letter) cover(x0, y0, x1, y1 float64) float64 {
	at := func(v float64) int { return int(math.Floor(v)) }
	ix0, iy0, ix1, iy1 := at(x0)-l.x, at(y0)-l.y, at(x1)-l.x, at(y1)-l.y
	sum, n := 0, 0
	for y := iy0; y <= max(iy1-1, iy0); y++ {
		for x := ix0; x <= max(ix1-1, ix0); x++ {
			n++
			if x >= 0 && y >= 0 && x < l.w && y < l.h {
				sum += int(l.pix[y*l.w+x])
			}
		}
	}
	return float64(sum) / float64(n) / 255
}
