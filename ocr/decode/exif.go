package decode

import (
	"bytes"
	"encoding/binary"
)

// orientation returns the camera's mark, 1 to 8 as EXIF numbers them; 1, "as
// stored", when there is none or it makes no sense.
func orientation(raw []byte, format string) int {
	var exif []byte
	switch format {
	case "JPEG":
		exif = jpegExif(raw)
	case "PNG":
		exif = pngChunk(raw, "eXIf")
	case "WebP":
		exif = riffChunk(raw, "EXIF")
	}
	exif = bytes.TrimPrefix(exif, []byte("Exif\x00\x00"))
	return exifOrientation(exif)
}

// jpegExif walks the JPEG's segments up to the pixels.
func jpegExif(raw []byte) []byte {
	for at := 2; at+4 <= len(raw) && raw[at] == 0xff; {
		marker := raw[at+1]
		if marker == 0xff { // fill byte
			at++
			continue
		}
		if marker == 0xda || marker == 0xd9 {
			return nil
		}
		size := int(binary.BigEndian.Uint16(raw[at+2:]))
		if size < 2 || at+2+size > len(raw) {
			return nil
		}
		body := raw[at+4 : at+2+size]
		if marker == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			return body
		}
		at += 2 + size
	}
	return nil
}

func pngChunk(raw []byte, name string) []byte {
	for at := 8; at+12 <= len(raw); {
		size := int(binary.BigEndian.Uint32(raw[at:]))
		if size < 0 || size > len(raw)-at-12 {
			return nil
		}
		if string(raw[at+4:at+8]) == name {
			return raw[at+8 : at+8+size]
		}
		at += 12 + size
	}
	return nil
}

func riffChunk(raw []byte, name string) []byte {
	for at := 12; at+8 <= len(raw); {
		size := int(binary.LittleEndian.Uint32(raw[at+4:]))
		if size < 0 || size > len(raw)-at-8 {
			return nil
		}
		if string(raw[at:at+4]) == name {
			return raw[at+8 : at+8+size]
		}
		at += 8 + size + size&1
	}
	return nil
}

// exifOrientation reads tag 0x0112 of the first directory of a TIFF header.
func exifOrientation(b []byte) int {
	const tagOrientation = 0x0112
	if len(b) < 8 || (string(b[:2]) != "II" && string(b[:2]) != "MM") {
		return 1
	}
	order := byteOrder(b)
	at := int64(order.Uint32(b[4:]))
	if at+2 > int64(len(b)) {
		return 1
	}
	n := int64(order.Uint16(b[at:]))
	for e := at + 2; n > 0 && e+12 <= int64(len(b)); e, n = e+12, n-1 {
		if order.Uint16(b[e:]) == tagOrientation {
			if v := int(order.Uint16(b[e+8:])); v >= 1 && v <= 8 {
				return v
			}
			return 1
		}
	}
	return 1
}

func byteOrder(b []byte) binary.ByteOrder {
	if b[0] == 'I' {
		return binary.LittleEndian
	}
	return binary.BigEndian
}
