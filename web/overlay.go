package web

import (
	"fmt"
	"strings"

	"tankroll/record"
)

// overlay is a slip's picture, upright, with the place of every field on it.
type overlay struct {
	Href string
	W, H int // of the drawing, in pixels of the original
	Alt  string
	Rows []framed // one entry a field
	area record.Box
	turn int
	part int // of its slip
}

// framed is the place of one field.
type framed struct {
	ID, Target string // of the frame, of the field's entry below
	Label      string
	X, Y, W, H int
	Loop       string // the pencil's way round a doubtful field; "" when sure
}

func newOverlay(capture string, page, slip int, s record.Slip) overlay {
	area := slipArea(s)
	o := overlay{area: area, turn: s.Turn, W: area.W, H: area.H,
		Href: fmt.Sprintf("/captures/%s/pages/%d/slips/%d/picture.jpg", capture, page, slip),
		Alt:  "the printout, upright, as it was photographed"}
	if s.Turn == 90 || s.Turn == 270 {
		o.W, o.H = area.H, area.W
	}
	return o
}

// Shown reports whether there is a part of the picture to show.
func (o overlay) Shown() bool { return !o.area.IsZero() }

// add frames fields.
func (o *overlay) add(fields []fieldView) {
	for _, f := range fields {
		if f.box.IsZero() || f.box.Part != o.part || !o.Shown() {
			continue
		}
		b := place(f.box, o.area, o.turn)
		m := max(2, b.H/8) // so that the frame does not touch the print
		fr := framed{ID: "b-" + f.ID, Target: "f-" + f.ID, Label: f.Label + ": " + f.Shown,
			X: b.X - m, Y: b.Y - m, W: b.W + 2*m, H: b.H + 2*m}
		if f.Doubtful {
			fr.Loop = loop(fr.X, fr.Y, fr.W, fr.H)
			fr.Label = "Doubtful. " + fr.Label
		}
		o.Rows = append(o.Rows, fr)
	}
}

// loop is a pencil's way once round a box and a little further, not quite
// closed, as a hand draws it. The same box always gives the same loop.
func loop(x, y, w, h int) string {
	fx, fy, fw, fh := float64(x), float64(y), float64(w), float64(h)
	out := 0.28 * fh // how far the loop swings out
	wobble := func(i int) float64 { return float64((x*31+y*17+i*53)%7-3) / 3 * 0.08 * fh }
	var b strings.Builder
	fmt.Fprintf(&b, "M%.1f %.1f", fx+0.15*fw, fy-0.4*out+wobble(1))
	curve := func(c1x, c1y, c2x, c2y, ex, ey float64) {
		fmt.Fprintf(&b, "C%.1f %.1f %.1f %.1f %.1f %.1f", c1x, c1y, c2x, c2y, ex, ey)
	}
	curve(fx+0.5*fw, fy-out+wobble(2), fx+0.9*fw, fy-out, fx+fw+0.6*out, fy+0.4*fh+wobble(3))
	curve(fx+fw+out, fy+fh, fx+0.8*fw, fy+fh+out+wobble(4), fx+0.5*fw, fy+fh+0.8*out)
	curve(fx+0.2*fw, fy+fh+0.7*out, fx-out, fy+fh+0.3*out+wobble(5), fx-0.8*out, fy+0.5*fh)
	curve(fx-0.7*out, fy, fx+0.05*fw, fy-0.8*out+wobble(6), fx+0.35*fw, fy-0.75*out)
	return b.String()
}
