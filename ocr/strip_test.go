package ocr

import (
	"context"
	"image"
	"image/draw"
	"math"
	"path/filepath"
	"testing"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// typedZoom is how often the face of 7 by 13 pixels is enlarged on a typed slip, whose cells
// and capitals follow.
const (
	typedZoom = 3
	typedCell = 7 * typedZoom
	typedCap  = 9 * typedZoom
	typedLeft = 40
)

// typedSlip is a slip of these lines, where its lines were looked for. A line of '|' alone is
// a drawn rule.
func typedSlip(text ...string) upright {
	page := image.NewGray(image.Rect(0, 0, 700, 60+60*len(text)))
	for i, s := range text {
		y := 40 + 60*i
		if s == "|" {
			draw.Draw(page, image.Rect(typedLeft, y+20, 660, y+24), image.White, image.Point{}, draw.Src)
			continue
		}
		small := image.NewGray(image.Rect(0, 0, 7*len(s), 13))
		d := font.Drawer{Dst: small, Src: image.White, Face: basicfont.Face7x13, Dot: fixed.P(0, 11)}
		d.DrawString(s)
		xdraw.CatmullRom.Scale(page, image.Rect(typedLeft, y, typedLeft+typedCell*len(s), y+13*typedZoom), small, small.Rect, draw.Src, nil)
	}
	p := raster.FromGray(page).Map(func(v float32) float32 { return v / 255 })
	u := upright{layout: lines.Find(p, p, typedCap)}
	u.even = p
	return u
}

// Rules and rows of one mark are lines of the slip but are not given to the recognizer; what
// is printed among them is.
func TestRulesAreNotRecognized(t *testing.T) {
	r := testReader(t, Options{})
	rules := []string{"|", "------------------------", "========================", "************************", "........................"}
	for name, c := range map[string]struct {
		text []string
		want int
	}{
		"rules alone":       {rules, 0},
		"print among rules": {[]string{rules[0], "TANK 1 VOLUME", rules[1], "4821.7 GAL PASS", rules[3]}, 2},
	} {
		u := typedSlip(c.text...)
		dir := t.TempDir()
		words, err := r.read(context.Background(), u, nil, newTrace(dir, 1))
		if err != nil {
			t.Fatal(err)
		}
		given, _ := filepath.Glob(filepath.Join(dir, "*-line.png"))
		if len(given) != c.want {
			t.Errorf("%s: %d lines were given to the recognizer, want %d", name, len(given), c.want)
		}
		read := 0
		for i, b := range u.layout.Bands {
			if b.Rule && len(words[i]) > 0 {
				t.Errorf("%s: a rule reads %v", name, words[i])
			}
			if len(words[i]) > 0 {
				read++
			}
		}
		if read != c.want {
			t.Errorf("%s: %d lines read, want %d", name, read, c.want)
		}
	}
}

// A line is given to the recognizer without its leader and whole besides.
func TestCutStrip(t *testing.T) {
	const text, left = "TANK 1 ..... 12.5 GAL.", "TANK 1       12.5 GAL."
	u := typedSlip("STORE 92 VOLUME REPORT", text, "LAST LINE OF THE SLIP")
	if len(u.layout.Bands) != 3 {
		t.Fatalf("%d lines found", len(u.layout.Bands))
	}
	for _, wide := range []float64{1, 1.2} {
		s := cutStrip(u.view, u.layout.Bands[1], u.layout, wide)
		for k := range text {
			var was, is float64
			for x := typedLeft + k*typedCell + 1; x < typedLeft+(k+1)*typedCell-1; x++ {
				for y := range s.gray.Rect.Dy() {
					was += float64(u.even.At(x, s.y0+y))
				}
			}
			from, to := (float64(typedLeft+k*typedCell+1)-float64(s.x0))*wide, (float64(typedLeft+(k+1)*typedCell-1)-float64(s.x0))*wide
			for x := max(int(from), 0); x < min(int(to), s.gray.Rect.Dx()); x++ {
				for y := range s.gray.Rect.Dy() {
					is += 1 - float64(s.gray.GrayAt(x, y).Y)/255
				}
			}
			is /= wide
			switch gone := text[k] != left[k]; {
			case gone && is > 0.01*was:
				t.Errorf("%v times as wide, %.2f of mark %d of the leader is left", wide, is/was, k)
			case !gone && math.Abs(is-was) > 0.1*was+5: // a little of the next cell's letters may lie here
				t.Errorf("%v times as wide, %.2f of %q at %d is left", wide, is/was, text[k], k)
			}
		}
	}
	whole := typedSlip("STORE 92 VOLUME REPORT", text, "LAST LINE OF THE SLIP")
	for i, v := range u.even.Pix {
		if v != whole.even.Pix[i] {
			t.Fatal("the leader was wiped off the slip itself")
		}
	}
}
