package paper

import (
	"math"
	"math/rand/v2"
	"testing"

	"tankroll/ocr/raster"
)

const (
	benchW, benchH = 480, 640 // of the drawn slips, pixels
	benchPitch     = 32
)

// fall says by how many pitches lines lie below their straight place at u, v: 0 to 1 across
// and down the slip.
type fall func(u, v float64) float64

// The curves of paper that was rolled, lies over an edge, or is rolled at one end only.
func flat(_, _ float64) float64     { return 0 }
func rolled(u, _ float64) float64   { return 1.1 * (4*(u-0.5)*(u-0.5) - 0.5) }
func waved(u, _ float64) float64    { return 0.5 * math.Sin(2*math.Pi*u) }
func unrolled(u, v float64) float64 { return 1.2 * (1 - v) * 4 * (u - 0.5) * (u - 0.5) }
func opposed(u, v float64) float64  { return 1.5 * (2*v - 1) * 4 * (u - 0.5) * (u - 0.5) }

// bent draws lines of letters that fall as said. Of those on whose place lost says so
// nothing is drawn; noise is the standard deviation of the paper, where print is 1.
func bent(f fall, lost func(u, v float64) bool, noise float64) raster.Plane {
	p, rng := raster.New(benchW, benchH), rand.New(rand.NewPCG(7, 8))
	for y := benchPitch; y < benchH-benchPitch; y += benchPitch {
		for x := 20; x < benchW-20; x++ {
			u, v := (float64(x)+0.5)/benchW, float64(y)/benchH
			if x%12 >= 8 || rng.IntN(3) == 0 || lost(u, v) {
				continue
			}
			at := y + int(math.Round(benchPitch*f(u, v)))
			for k := at - 7; k < at+7; k++ {
				if k >= 0 && k < benchH {
					p.Row(k)[x] = 1
				}
			}
		}
	}
	for i := range p.Pix {
		p.Pix[i] = max(p.Pix[i]+float32(noise*rng.NormFloat64()), 0)
	}
	return p
}

// offLevel is how far, in pitches, what lies level on the flat slip is off the drawn lines
// at most: each line is held where it passes the middle. A flat unit is scale pixels.
func offLevel(m Map, f fall, scale float64) float64 {
	worst := 0.0
	for y := float64(benchPitch); y < benchH-benchPitch; y += benchPitch {
		level := y + benchPitch*f(0.5, y/benchH)
		for x := 20.0; x <= benchW-20; x += 10 {
			_, got := m.ToOriginal(x/scale, level/scale)
			worst = max(worst, math.Abs(got*scale-y-benchPitch*f(x/benchW, y/benchH))/benchPitch)
		}
	}
	return worst
}

// Lines that bend come out level within a tenth of their pitch, in noise, with words and
// lines missing, and whether the height of a character is known well or nearly twice too
// high. Where the curve is stronger than paper of a roll has it, or there is hardly anything
// to follow on one side, what is left is bounded too. Straight lines are left alone.
func TestMeasureBend(t *testing.T) {
	const level = 0.1
	none := func(_, _ float64) bool { return false }
	hole := func(u, v float64) bool { return math.Hypot(u-0.4, v-0.5) < 0.2 }
	line := func(v float64) int { return int(math.Round(v * benchH / benchPitch)) }
	for _, c := range []struct {
		name  string
		falls fall
		lost  func(u, v float64) bool
		noise float64
		most  float64 // what may be left, in pitches
	}{
		{"rolled", rolled, none, 0, level},
		{"waved", waved, none, 0, level},
		{"rolled at one end", unrolled, none, 0, level},
		{"rolled, in noise", rolled, none, 0.25, level},
		{"waved, in noise", waved, none, 0.25, level},
		{"rolled at one end, with a hole", unrolled, hole, 0.1, level},
		{"waved, half of the lines", waved, func(_, v float64) bool { return line(v)%2 != 0 }, 0.1, level},
		{"waved, with a gap", waved, func(_, v float64) bool { return v > 0.3 && v < 0.6 }, 0.1, level},
		{"rolled, two lines of three short", rolled, func(u, v float64) bool { return u > 0.6 && line(v)%3 != 0 }, 0.1, 0.15},
		{"rolled up at one end and down at the other", opposed, none, 0, 0.2},
	} {
		p := bent(c.falls, c.lost, c.noise)
		for _, by := range []struct{ em, scale float64 }{{20, 1}, {36, 2}} {
			m, _ := NewMap(Whole(benchW/int(by.scale), benchH/int(by.scale)))
			b, share := MeasureBend(p, by.em, by.scale)
			before, after := offLevel(m, c.falls, by.scale), offLevel(m.Bent(b), c.falls, by.scale)
			if before < 0.45 {
				t.Fatalf("%s: lines are %.2f pitches off level before", c.name, before)
			}
			if after > c.most {
				t.Errorf("%s: lines are %.3f pitches off level, were %.3f, want %v at most", c.name, after, before, c.most)
			}
			if share < 0.5 {
				t.Errorf("%s: lines were followed on %.2f of the slip", c.name, share)
			}
			t.Logf("%s: %.3f pitches off level, %.3f when straightened", c.name, before, after)
		}
	}
	for _, c := range []struct {
		name  string
		lost  func(u, v float64) bool
		noise float64
	}{
		{"straight", none, 0}, {"straight, in noise", none, 0.25}, {"straight, with a hole", hole, 0.1},
		{"straight, few lines in noise", func(_, v float64) bool { return line(v) > 4 }, 0.25},
		{"bare paper", func(_, _ float64) bool { return true }, 0},
	} {
		if b, share := MeasureBend(bent(flat, c.lost, c.noise), 20, 1); share != 0 || b.Most() != 0 {
			t.Errorf("%s: bends by up to %.2f pixels, followed on %.2f of the slip", c.name, b.Most(), share)
		}
	}
}
