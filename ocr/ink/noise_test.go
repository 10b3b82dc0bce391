package ink

import (
	"math"
	"testing"
)

// What darkens paper in broad strokes or along a line, as the share of the light that is
// left: half of the sheet in a shadow, paper that yellowed from one corner on, a fold
// across with its lit and its dark side and one down.
func shadowed(x, y float64) float64 { return 1 - 0.4/(1+math.Exp(-(x+0.5*y-600)/25)) }
func yellowed(x, y float64) float64 { return 1 - 0.3*x/sheetW - 0.15*y/sheetH }
func creased(x, y float64) float64 {
	across, down := y-300-0.05*x, x-420+0.03*y
	return (1 - 0.25*math.Exp(-across*across/18)) * (1 + 0.06*math.Tanh(across/40)) * (1 - 0.3*math.Exp(-down*down/8))
}

// grainPut is the standard deviation of density that the grain of a sheet makes: the darker
// the paper, the more. The picture is of whole levels, which adds a little.
func (s sheet) grainPut() float64 {
	sum := 0.0
	for y := range sheetH {
		for x := range sheetW {
			light := sheetLight * s.light(x, y)
			sum += (s.grain*s.grain + 1.0/12) / (light * light)
		}
	}
	return math.Sqrt(sum / (sheetW * sheetH))
}

// The noise of a slip is the grain that was put in, whatever light lies on it and whatever
// folds and yellowing it has, and its print is as strong as on a plain sheet. Print is on a
// sixth of the sheet, which makes the noise a tenth greater; of grain of one level rounding
// makes steps.
func TestNoise(t *testing.T) {
	for _, c := range []struct{ grain, most float64 }{{1, 1.5}, {3, 1.3}, {6, 1.3}} {
		plain := sheet{print: 1.2, pen: 4, grain: c.grain}
		level := Lift(plain.draw(), sheetEm).Level
		for name, shade := range map[string]func(x, y float64) float64{"plain": nil, "shadowed": shadowed, "yellowed": yellowed, "creased": creased} {
			s := plain
			s.shade = shade
			d := Lift(s.draw(), sheetEm)
			if times := d.Noise / s.grainPut(); times < 1 || times > c.most {
				t.Errorf("%s, grain of %v levels: noise of %.4f is %.2f times what was put in, want 1 to %v", name, c.grain, d.Noise, times, c.most)
			}
			if off := math.Abs(d.Level/level - 1); off > 0.05 {
				t.Errorf("%s, grain of %v levels: print of %.3f, on plain paper %.3f", name, c.grain, d.Level, level)
			}
			t.Logf("%s, grain of %v levels: noise %.2f times what was put in, print %.3f times that on plain paper", name, c.grain, d.Noise/s.grainPut(), d.Level/level)
		}
	}
}

// Grain that is strong against faded print is smoothed away by more than the print is.
func TestGrainOfFadedPrint(t *testing.T) {
	s := sheet{print: 0.4, pen: 4, grain: 8}
	d := Lift(s.draw(), sheetEm)
	if share := d.Noise / s.grainPut(); share > 0.3 {
		t.Errorf("%.2f of the grain is left", share)
	}
	if share := d.Level / s.print; share < 0.5 {
		t.Errorf("%.2f of the print is left", share)
	}
	t.Logf("%.2f of the grain is left, %.2f of the print", d.Noise/s.grainPut(), d.Level/s.print)
}
