package main

import (
	"fmt"
	"io"
)

// wanted is what reading is to reach at one level; 0 asks for nothing. What the second
// reading is to reach besides stands in trust.go.
type wanted struct {
	words   float64 // word F1
	fields  float64 // share of those printed that are right
	records float64 // share of those printed that are right in every field
}

func wantedAt(level string) wanted {
	switch level {
	case "scan":
		return wanted{words: 0.99, fields: 0.985, records: 0.95}
	case "worn":
		return wanted{words: 0.98}
	case "photo":
		return wanted{words: 0.97, fields: 0.97, records: 0.90}
	case "faded":
		return wanted{words: 0.93, fields: 0.93}
	case "ghost":
		return wanted{words: 0.80, fields: 0.80}
	case "binder":
		return wanted{words: 0.95}
	}
	return wanted{}
}

// What is wanted of all levels together, of slips found but for stripes. A stripe may
// never be invented, and every slip of a binder page is to be found.
const (
	leastTurned  = 199.0 / 200
	leastStripes = 19.0 / 20
)

// What a photo may cost.
const (
	ratioPixels = 12.0 // megapixels at which the times of plain tesseract are counted
	mostRatio   = 2.0
	peakPixels  = 48.0 // megapixels at which memory is counted
	mostPeak    = 600  // MB, and less is wanted
)

// missed says, one a line, what is wanted and not reached.
func (l levels) missed() []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	for _, r := range l.rows {
		w := wantedAt(r.level)
		if f := r.words.F1(); f < w.words {
			add("%s: word F1 %.4f, wanted %.2f", r.level, f, w.words)
		}
		if f := r.fields.Accuracy(); f < w.fields {
			add("%s: %.4f of the fields right, wanted %.3f", r.level, f, w.fields)
		}
		if n := r.fields.Records; n > 0 && float64(r.fields.Whole) < w.records*float64(n) {
			add("%s: %d of %d records wholly right, wanted %.2f", r.level, r.fields.Whole, n, w.records)
		}
		if r.level == "binder" && r.paper.found < r.paper.slips {
			add("%s: %d of %d slips found, wanted all", r.level, r.paper.found, r.paper.slips)
		}
	}
	p := l.total().paper
	if n := p.turn.right + p.turn.wrong; float64(p.turn.right) < leastTurned*float64(n) {
		add("turn: right on %d of %d slips found, wanted 199 in 200", p.turn.right, n)
	}
	return append(out, missedStripes("stripe", p.stripe)...)
}

// missedStripes is what is not reached of end-of-roll stripes.
func missedStripes(where string, s sign) (out []string) {
	if float64(s.seen) < leastStripes*float64(s.there) {
		out = append(out, fmt.Sprintf("%s: %d of %d found, wanted 19 in 20", where, s.seen, s.there))
	}
	if s.invented > 0 {
		out = append(out, fmt.Sprintf("%s: %d invented, wanted none", where, s.invented))
	}
	return out
}

// missed is what is not reached of photos enlarged to so many megapixels.
func (s sizeResult) missed() (out []string) {
	if s.megapixels == ratioPixels && s.ratio() > mostRatio {
		out = append(out, fmt.Sprintf("%v MP: %.2f times plain tesseract's time, wanted %.0f at most", s.megapixels, s.ratio(), mostRatio))
	}
	if peak := s.own.peak >> 20; s.megapixels == peakPixels && peak >= mostPeak {
		out = append(out, fmt.Sprintf("%v MP: %d MB, wanted less than %d", s.megapixels, peak, mostPeak))
	}
	return out
}

// writeMissed lists what is wanted and not reached, and is silent where nothing is.
func writeMissed(out io.Writer, missed []string) {
	for i, m := range missed {
		if i == 0 {
			fmt.Fprintln(out, "\nwanted and not reached:")
		}
		fmt.Fprintln(out, "  "+m)
	}
}
