package heif

import (
	"encoding/binary"
	"fmt"
	"image"
	"slices"

	"tankroll/ocr/decode/reason"
)

// Pictures that are made of others, as telephones make theirs of tiles ("grid"),
// say their size a second time, in a few bytes of their own. The decoder makes room
// by those, so they must claim what the header does.

// A file has a picture or a few; more of these than that is made to take time.
const (
	maxDerived = 1000
	maxSizes   = 100 // that differ
	maxTables  = 8   // of places, and of short contents
)

// payload is the most bytes that such a picture says itself in: overlay with sizes
// of 4 bytes.
const payload = 2 + 8 + 2*4

// checkDerived looks at each picture that is made of others where its place tells it
// to lie.
func (c *check) checkDerived(raw []byte) error {
	if len(c.derived) == 0 {
		return nil
	}
	if len(c.places) > maxTables || len(c.idats) > maxTables || len(c.derived) > maxDerived {
		return tiles("too many pictures made of others")
	}
	for _, table := range c.places {
		if err := eachPlace(table, func(p place) error {
			kind, ok := c.derived[p.item]
			if !ok {
				return nil
			}
			from := [][]byte{raw}
			if p.method == inData {
				from = c.idats
			}
			for _, b := range from {
				if err := c.checkSize(kind, p.bytes(b)); err != nil {
					return err
				}
			}
			return nil
		}); err != nil {
			return err
		}
	}
	return nil
}

// checkSize checks the size that a picture made of others says of itself in b.
func (c *check) checkSize(kind string, b []byte) error {
	r := reader{b: b}
	r.number(1) // version
	each := 2
	if r.number(1)&1 == 1 {
		each = 4
	}
	if kind == "grid" {
		r.number(2) // rows and columns
	} else {
		r.number(8) // the ground's colour
	}
	w, h := r.number(each), r.number(each)
	if r.short {
		return tiles("what they make is not told")
	}
	if err := reason.CheckSize(int(w), int(h), c.limit); err != nil {
		return err
	}
	if slices.Contains(c.sizes, image.Pt(int(w), int(h))) {
		return nil
	}
	return tiles(fmt.Sprintf("they make %d x %d pixels, which the header does not say", w, h))
}

func tiles(what string) error {
	return fmt.Errorf("%w: damaged HEIC (its tiles: %s): export it again as JPEG or PNG", reason.ErrNotPicture, what)
}

// items reads the list of what a file holds: "iinf".
func (c *check) items(body []byte) {
	r := reader{b: body}
	version := r.number(1)
	r.number(3)
	if version == 0 {
		r.number(2)
	} else {
		r.number(4)
	}
	for len(r.b) >= 8 && len(c.derived) <= maxDerived {
		size := binary.BigEndian.Uint32(r.b)
		if size < 8 || uint64(size) > uint64(len(r.b)) {
			return
		}
		entry := reader{b: r.b[8:size]}
		r.b = r.b[size:]
		version := entry.number(1)
		entry.number(3)
		wide := 2
		if version >= 3 {
			wide = 4
		}
		id := entry.number(wide)
		entry.number(2)
		if kind := string(entry.take(4)); kind == "grid" || kind == "iovl" {
			c.derived[uint32(id)] = kind
		}
	}
}

// inData is the method of a place in "idat" instead of the file.
const inData = 1

// place is where an item's first bytes lie.
type place struct {
	item   uint32
	method uint64
	parts  [][2]uint64 // where, and how many bytes; 0 means all that follow
}

// bytes are the item's first bytes.
func (p place) bytes(b []byte) []byte {
	var out []byte
	for _, part := range p.parts {
		if part[0] > uint64(len(b)) {
			break
		}
		n := min(part[1], payload, uint64(len(b))-part[0])
		if part[1] == 0 {
			n = min(payload, uint64(len(b))-part[0])
		}
		out = append(out, b[part[0]:part[0]+n]...)
	}
	return out
}

// eachPlace goes through a table of places: "iloc".
func eachPlace(table []byte, see func(place) error) error {
	r := reader{b: table}
	version := r.number(1)
	r.number(3)
	wide := r.number(2)
	offset, length, base, index := int(wide>>12), int(wide>>8&15), int(wide>>4&15), int(wide&15)
	number := 2
	if version >= 2 {
		number = 4
	}
	if version == 0 {
		index = 0
	}
	for n := r.number(number); n > 0 && !r.short; n-- {
		p := place{item: uint32(r.number(number))}
		if version > 0 {
			p.method = r.number(2) & 15
		}
		r.number(2)
		from := r.number(base)
		parts := r.number(2)
		if index+offset+length == 0 {
			parts = min(parts, 1) // they take no room in the table, and are all one
		}
		for ; parts > 0 && !r.short; parts-- {
			r.number(index)
			at := from + r.number(offset)
			size := r.number(length)
			if len(p.parts) < payload {
				p.parts = append(p.parts, [2]uint64{at, size})
			}
		}
		if err := see(p); err != nil {
			return err
		}
	}
	return nil
}

// reader takes numbers off bytes, the highest byte first.
type reader struct {
	b     []byte
	short bool // there were not as many bytes
}

func (r *reader) take(n int) []byte {
	if n > len(r.b) {
		r.b, r.short = nil, true
		return nil
	}
	out := r.b[:n]
	r.b = r.b[n:]
	return out
}

func (r *reader) number(n int) (v uint64) {
	for _, b := range r.take(n) {
		v = v<<8 | uint64(b)
	}
	return v
}
