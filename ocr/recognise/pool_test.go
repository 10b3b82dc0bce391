package recognise

import (
	"context"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"strings"
	"syscall"
	"testing"
	"time"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"
)

// line draws text as a picture of one line, four times the size of its dots.
func line(text string) *image.Gray {
	small := image.NewGray(image.Rect(0, 0, 7*len(text)+14, 21))
	draw.Draw(small, small.Rect, image.White, image.Point{}, draw.Src)
	d := font.Drawer{Dst: small, Src: image.Black, Face: basicfont.Face7x13, Dot: fixed.P(7, 15)}
	d.DrawString(text)
	big := image.NewGray(image.Rect(0, 0, small.Rect.Dx()*4, small.Rect.Dy()*4))
	xdraw.CatmullRom.Scale(big, big.Rect, small, small.Rect, draw.Src, nil)
	return big
}

func newTestPool(t *testing.T, n int) *Pool {
	t.Helper()
	p, err := NewPool(n)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return p
}

func textOf(words []Word) string {
	var out []string
	for _, w := range words {
		out = append(out, w.Text)
	}
	return strings.Join(out, " ")
}

func TestReadLine(t *testing.T) {
	p := newTestPool(t, 1)
	g := line("DIESEL 1234 GALLONS")
	words, err := p.Read(context.Background(), g, Line)
	if err != nil {
		t.Fatal(err)
	}
	if got := textOf(words); got != "DIESEL 1234 GALLONS" {
		t.Fatalf("read %q", got)
	}
	last := 0
	for _, w := range words {
		if !w.Box.In(g.Rect) || w.Box.Min.X < last {
			t.Errorf("%q stands at %v: outside of the picture or out of order", w.Text, w.Box)
		}
		last = w.Box.Max.X
		if w.Confidence <= 0 || w.Confidence > 1 {
			t.Errorf("%q has confidence %v", w.Text, w.Confidence)
		}
		if len(w.Symbols) != len(w.Text) {
			t.Errorf("%q has %d symbols", w.Text, len(w.Symbols))
		}
	}
}

// A worker that was killed, as when memory runs out, is replaced, and the
// picture it was to read is not lost.
func TestWorkerKilled(t *testing.T) {
	p := newTestPool(t, 1)
	ctx := context.Background()
	if _, err := p.Read(ctx, line("FIRST"), Line); err != nil {
		t.Fatal(err)
	}
	w := <-p.idle
	if w == nil {
		t.Fatal("no worker was kept")
	}
	if err := w.cmd.Process.Signal(syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	p.idle <- w
	words, err := p.Read(ctx, line("SECOND"), Line)
	if err != nil {
		t.Fatal(err)
	}
	if got := textOf(words); got != "SECOND" {
		t.Fatalf("read %q after the worker was killed", got)
	}
	again := <-p.idle
	if again == w || again == nil {
		t.Fatal("the dead worker was not replaced")
	}
	p.idle <- again
}

// When time is up the worker is killed, whatever it is at, and the next
// picture is read by another.
func TestTimeUp(t *testing.T) {
	p := newTestPool(t, 1)
	noise := image.NewGray(image.Rect(0, 0, 3000, 3000))
	for i := range noise.Pix {
		noise.Pix[i] = uint8((i * 2654435761) >> 13)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Millisecond)
	defer cancel()
	if _, err := p.Read(ctx, noise, Block); !errors.Is(err, context.DeadlineExceeded) {
		t.Fatalf("error %v, want that time is up", err)
	}
	words, err := p.Read(context.Background(), line("AFTER"), Line)
	if err != nil || strings.ReplaceAll(textOf(words), " ", "") != "AFTER" {
		t.Fatalf("read %q, %v", textOf(words), err)
	}
}

// No picture may bring a worker down or leave the pool without one.
func TestOddPictures(t *testing.T) {
	p := newTestPool(t, 1)
	white := func(w, h int) *image.Gray {
		g := image.NewGray(image.Rect(0, 0, w, h))
		draw.Draw(g, g.Rect, image.NewUniform(color.White), image.Point{}, draw.Src)
		return g
	}
	for _, g := range []*image.Gray{white(0, 0), white(1, 1), white(1, 400), white(400, 1), white(500, 40)} {
		words, err := p.Read(context.Background(), g, Line)
		if err == nil && len(words) > 0 {
			t.Errorf("%v: read %q where nothing is", g.Rect, textOf(words))
		}
	}
	if words, err := p.Read(context.Background(), line("STILL HERE"), Line); err != nil || textOf(words) != "STILL HERE" {
		t.Fatalf("read %q, %v", textOf(words), err)
	}
}

func TestClosed(t *testing.T) {
	p := newTestPool(t, 2)
	p.Close()
	if _, err := p.Read(context.Background(), line("X"), Line); err == nil {
		t.Fatal("a closed pool read a picture")
	}
}

func TestNoModel(t *testing.T) {
	t.Setenv("TESSDATA_PREFIX", t.TempDir())
	_, err := NewPool(1)
	if !errors.Is(err, ErrNoData) {
		t.Fatalf("error %v", err)
	}
	if !strings.Contains(err.Error(), "tesseract-ocr-eng") {
		t.Errorf("%q does not say what to install", err)
	}
}

func FuzzHOCR(f *testing.F) {
	f.Add([]byte("<div class='ocr_page'><span class='ocrx_word' title='bbox 1 2 30 40; x_wconf 91'>TANK</span></div>"))
	f.Add([]byte("<span class='ocrx_word' title='bbox 1 2'>"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		words, err := parseHOCR(raw)
		if err != nil {
			return
		}
		for _, w := range words {
			if w.Confidence < 0 || w.Confidence > 1 {
				t.Errorf("confidence %v", w.Confidence)
			}
		}
	})
}

// BenchmarkRead is what one line costs, the way to the child and back included.
func BenchmarkRead(b *testing.B) {
	p, err := NewPool(1)
	if err != nil {
		b.Fatal(err)
	}
	defer p.Close()
	g := line("DIESEL 1234 GALLONS")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Read(context.Background(), g, Line); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStart is what it costs to have a child that reads.
func BenchmarkStart(b *testing.B) {
	g := line("1")
	for b.Loop() {
		p, err := NewPool(1)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := p.Read(context.Background(), g, Line); err != nil {
			b.Fatal(err)
		}
		p.Close()
	}
}
