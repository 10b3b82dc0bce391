package join

import (
	"cmp"
	"slices"
	"strings"

	"tankroll/record"
)

// merge lays the lines of the lower slip below those of the upper. Of the lines
// that both show the upper ones are taken above one place and the lower ones
// below it, so that a record changes pictures once; each takes from the other
// what was read better there.
func merge(a, b []record.Line, pairs []Pair) []record.Line {
	first, last := pairs[0], pairs[len(pairs)-1]
	turn := turning(a, b, pairs)
	out := slices.Clone(a[:first.Upper])
	i, j := first.Upper, first.Lower
	for k, p := range pairs {
		// Lines between two that both show were missed by one of the readings.
		out = append(append(out, a[i:p.Upper]...), b[j:p.Lower]...)
		edge := p.Upper == len(a)-1 || p.Lower == 0
		if k < turn {
			out = append(out, reconcile(a[p.Upper], b[p.Lower], edge))
		} else {
			out = append(out, reconcile(b[p.Lower], a[p.Upper], edge))
		}
		i, j = p.Upper+1, p.Lower+1
	}
	// What upper shows below the last of them, and lower above the first, are
	// lines cut by the picture's edge.
	return append(out, b[last.Lower+1:]...)
}

// turning is the number of pairs that are taken from the upper slip: so many
// that the words are read best.
func turning(a, b []record.Line, pairs []Pair) int {
	sum, best, at := 0.0, 0.0, 0
	for k, p := range pairs {
		sum += worth(a[p.Upper], p.Upper == len(a)-1) - worth(b[p.Lower], p.Lower == 0)
		if sum > best {
			best, at = sum, k+1
		}
	}
	return at
}

// worth is how much of a line was read; a line at the picture's edge may be cut.
func worth(l record.Line, edge bool) float64 {
	if edge {
		return 0
	}
	sum := 0.0
	for _, w := range l.Words {
		sum += trust(w)
	}
	return sum
}

// reconcile is a line with what another reading of the same print says about it.
// Its places stay on its own picture. Where an edge cuts one of the two, they
// need not agree.
func reconcile(l, other record.Line, edge bool) record.Line {
	if edge || squeezed(l) == squeezed(other) {
		if len(l.Words) == len(other.Words) {
			for i, w := range l.Words {
				if o := other.Words[i]; o.Text == w.Text {
					l.Words[i].Confidence, l.Words[i].AsFigures = max(w.Confidence, o.Confidence), max(w.AsFigures, o.AsFigures)
				}
			}
		}
		return l
	}
	var words []record.Word
	for _, m := range alignWords(l.Words, other.Words) {
		switch {
		case m.b < 0:
			words = append(words, lone(l.Words[m.a]))
		case m.a < 0:
			if w := lone(other.Words[m.b]); w.Confidence >= leastAdded {
				w.Box = l.Box // it stands somewhere on this line
				words = append(words, w)
			}
		default:
			words = append(words, agreed(l.Words[m.a], other.Words[m.b]))
		}
	}
	slices.SortStableFunc(words, func(a, b record.Word) int { return cmp.Compare(a.Col, b.Col) })
	l.Words = words
	return l
}

func squeezed(l record.Line) string {
	var b strings.Builder
	for _, w := range l.Words {
		b.WriteString(w.Text)
	}
	return b.String()
}

const (
	// unseen scales the confidence of a word that the other reading of its line
	// does not have: it may be dirt, or cut in another way.
	unseen = 0.8
	// leastAdded is the confidence from which a word that only the other
	// reading has is taken over.
	leastAdded = 0.4
)

func lone(w record.Word) record.Word {
	w.Confidence, w.AsFigures = w.Confidence*unseen, w.AsFigures*unseen
	return w
}

// agreed is one word of two readings, at the place of the first. When they
// differ the likelier text stands, with what is left of its confidence, and the
// other is an alternative to it.
func agreed(w, o record.Word) record.Word {
	if w.Text == o.Text {
		w.Confidence, w.AsFigures = max(w.Confidence, o.Confidence), max(w.AsFigures, o.AsFigures)
		return w
	}
	out, less := w, o
	if o.Confidence > w.Confidence {
		out, less = o, w
		out.Box, out.Col, out.Width = w.Box, w.Col, w.Width
	}
	p, q := share(out.Confidence, less.Confidence)
	if out.AsFigures > 0 {
		out.AsFigures, _ = share(out.AsFigures, max(less.Confidence, less.AsFigures))
	}
	out.Confidence = p
	out.Alternatives = slices.DeleteFunc(slices.Clone(out.Alternatives), func(x record.Alternative) bool { return x.Text == less.Text })
	out.Alternatives = append(out.Alternatives, record.Alternative{Text: less.Text, Confidence: min(q, p)})
	slices.SortStableFunc(out.Alternatives, func(a, b record.Alternative) int { return cmp.Compare(b.Confidence, a.Confidence) })
	return out
}

// share is what is left of two confidences when the readings differ, so that at
// most one is right. Two readings by one reader do not err independently, so
// what stands is never sure.
func share(p, q float64) (float64, float64) {
	p, q = min(max(p, 0.01), 0.99), min(max(q, 0.01), 0.99)
	x, y, none := p*(1-q), q*(1-p), (1-p)*(1-q)
	sum := x + y + none
	return min(x/sum, p, mostDisputed), y / sum
}

// mostDisputed is the highest confidence of a word that was read in two ways.
const mostDisputed = 0.9
