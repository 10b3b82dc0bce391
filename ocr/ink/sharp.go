package ink

import "tankroll/ocr/raster"

// Rise is how steeply print rises from its paper: the steepest changes of
// density over so many pixels, as a share of the print's level.
func (d Density) Rise(pixels int) float64 {
	var steps []float32
	for y := 0; y < d.H; y += 2 {
		row := d.Row(y)
		for x := 0; x+pixels < d.W; x++ {
			s := row[x+pixels] - row[x]
			steps = append(steps, max(s, -s))
		}
	}
	return float64(raster.Quantile(steps, 0.985)) / d.Level
}
