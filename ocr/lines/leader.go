package lines

import (
	"cmp"
	"math"
	"slices"

	"tankroll/ocr/raster"
)

// Leader is a row of small equal marks at equal steps within a line, such as
// ..... or ----- : it leads the eye and only confuses a recognizer.
type Leader struct {
	X0, X1 int
	Count  int
	Low    bool // on the base line, as dots are; else at half height, as dashes
}

// leastMarks is how many equal marks make a leader; an ellipsis is one too.
const leastMarks = 3

// blob is one connected mark.
type blob struct {
	x0, y0, x1, y1 int
	pix            []int32
}

func (b blob) midX() float64 { return float64(b.x0+b.x1) / 2 }
func (b blob) midY() float64 { return float64(b.y0+b.y1) / 2 }

// small is whether a mark may be one of a leader's, by its size.
func small(b blob, cell, cap float64) bool {
	w, h := float64(b.x1-b.x0), float64(b.y1-b.y0)
	return h < 0.36*cap && w < 0.95*cell && w > 0.06*cap
}

// letter is whether a mark is as high as letters are.
func letter(b blob, cap float64) bool { return float64(b.y1-b.y0) > 0.5*cap }

// TakeLeaders finds the leaders of a line, print as 1 on 0, and wipes them off
// it. cell is the width of a character, cap the height of a capital; top is
// where capitals begin on p.
func TakeLeaders(p raster.Plane, cell, cap, top float64) []Leader {
	var marks, letters []blob
	all := blobs(p, 0.3)
	in := surround(p, all, cell, cap, top).inLetters()
	for i, b := range all {
		switch {
		case small(b, cell, cap) && !in[i]:
			marks = append(marks, b)
		case letter(b, cap):
			letters = append(letters, b)
		}
	}
	slices.SortFunc(marks, func(a, b blob) int { return cmp.Compare(a.midX(), b.midX()) })
	used := make([]bool, len(marks))
	var out []Leader
	for i := range marks {
		if used[i] {
			continue
		}
		run := follow(marks, letters, used, i, cell, cap)
		if len(run) < leastMarks {
			continue
		}
		l := Leader{X0: marks[run[0]].x0, X1: marks[run[len(run)-1]].x1, Count: len(run)}
		l.Low = marks[run[0]].midY() > top+0.7*cap
		for _, k := range run {
			used[k] = true
			wipe(p, marks[k])
		}
		out = append(out, l)
	}
	return out
}

// follow lists the marks that go on from mark i in equal steps of one cell, or
// two for double width, up to the next letter: the stops of 1.2.3.4 are no leader.
func follow(marks, letters []blob, used []bool, i int, cell, cap float64) []int {
	run := []int{i}
	step := 0.0
	for k := i + 1; k < len(marks); k++ {
		last := marks[run[len(run)-1]]
		d := marks[k].midX() - last.midX()
		if used[k] || math.Abs(marks[k].midY()-last.midY()) > 0.13*cap || d < 0.45*cell {
			continue
		}
		if parted(last, marks[k], letters) {
			break
		}
		if step == 0 && d > 0.75*cell && d < 2.3*cell {
			step = d
		} else if step == 0 || math.Abs(d-step) > 0.22*step {
			if d > 2.3*cell {
				break
			}
			continue
		}
		run = append(run, k)
	}
	return run
}

// parted is whether a letter stands between two marks of a line.
func parted(left, right blob, letters []blob) bool {
	return slices.ContainsFunc(letters, func(l blob) bool { return l.midX() > float64(left.x1) && l.midX() < float64(right.x0) })
}

func wipe(p raster.Plane, b blob) {
	// The soft rim of a mark lies outside of the threshold: wipe it too.
	const rim = 3
	for y := max(b.y0-rim, 0); y < min(b.y1+rim, p.H); y++ {
		for x := max(b.x0-rim, 0); x < min(b.x1+rim, p.W); x++ {
			p.Pix[y*p.W+x] = 0
		}
	}
}

// blobs lists the connected marks of p above t.
func blobs(p raster.Plane, t float32) []blob {
	seen := make([]bool, len(p.Pix))
	var out []blob
	for i, v := range p.Pix {
		if seen[i] || v <= t {
			continue
		}
		b := blob{x0: p.W, y0: p.H}
		seen[i] = true
		b.pix = append(b.pix, int32(i))
		for n := 0; n < len(b.pix); n++ {
			k := int(b.pix[n])
			x, y := k%p.W, k/p.W
			b.x0, b.y0, b.x1, b.y1 = min(b.x0, x), min(b.y0, y), max(b.x1, x+1), max(b.y1, y+1)
			for _, o := range [4][2]int{{x - 1, y}, {x + 1, y}, {x, y - 1}, {x, y + 1}} {
				if o[0] < 0 || o[1] < 0 || o[0] >= p.W || o[1] >= p.H {
					continue
				}
				if j := o[1]*p.W + o[0]; !seen[j] && p.Pix[j] > t {
					seen[j] = true
					b.pix = append(b.pix, int32(j))
				}
			}
		}
		out = append(out, b)
	}
	return out
}
