package ocr

import (
	"bytes"
	"image"
	"image/png"
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/recognise"
)

// shopSlip is print in blocks far apart that fills its picture, as a scanner that
// crops leaves it.
var shopSlip = [][2]string{
	{"Harvest Lane Bakery", ""}, {"14 Orchard Street", ""}, {"Tel: 05-1831 1501", ""}, {"", ""},
	{"Invoice No:", "A702954"}, {"Date: 24/08/2019", "19:59:12"}, {"Cashier: Willow", "POS 3"}, {"", ""},
	{"Rye Loaf", ""}, {"  2 x 4.66", "9.32"}, {"Walnut Buns", ""}, {"  6 x 1.79", "10.74"}, {"Oat Biscuits", ""}, {"  1 x 7.35", "7.35"}, {"", ""},
	{"Sub Total", "27.41"}, {"Rounding", "0.01"}, {"Total", "27.40"}, {"Cash", "50.00"}, {"Change", "22.60"}, {"", ""},
	{"Goods sold are not returnable", ""}, {"Please come again", ""},
}

func drawShopSlip(t *testing.T, ttf []byte) []byte {
	t.Helper()
	f, err := opentype.Parse(ttf)
	if err != nil {
		t.Fatal(err)
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: 30, DPI: 72})
	if err != nil {
		t.Fatal(err)
	}
	const wide, left = 760, 50
	page := image.NewGray(image.Rect(0, 0, wide, 100+42*len(shopSlip)))
	for i := range page.Pix {
		page.Pix[i] = 235
	}
	d := font.Drawer{Dst: page, Src: image.Black, Face: face}
	for i, l := range shopSlip {
		y := 80 + 42*i
		d.Dot = fixed.P(left, y)
		d.DrawString(l[0])
		d.Dot = fixed.Point26_6{X: fixed.I(wide-left) - d.MeasureString(l[1]), Y: fixed.I(y)}
		d.DrawString(l[1])
	}
	var out bytes.Buffer
	if err := png.Encode(&out, page); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// A slip of another kind that fills its picture is read whole, in letters of one
// width and in letters of their own widths.
func TestShopSlip(t *testing.T) {
	r := testReader(t, Options{})
	var want []string
	for _, l := range shopSlip {
		want = append(want, strings.Fields(l[0]+" "+l[1])...)
	}
	for name, ttf := range map[string][]byte{"fixed": gomono.TTF, "proportional": goregular.TTF} {
		slips := readOne(t, r, drawShopSlip(t, ttf)).Slips
		if len(slips) != 1 {
			t.Errorf("%s: %d slips", name, len(slips))
			continue
		}
		if f := f1(want, slipWords(slips[0])); f < 0.85 {
			t.Errorf("%s: words read at %.3f:\n%s", name, f, strings.Join(slips[0].Text(), "\n"))
		}
	}
}

// A line of one mark over and over is a rule, whatever the mark.
func TestRuled(t *testing.T) {
	for text, want := range map[string]bool{
		"****************": true, "= = = = = =": true, "........... 12": true,
		"TANK 1 ....... 12": false, "000000000": false, "-1.5": false,
	} {
		var l cellLine
		for _, r := range text {
			c := cell{}
			if r != ' ' {
				c = certain(r)
			}
			l.cells = append(l.cells, c)
		}
		if got := l.ruled(); got != want {
			t.Errorf("%q: ruled %v, want %v", text, got, want)
		}
	}
}

// certain is a cell that surely holds r.
func certain(r rune) cell {
	c := cell{inked: 1, prob: make([]float32, len(glyph.Alphabet))}
	c.prob[slices.Index(glyph.Alphabet, r)] = 1
	return c
}

// What a sure cell holds may have the same wrong name all over a slip; names that change
// from place to place show that the cells lie wrong.
func TestOffGrid(t *testing.T) {
	for _, c := range []struct {
		name       string
		cells, say string
		sure       float32
		want       bool
	}{
		{"a slashed 0 taken for 6", "TANK 03 10000 GAL 9000 GAL 20000 GAL 1500 GAL", "TANK 63 16666 GAL 9666 GAL 26666 GAL 1566 GAL", 0.95, false},
		{"cells beside their letters", "TRNX 03 l0O0D GRL 90D0 6AL Z0U00 QAL l5O0 GHL", "TANK 03 10000 GAL 9000 GAL 20000 GAL 1500 GAL", 0.8, true},
	} {
		line := cellLine{Line: grid.Line{X0: 0, Step: 10, Cap: 14}}
		words := []recognise.Word{}
		for _, r := range c.cells {
			x := cell{}
			if r != ' ' {
				x = certain(r)
				x.prob[slices.Index(glyph.Alphabet, r)] = c.sure
			}
			line.cells = append(line.cells, x)
		}
		line.Cells = len(line.cells)
		word := recognise.Word{Confidence: 0.9}
		for k, r := range c.say + " " {
			if r != ' ' {
				word.Text += string(r)
				word.Symbols = append(word.Symbols, recognise.Symbol{Text: string(r), Confidence: 0.95, Box: image.Rect(10*k+1, 0, 10*k+9, 14)})
				continue
			}
			words = append(words, word)
			word = recognise.Word{Confidence: 0.9}
		}
		if got := offGrid([]cellLine{line}, [][]recognise.Word{words}); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
