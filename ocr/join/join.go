// Package join puts a slip that is longer than a picture together. Each of its
// pictures was read on its own, and neighbours show some lines twice: where the
// end of one and the beginning of the other are the same print, they are one
// slip.
//
//	seam := join.Meet(upper, lower)
//	if seam.Answer == join.Together {
//		slip := join.Two(upper, lower, seam)
//	}
//
// Two printouts of one console look much alike: the same labels in the same
// order, the same site above them. Only what is printed in figures (numbers,
// times) tells them apart, so only figures speak for a seam, and a figure that
// was read well and differs speaks strongly against it. When in doubt slips
// stay apart: a slip read in two pieces loses less than two that are mixed.
package join

import (
	"slices"

	"tankroll/record"
)

// Answer says whether one slip goes on in another.
type Answer int

// The answers.
const (
	Apart    Answer = iota // nothing to speak of says that it does
	Perhaps                // too little is on both pictures to be sure
	Together               // it does
)

// Seam is how the end of one slip meets the beginning of another.
type Seam struct {
	Answer   Answer
	Evidence float64 // natural logarithm of how much likelier the lines are as one print than as two
	Pairs    []Pair  // lines of both that are the same print, top to bottom
}

// Pair is a printed line that both pictures show: the line of the upper slip
// and that of the lower.
type Pair struct{ Upper, Lower int }

const (
	// together is the evidence from which slips are joined. Among 50,000 pairs of
	// pieces of different printouts of one console and station (fit part) the
	// highest was 9.9; eight lines on both pictures of a long slip give 15 and more.
	together = 11.0
	// perhaps is the evidence from which a person is told to look.
	perhaps = 4.0
	// clear is how much better a seam must be than the next best one: what
	// repeats itself (a table of like rows) fits in several places.
	clear = 4.0
	// leastPairs is how many printed lines must be on both pictures, and
	// leastTelling how many of them must hold figures that speak for the seam.
	leastPairs   = 3
	leastTelling = 2
	// leastOwn is how many printed lines each picture must show alone: where one
	// shows no more than the other it is no continuation but a copy.
	leastOwn = 2
)

// Meet finds how the end of upper meets the beginning of lower. A slip whose
// paper ends on its picture does not go on there.
func Meet(upper, lower record.Slip) Seam {
	if upper.Paper.Bottom == record.EdgeWhole || lower.Paper.Top == record.EdgeWhole {
		return Seam{}
	}
	m := newMatcher(upper, lower)
	best, score := m.align(nil)
	if len(best) == 0 {
		return Seam{}
	}
	s := Seam{Evidence: score, Pairs: best}
	pairs, telling := 0, 0
	for _, p := range best {
		if !upper.Lines[p.Upper].Rule {
			pairs++
		}
		if m.llr(p.Upper, p.Lower) >= tellingLine {
			telling++
		}
	}
	if printed(upper.Lines[:best[0].Upper]) < leastOwn || printed(lower.Lines[best[len(best)-1].Lower+1:]) < leastOwn {
		return s
	}
	_, next := m.align(best)
	switch {
	case score >= together && score-next >= clear && pairs >= leastPairs && telling >= leastTelling:
		s.Answer = Together
	case score >= perhaps && telling > 0:
		s.Answer = Perhaps
	}
	return s
}

// printed counts the lines that are no rules.
func printed(lines []record.Line) (n int) {
	for _, l := range lines {
		if !l.Rule {
			n++
		}
	}
	return n
}

// Two joins two slips at a seam that Meet found. Both have their Parts set; the
// result has the parts of both, and its lines say on which they lie.
func Two(upper, lower record.Slip, s Seam) record.Slip {
	out := record.Slip{Corners: upper.Corners, Turn: upper.Turn, Paper: paper(upper.Paper, lower.Paper)}
	out.Parts = append(slices.Clone(upper.Parts), lower.Parts...)
	a, b := own(upper.Lines, 0, 0), own(lower.Lines, len(upper.Parts), shift(upper, lower, s))
	out.Lines = merge(a, b, s.Pairs)
	out.Marks = marks(upper, lower)
	return out
}

// marks are those of both slips. Which lines they lie over is told by their boxes
// alone from here on: the lines are numbered anew.
func marks(upper, lower record.Slip) []record.Mark {
	var out []record.Mark
	for parts, s := range []record.Slip{upper, lower} {
		for _, m := range s.Marks {
			m.Box.Part, m.Over = m.Box.Part+parts*len(upper.Parts), nil
			out = append(out, m)
		}
	}
	return out
}

// own copies lines, moves them by a number of parts and of columns.
func own(lines []record.Line, parts int, columns float64) []record.Line {
	out := slices.Clone(lines)
	for i, l := range out {
		out[i].Words = slices.Clone(l.Words)
		out[i].SetPart(l.Box.Part + parts)
		for k := range out[i].Words {
			out[i].Words[k].Col += columns
		}
	}
	return out
}

// shift is how far right the lower slip's columns must move to be those of the
// upper: each slip counts them from the left edge of the print that it shows.
func shift(upper, lower record.Slip, s Seam) float64 {
	var d []float64
	for _, p := range s.Pairs {
		a, b := upper.Lines[p.Upper].Words, lower.Lines[p.Lower].Words
		for _, w := range alignWords(a, b) {
			if w.a >= 0 && w.b >= 0 && a[w.a].Text == b[w.b].Text {
				d = append(d, a[w.a].Col-b[w.b].Col)
			}
		}
	}
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// paper is the state of a joined slip: what is wrong with either is wrong with
// it, and its ends are the outer ones.
func paper(upper, lower record.Paper) record.Paper {
	p := record.Paper{
		Ink: min(upper.Ink, lower.Ink), EndOfRoll: upper.EndOfRoll || lower.EndOfRoll,
		Blurred: upper.Blurred || lower.Blurred,
		Top:     upper.Top, Bottom: lower.Bottom,
		Sure: upper.Sure.Least(lower.Sure),
	}
	if upper.Sides == record.EdgeCut || lower.Sides == record.EdgeCut {
		p.Sides = record.EdgeCut
	}
	p.CutOff = p.Top == record.EdgeCut || p.Bottom == record.EdgeCut || p.Sides == record.EdgeCut
	return p
}
