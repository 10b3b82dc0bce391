package ink

import "tankroll/ocr/raster"

// Even brings print of uneven strength to one: 0 is paper, 1 is solid print.
// Strength is followed over about ten characters, but never below a part of
// the slip's own level nor near its noise.
func (d Density) Even(em float64) raster.Plane {
	f := max(int(em/8), 1)
	// The strongest print near each place, smoothed.
	peak := d.Plane.Blur(0.04 * em).Reduce(f)
	h := em / float64(f)
	peak = peak.Max(int(1.5*h), int(1.0*h)).BlurXY(2*h, 1.2*h).Resize(d.W, d.H)
	least := float32(max(0.42*d.Level, 5.5*d.Noise))
	cut := float32(1.5 * d.Noise)
	out := raster.New(d.W, d.H)
	for i, v := range d.Pix {
		level := max(0.9*peak.Pix[i], least)
		out.Pix[i] = min(max((v-cut)/(level-cut), 0), 1.15)
	}
	return out
}
