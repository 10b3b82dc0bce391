package pixels

import "image"

// Turned applies an EXIF orientation, 1 to 8: the page as every viewer shows it.
func (p Page) Turned(orientation int) Page {
	if orientation <= 1 || orientation > 8 {
		return p
	}
	p.Luma = turn(p.Luma, orientation)
	if p.Cb != nil {
		p.Cb, p.Cr = turn(p.Cb, orientation), turn(p.Cr, orientation)
	}
	return p
}

// tile is the side in pixels of the squares in which a picture is turned: rows
// read and columns written then stay in the processor's cache.
const tile = 64

func turn(g *image.Gray, o int) *image.Gray {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	if o <= 4 {
		flipInPlace(g, o)
		return g
	}
	out := image.NewGray(image.Rect(0, 0, h, w))
	for ty := 0; ty < h; ty += tile {
		for tx := 0; tx < w; tx += tile {
			for y := ty; y < min(ty+tile, h); y++ {
				for x := tx; x < min(tx+tile, w); x++ {
					ox, oy := y, x
					if o == 6 || o == 7 {
						ox = h - 1 - y
					}
					if o == 7 || o == 8 {
						oy = w - 1 - x
					}
					out.Pix[oy*h+ox] = g.Pix[y*w+x]
				}
			}
		}
	}
	return out
}

// flipInPlace applies orientations that keep width and height.
func flipInPlace(g *image.Gray, o int) {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	if o == 2 || o == 3 {
		for y := range h {
			row := g.Pix[y*w : (y+1)*w]
			for i, k := 0, w-1; i < k; i, k = i+1, k-1 {
				row[i], row[k] = row[k], row[i]
			}
		}
	}
	if o == 3 || o == 4 {
		for y, k := 0, h-1; y < k; y, k = y+1, k-1 {
			a, b := g.Pix[y*w:(y+1)*w], g.Pix[k*w:(k+1)*w]
			for x := range a {
				a[x], b[x] = b[x], a[x]
			}
		}
	}
}
