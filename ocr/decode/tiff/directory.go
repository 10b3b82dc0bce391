// Package tiff reads the pages of TIFF files, which are the container that
// scanners and fax servers write: several pages, each a directory of tags and
// strips or tiles of compressed rows.
//
// The container is read here because no library reads all that scanners write
// (JPEG in YCbCr, two-dimensional fax, 4 bit grey, separate planes); what is in
// the strips is decompressed by libraries, row by row, so that neither a strip
// nor a picture is ever held twice.
package tiff

import (
	"encoding/binary"
	"fmt"
	"image"

	"tankroll/ocr/decode/reason"
)

// The tags that matter here, by their names in the TIFF 6.0 specification.
const (
	tagWidth        = 256
	tagHeight       = 257
	tagBits         = 258
	tagCompression  = 259
	tagPhotometric  = 262
	tagFillOrder    = 266
	tagStripOffsets = 273
	tagOrientation  = 274
	tagSamples      = 277
	tagRowsPerStrip = 278
	tagStripCounts  = 279
	tagPlanar       = 284
	tagT4Options    = 292
	tagPredictor    = 317
	tagColorMap     = 320
	tagTileWidth    = 322
	tagTileHeight   = 323
	tagTileOffsets  = 324
	tagTileCounts   = 325
	tagExtraSamples = 338
	tagSampleFormat = 339
	tagJPEGTables   = 347
)

// sizes are the bytes of a value by its type; 0 is a type that no tag above has.
var sizes = [...]int{1: 1, 2: 1, 3: 2, 4: 4, 6: 1, 7: 1, 8: 2, 9: 4, 13: 4}

// Pages lists where the directory of each page starts. A chain that runs out of
// the file or in a circle ends there: what came before it is kept. More than
// limit pages are refused.
func Pages(raw []byte, limit int) ([]int64, error) {
	if len(raw) < 8 {
		return nil, fmt.Errorf("%w: the TIFF ends in its header: copy or export it again", reason.ErrTruncated)
	}
	order := byteOrder(raw)
	if order.Uint16(raw[2:]) != 42 {
		return nil, fmt.Errorf("a BigTIFF is %w: save as plain TIFF, JPEG or PNG", reason.ErrUnsupported)
	}
	var pages []int64
	seen := map[uint32]bool{}
	for at := order.Uint32(raw[4:]); at != 0 && !seen[at]; {
		seen[at] = true
		if int64(at)+2 > int64(len(raw)) {
			break
		}
		if len(pages) == limit {
			return nil, fmt.Errorf("%w: more than %d pages: split it or raise the limit of pages", reason.ErrTooLarge, limit)
		}
		pages = append(pages, int64(at))
		next := int64(at) + 2 + 12*int64(order.Uint16(raw[at:]))
		if next+4 > int64(len(raw)) {
			break
		}
		at = order.Uint32(raw[next:])
	}
	if len(pages) == 0 {
		return nil, fmt.Errorf("%w: the TIFF ends before its first page: copy or export it again", reason.ErrTruncated)
	}
	return pages, nil
}

// Size is how many pixels a page has by its directory.
func Size(raw []byte, at int64) image.Point {
	d := readDirectory(raw, at)
	return image.Pt(d.value(tagWidth, 0, 0), d.value(tagHeight, 0, 0))
}

func byteOrder(raw []byte) binary.ByteOrder {
	if raw[0] == 'I' {
		return binary.LittleEndian
	}
	return binary.BigEndian
}

// directory is a page's tags. Values are read when they are asked for, so that a
// tag that claims a million of them costs nothing.
type directory struct {
	raw   []byte
	order binary.ByteOrder
	tags  map[uint16][]byte // the 12 bytes of each entry
	short bool              // the file ends amid the entries
}

func readDirectory(raw []byte, at int64) directory {
	d := directory{raw: raw, order: byteOrder(raw), tags: map[uint16][]byte{}}
	n := int64(d.order.Uint16(raw[at:]))
	d.short = at+2+12*n > int64(len(raw))
	for e := at + 2; n > 0 && e+12 <= int64(len(raw)); e, n = e+12, n-1 {
		tag := d.order.Uint16(raw[e:])
		if _, twice := d.tags[tag]; !twice {
			d.tags[tag] = raw[e : e+12]
		}
	}
	return d
}

// bytes is where a tag's values lie, the size of each and how many there are in
// the file.
func (d directory) bytes(tag uint16) (b []byte, size, count int) {
	e := d.tags[tag]
	if e == nil {
		return nil, 0, 0
	}
	kind, n := int(d.order.Uint16(e[2:])), int64(d.order.Uint32(e[4:]))
	if kind >= len(sizes) || sizes[kind] == 0 {
		return nil, 0, 0
	}
	size = sizes[kind]
	b = e[8:]
	if n*int64(size) > 4 {
		at := int64(d.order.Uint32(e[8:]))
		if at > int64(len(d.raw)) {
			return nil, 0, 0
		}
		b = d.raw[at:]
	}
	return b, size, int(min(n, int64(len(b)/size)))
}

// value is number i of a tag, or otherwise when it is not there.
func (d directory) value(tag uint16, i, otherwise int) int {
	b, size, n := d.bytes(tag)
	if i < 0 || i >= n {
		return otherwise
	}
	switch size {
	case 1:
		return int(b[i])
	case 2:
		return int(d.order.Uint16(b[2*i:]))
	}
	return int(d.order.Uint32(b[4*i:]))
}
