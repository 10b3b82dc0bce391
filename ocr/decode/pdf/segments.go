package pdf

import "encoding/binary"

// The kinds of JBIG2 segments (ITU-T T.88, 7.3) that are told apart here.
const (
	pageInformation = 48
	endOfPage       = 49
	endOfFile       = 51
)

// segmentsFit is whether JBIG2 data as a PDF holds them are a page and whole segments
// to the end. PDFium stops in silence at a segment that it cannot follow.
func segmentsFit(data []byte) bool {
	page := false
	for len(data) > 0 {
		kind, size, rest, ok := segmentHead(data)
		switch {
		case !ok || size > len(rest):
			return page && len(data) < shortestSegment && blankBytes(data)
		case kind == endOfPage || kind == endOfFile:
			return page
		case kind == pageInformation:
			page = true
		}
		data = rest[size:]
	}
	return page
}

// shortestSegment is the bytes of a segment's head.
const shortestSegment = 11

// blankBytes is whether data are what writers fill up with.
func blankBytes(data []byte) bool {
	for _, b := range data {
		if b != 0 && b != '\r' && b != '\n' && b != ' ' {
			return false
		}
	}
	return true
}

// segmentHead reads the head of a segment: its kind, the bytes of its body, and what
// follows the head. A body of unknown length is all that follows.
func segmentHead(data []byte) (kind byte, size int, rest []byte, ok bool) {
	be := binary.BigEndian
	if len(data) < shortestSegment {
		return 0, 0, nil, false
	}
	number, flags := be.Uint32(data), data[4]
	refers, at := int(data[5]>>5), 6
	if refers == 7 { // a long form: 29 bits, then a bit for each that is kept
		refers = int(be.Uint32(data[5:]) & (1<<29 - 1))
		at = 9 + (refers+8)/8
	}
	each := 4
	switch {
	case number <= 256:
		each = 1
	case number <= 65536:
		each = 2
	}
	at += refers * each
	if at++; flags&0x40 != 0 { // the number of the page
		at += 3
	}
	if at < 0 || at+4 > len(data) {
		return 0, 0, nil, false
	}
	rest = data[at+4:]
	if n := be.Uint32(data[at:]); n != 1<<32-1 {
		size = int(n)
	} else {
		size = len(rest)
	}
	return flags & 63, size, rest, true
}
