package lines

import (
	"slices"

	"tankroll/ocr/raster"
)

// sideReach is how far from its middle a mark within a character has the
// character's sides, in cells. The next mark of a leader is no side.
const sideReach = 0.6

// surroundings is what stands around the marks of a line.
type surroundings struct {
	w, h        int
	marks       []blob
	at          []int32 // one more than the mark that covers a pixel; 0 is bare
	cell, cap   float64
	top, bottom int // of capitals
}

func surround(p raster.Plane, marks []blob, cell, cap, top float64) surroundings {
	s := surroundings{w: p.W, h: p.H, marks: marks, at: make([]int32, len(p.Pix)), cell: cell, cap: cap,
		top: max(int(top), 0), bottom: min(int(top+cap+0.5), p.H)}
	for i, b := range marks {
		for _, k := range b.pix {
			s.at[k] = int32(i + 1)
		}
	}
	return s
}

// inLetters tells of each mark whether it is a part of a character: the dot of a
// dotted zero or a bar of an E whose stem has faded, and what is left of the
// character above and below it.
func (s surroundings) inLetters() []bool {
	in := make([]bool, len(s.marks))
	for i, b := range s.marks {
		if !small(b, s.cell, s.cap) {
			continue
		}
		if s.beside(b, -1) && s.beside(b, 1) {
			in[i] = true
		}
		over, under := s.nearest(i, b.y0-1, -1), s.nearest(i, b.y1, 1)
		if over >= 0 && under >= 0 {
			in[i], in[over], in[under] = true, true, true
		}
	}
	return in
}

// beside is whether a letter stands close to the left, -1, or right, 1, of a mark.
func (s surroundings) beside(b blob, way int) bool {
	reach := int(sideReach*s.cell + 0.5)
	mid := (b.x0 + b.x1) / 2
	for y := b.y0; y < b.y1; y++ {
		for n := 1; n <= reach; n++ {
			x := mid + way*n
			if x < 0 || x >= s.w {
				break
			}
			if k := s.at[y*s.w+x] - 1; k >= 0 && letter(s.marks[k], s.cap) {
				return true
			}
		}
	}
	return false
}

// nearest is the mark that stands next above, -1, or below, 1, mark i from row y
// on, among capitals, and is no narrower: a ring is wider than the dot in it. It is
// negative for none.
func (s surroundings) nearest(i, y, way int) int {
	b := s.marks[i]
	for ; y >= s.top && y < s.bottom; y += way {
		row := s.at[y*s.w:][b.x0:b.x1]
		if k := slices.IndexFunc(row, func(k int32) bool {
			return k > 0 && int(k-1) != i && s.marks[k-1].x1-s.marks[k-1].x0 >= b.x1-b.x0
		}); k >= 0 {
			return int(row[k] - 1)
		}
	}
	return -1
}
