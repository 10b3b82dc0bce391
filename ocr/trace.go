package ocr

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"sync"

	"tankroll/ocr/lines"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// trace writes each step's picture into a folder, numbered in the order of
// work, and last what each cell was read as (told.go). A step that changed nothing
// leaves no picture. A nil trace keeps nothing and costs nothing. Trouble with writing
// is no reason to fail a reading: it is left out.
type trace struct {
	dir    string
	prefix string
	mu     *sync.Mutex
	next   *int
}

func newTrace(dir string, page int) *trace {
	if dir == "" || os.MkdirAll(dir, 0o755) != nil {
		return nil
	}
	return &trace{dir: dir, prefix: fmt.Sprintf("p%d", page), mu: &sync.Mutex{}, next: new(int)}
}

// slip is the same trace with the slip's number in its pictures' names.
func (t *trace) slip(n int) *trace {
	if t == nil {
		return nil
	}
	return &trace{t.dir, fmt.Sprintf("%s-s%d", t.prefix, n), t.mu, t.next}
}

// plane writes p with lo as black and hi as white.
func (t *trace) plane(name string, p raster.Plane, lo, hi float32) {
	if t != nil {
		t.image(name, p.Gray(lo, hi))
	}
}

func (t *trace) image(name string, img image.Image) {
	if t == nil {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	f, err := os.Create(t.file(name, "png"))
	if err != nil {
		return
	}
	defer f.Close()
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	_ = enc.Encode(f, img)
}

// text writes what is better read than looked at; nothing where there is none.
func (t *trace) text(name, text string) {
	if t == nil || text == "" {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	_ = os.WriteFile(t.file(name, "txt"), []byte(text), 0o644)
}

// file is where the next step goes. The lock is held.
func (t *trace) file(name, ext string) string {
	*t.next++
	return filepath.Join(t.dir, fmt.Sprintf("%02d-%s-%s.%s", *t.next, t.prefix, name, ext))
}

// outlines draws what the paper finder saw and chose.
func (t *trace) outlines(name string, p paper.Planes, found []paper.Candidate) {
	if t == nil {
		return
	}
	g := p.Luma.Gray(0, 255)
	img := image.NewRGBA(g.Rect)
	draw.Draw(img, g.Rect, g, image.Point{}, draw.Src)
	for _, c := range found {
		for i := range c.Quad {
			a, b := c.Quad[i], c.Quad[(i+1)%4]
			const n = 800
			for k := range n {
				f := float64(k) / n
				img.Set(int((a.X+(b.X-a.X)*f)/p.Step), int((a.Y+(b.Y-a.Y)*f)/p.Step), color.RGBA{255, 0, 0, 255})
			}
		}
	}
	t.image(name, img)
}

// cells draws the grid over the print, the base line in green and
// the height of capitals in blue.
func (t *trace) cells(name string, v view, l lines.Layout, cells []cellLine) {
	if t == nil || cells == nil {
		return
	}
	img := inColour(v.even)
	for i, c := range cells {
		b := l.Bands[i]
		for k := 0; k <= len(c.cells) && len(c.cells) > 0; k++ {
			x := int(c.Border(k))
			for y := b.Y0; y < b.Y1; y++ {
				img.Set(x, y, color.RGBA{255, 0, 0, 255})
			}
		}
		for x := b.X0; x < b.X1 && len(c.cells) > 0; x++ {
			img.Set(x, int(c.Base), color.RGBA{0, 160, 0, 255})
			img.Set(x, int(c.Base-c.Cap), color.RGBA{0, 0, 255, 255})
		}
	}
	t.image(name, img)
}

// marks draws what people left on a slip: handwriting in green, stamps in violet.
func (t *trace) marks(name string, u upright, found []record.Mark) {
	if t == nil || len(found) == 0 {
		return
	}
	img := inColour(u.even)
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			ox, oy := u.m.ToOriginal((float64(x)+0.5)/u.scale, (float64(y)+0.5)/u.scale)
			at := image.Pt(int(ox), int(oy))
			for _, n := range u.written.ink {
				if !n.At(at.X, at.Y) {
					continue
				}
				for _, m := range found {
					if !at.In(image.Rect(m.Box.X, m.Box.Y, m.Box.X+m.Box.W, m.Box.Y+m.Box.H)) {
						continue
					}
					c := color.RGBA{0, 150, 60, 255}
					if m.Kind == record.Stamp {
						c = color.RGBA{140, 0, 190, 255}
					}
					img.SetRGBA(x, y, c)
				}
			}
		}
	}
	t.image(name, img)
}
