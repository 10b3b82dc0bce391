package join

import (
	"math"
	"slices"

	"tankroll/record"
)

const (
	// mostShared bounds the lines of each slip that are compared, and so the
	// work: two pictures of a slip that share as much are two of the same piece.
	mostShared = 80
	// edgeLines is how many lines at a picture's edge may be pieces of lines:
	// the edge cuts one, and on a picture held askew two.
	edgeLines = 2
	// headLines is how many lines a heading has: site, number, address, day and
	// time, title. Printouts of one minute share them, so they say little.
	headLines = 9
	headWorth = 0.25

	edgeSkip  = -0.4 // leaving out a line at an edge
	lineSkip  = -3.0 // leaving out any other line that was read surely
	ruleSkip  = -0.3 // leaving out a rule
	ruleMatch = 0.05
	unevenGap = -2.0 // lines that follow each other at another distance
)

// matcher compares the end of one slip with the beginning of another.
type matcher struct {
	upper, lower []record.Line
	head         int // lines of upper before this may be a heading
	from         int // lines of upper before this are not compared
	to           int // nor lines of lower from this on
	times        map[string]int
	gapA, gapB   []float64 // distance to the line before, in distances of lines; 0 not known
	memo         map[Pair]float64
}

func newMatcher(upper, lower record.Slip) *matcher {
	m := &matcher{upper: bare(upper.Lines), lower: bare(lower.Lines), memo: map[Pair]float64{},
		from: max(0, len(upper.Lines)-mostShared), to: min(len(lower.Lines), mostShared)}
	a, b := count(m.upper), count(m.lower)
	m.times = a
	for text, n := range b {
		m.times[text] = max(m.times[text], n)
	}
	m.gapA, m.gapB = gaps(upper), gaps(lower)
	for n := 0; m.head < len(upper.Lines) && n < headLines; m.head++ {
		if !upper.Lines[m.head].Rule {
			n++
		}
	}
	return m
}

// bare copies lines for comparing: without the marks around words and with one
// character for those that are printed alike.
func bare(lines []record.Line) []record.Line {
	out := slices.Clone(lines)
	for i, l := range out {
		out[i].Words = slices.Clone(l.Words)
		for k := range out[i].Words {
			w := &out[i].Words[k]
			w.Text = bareText(w.Text)
			w.Alternatives = slices.Clone(w.Alternatives)
			for j, a := range w.Alternatives {
				w.Alternatives[j].Text = bareText(a.Text)
			}
		}
	}
	return out
}

// count is how often each word with figures stands on a slip.
func count(lines []record.Line) map[string]int {
	out := map[string]int{}
	for _, l := range lines {
		for _, w := range l.Words {
			if figures(w.Text) > 0 {
				out[w.Text]++
			}
		}
	}
	return out
}

// gaps measures how far below the line before each line stands, in the usual
// distance of the lines around it. Typed lines have no place and no gaps.
func gaps(s record.Slip) []float64 {
	at := make([]float64, len(s.Lines))
	for i, l := range s.Lines {
		at[i] = depth(l.Box, s.On(l.Box).Turn)
	}
	out := make([]float64, len(s.Lines))
	for i := 1; i < len(out); i++ {
		a, b := s.Lines[i-1].Box, s.Lines[i].Box
		if a.IsZero() || b.IsZero() || a.Part != b.Part {
			continue
		}
		var near []float64
		for k := max(1, i-6); k < min(len(at), i+7); k++ {
			if s.Lines[k].Box.Part == b.Part && s.Lines[k-1].Box.Part == b.Part {
				near = append(near, at[k]-at[k-1])
			}
		}
		slices.Sort(near)
		// Most lines follow each other closely; blank ones make the long gaps.
		if usual := near[len(near)/3]; usual > 0 {
			out[i] = (at[i] - at[i-1]) / usual
		}
	}
	return out
}

