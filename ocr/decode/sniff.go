package decode

import (
	"bytes"
	"encoding/binary"
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
	case has(0, "II*\x00"), has(0, "MM\x00*"), has(0, "II+\x00"), has(0, "MM\x00+"):
		return "TIFF"
	case has(0, "GIF8"):
		return "GIF"
	case has(0, "BM") && len(raw) > 54:
		return "BMP"
	case has(4, "ftyp"):
		return heifKind(raw)
	case bytes.Contains(raw[:min(len(raw), 1024)], []byte("%PDF-")):
		return "PDF"
	}
	return ""
}

// heifKind tells the formats in the HEIF container apart by their brands: the
// main one, or one of those it is compatible with.
func heifKind(raw []byte) string {
	size := min(int(binary.BigEndian.Uint32(raw)), len(raw), 512)
	kind := ""
	for at := 8; at+4 <= size; at += 4 {
		switch string(raw[at : at+4]) {
		case "heic", "heix", "hevc", "hevx", "heim", "heis", "hevm", "hevs":
			return "HEIC"
		case "avif", "avis":
			kind = "AVIF"
		case "mif1", "msf1":
			if kind == "" {
				kind = "HEIC"
			}
		}
	}
	return kind
}
