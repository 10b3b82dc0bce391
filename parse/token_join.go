package parse

import (
	"math"
	"slices"
	"strings"

	"tankroll/record"
)

// joinSpaced puts the letters of a title together that is set with a space
// between its letters: S E N S O R S.
func joinSpaced(words []record.Word) []record.Word {
	const (
		fewest   = 4   // letters of such a title
		distinct = 3   // of them; the same unit may stand in every column
		widest   = 3.1 // from letter to letter in character cells
	)
	single := 0
	seen := map[string]bool{}
	for _, w := range words {
		if len(w.Text) == 1 && isLetter(w.Text[0]) {
			single++
			seen[w.Text] = true
		}
	}
	if single < fewest || len(seen) < distinct || single*10 < len(words)*7 {
		return words
	}
	least := math.Inf(1)
	for i := 1; i < len(words); i++ {
		least = min(least, words[i].Col-words[i-1].Col)
	}
	if least > widest {
		return words
	}
	var out []record.Word
	for i, w := range words {
		if i == 0 || w.Col-words[i-1].Col > least+0.6 {
			if n := len(out) - 1; n >= 0 && len(out[n].Text) > 1 && w.Col-words[i-1].Col < 2*least+0.6 {
				out[n].Width = w.Col - 1 - out[n].Col // the space between its words is as wide
			}
			out = append(out, w)
			continue
		}
		last := &out[len(out)-1]
		last.Text += w.Text
		last.Width = w.Col + w.Width - last.Col
		last.Box = last.Box.Union(w.Box)
		last.Confidence = min(last.Confidence, w.Confidence)
		last.Alternatives = nil
	}
	return out
}

// withoutLeaders cuts words at long leaders between a label and its value that have no
// space around them.
func withoutLeaders(words []record.Word) []record.Word {
	const (
		shortest = 20 // characters of such a word
		leaders  = "...."
	)
	long := func(w record.Word) bool { return len(w.Text) >= shortest && strings.Index(w.Text, leaders) > 0 }
	if !slices.ContainsFunc(words, long) {
		return words
	}
	var out []record.Word
	for _, w := range words {
		from := strings.Index(w.Text, leaders)
		if !long(w) {
			out = append(out, w)
			continue
		}
		to := from
		for to < len(w.Text) && w.Text[to] == '.' {
			to++
		}
		step := w.Width / float64(len(w.Text))
		for _, p := range [][2]int{{0, from}, {from, to}, {to, len(w.Text)}} {
			if p[1] > p[0] {
				part := w
				part.Text, part.Col, part.Width = w.Text[p[0]:p[1]], w.Col+step*float64(p[0]), step*float64(p[1]-p[0])
				part.Box, part.Alternatives = boxPart(w, part.Col, part.Col+part.Width), nil
				out = append(out, part)
			}
		}
	}
	return out
}

// joinThousands puts numbers together whose thousands are parted by a space,
// when the slip shows that it writes so: a group of zeros, or a unit behind.
// Metric slips need no such sign.
func (d *doc) joinThousands() bool {
	signs := 0
	if d.units.us == 0 && d.units.metric > 0 {
		signs++
	}
	for _, l := range d.lines {
		for i := range l.toks {
			n := d.thousands(l.toks, i)
			if n > 1 && (l.toks[i+1].text[0] == '0' || i+n < len(l.toks) && d.isUnit(l.toks[i+n])) {
				signs++
			}
		}
	}
	if signs == 0 {
		return false
	}
	for k := range d.lines {
		d.lines[k].toks = d.joinedThousands(d.lines[k].toks)
	}
	return true
}

// thousands finds how many tokens from i on are one number whose thousands are
// parted by a space: 18 204. It is 1 or less when token i is a number by itself.
func (d *doc) thousands(toks []token, i int) int {
	t := toks[i]
	if i+1 >= len(toks) || !plainDigits(toks[i+1].text, 3, 3) && !lastGroup(toks[i+1].text) {
		return 1
	}
	if digits := strings.TrimLeft(t.text, "+-"); !plainDigits(digits, 1, 3) || digits[0] == '0' || i > 0 && !starts(toks, i) && toks[i-1].delim == 0 && (toks[i-1].number || isThing(toks[i-1].norm) && !d.labelsAmount(toks, i)) {
		return 1
	}
	j := i + 1
	for decimals := false; j < len(toks) && !decimals && !starts(toks, j) && toks[j-1].delim == 0 && toks[j-1].stop == 0; j++ {
		if decimals = lastGroup(toks[j].text); !decimals && !plainDigits(toks[j].text, 3, 3) {
			break
		}
	}
	if j < len(toks) && !starts(toks, j) && toks[j].number || i == 0 && (j >= len(toks) || !d.isUnit(toks[j])) {
		return 1 // at the beginning of a line the first may be a number of its own
	}
	return j - i
}

// labelsAmount reports whether the words before a place are a label that only ends in the word for
// equipment: FULL TANK.
func (d *doc) labelsAmount(toks []token, i int) bool {
	const most = 3 // words of such a label
	for from := i - 2; from >= max(0, i-most) && !starts(toks, from+1); from-- {
		for _, n := range d.names(toks[from:i]) {
			if t := labelTables(); n.used == i-from && n.cost == 0 && n.bag != "" && !t.has(n.bag, "tank") && !t.has(n.bag, "line") && !t.has(n.bag, "sensor") && !t.has(n.bag, "number") {
				return true
			}
		}
	}
	return false
}

// lastGroup reports whether a text is the last group of a number with its decimals:
// 204,5.
func lastGroup(s string) bool {
	return len(s) > 4 && len(s) <= 6 && (s[3] == ',' || s[3] == '.') && plainDigits(s[:3], 3, 3) && plainDigits(s[4:], 1, 2)
}

// joinedThousands is a line with its parted numbers put together.
func (d *doc) joinedThousands(toks []token) []token {
	whole := true // no number is parted
	for i := range toks {
		whole = whole && d.thousands(toks, i) <= 1
	}
	if whole {
		return toks
	}
	out := toks[:0:0]
	for i := 0; i < len(toks); i++ {
		n := max(d.thousands(toks, i), 1)
		out = append(out, together(toks[i:i+n]))
		i += n - 1
	}
	return out
}

// isThing reports whether a word names equipment, so that a number behind it
// stands alone.
func isThing(w string) bool { return identPrefixes[w] != "" || w == "no" || w == "#" }

// plainDigits reports whether a text is figures only, as many as asked for.
func plainDigits(s string, least, most int) bool {
	return len(s) >= least && len(s) <= most && strings.Trim(s, "0123456789") == ""
}
