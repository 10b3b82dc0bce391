package ocr

import (
	"image"
	"math"
	"testing"

	"tankroll/ocr/recognise"
)

// Cells that lie beside the letters of a word are laid below them where the recognizer
// reads it surely; what it says that cannot be seen there moves nothing.
func TestAnchor(t *testing.T) {
	r := testReader(t, Options{})
	const line, n, step = 2, 6, 21.0 // VOLUME, in cells of 7 pixels drawn three times as large
	up := titled(t, 1, 1)
	right := up.grid[line]
	var beside []float64
	for k := range n + 1 {
		beside = append(beside, right.Border(k)+0.4*step)
	}
	for _, c := range []struct {
		says  string
		sure  float64
		moves bool
	}{{"VOLUME", 0.95, true}, {"VOLUME", 0.5, false}, {"TANKER", 0.95, false}} {
		set := up
		set.grid = append(set.grid[:0:0], up.grid...)
		set.grid[line] = right.Placed(0, beside)
		w := recognise.Word{Text: c.says, Confidence: c.sure, Box: image.Rect(41, set.layout.Bands[line].Y0, 39+int(n*step), set.layout.Bands[line].Y1)}
		for _, s := range c.says {
			w.Symbols = append(w.Symbols, recognise.Symbol{Text: string(s), Confidence: c.sure})
		}
		words := make([][]recognise.Word, len(set.grid))
		words[line] = []recognise.Word{w}
		moved := r.anchor(&set, r.readCells(set), words)
		if moved != c.moves {
			t.Errorf("%s at %.2f: moved %v, want %v", c.says, c.sure, moved, c.moves)
		}
		for k := range n + 1 {
			want := beside[k]
			if c.moves {
				want = right.Border(k)
			}
			if off := math.Abs(set.grid[line].Border(k)-want) / step; off > 0.16 {
				t.Errorf("%s at %.2f: border %d lies %.2f cells off", c.says, c.sure, k, off)
			}
		}
	}
}
