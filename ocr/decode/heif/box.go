package heif

import (
	"encoding/binary"
	"fmt"
	"image"
	"slices"

	"tankroll/ocr/decode/reason"
)

// Check refuses from the header alone a file in which any part claims more than
// limit pixels, and one whose main picture is not in HEVC. The picture, its tiles
// and its thumbnail each have an "ispe" box that gives their size; what is made of
// tiles says it twice, see derived.go.
func Check(raw []byte, limit int) error {
	c := check{limit: limit, derived: map[uint32]string{}}
	if err := c.boxes(raw, 0); err != nil {
		return err
	}
	switch {
	case len(c.sizes) == 0 && c.short:
		return fmt.Errorf("%w: the HEIC ends too early: copy or export it again", reason.ErrTruncated)
	case len(c.sizes) == 0:
		return fmt.Errorf("%w: the HEIC has no picture: export it again as JPEG or PNG", reason.ErrNotPicture)
	case !c.hevc:
		return fmt.Errorf("this kind of HEIF (%s) is %w: export as JPEG or PNG", c.codec(), reason.ErrUnsupported)
	case c.short:
		return fmt.Errorf("%w: the HEIC ends too early: copy or export it again", reason.ErrTruncated)
	}
	return c.checkDerived(raw)
}

type check struct {
	limit int
	sizes []image.Point // that are given, each once
	hevc  bool          // a part is coded in HEVC
	other string
	short bool // a box is longer than the file

	derived map[uint32]string // items that are made of others, and how
	places  [][]byte          // tables of where items lie
	idats   [][]byte          // what items that lie in the header hold
}

func (c *check) codec() string {
	if c.other == "" {
		return "no HEVC"
	}
	return c.other
}

// inside are the boxes that hold boxes, with the bytes before the first of them.
var inside = map[string]int{"meta": 4, "iprp": 0, "ipco": 0}

// maxNested bounds boxes within boxes: meta, iprp, ipco.
const maxNested = 3

// boxes walks one level: 4 bytes length, 4 bytes name, content.
func (c *check) boxes(b []byte, depth int) error {
	for len(b) >= 8 {
		size, head, name := uint64(binary.BigEndian.Uint32(b)), uint64(8), string(b[4:8])
		switch {
		case size == 1 && len(b) >= 16: // a long one
			size, head = binary.BigEndian.Uint64(b[8:]), 16
		case size == 0: // to the end
			size = uint64(len(b))
		}
		if size < head {
			return nil
		}
		if size > uint64(len(b)) {
			c.short = true
			size = uint64(len(b))
		}
		if head > size {
			return nil
		}
		if err := c.box(name, b[head:size], depth); err != nil {
			return err
		}
		b = b[size:]
	}
	return nil
}

func (c *check) box(name string, body []byte, depth int) error {
	if skip, ok := inside[name]; ok && depth < maxNested {
		if len(body) < skip {
			return nil
		}
		return c.boxes(body[skip:], depth+1)
	}
	switch name {
	case "ispe":
		if len(body) < 12 {
			return nil
		}
		s := image.Pt(int(binary.BigEndian.Uint32(body[4:])), int(binary.BigEndian.Uint32(body[8:])))
		if len(c.sizes) < maxSizes && !slices.Contains(c.sizes, s) {
			c.sizes = append(c.sizes, s)
		}
		return reason.CheckSize(s.X, s.Y, c.limit)
	case "iinf":
		c.items(body)
	case "iloc":
		c.places = append(c.places, body)
	case "idat":
		c.idats = append(c.idats, body)
	case "hvcC":
		c.hevc = true
	case "av1C", "jpgC", "j2kH", "vvcC":
		c.other = name
	}
	return nil
}
