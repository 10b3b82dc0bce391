package paper

import (
	"bytes"
	"math"
	"slices"
	"testing"
)

// A coloured stripe comes off paper and print, and what lies beside it stays as it
// is.
func TestStripeOff(t *testing.T) {
	const keep = 0.6
	for _, c := range []struct {
		name   string
		cb, cr float64
	}{{"red", 112, 184}, {"blue", 168, 112}} {
		s := newScene(760, 820, plainGround(50))
		s.slip(oneSlip, 225)
		bare := slices.Clone(s.luma.Pix)
		s.stripe(oneSlip, 0.4, 0.6, 0.2, 1, keep, uint8(c.cb), uint8(c.cr))
		for i := range s.cb.Pix { // dark print has little colour, whatever lies below it
			if s.cb.Pix[i] != 128 || s.cr.Pix[i] != 128 {
				share := float64(s.luma.Pix[i]) / (225 * keep)
				s.cb.Pix[i], s.cr.Pix[i] = byteOf(128+(c.cb-128)*share), byteOf(128+(c.cr-128)*share)
			}
		}
		m, _ := NewMap(oneSlip)
		off := NewColour(s.cb, s.cr, 1).StripeOff(s.luma, s.original(), m, m.H*0.8/16)
		if off == nil {
			t.Fatalf("%s: no stripe seen", c.name)
		}
		var with, without, beside float64
		n, m2 := 0.0, 0.0
		s.paint(oneSlip, func(u, v float64, x, y int) {
			i := y*s.luma.Stride + x
			switch {
			case u > 0.42 && u < 0.58 && v > 0.25:
				with += math.Abs(float64(s.luma.Pix[i]) - float64(bare[i]))
				without += math.Abs(float64(off.Pix[i]) - float64(bare[i]))
				n++
			case u < 0.35 || u > 0.65:
				beside += math.Abs(float64(off.Pix[i]) - float64(bare[i]))
				m2++
			}
		})
		if with/n < 40 || without/n > 12 || beside/m2 > 1 {
			t.Errorf("%s: %.1f levels off below the stripe, %.1f once it is taken off, %.1f beside it", c.name, with/n, without/n, beside/m2)
		}
	}
}

// Where there is no coloured stripe nothing is taken off.
func TestNoStripeOff(t *testing.T) {
	for name, draw := range map[string]func(s *scene){
		"bare": func(*scene) {},
		"grey": func(s *scene) { s.stripe(oneSlip, 0.4, 0.6, 0, 1, 0.6, 128, 128) },
		"spot": func(s *scene) { s.stripe(oneSlip, 0.4, 0.6, 0.4, 0.6, 0.6, 118, 180) },
	} {
		s := newScene(760, 820, plainGround(50))
		s.slip(oneSlip, 225)
		draw(s)
		before := slices.Clone(s.luma.Pix)
		m, _ := NewMap(oneSlip)
		if off := NewColour(s.cb, s.cr, 1).StripeOff(s.luma, s.original(), m, m.H*0.8/16); off != nil {
			t.Errorf("%s: a stripe was taken off", name)
		}
		if !bytes.Equal(before, s.luma.Pix) {
			t.Errorf("%s: the picture was changed", name)
		}
	}
}
