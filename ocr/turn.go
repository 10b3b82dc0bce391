package ocr

import (
	"context"
	"math"
	"slices"
	"unicode"

	"tankroll/ocr/lines"
	"tankroll/ocr/recognise"
)

// Which way is up is settled in two steps. Lines of print have bare rows
// between them and hardly ever bare columns: that tells lying from standing
// without reading. Head up or down is told by reading a few lines both ways.

// sidewaysDoubt is how clearly, as a natural logarithm, print must change more
// one way than the other before only that way is tried by reading.
const sidewaysDoubt = 0.25

// mostSkew is how far, in degrees, print may be turned on its paper or the
// paper's outline be misjudged.
const mostSkew = 7

// turnLines is how many lines are read each way.
const turnLines = 5

// measureLegible reads a few of the slip's fullest lines and returns how well
// they read: the number of letters and digits, each counted by its confidence
// squared, against the number of characters that the lines have room for.
func (r *Reader) measureLegible(ctx context.Context, v view, l lines.Layout) (float64, error) {
	bands := slices.DeleteFunc(slices.Clone(l.Bands), func(b lines.Band) bool { return b.Rule || b.Inverse })
	slices.SortStableFunc(bands, func(a, b lines.Band) int { return (b.X1 - b.X0) - (a.X1 - a.X0) })
	// The very longest may be smears; those after them are print.
	bands = bands[:min(len(bands), turnLines)]
	score, room := 0.0, 0.0
	for _, b := range bands {
		words, err := r.pool.Read(ctx, cutStrip(v, b, l).gray, recognise.Line)
		if err != nil {
			return 0, err
		}
		score += legible(words)
		room += float64(b.X1-b.X0) / (0.75 * l.Cap)
	}
	return score / math.Max(room, 1), nil
}

func legible(words []recognise.Word) float64 {
	sum := 0.0
	for _, w := range words {
		for _, c := range w.Text {
			if unicode.IsLetter(c) || unicode.IsDigit(c) {
				sum += w.Confidence * w.Confidence
			}
		}
	}
	return sum
}
