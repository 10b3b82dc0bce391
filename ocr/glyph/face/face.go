// Package face holds the typefaces that readers of thermal print are trained on:
// outlines of open fonts, console fonts of dots, and the plain five by seven
// matrix. It is not part of reading.
package face

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

// Master is the height of a capital, in pixels, at which characters are kept.
const Master = 56

// Face holds one font's characters as coverage around the base line.
type Face struct {
	Name    string
	Advance float64 // in Master pixels
	Glyphs  map[rune]*Letter
	Dots    int // height of a capital in dots, when the face is made of dots; else 0
	Columns int // width of a cell in dots, then
}

// Letter is one character's coverage; X, Y is its top left from the pen on the
// base line.
type Letter struct {
	W, H, X, Y int
	pix        []uint8
}

// left out: the designs that faces of the fixtures are made from, kept for judging now
// or once, and styles that no head prints.
var leftOut = []string{"liberation", "lmmono", "inconsolata", "overpass", "plexmono", "sharetech", "dmmono", "dm-mono", "azeret", "martian", "cutive", "spacemono", "space-mono", "victormono", "victor-mono", "italic", "oblique", "ultralight", "monofurx", "nerd", " i.ttf", " bi.ttf", "monof56", "largelinespacing", "nolooped",
	"x13o", "couro", "courbo", "/cli", "clr4x6", "clr5x6", "clr6x6", "thin", "extralight", "black", "mplus2", "light.", "mplus1-", "condit"}

// Load reads every monospaced font, console font and squeezable font below dirs
// and adds the matrix.
func Load(dirs []string) ([]*Face, error) {
	var files []string
	for _, d := range dirs {
		err := filepath.WalkDir(d, func(p string, _ fs.DirEntry, err error) error {
			low := strings.ToLower(p)
			dots := strings.HasSuffix(low, ".psf.gz") && strings.HasPrefix(filepath.Base(low), "lat15-")
			dots = dots || westernDots(p) && !twice(p)
			if dots || strings.HasSuffix(low, ".ttf") || strings.HasSuffix(low, ".otf") {
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
	var out []*Face
	for _, f := range files {
		load := loadFace
		switch {
		case strings.HasSuffix(f, ".psf.gz"):
			load = loadDots
		case strings.HasSuffix(f, ".pcf.gz"):
			load = loadPCF
		}
		if t, err := load(f); err == nil {
			out = append(out, t)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no font in %v", dirs)
	}
	for range matrixShare {
		out = append(out, matrixFace(false), matrixFace(true))
	}
	return out, nil
}

func loadFace(file string) (*Face, error) {
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
	even := a == b
	if !okA || !okB || !okH || !even && !squeezable(file) {
		return nil, fmt.Errorf("not monospaced")
	}
	capital := float64(-box.Min.Y) / 64
	if capital < 20 {
		return nil, fmt.Errorf("no capitals")
	}
	size := 100 * Master / capital
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, err
	}
	adv, _ := face.GlyphAdvance('M')
	if !even {
		adv, _ = face.GlyphAdvance('H')
	}
	t := &Face{Name: filepath.Base(file), Advance: float64(adv) / 64, Glyphs: map[rune]*Letter{}}
	for _, r := range glyph.Alphabet[1:] {
		if l := rasterise(face, r); l != nil {
			if !even {
				l = l.intoCell(t.Advance)
			}
			t.Glyphs[r] = l
		}
	}
	if len(t.Glyphs) < 80 {
		return nil, fmt.Errorf("too few characters")
	}
	return t, nil
}

// squeezed are proportional designs that are brought into cells, as the makers of
// printers did with the sans and serif type of their time.
var squeezed = []string{"notosans-", "notoserif-", "dejavusans.", "dejavusans-bold.", "dejavusanscondensed", "dejavuserif", "freesans", "freeserif", "nimbussans-", "nimbussansnarrow", "urwgothic-", "roboto-regular", "roboto-bold", "robotocondensed", "lato-regular", "lato-bold", "cantarell-", "opensans-regular", "opensans-bold",
	"texgyreheros-", "texgyreheroscn-", "texgyreschola-", "texgyreadventor-", "charissil-", "andika-", "tuffy.", "tuffy_bold.", "essays1743", "oxygen-sans", "averiaserifgwf-", "averiasansgwf-", "universalisadfstd-", "mekanusadfstd-", "solothurn-", "vollkorn-regular", "vollkorn-bold", "comfortaa-", "linbiolinum_r", "comicneue-", "cabin-regular", "cabin-bold", "quicksand-", "f500"}

func squeezable(file string) bool {
	name := strings.ToLower(filepath.Base(file))
	return slices.ContainsFunc(squeezed, func(s string) bool { return strings.HasPrefix(name, s) })
}

// intoCell sets a letter in the middle of a cell, narrowed where it is too wide.
func (l *Letter) intoCell(advance float64) *Letter {
	most := int(0.9 * advance)
	if l.W <= most {
		out := *l
		out.X = int(advance-float64(l.W)) / 2
		return &out
	}
	out := &Letter{W: most, H: l.H, X: int(0.05 * advance), Y: l.Y, pix: make([]uint8, most*l.H)}
	for y := range out.H {
		for x := range most {
			sx := x * l.W / most
			sx2 := max((x+1)*l.W/most, sx+1)
			sum := 0
			for k := sx; k < sx2; k++ {
				sum += int(l.pix[y*l.W+k])
			}
			out.pix[y*most+x] = uint8(sum / (sx2 - sx))
		}
	}
	return out
}

func rasterise(face font.Face, r rune) *Letter {
	dr, mask, mp, _, ok := face.Glyph(fixed.P(0, 0), r)
	if !ok || dr.Empty() {
		return nil
	}
	l := &Letter{W: dr.Dx(), H: dr.Dy(), X: dr.Min.X, Y: dr.Min.Y, pix: make([]uint8, dr.Dx()*dr.Dy())}
	a := mask.(*image.Alpha)
	for y := range l.H {
		for x := range l.W {
			l.pix[y*l.W+x] = a.AlphaAt(mp.X+x, mp.Y+y).A
		}
	}
	return l
}

// Cover is the mean coverage of the box x0..x1, y0..y1, from the pen.
func (l *Letter) Cover(x0, y0, x1, y1 float64) float64 {
	at := func(v float64) int { return int(math.Floor(v)) }
	ix0, iy0, ix1, iy1 := at(x0)-l.X, at(y0)-l.Y, at(x1)-l.X, at(y1)-l.Y
	sum, n := 0, 0
	for y := iy0; y <= max(iy1-1, iy0); y++ {
		for x := ix0; x <= max(ix1-1, ix0); x++ {
			n++
			if x >= 0 && y >= 0 && x < l.W && y < l.H {
				sum += int(l.pix[y*l.W+x])
			}
		}
	}
	return float64(sum) / float64(n) / 255
}
