package web

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"net/http"
	"sync"
	"time"

	"golang.org/x/image/draw"
	"golang.org/x/sync/semaphore"
	"golang.org/x/sync/singleflight"

	"tankroll/archive"
	"tankroll/record"
)

const (
	keptPages    = 3 // decoded originals kept: one 12-megapixel photo is 18 to 48 MB
	decodings    = 2 // originals decoded at once, for the same reason
	decodeTime   = time.Minute
	widest       = 1400    // pixels of a cut as sent: sharp on a phone held close
	tallest      = 6000    // a metre of paper at that width
	thumbWidest  = 180     // in lists
	keptThumbs   = 400     // some 5 KB each
	largestCut   = 1 << 17 // no coordinate of a picture lies beyond this
	cutQuality   = 85
	fieldMargin  = 0.6 // of the field's height: enough to see its neighbours
	recordMargin = 12  // pixels of the original
)

// pictures gives cuts of the originals. An original is decoded once for the
// many cuts of one page, and only a few at a time.
type pictures struct {
	from    Captures
	slots   *semaphore.Weighted
	flights singleflight.Group
	mu      sync.Mutex
	kept    []decoded // the latest used last
	thumbs  map[string][]byte
}

type decoded struct {
	key string
	img image.Image
}

func newPictures(from Captures) *pictures {
	return &pictures{from: from, slots: semaphore.NewWeighted(decodings), thumbs: map[string][]byte{}}
}

// page gives a page of an original, decoded. Requests for the same page wait
// for one decoding; a visitor who leaves does not spoil it for the others.
func (p *pictures) page(ctx context.Context, captureID string, page int) (image.Image, error) {
	key := fmt.Sprintf("%s/%d", captureID, page)
	if img := p.use(key); img != nil {
		return img, nil
	}
	done := p.flights.DoChan(key, func() (any, error) {
		if img := p.use(key); img != nil {
			return img, nil // an earlier flight landed since we looked
		}
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), decodeTime)
		defer cancel()
		if err := p.slots.Acquire(ctx, 1); err != nil {
			return nil, err
		}
		defer p.slots.Release(1)
		img, err := p.from.Picture(ctx, captureID, page)
		if err != nil {
			return nil, err
		}
		p.keep(key, img)
		return img, nil
	})
	select {
	case r := <-done:
		if r.Err != nil {
			return nil, r.Err
		}
		return r.Val.(image.Image), nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (p *pictures) use(key string) image.Image {
	p.mu.Lock()
	defer p.mu.Unlock()
	for i, d := range p.kept {
		if d.key == key {
			p.kept = append(append(p.kept[:i], p.kept[i+1:]...), d)
			return d.img
		}
	}
	return nil
}

func (p *pictures) keep(key string, img image.Image) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.kept) >= keptPages {
		p.kept = append(p.kept[:0], p.kept[len(p.kept)-keptPages+1:]...)
	}
	p.kept = append(p.kept, decoded{key, img})
}

// cut is a place on an original and how to show it.
type cut struct {
	capture archive.Capture
	page    int
	box     record.Box // zero: the whole page
	turn    int        // degrees clockwise to upright
	widest  int        // pixels as sent; 0 for a picture to read from
}

// sendCut answers with a cut as JPEG. The address of a cut stays the same when
// a newer reading moves it, so the browser asks each time and is mostly told
// that nothing changed, without a decoding.
func (s *site) sendCut(w http.ResponseWriter, r *http.Request, c cut) error {
	sum := sha256.Sum256(fmt.Appendf(nil, "1 %s %d %v %d %d", c.capture.SHA256, c.page, c.box, c.turn, c.widest))
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	w.Header().Set("ETag", tag)
	w.Header().Set("Cache-Control", "private, no-cache")
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	raw, err := s.pictures.cut(r.Context(), tag, c)
	if err != nil {
		w.Header().Del("ETag")
		return fmt.Errorf("picture of %s page %d: %w", c.capture.ID, c.page, err)
	}
	w.Header().Set("Content-Type", "image/jpeg")
	_, _ = w.Write(raw)
	return nil
}

// cut gives a cut as JPEG. Small ones are kept by their tag: a list has 25, of
// as many originals.
func (p *pictures) cut(ctx context.Context, tag string, c cut) ([]byte, error) {
	p.mu.Lock()
	raw := p.thumbs[tag]
	p.mu.Unlock()
	if raw != nil {
		return raw, nil
	}
	whole, err := p.page(ctx, c.capture.ID, c.page)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, upright(whole, c.box, c.turn, cmp.Or(c.widest, widest)), &jpeg.Options{Quality: cutQuality}); err != nil {
		return nil, err
	}
	if c.widest == thumbWidest {
		p.mu.Lock()
		if len(p.thumbs) >= keptThumbs {
			clear(p.thumbs)
		}
		p.thumbs[tag] = b.Bytes()
		p.mu.Unlock()
	}
	return b.Bytes(), nil
}

