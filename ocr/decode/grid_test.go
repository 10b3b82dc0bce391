package decode

import (
	"bytes"
	"encoding/binary"
	"errors"
	"strings"
	"testing"
)

// tiled is a HEIC as telephones make them: a picture of columns x rows tiles, each
// of them the one picture of a file, with a thumbnail and turned by quarters against
// the clock. Its header says size, its grid claims claim.
func tiled(t testing.TB, tile []byte, columns, rows int, size, claim [2]int, quarters byte) []byte {
	t.Helper()
	be := binary.BigEndian
	box := func(name string, body ...[]byte) []byte {
		all := bytes.Join(body, nil)
		return append(append(be.AppendUint32(nil, uint32(8+len(all))), name...), all...)
	}
	of := func(name string) []byte { // the tile's box
		i := bytes.Index(tile, []byte(name)) - 4
		if i < 0 {
			t.Fatalf("the tile has no %s", name)
		}
		return tile[i : i+int(be.Uint32(tile[i:]))]
	}
	u16 := func(v ...int) (out []byte) {
		for _, n := range v {
			out = be.AppendUint16(out, uint16(n))
		}
		return out
	}
	u32 := func(v ...int) (out []byte) {
		for _, n := range v {
			out = be.AppendUint32(out, uint32(n))
		}
		return out
	}
	pixels := of("mdat")[8:]
	n := columns * rows
	const grid = 1 // items: the grid, the tiles 2 to n+1, the thumbnail n+2
	entry := func(id, hidden int, kind string) []byte {
		return box("infe", u32(2<<24|hidden), u16(id, 0), []byte(kind+"\x00"))
	}
	items := entry(grid, 0, "grid")
	parts := u16(grid, n)
	links := append(u32(n+2), append(u16(grid), 2, 3, 0x84)...) // its size, its turn
	for id := 2; id <= n+2; id++ {
		hidden := 1
		if id == n+2 {
			hidden = 0
		} else {
			parts = append(parts, u16(id)...)
		}
		items = append(items, entry(id, hidden, "hvc1")...)
		links = append(links, append(u16(id), 2, 0x81, 2)...)
	}
	meta := func(at int) []byte {
		places := append(u16(0x4400, n+2), u16(grid, 1, 0, 1)...) // in idat, a part
		places = append(places, u32(0, 8)...)
		for id := 2; id <= n+2; id++ {
			places = append(places, append(u16(id, 0, 0, 1), u32(at, len(pixels))...)...)
		}
		return box("meta", u32(0), of("hdlr"), box("pitm", u32(0), u16(grid)), box("iloc", u32(1<<24), places),
			box("iinf", u32(0), u16(n+2), items), box("iref", u32(0), box("dimg", parts), box("thmb", u16(n+2, 1, grid))),
			box("iprp", box("ipco", of("hvcC"), of("ispe"), box("ispe", u32(0, size[0], size[1])), irot(quarters)), box("ipma", u32(0), links)),
			box("idat", []byte{0, 0, byte(rows - 1), byte(columns - 1)}, u16(claim[0], claim[1])))
	}
	head := of("ftyp")
	at := len(head) + len(meta(0)) + 8
	return bytes.Join([][]byte{head, meta(at), box("mdat", pixels)}, nil)
}

// TestTilesHEIC: a picture of tiles comes out whole and turned, not its thumbnail;
// what hangs over at the right and below is cut off. (Where tiles are put together
// colour is counted anew, which moves brightness by a little.)
func TestTilesHEIC(t *testing.T) {
	tile := kind(t, "colour.heic")
	one, err := load(tile, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		columns, rows, w, h int
		turn                byte
	}{{1, 1, 96, 64, 0}, {2, 1, 192, 64, 0}, {2, 1, 192, 64, 3}, {2, 2, 150, 100, 1}} {
		size := [2]int{c.w, c.h}
		p, err := load(tiled(t, tile, c.columns, c.rows, size, size, c.turn), Limits{})
		if err != nil {
			t.Fatalf("%+v: %v", c, err)
		}
		turned := map[byte]int{0: 1, 1: 8, 3: 6}[c.turn]
		back := stored(p.Luma, turned)
		if back.Rect.Dx() != c.w || back.Rect.Dy() != c.h || p.Cr == nil {
			t.Fatalf("%+v: %v pixels, red %v", c, back.Rect.Size(), p.Cr)
		}
		sum, most := 0, 0
		for y := range c.h {
			for x := range c.w {
				d := int(back.GrayAt(x, y).Y) - int(one.Luma.GrayAt(x%96, y%64).Y)
				sum, most = sum+max(d, -d), max(most, d, -d)
			}
		}
		if mean := float64(sum) / float64(c.w*c.h); mean > 0.05 || most > 8 {
			t.Errorf("%+v differs from its tiles by %.3f on average, up to %d", c, mean, most)
		}
	}
}

// TestGreyTiles: tiles without colour, which no telephone makes, are not put together
// by this version; that is said.
func TestGreyTiles(t *testing.T) {
	size := [2]int{192, 64}
	if _, err := load(tiled(t, kind(t, "grey.heic"), 2, 1, size, size, 0), Limits{}); !errors.Is(err, ErrUnsupported) || !strings.Contains(err.Error(), "export as JPEG or PNG") {
		t.Errorf("error %v", err)
	}
}

// TestTilesClaim: what tiles claim to make is believed no more than the header is.
func TestTilesClaim(t *testing.T) {
	tile := kind(t, "grey.heic")
	for _, c := range []struct {
		name  string
		claim [2]int
		limit int
		want  error
		says  string
	}{
		{"as the header says", [2]int{192, 64}, 192 * 64, nil, ""},
		{"more pixels than may be", [2]int{60000, 60000}, 0, ErrTooLarge, "60000 x 60000 pixels"},
		{"more than the header says", [2]int{193, 64}, 0, ErrNotPicture, "193 x 64 pixels, which the header does not say"},
		{"a pixel too many", [2]int{192, 64}, 192*64 - 1, ErrTooLarge, "192 x 64 pixels"},
	} {
		// Opening looks at the header alone.
		_, err := testDecoder.Open(t.Context(), tiled(t, tile, 2, 1, [2]int{192, 64}, c.claim, 0), Limits{Pixels: c.limit})
		if !errors.Is(err, c.want) || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %v with %q", c.name, err, c.want, c.says)
		}
	}
}
