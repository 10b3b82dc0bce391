package ocr

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tankroll/fixtures"
	"tankroll/internal/score"
	"tankroll/record"
)

func testReader(t *testing.T, o Options) *Reader {
	t.Helper()
	r, err := NewReader(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	return r
}

// readOne reads a picture of one page.
func readOne(t *testing.T, r *Reader, raw []byte) Page {
	t.Helper()
	var out Page
	for p, err := range r.Pages(context.Background(), raw) {
		if err != nil {
			t.Fatal(err)
		}
		out = p
	}
	return out
}

// kept is one of the committed pictures, with its truth.
func kept(t *testing.T, name string) fixtures.Case {
	t.Helper()
	file := filepath.Join("..", "fixtures", "set", name)
	var c fixtures.Case
	truth, err := os.ReadFile(file + ".truth.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(truth, &c); err != nil {
		t.Fatal(err)
	}
	if c.Raw, err = os.ReadFile(file + ".jpg"); err != nil {
		t.Fatal(err)
	}
	return c
}

func text(s record.Slip) string {
	var b strings.Builder
	for _, l := range s.Lines {
		for _, w := range l.Words {
			b.WriteString(w.Text + " ")
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// wordF1 compares a slip's words with what was printed.
func wordF1(got record.Slip, want []string) float64 {
	return score.CountWords(want, strings.Split(text(got), "\n")).F1()
}

// Photos: the slip is found, stood upright, read, and its words' boxes lie on
// the printed lines of the original.
func TestPhoto(t *testing.T) {
	r := testReader(t, Options{})
	for _, name := range []string{"0104-photo-with-shadow", "0106-photo-quarter-turn"} {
		c := kept(t, name)
		p := readOne(t, r, c.Raw)
		if p.Err != nil || len(p.Slips) != 1 {
			t.Fatalf("%s: %d slips, %v", c.Name, len(p.Slips), p.Err)
		}
		s := p.Slips[0]
		if s.Turn != c.Slips[0].Turn {
			t.Errorf("%s: turned by %d, want %d", c.Name, s.Turn, c.Slips[0].Turn)
		}
		if f1 := wordF1(s, c.Slips[0].Text); f1 < 0.85 {
			t.Errorf("%s: word F1 %.3f", c.Name, f1)
		}
		onTheirLines(t, c, s)
		textBoxesOnLines(t, c, s)
	}
}

// textBoxesOnLines checks that the box of each line of text has its middle on
// the printed line of which it holds most words.
func textBoxesOnLines(t *testing.T, c fixtures.Case, s record.Slip) {
	t.Helper()
	text, boxes := s.Text(), s.TextBoxes()
	if len(boxes) != len(text) || len(text) == 0 {
		t.Fatalf("%s: %d lines of text have %d boxes", c.Name, len(text), len(boxes))
	}
	for i, b := range boxes {
		on, most := -1, 0
		for k, printed := range c.Lines[0] {
			if n := score.CountWords([]string{printed.Text}, text[i:i+1]).Both; n > most {
				on, most = k, n
			}
		}
		if on >= 0 && !inside(c.Lines[0][on].Corners, float64(b.X)+float64(b.W)/2, float64(b.Y)+float64(b.H)/2) {
			t.Errorf("%s: the box %v of %q lies off its line at %v", c.Name, b, text[i], c.Lines[0][on].Corners)
		}
	}
}

// onTheirLines checks that words which stand on one printed line only have the
// middle of their box on it.
func onTheirLines(t *testing.T, c fixtures.Case, s record.Slip) {
	t.Helper()
	checked, off := 0, 0
	for _, l := range s.Lines {
		for _, w := range l.Words {
			on := -1
			for i, printed := range c.Lines[0] {
				for f := range strings.FieldsSeq(printed.Text) {
					if f == w.Text {
						if on >= 0 && on != i {
							on = len(c.Lines[0])
						} else {
							on = i
						}
					}
				}
			}
			if on < 0 || on == len(c.Lines[0]) || len(w.Text) < 3 {
				continue
			}
			checked++
			x, y := float64(w.Box.X)+float64(w.Box.W)/2, float64(w.Box.Y)+float64(w.Box.H)/2
			if !inside(c.Lines[0][on].Corners, x, y) {
				off++
			}
		}
	}
	if checked < 8 || off > 0 {
		t.Errorf("%s: %d of %d words lie off their printed line", c.Name, off, checked)
	}
}

// inside is whether a point lies in a convex shape of four corners.
func inside(q [4]record.Point, x, y float64) bool {
	sign := 0.0
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		v := (b.X-a.X)*(y-a.Y) - (b.Y-a.Y)*(x-a.X)
		if v*sign < 0 {
			return false
		}
		sign = v
	}
	return true
}

// However a page lies on the scanner, it says the same, and to find out how it lies
// costs the recognizer nothing where print is plain: it is given each line once.
func TestQuarterTurns(t *testing.T) {
	r := testReader(t, Options{})
	var given atomic.Int32
	r.testOnlyStrip = func(strip) { given.Add(1) }
	c := kept(t, "0002-line-leak-test-march")
	img, _, err := image.Decode(bytes.NewReader(c.Raw))
	if err != nil {
		t.Fatal(err)
	}
	printed := 0
	for _, l := range c.Slips[0].Text {
		if strings.TrimSpace(l) != "" {
			printed++
		}
	}
	for n := range 4 {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, turned(img, n), nil); err != nil {
			t.Fatal(err)
		}
		given.Store(0)
		p := readOne(t, r, b.Bytes())
		if got := int(given.Load()); got == 0 || got > printed {
			t.Errorf("%d quarter turns: the recognizer was given %d lines, the slip has %d", n, got, printed)
		}
		if len(p.Slips) != 1 {
			t.Fatalf("%d quarter turns: %d slips", n, len(p.Slips))
		}
		if want := (c.Slips[0].Turn + 360 - 90*n) % 360; p.Slips[0].Turn != want {
			t.Errorf("%d quarter turns: turned back by %d, want %d", n, p.Slips[0].Turn, want)
		}
		if f1 := wordF1(p.Slips[0], c.Slips[0].Text); f1 < 0.9 {
			t.Errorf("%d quarter turns: word F1 %.3f", n, f1)
		}
	}
}

// TestBilevel: a page as a fax hands it over, each pixel black or white, says the same
// however it lies.
func TestBilevel(t *testing.T) {
	r := testReader(t, Options{})
	c := kept(t, "0002-line-leak-test-march")
	img, _, err := image.Decode(bytes.NewReader(c.Raw))
	if err != nil {
		t.Fatal(err)
	}
	for n := range 4 {
		var b bytes.Buffer
		if err := png.Encode(&b, bilevel(turned(img, n).(*image.Gray))); err != nil {
			t.Fatal(err)
		}
		if bits := b.Bytes()[24]; bits != 1 {
			t.Fatalf("the PNG has %d bits a pixel", bits)
		}
		p := readOne(t, r, b.Bytes())
		if len(p.Slips) != 1 {
			t.Errorf("%d quarter turns: %d slips", n, len(p.Slips))
			continue
		}
		if f1 := wordF1(p.Slips[0], c.Slips[0].Text); f1 < 0.9 {
			t.Errorf("%d quarter turns: word F1 %.3f", n, f1)
		}
	}
}

// bilevel is a picture in black and white: what is a fifth darker than the paper, which
// is the brightest there is, is black.
func bilevel(g *image.Gray) *image.Paletted {
	out := image.NewPaletted(g.Rect, color.Palette{color.Black, color.White})
	paper := int(slices.Max(g.Pix))
	for i, v := range g.Pix {
		if 5*int(v) >= 4*paper {
			out.Pix[i] = 1
		}
	}
	return out
}

// turned is img after n quarter turns clockwise, in grey.
func turned(img image.Image, n int) image.Image {
	out := image.NewGray(img.Bounds())
	draw.Draw(out, out.Rect, img, img.Bounds().Min, draw.Src)
	for range n {
		in := out
		out = image.NewGray(image.Rect(0, 0, in.Rect.Dy(), in.Rect.Dx()))
		for y := range in.Rect.Dy() {
			for x := range in.Rect.Dx() {
				out.SetGray(in.Rect.Dy()-1-y, x, in.GrayAt(x, y))
			}
		}
	}
	return out
}

func TestBlankPage(t *testing.T) {
	r := testReader(t, Options{})
	for name, c := range map[string]color.Color{"white": color.White, "black": color.Black, "grey": color.Gray{128}} {
		img := image.NewRGBA(image.Rect(0, 0, 900, 1200))
		draw.Draw(img, img.Rect, image.NewUniform(c), image.Point{}, draw.Src)
		var b bytes.Buffer
		if err := jpeg.Encode(&b, img, nil); err != nil {
			t.Fatal(err)
		}
		p := readOne(t, r, b.Bytes())
		for _, s := range p.Slips {
			if len(s.Lines) > 0 {
				t.Errorf("%s: read %q", name, text(s))
			}
		}
	}
}

func TestTimeLimit(t *testing.T) {
	r := testReader(t, Options{Limits: Limits{Time: time.Millisecond}})
	p := readOne(t, r, kept(t, "0002-line-leak-test-march").Raw)
	if !errors.Is(p.Err, ErrTime) || len(p.Slips) != 0 {
		t.Errorf("%d slips, error %v", len(p.Slips), p.Err)
	}
	if p.Err != nil && !strings.Contains(p.Err.Error(), "raise the limit") {
		t.Errorf("%q does not say what to do", p.Err)
	}
}

func TestContextEnds(t *testing.T) {
	r := testReader(t, Options{})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, err := range r.Pages(ctx, kept(t, "0002-line-leak-test-march").Raw) {
		if !errors.Is(err, context.Canceled) {
			t.Errorf("error %v", err)
		}
	}
}

func TestPixelLimit(t *testing.T) {
	r := testReader(t, Options{Limits: Limits{Pixels: 1000}})
	for _, err := range r.Pages(context.Background(), kept(t, "0002-line-leak-test-march").Raw) {
		if !errors.Is(err, ErrTooLarge) {
			t.Errorf("error %v", err)
		}
	}
}

// A cut shows the box and a margin, upright.
func TestCut(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 300, 200))
	draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
	draw.Draw(img, image.Rect(100, 50, 140, 60), image.Black, image.Point{}, draw.Src)
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	r := testReader(t, Options{})
	ctx := t.Context()
	got, err := r.Cut(ctx, b.Bytes(), 1, record.Box{X: 100, Y: 50, W: 40, H: 10}, 90)
	if err != nil {
		t.Fatal(err)
	}
	if got.Bounds().Dx() != 22 || got.Bounds().Dy() != 52 {
		t.Errorf("a cut of %v, want 22 x 52", got.Bounds())
	}
	dark := 0
	for y := range got.Bounds().Dy() {
		for x := range got.Bounds().Dx() {
			if l, _, _, _ := got.At(x, y).RGBA(); l < 0x8000 {
				dark++
			}
		}
	}
	if dark != 400 {
		t.Errorf("%d dark pixels, want 400", dark)
	}
	if _, err := r.Cut(ctx, b.Bytes(), 1, record.Box{X: 400, Y: 50, W: 40, H: 10}, 0); err == nil {
		t.Error("a box beside the page was cut")
	}
	if _, err := r.Cut(ctx, b.Bytes(), 2, record.Box{X: 0, Y: 0, W: 4, H: 4}, 0); err == nil {
		t.Error("a second page of a single picture was cut")
	}
}
