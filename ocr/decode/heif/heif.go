// Package heif reads HEIC pictures (HEVC in HEIF, what telephones make) with
// libheif and libde265, which run in a sandbox; the folder libheif holds them,
// how they were built and their licences.
//
// Turns and mirrors that the file asks for (irot, imir) are done by libheif. EXIF
// orientation in a HEIC is a copy of them and must not be obeyed a second time.
package heif

import (
	"bytes"
	"compress/gzip"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"image"
	"io"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"

	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/decode/reason"
	"tankroll/ocr/decode/sandbox"
)

// memory bounds the sandbox, in bytes. A picture of 80 megapixels takes 120 MB as
// it is decoded, as much when it is turned and as much to hand it over.
const memory = 1 << 30

//go:embed libheif/heif.wasm.gz
var program []byte

// Engine decodes pictures, one at a time. It starts when it is first needed.
type Engine struct {
	cache   *sandbox.Cache
	runtime wazero.Runtime
	code    wazero.CompiledModule
}

// New makes an engine; nothing is started.
func New(cache *sandbox.Cache) *Engine { return &Engine{cache: cache} }

// Picture decodes the main picture of a file, of at most limit pixels. The error
// wraps one of the reasons.
func (e *Engine) Picture(raw []byte, limit int) (pixels.Page, error) {
	if err := Check(raw, limit); err != nil {
		return pixels.Page{}, err
	}
	if err := e.start(); err != nil {
		return pixels.Page{}, err
	}
	p, err := e.decode(raw, limit)
	switch {
	case err == nil, errors.Is(err, reason.ErrTooLarge), errors.Is(err, reason.ErrNotPicture), errors.Is(err, reason.ErrUnsupported):
		return p, err
	}
	return pixels.Page{}, fmt.Errorf("%w: damaged HEIC (%s): export it again as JPEG or PNG", reason.ErrNotPicture, sandbox.Brief(err))
}

// decode runs the program once, in an instance of its own.
func (e *Engine) decode(raw []byte, limit int) (pixels.Page, error) {
	ctx := e.cache.Context()
	module, err := e.runtime.InstantiateModule(ctx, e.code, wazero.NewModuleConfig().WithName(""))
	if err != nil {
		return pixels.Page{}, err
	}
	defer module.Close(ctx)
	return decoder{ctx, module}.picture(raw, limit)
}

// notStarted is the error of a decoder that does not start.
func notStarted(err error) error {
	return fmt.Errorf("the HEIC decoder does not start (%w): free memory and try again", err)
}

func (e *Engine) start() error {
	if e.runtime != nil {
		return nil
	}
	z, err := gzip.NewReader(bytes.NewReader(program))
	if err != nil {
		return notStarted(err)
	}
	code, err := io.ReadAll(z)
	if err != nil {
		return notStarted(err)
	}
	ctx := e.cache.Context()
	runtime := wazero.NewRuntimeWithConfig(ctx, e.cache.Config(memory))
	compiled, err := runtime.CompileModule(ctx, code)
	if err == nil {
		_, err = wasi_snapshot_preview1.Instantiate(ctx, runtime)
	}
	if err != nil {
		runtime.Close(ctx)
		return notStarted(err)
	}
	e.runtime, e.code = runtime, compiled
	return nil
}

// decoder is one instance of the program.
type decoder struct {
	ctx    context.Context
	module api.Module
}

// What the program says of a picture, as libheif numbers it.
const (
	spaceYCbCr = 0
	spaceRGB   = 1
	spaceGrey  = 2
)

var ratios = map[uint32]image.YCbCrSubsampleRatio{
	1: image.YCbCrSubsampleRatio420, 2: image.YCbCrSubsampleRatio422, 3: image.YCbCrSubsampleRatio444,
}

var errMemory = errors.New("no memory left in the sandbox")

// call calls a function of the program that returns one number.
func (d decoder) call(name string, args ...uint64) (uint32, error) {
	f := d.module.ExportedFunction(name)
	if f == nil {
		return 0, fmt.Errorf("no function %s", name)
	}
	res, err := f.Call(d.ctx, args...)
	if err != nil {
		return 0, err
	}
	return uint32(res[0]), nil
}

