package raster

import "image"

// Mark is a connected part of a plane.
type Mark struct {
	Places []int32 // as indices of Pix
	Box    image.Rectangle
}

// Marks are the connected parts of p that lie above least.
func (p Plane) Marks(least float32) []Mark {
	mask := make([]bool, len(p.Pix))
	for i, v := range p.Pix {
		mask[i] = v > least
	}
	var out []Mark
	var room []int32 // what is left of it is filled next: most marks are small and many
	for i := range mask {
		if !mask[i] {
			continue
		}
		room = Flood(mask, p.W, p.H, i, room[len(room):])
		m := Mark{Places: room[:len(room):len(room)]}
		m.Box = image.Rectangle{Min: image.Pt(p.W, p.H)}
		for _, k := range m.Places {
			x, y := int(k)%p.W, int(k)/p.W
			m.Box.Min = image.Pt(min(m.Box.Min.X, x), min(m.Box.Min.Y, y))
			m.Box.Max = image.Pt(max(m.Box.Max.X, x+1), max(m.Box.Max.Y, y+1))
		}
		out = append(out, m)
	}
	return out
}

// Flood collects and clears what hangs together with pixel i.
func Flood(mask []bool, w, h, i int, part []int32) []int32 {
	mask[i] = false
	part = append(part, int32(i))
	for next := 0; next < len(part); next++ {
		k := int(part[next])
		x := k % w
		if x > 0 && mask[k-1] {
			mask[k-1] = false
			part = append(part, int32(k-1))
		}
		if x < w-1 && mask[k+1] {
			mask[k+1] = false
			part = append(part, int32(k+1))
		}
		if k >= w && mask[k-w] {
			mask[k-w] = false
			part = append(part, int32(k-w))
		}
		if k+w < len(mask) && mask[k+w] {
			mask[k+w] = false
			part = append(part, int32(k+w))
		}
	}
	return part
}
