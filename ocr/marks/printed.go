package marks

import (
	"image"
	"math"
	"slices"

	"tankroll/ocr/lines"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
)

// findLines finds the lines of print without the seeds, and notes the pixels on them.
func (p *shaper) findLines(level float64, seeds, rest []raster.Mark) {
	even := p.dark.Map(func(v float32) float32 { return min(max(v/float32(level), 0), 1.15) })
	for _, m := range seeds {
		for _, k := range m.Places {
			even.Pix[k] = 0
		}
	}
	for _, m := range rest {
		if p.letterOf(m, seeds) {
			for _, k := range m.Places {
				even.Pix[k] = 0
			}
		}
	}
	p.layout = lines.Find(paper.PrintOnly(even, 1.4*p.cap), even, p.cap)
	p.zone, p.band = make([]bool, p.w*p.h), make([]int16, p.w*p.h)
	for i, r := range p.printedRows(seeds) {
		for y := max(r.Min.Y-1, 0); y < min(r.Max.Y+1, p.h); y++ {
			for x := max(r.Min.X, 0); x < min(r.Max.X, p.w); x++ {
				p.zone[y*p.w+x], p.band[y*p.w+x] = true, int16(i)
			}
		}
	}
}

// printedRows are where lines of print are. Where a mark ties lines together, they are
// taken to be where the lines above and below and their pitch put them.
func (p *shaper) printedRows(seeds []raster.Mark) []image.Rectangle {
	const (
		ends  = 1.2  // capitals beyond a line's ends: a character may have gone with a mark
		apart = 0.15 // between lines that are not tied together
		tall  = 1.45 // of a line at most: capitals with tails
	)
	room := int(ends * p.cap)
	var sound, rules []image.Rectangle
	bands, all, tied := p.layout.Bands, image.Rectangle{}, image.Rectangle{}
	for i, b := range bands {
		if b.Rule {
			// Dashes near a mark are no part of it, but its own underline or frame is.
			r := image.Rect(b.X0, b.Y0, b.X1, b.Y1)
			if !slices.ContainsFunc(seeds, func(m raster.Mark) bool { return r.In(m.Box.Inset(-room)) }) {
				rules = append(rules, r)
			}
			continue
		}
		if float64(b.Height()) < 0.4*p.cap {
			continue
		}
		r := image.Rect(b.X0-room, b.Y0, b.X1+room, b.Y1)
		near := i > 0 && float64(b.Y0-bands[i-1].Y1) < apart*p.cap || i+1 < len(bands) && float64(bands[i+1].Y0-b.Y1) < apart*p.cap
		high := float64(b.Height()) > tall*p.cap
		if (near || high) && slices.ContainsFunc(seeds, func(m raster.Mark) bool { return m.Box.Overlaps(r) }) ||
			slices.ContainsFunc(seeds, func(m raster.Mark) bool { return surrounds(m, p.w) && image.Rect(b.X0, b.Y0, b.X1, b.Y1).In(m.Box) }) {
			tied = tied.Union(r)
			continue
		}
		if float64(b.Height()) < 3*p.cap {
			sound, all = append(sound, r), all.Union(r)
		}
	}
	if tied.Empty() || all.Empty() || p.layout.Pitch <= 0 {
		return append(sound, rules...)
	}
	return slices.Concat(sound, p.between(sound, all, tied), rules)
}

// between are the lines that must lie where marks tie some together.
func (p *shaper) between(sound []image.Rectangle, all, tied image.Rectangle) []image.Rectangle {
	mid := func(r image.Rectangle) float64 { return float64(r.Min.Y+r.Max.Y) / 2 }
	var out []image.Rectangle
	add := func(y float64) {
		half := 0.65 * p.cap
		r := image.Rect(all.Min.X, int(y-half), all.Max.X, int(y+half)+1)
		if r.Overlaps(image.Rect(all.Min.X, tied.Min.Y, all.Max.X, tied.Max.Y)) && !slices.ContainsFunc(sound, r.Overlaps) {
			out = append(out, r)
		}
	}
	pitch := p.layout.Pitch
	for i := range sound[1:] {
		from, to := mid(sound[i]), mid(sound[i+1])
		n := math.Round((to - from) / pitch)
		for k := 1.0; k < n; k++ {
			add(from + (to-from)*k/n)
		}
	}
	for y := mid(sound[0]) - pitch; y > float64(tied.Min.Y); y -= pitch {
		add(y)
	}
	for y := mid(sound[len(sound)-1]) + pitch; y < float64(tied.Max.Y); y += pitch {
		add(y)
	}
	return out
}

// letterOf is whether a part is larger than print and within a frame, as the letters of
// a stamp are.
func (p *shaper) letterOf(m raster.Mark, frames []raster.Mark) bool {
	return float64(m.Box.Dy()) > biggerThan*p.cap && float64(max(m.Box.Dx(), m.Box.Dy())) < mostLetter*p.cap && slices.ContainsFunc(frames, func(f raster.Mark) bool {
		return m.Box.In(f.Box) && surrounds(f, p.w)
	}) || slices.ContainsFunc(frames, func(f raster.Mark) bool { return m.Box.In(f.Box) && p.round(f) })
}

// strokesIn are the pieces of a mark within lines of print that are nothing but a line
// of the pen's width: a character that the mark touches makes more of them.
func (p *shaper) strokesIn(on []int32, width float64) []int32 {
	at := make(map[int32]bool, len(on))
	for _, k := range on {
		at[k] = true
	}
	var out, piece []int32
	for _, k := range on {
		if !at[k] {
			continue
		}
		piece = append(piece[:0], k)
		at[k] = false
		box := image.Rectangle{}
		for i := 0; i < len(piece); i++ {
			j := piece[i]
			c := image.Pt(int(j)%p.w, int(j)/p.w)
			box = box.Union(image.Rectangle{Min: c, Max: c.Add(image.Pt(1, 1))})
			for _, d := range [4]int32{-1, 1, -int32(p.w), int32(p.w)} {
				if n := j + d; at[n] && p.band[n] == p.band[j] {
					at[n] = false
					piece = append(piece, n)
				}
			}
		}
		const more = 1.15
		if float64(len(piece)) <= more*width*math.Hypot(float64(box.Dx()), float64(box.Dy())) {
			out = append(out, piece...)
		}
	}
	return out
}

// wider adds the soft edges of what is taken off, but nothing of what is kept.
func (p *shaper) wider(off, kept []int32) []int32 {
	taken := make(map[int32]bool, 2*len(off))
	keep := make(map[int32]bool, len(kept))
	for _, k := range kept {
		keep[k] = true
	}
	for _, k := range off {
		taken[k] = true
		delete(keep, k)
	}
	out := slices.Clone(off)
	ring := out
	for range max(int(0.12*p.cap), 1) {
		var next []int32
		for _, k := range ring {
			for _, d := range [4]int32{-1, 1, -int32(p.w), int32(p.w)} {
				n := k + d
				if n < 0 || int(n) >= p.w*p.h || taken[n] || keep[n] {
					continue
				}
				taken[n] = true
				next = append(next, n)
			}
		}
		out, ring = append(out, next...), next
	}
	return out
}
