package tiff

import (
	"fmt"

	"tankroll/ocr/decode/reason"
)

// The compressions, by their numbers in the specification.
const (
	packNone       = 1
	packRLE        = 2
	packG3         = 3
	packG4         = 4
	packLZW        = 5
	packOldJPEG    = 6
	packJPEG       = 7
	packDeflate    = 8
	packPackBits   = 32773
	packOldDeflate = 32946
)

// The meanings of samples.
const (
	whiteIsZero = 0
	blackIsZero = 1
	rgb         = 2
	palette     = 3
	cmyk        = 5
	ycbcr       = 6
)

// layout is what a directory says of its pixels.
type layout struct {
	directory
	w, h        int
	bits        int // of a sample
	samples     int // of a pixel
	alpha       int // sample that is alpha; -1 for none
	premul      bool
	packing     int
	meaning     int
	separate    bool // each sample has a plane of its own
	lsbFirst    bool
	predictor   bool
	cw, ch      int // of a strip or tile
	across      int // strips or tiles beside each other
	down        int
	tiled       bool
	orientation int
}

// refuse is the error for what the specification allows and nobody scans to.
func refuse(what string, v ...any) error {
	return fmt.Errorf("a TIFF with %s is %w: export as JPEG or PNG", fmt.Sprintf(what, v...), reason.ErrUnsupported)
}

// damaged is the error for what cannot be.
func damaged(what string, v ...any) error {
	return fmt.Errorf("%w: damaged TIFF (%s): export it again as JPEG or PNG", reason.ErrNotPicture, fmt.Sprintf(what, v...))
}

// readLayout reads a page's directory and refuses what cannot be decoded or is
// larger than limit pixels.
func readLayout(raw []byte, at int64, limit int) (layout, error) {
	d := readDirectory(raw, at)
	l := layout{directory: d, w: d.value(tagWidth, 0, 0), h: d.value(tagHeight, 0, 0), bits: d.value(tagBits, 0, 1),
		samples: d.value(tagSamples, 0, 1), packing: d.value(tagCompression, 0, packNone), meaning: d.value(tagPhotometric, 0, whiteIsZero),
		separate: d.value(tagPlanar, 0, 1) == 2, lsbFirst: d.value(tagFillOrder, 0, 1) == 2, predictor: d.value(tagPredictor, 0, 1) == 2,
		alpha: -1, orientation: d.value(tagOrientation, 0, 1)}
	if d.short {
		return l, truncated() // what stands in the rest could be of weight
	}
	if err := reason.CheckSize(l.w, l.h, limit); err != nil {
		return l, err
	}
	if err := l.check(); err != nil {
		return l, err
	}
	return l, l.divide()
}

// colours is how many samples a pixel has without alpha and others.
func (l *layout) colours() int {
	switch l.meaning {
	case rgb, ycbcr:
		return 3
	case cmyk:
		return 4
	}
	return 1
}

func (l *layout) check() error {
	if l.meaning > palette && l.meaning != cmyk && l.meaning != ycbcr {
		return refuse("colour space %d", l.meaning)
	}
	if l.samples < l.colours() || l.samples > 8 {
		return damaged("%d samples a pixel", l.samples)
	}
	for i := 1; i < l.samples; i++ {
		if l.value(tagBits, i, l.bits) != l.bits {
			return refuse("samples of different sizes")
		}
	}
	if f := l.value(tagSampleFormat, 0, 1); f != 1 && f != 4 {
		return refuse("numbers that are not whole")
	}
	if p := l.value(tagPredictor, 0, 1); p > 2 {
		return refuse("predictor %d", p)
	}
	if n := l.colours(); l.samples > n {
		if x := l.value(tagExtraSamples, 0, 0); x == 1 || x == 2 {
			l.alpha, l.premul = n, x == 1
		}
	}
	switch {
	case l.packing == packOldJPEG:
		return refuse("JPEG of the old kind")
	case l.packing == packJPEG:
		if l.bits != 8 || l.separate || l.meaning == palette || l.meaning == cmyk || l.alpha >= 0 {
			return refuse("JPEG strips of this kind")
		}
	case l.meaning == ycbcr:
		return refuse("YCbCr that is not JPEG")
	case l.isFax():
		if l.bits != 1 || l.samples != 1 {
			return damaged("fax rows of %d bits", l.bits*l.samples)
		}
	}
	switch l.bits {
	case 8, 16:
	case 1, 2, 4:
		if l.samples != 1 || l.predictor {
			return refuse("%d samples of %d bits", l.samples, l.bits)
		}
	default:
		return refuse("samples of %d bits", l.bits)
	}
	if l.meaning == palette && l.bits > 8 {
		return refuse("a table of %d bits", l.bits)
	}
	return nil
}

func (l *layout) isFax() bool {
	return l.packing == packRLE || l.packing == packG3 || l.packing == packG4
}

// maxTile bounds the sides of a tile in pixels; 64 to 512 is usual.
const maxTile = 1 << 14

// divide works out the strips or tiles.
func (l *layout) divide() error {
	l.cw, l.ch = l.w, l.value(tagRowsPerStrip, 0, l.h)
	if _, l.tiled = l.tags[tagTileWidth]; l.tiled {
		l.cw, l.ch = l.value(tagTileWidth, 0, 0), l.value(tagTileHeight, 0, 0)
		if l.cw <= 0 || l.ch <= 0 || l.cw > maxTile || l.ch > maxTile {
			return damaged("tiles of %d x %d", l.cw, l.ch)
		}
	} else if l.ch <= 0 || l.ch > l.h {
		l.ch = l.h
	}
	l.across, l.down = (l.w+l.cw-1)/l.cw, (l.h+l.ch-1)/l.ch
	return nil
}

// rows is how many rows chunk n down holds: tiles are always full, the last strip
// is not.
func (l *layout) rows(j int) int {
	if l.tiled {
		return l.ch
	}
	return min(l.ch, l.h-j*l.ch)
}

// chunk is the compressed bytes of a strip or tile.
func (l *layout) chunk(n int) ([]byte, error) {
	offsets, counts := uint16(tagStripOffsets), uint16(tagStripCounts)
	if l.tiled {
		offsets, counts = tagTileOffsets, tagTileCounts
	}
	at, size := l.value(offsets, n, -1), l.value(counts, n, -1)
	if at >= 0 && size < 0 && l.across*l.down == 1 {
		size = len(l.raw) - at // some writers leave it out
	}
	if at < 0 || size < 0 {
		return nil, damaged("part %d is missing", n+1)
	}
	if at >= len(l.raw) {
		return nil, truncated()
	}
	return l.raw[at:min(at+size, len(l.raw))], nil
}

func truncated() error {
	return fmt.Errorf("%w: the TIFF ends too early: copy or export it again", reason.ErrTruncated)
}
