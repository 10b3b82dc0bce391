package pdf

import (
	"bytes"
	"compress/flate"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/image/tiff"
)

// picture is an image object of a test's PDF.
type picture struct {
	w, h    int
	dict    string // besides its size
	data    []byte
	globals []byte // what several JBIG2 pictures share; nil for none
	mask    *picture
	inForm  bool // it fills a form, which is what the page draws
}

// sheet is a page of a test's PDF.
type sheet struct {
	w, h    float64 // points
	more    string  // entries of the page, as /Rotate
	content string  // I0, I1… are its pictures, F is a font
	filter  string  // that content is packed with
	on      []picture
}

// build writes a PDF.
func build(sheets ...sheet) []byte {
	var out bytes.Buffer
	var offsets []int
	object := func(body string) int {
		offsets = append(offsets, out.Len())
		fmt.Fprintf(&out, "%d 0 obj\n%s\nendobj\n", len(offsets), body)
		return len(offsets)
	}
	stream := func(dict string, data []byte) int {
		return object(fmt.Sprintf("<< %s /Length %d >>\nstream\n%s\nendstream", dict, len(data), data))
	}
	image := func(p picture) int {
		return stream(fmt.Sprintf("/Type /XObject /Subtype /Image /Width %d /Height %d %s", p.w, p.h, p.dict), p.data)
	}
	out.WriteString("%PDF-1.5\n")
	object("<< /Type /Catalog /Pages 2 0 R >>")
	// The pages object comes first by number and last by place.
	offsets = append(offsets, 0)
	font := object("<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>")
	kids := ""
	for _, s := range sheets {
		names := ""
		for i, p := range s.on {
			if p.globals != nil {
				p.dict += fmt.Sprintf(" /DecodeParms << /JBIG2Globals %d 0 R >>", stream("", p.globals))
			}
			if p.mask != nil {
				p.dict += fmt.Sprintf(" /SMask %d 0 R", image(*p.mask))
			}
			drawn := image(p)
			if p.inForm {
				drawn = stream(fmt.Sprintf("/Type /XObject /Subtype /Form /BBox [0 0 1 1] /Resources << /XObject << /I0 %d 0 R >> >>", drawn), []byte("/I0 Do"))
			}
			names += fmt.Sprintf("/I%d %d 0 R ", i, drawn)
		}
		filter := ""
		if s.filter != "" {
			filter = "/Filter " + s.filter
		}
		content := stream(filter, []byte(s.content))
		kids += fmt.Sprintf("%d 0 R ", object(fmt.Sprintf("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %v %v] /Contents %d 0 R /Resources << /XObject << %s >> /Font << /F %d 0 R >> >> %s >>",
			s.w, s.h, content, names, font, s.more)))
	}
	offsets[1] = out.Len()
	fmt.Fprintf(&out, "2 0 obj\n<< /Type /Pages /Count %d /Kids [%s] >>\nendobj\n", len(sheets), kids)
	at := out.Len()
	fmt.Fprintf(&out, "xref\n0 %d\n0000000000 65535 f \n", len(offsets)+1)
	for _, o := range offsets {
		fmt.Fprintf(&out, "%010d 00000 n \n", o)
	}
	fmt.Fprintf(&out, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(offsets)+1, at)
	return out.Bytes()
}

func deflated(b []byte) []byte {
	var out bytes.Buffer
	z := zlib.NewWriter(&out)
	z.Write(b)
	z.Close()
	return out.Bytes()
}

// bomb is size zeros deflated, a thousandth of them.
func bomb(size int) []byte {
	const block = 1 << 20
	var out bytes.Buffer
	z, err := flate.NewWriter(&out, flate.BestCompression)
	if err != nil {
		panic(err)
	}
	z.Write(make([]byte, block))
	z.Flush()
	first := out.Len()
	z.Write(make([]byte, block)) // this one may point into the one before, so can be repeated
	z.Flush()
	again := bytes.Clone(out.Bytes()[first:])
	raw := append([]byte{0x78, 0xda}, out.Bytes()[:first]...)
	for range size/block - 1 {
		raw = append(raw, again...)
	}
	raw = append(raw, 3, 0) // the last block, empty
	return binary.BigEndian.AppendUint32(raw, uint32(size%65521)<<16|1)
}

// scan is a grey picture of which no pixel is like its neighbours.
func scan(w, h int) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, w, h))
	for i := range g.Pix {
		x, y := i%w, i/w
		g.Pix[i] = uint8(x*37 + y*101 + x*y*13)
	}
	return g
}

func packed(g *image.Gray) picture {
	return picture{w: g.Rect.Dx(), h: g.Rect.Dy(), dict: "/ColorSpace /DeviceGray /BitsPerComponent 8 /Filter /FlateDecode", data: deflated(g.Pix)}
}

func dct(t *testing.T, img image.Image) picture {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	space := "/DeviceRGB"
	if _, ok := img.(*image.Gray); ok {
		space = "/DeviceGray"
	}
	return picture{w: img.Bounds().Dx(), h: img.Bounds().Dy(), dict: "/ColorSpace " + space + " /BitsPerComponent 8 /Filter /DCTDecode", data: b.Bytes()}
}

// strip is the fax data of one of the decoders' TIFFs of one strip.
func strip(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "testdata", "kinds", name))
	if err != nil {
		t.Fatal(err)
	}
	var at, size uint32
	for e := int(binary.LittleEndian.Uint32(raw[4:])) + 2; e+12 <= len(raw); e += 12 {
		switch binary.LittleEndian.Uint16(raw[e:]) {
		case 273:
			at = binary.LittleEndian.Uint32(raw[e+8:])
		case 279:
			size = binary.LittleEndian.Uint32(raw[e+8:])
		}
	}
	return raw[at : at+size]
}

// blackAndWhite is the picture that the fax data show.
func blackAndWhite(t *testing.T) *image.Gray {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "testdata", "kinds", "bilevel-g4.tif"))
	if err != nil {
		t.Fatal(err)
	}
	img, err := tiff.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return img.(*image.Gray)
}

// TestBomb: what the tests of bombs unpack is one.
func TestBomb(t *testing.T) {
	z, err := zlib.NewReader(bytes.NewReader(bomb(5 << 20)))
	if err != nil {
		t.Fatal(err)
	}
	n, err := io.Copy(io.Discard, z)
	if n != 5<<20 || err != nil {
		t.Errorf("%d bytes, %v", n, err)
	}
}
