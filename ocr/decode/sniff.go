package decode

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"
)

// sniff names the format by its first bytes; file names are not asked, they
// lie. It returns "" when it knows none.
func sniff(raw []byte) string {
	has := func(at int, s string) bool {
		return len(raw) >= at+len(s) && string(raw[at:at+len(s)]) == s
	}
	switch {
	case has(0, "\xff\xd8\xff"):
		return "JPEG"
	case has(0, "\x89PNG\r\n\x1a\n"):
		return "PNG"
	case has(0, "RIFF") && has(8, "WEBP"):
		return "WebP"
	case has(0, "II*\x00"), has(0, "MM\x00*"):
		return "TIFF"
	case has(0, "GIF8"):
		return "GIF"
	case has(0, "BM") && len(raw) > 54:
		return "BMP"
	case has(4, "ftyp") && isHEIC(raw):
		return "HEIC"
	case bytes.Contains(raw[:min(len(raw), 1024)], []byte("%PDF-")):
		return "PDF"
	}
	return ""
}

func isHEIC(raw []byte) bool {
	brand := string(raw[8:min(len(raw), 12)])
	return slices.Contains([]string{"heic", "heix", "hevc", "heim", "heis", "mif1", "msf1", "avif"}, brand)
}

// tiffPages lists where the directory of each page starts. A chain that runs
// out of the file or in a circle ends there: what came before it is kept.
func tiffPages(raw []byte, limit int) ([]int64, error) {
	if len(raw) < 8 {
		return nil, fmt.Errorf("%w: the TIFF ends in its header", ErrTruncated)
	}
	order := byteOrder(raw)
	var pages []int64
	seen := map[uint32]bool{}
	for at := order.Uint32(raw[4:]); at != 0 && !seen[at]; {
		seen[at] = true
		if int64(at)+2 > int64(len(raw)) {
			break
		}
		if len(pages) == limit {
			return nil, fmt.Errorf("%w: more than %d pages: split it or raise the limit", ErrTooLarge, limit)
		}
		pages = append(pages, int64(at))
		next := int64(at) + 2 + 12*int64(order.Uint16(raw[at:]))
		if next+4 > int64(len(raw)) {
			break
		}
		at = order.Uint32(raw[next:])
	}
	if len(pages) == 0 {
		return nil, fmt.Errorf("%w: the TIFF holds no page", ErrTruncated)
	}
	return pages, nil
}

func byteOrder(raw []byte) binary.ByteOrder {
	if raw[0] == 'I' {
		return binary.LittleEndian
	}
	return binary.BigEndian
}