// depth is how far down the upright slip the middle of a box lies.
func depth(b record.Box, turn int) float64 {
	x, y := float64(b.X)+float64(b.W)/2, float64(b.Y)+float64(b.H)/2
	switch turn {
	case 90:
		return x
	case 180:
		return -y
	case 270:
		return -x
	}
	return y
}

// llr weighs whether two lines are one print.
func (m *matcher) llr(i, j int) float64 {
	p := Pair{i, j}
	if v, ok := m.memo[p]; ok {
		return v
	}
	v := m.lineLLR(m.upper[i], m.lower[j])
	if v > 0 && i < m.head {
		v *= headWorth
	}
	m.memo[p] = v
	return v
}

func (m *matcher) lineLLR(a, b record.Line) float64 {
	switch {
	case a.Rule && b.Rule:
		return ruleMatch
	case a.Rule || b.Rule:
		return leastOfLine
	}
	v := 0.0
	for _, w := range alignWords(a.Words, b.Words) {
		switch {
		case w.a < 0:
			v += loneLLR(b.Words[w.b])
		case w.b < 0:
			v += loneLLR(a.Words[w.a])
		default:
			x := a.Words[w.a]
			v += wordLLR(x, b.Words[w.b], 1/float64(max(1, m.times[x.Text])))
		}
	}
	return min(max(v, leastOfLine), mostOfLine)
}

// skip is the cost of a line that the other slip does not show.
func skip(lines []record.Line, i int, edge bool) float64 {
	if lines[i].Rule {
		return ruleSkip
	}
	if edge {
		return edgeSkip
	}
	sum := 0.0
	for _, w := range lines[i].Words {
		sum += trust(w)
	}
	return lineSkip * sum / float64(max(1, len(lines[i].Words)))
}

// gap weighs the distances at which two lines follow the ones before.
func (m *matcher) gap(i, j int) float64 {
	a, b := m.gapA[i], m.gapB[j]
	if a == 0 || b == 0 {
		return 0
	}
	if math.Abs(a-b) > 0.6+0.15*min(a, b) {
		return unevenGap
	}
	return 0
}

// The steps of an alignment.
const (
	stop = iota
	both
	upperOnly
	lowerOnly
)

// align finds the best way to lay the end of upper over the beginning of lower:
// all lines of upper from some line on, all of lower up to some line. Pairs in
// not are not used. It returns the lines that are one print and how much speaks
// for them.
func (m *matcher) align(not []Pair) ([]Pair, float64) {
	forbidden := map[Pair]bool{}
	for _, p := range not {
		forbidden[p] = true
	}
	n, k := len(m.upper)-m.from, m.to
	score := make([][]float64, n+1)
	step := make([][]int8, n+1)
	for i := range score {
		score[i], step[i] = make([]float64, k+1), make([]int8, k+1)
		for j := 1; j <= k; j++ {
			best, how := score[i][j-1]+skip(m.lower, j-1, j <= edgeLines), int8(lowerOnly)
			if i > 0 {
				u := m.from + i - 1
				if v := score[i-1][j] + skip(m.upper, u, n-i < edgeLines); v > best {
					best, how = v, upperOnly
				}
				if p := (Pair{u, j - 1}); !forbidden[p] {
					v := score[i-1][j-1] + m.llr(u, j-1)
					if step[i-1][j-1] == both {
						v += m.gap(u, j-1)
					}
					if v > best {
						best, how = v, both
					}
				}
			}
			score[i][j], step[i][j] = best, how
		}
	}
	end := 0
	for j := range score[n] {
		if score[n][j] > score[n][end] {
			end = j
		}
	}
	var out []Pair
	for i, j := n, end; step[i][j] != stop; {
		switch step[i][j] {
		case both:
			i, j = i-1, j-1
			out = append(out, Pair{m.from + i, j})
		case upperOnly:
			i--
		case lowerOnly:
			j--
		}
	}
	slices.Reverse(out)
	return out, score[n][end]
}