// upright cuts box out of img, turns it clockwise and makes it no larger than
// needed. A part of the box beyond the picture stays grey, so that the cut
// always has the shape of the box and drawn frames fall where they should.
func upright(img image.Image, box record.Box, turn, widest int) image.Image {
	b := img.Bounds()
	if box.IsZero() {
		box = record.Box{X: 0, Y: 0, W: b.Dx(), H: b.Dy()}
	}
	w, h := box.W, box.H
	if turn == 90 || turn == 270 {
		w, h = h, w
	}
	scale := min(1, float64(widest)/float64(w), float64(tallest)/float64(h))
	out := image.NewRGBA(image.Rect(0, 0, max(1, int(float64(w)*scale+0.5)), max(1, int(float64(h)*scale+0.5))))
	draw.Draw(out, out.Bounds(), image.NewUniform(color.Gray{0xdd}), image.Point{}, draw.Src)

	from := image.Rect(box.X, box.Y, box.X+box.W, box.Y+box.H).Add(b.Min).Intersect(b)
	if from.Empty() {
		return out
	}
	if scale == 1 && turn == 0 {
		// Not by Transform: for a plain shift it takes the place's X for its Y
		// (x/image v0.47.0).
		draw.Draw(out, from.Sub(b.Min).Sub(image.Pt(box.X, box.Y)), img, from.Min, draw.Src)
		return out
	}
	m := turning(box, turn, b.Min, scale)
	var scaler draw.Transformer = draw.ApproxBiLinear
	if scale < 0.7 {
		scaler = draw.BiLinear // averages over the pixels it leaves out
	}
	scaler.Transform(out, m, img, from, draw.Src, nil)
	return out
}

// turning is the map from the picture's pixels to the upright cut's.
func turning(box record.Box, turn int, origin image.Point, scale float64) [6]float64 {
	x, y := float64(box.X+origin.X), float64(box.Y+origin.Y)
	w, h := float64(box.W), float64(box.H)
	var m [6]float64
	switch turn {
	case 90:
		m = [6]float64{0, -1, y + h, 1, 0, -x}
	case 180:
		m = [6]float64{-1, 0, x + w, 0, -1, y + h}
	case 270:
		m = [6]float64{0, 1, -y, -1, 0, x + w}
	default:
		m = [6]float64{1, 0, -x, 0, 1, -y}
	}
	for i := range m {
		m[i] *= scale
	}
	return m
}

// place gives where a box of the original lies on the upright cut of area,
// before it is made smaller.
func place(b, area record.Box, turn int) record.Box {
	x, y := b.X-area.X, b.Y-area.Y
	switch turn {
	case 90:
		return record.Box{X: area.H - y - b.H, Y: x, W: b.H, H: b.W}
	case 180:
		return record.Box{X: area.W - x - b.W, Y: area.H - y - b.H, W: b.W, H: b.H}
	case 270:
		return record.Box{X: y, Y: area.W - x - b.W, W: b.H, H: b.W}
	}
	return record.Box{X: x, Y: y, W: b.W, H: b.H}
}

// slipArea is the part of the original that a slip lies on: around its corners
// and all that was read on it.
func slipArea(s record.Slip) record.Box {
	lo, hi := record.Point{X: math.Inf(1), Y: math.Inf(1)}, record.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, c := range s.Corners {
		lo.X, lo.Y = min(lo.X, c.X), min(lo.Y, c.Y)
		hi.X, hi.Y = max(hi.X, c.X), max(hi.Y, c.Y)
	}
	var area record.Box
	if hi.X > lo.X && hi.Y > lo.Y && hi.X < largestCut && hi.Y < largestCut && lo.X > -largestCut && lo.Y > -largestCut {
		area = record.Box{X: int(lo.X), Y: int(lo.Y), W: int(hi.X - lo.X), H: int(hi.Y - lo.Y)}
	}
	for _, l := range s.Lines {
		area = area.Union(l.Box)
	}
	return onPicture(area)
}

// onPicture keeps the part of a box that can lie on a picture at all.
func onPicture(b record.Box) record.Box {
	x, y := max(b.X, 0), max(b.Y, 0)
	right, bottom := min(b.X+b.W, largestCut), min(b.Y+b.H, largestCut)
	if right <= x || bottom <= y {
		return record.Box{}
	}
	return record.Box{X: x, Y: y, W: right - x, H: bottom - y}
}

// widen gives a box with a margin on every side.
func widen(b record.Box, margin int) record.Box {
	if b.IsZero() {
		return b
	}
	return onPicture(record.Box{X: b.X - margin, Y: b.Y - margin, W: b.W + 2*margin, H: b.H + 2*margin})
}

// recordArea is what to show of one picture of a record: its lines in the full
// width of the slip, so that what stands before the values is seen too.
func recordArea(on record.Part, b record.Box) record.Box {
	b.Part = 0
	return widen(on.Across(b), recordMargin)
}

// fieldArea is what to show of the paper for one field: its line's
// surroundings, and some of the line before and after it.
func fieldArea(b record.Box, turn int) record.Box {
	if b.IsZero() {
		return b
	}
	high := b.H
	if turn == 90 || turn == 270 {
		high = b.W
	}
	margin := int(fieldMargin*float64(high)) + 4
	along := 6 * high
	if turn == 90 || turn == 270 {
		return onPicture(record.Box{X: b.X - margin, Y: b.Y - along, W: b.W + 2*margin, H: b.H + 2*along})
	}
	return onPicture(record.Box{X: b.X - along, Y: b.Y - margin, W: b.W + 2*along, H: b.H + 2*margin})
}