func (d decoder) alloc(size int) (uint32, error) {
	at, err := d.call("malloc", uint64(size))
	if err == nil && at == 0 {
		err = errMemory
	}
	return at, err
}

// heading is what the program tells before it decodes.
type heading struct{ width, height, space, chroma, premultiplied uint32 }

// picture has the program look at the file, then decode it.
func (d decoder) picture(raw []byte, limit int) (pixels.Page, error) {
	in, err := d.alloc(len(raw))
	if err != nil {
		return pixels.Page{}, err
	}
	if !d.module.Memory().Write(in, raw) {
		return pixels.Page{}, errMemory
	}
	about, err := d.alloc(5 * 4)
	if err != nil {
		return pixels.Page{}, err
	}
	h, err := d.decode(in, len(raw), true, about, 0)
	if err != nil {
		return pixels.Page{}, err
	}
	if err := reason.CheckSize(int(h.width), int(h.height), limit); err != nil {
		return pixels.Page{}, err
	}
	size, img, err := h.layout()
	if err != nil {
		return pixels.Page{}, err
	}
	out, err := d.alloc(size)
	if err != nil {
		return pixels.Page{}, err
	}
	if _, err := d.decode(in, len(raw), false, about, out); err != nil {
		return pixels.Page{}, err
	}
	pix, ok := d.module.Memory().Read(out, uint32(size))
	if !ok {
		return pixels.Page{}, errMemory
	}
	return pixels.Split(img(pix)).Clone(), nil
}

// decode calls the program's one function: only looks, or writes pixels to out.
func (d decoder) decode(in uint32, size int, look bool, about, out uint32) (h heading, err error) {
	only := uint64(0)
	if look {
		only = 1
	}
	at := uint64(about)
	ok, err := d.call("decode", uint64(in), uint64(size), only, at, at+4, at+8, at+12, at+16, uint64(out))
	if err != nil {
		return h, err
	}
	if ok == 0 {
		return h, errors.New("the picture cannot be decoded")
	}
	m := d.module.Memory()
	for i, v := range []*uint32{&h.width, &h.height, &h.space, &h.chroma, &h.premultiplied} {
		var ok bool
		if *v, ok = m.ReadUint32Le(about + uint32(4*i)); !ok {
			return h, errMemory
		}
	}
	return h, nil
}

// aligned is the length of a row of w pixels as libheif lays it out: with room for
// an even number of them, 64 at least, and up to the next 16 bytes.
func aligned(w, bytes int) int { return (max(w+w&1, 64)*bytes + 15) &^ 15 }

// layout says how many bytes the pixels take and how they become an image.
func (h heading) layout() (size int, img func([]byte) image.Image, err error) {
	w, rows := int(h.width), int(h.height)
	r := image.Rect(0, 0, w, rows)
	switch h.space {
	case spaceGrey:
		stride := aligned(w, 1)
		return stride * rows, func(b []byte) image.Image { return &image.Gray{Pix: b, Stride: stride, Rect: r} }, nil
	case spaceRGB:
		stride := aligned(w, 4)
		return stride * rows, func(b []byte) image.Image {
			if h.premultiplied == 1 {
				return &image.RGBA{Pix: b, Stride: stride, Rect: r}
			}
			return &image.NRGBA{Pix: b, Stride: stride, Rect: r}
		}, nil
	case spaceYCbCr:
		ratio, ok := ratios[h.chroma]
		if !ok {
			break
		}
		cw, ch := w, rows
		if h.chroma != 3 {
			cw = (w + 1) / 2
		}
		if h.chroma == 1 {
			ch = (rows + 1) / 2
		}
		stride, cstride := aligned(w, 1), aligned(cw, 1)
		y, c := stride*rows, cstride*ch
		return y + 2*c, func(b []byte) image.Image {
			return &image.YCbCr{Y: b[:y:y], Cb: b[y : y+c : y+c], Cr: b[y+c : y+2*c], YStride: stride, CStride: cstride, SubsampleRatio: ratio, Rect: r}
		}, nil
	}
	return 0, nil, fmt.Errorf("a HEIC of this colour space (%d, %d) is %w: export as JPEG or PNG", h.space, h.chroma, reason.ErrUnsupported)
}
