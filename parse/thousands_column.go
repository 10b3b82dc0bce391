package parse

import "slices"

// Where columns stand close a space between two figures may part thousands or cells:
//
//	TANK        1      2      3
//	ULLAGE  12 655 16 790 18 996
//
// The ends of the cells of a line above, which leave no doubt, show which: figures whose
// last group alone ends where a cell ends are one number.
const (
	columnReach = 14  // lines up that may show the columns
	columnSlack = 0.6 // character cells
)

// joinInColumns puts the parted numbers of every line together that stands under such a
// line; it reports whether it found any.
func (d *doc) joinInColumns() bool {
	found := false
	for i := range d.lines {
		if joined, ok := d.joinedInColumns(i); ok {
			d.lines[i].toks, found = joined, true
		}
	}
	return found
}

// joinedInColumns is line i with its parted numbers put together; not ok where it has
// none or no line above shows the columns.
func (d *doc) joinedInColumns(i int) ([]token, bool) {
	toks := d.lines[i].toks
	if len(toks) < 4 || !closeFigures(toks) {
		return nil, false
	}
	for k := i - 1; k >= 0 && k >= i-columnReach; k-- {
		ends := cellEnds(d.lines[k].toks)
		if len(ends) < 3 {
			continue
		}
		if out, ok := joinAtEnds(toks, ends); ok {
			return out, true
		}
	}
	return nil, false
}

// closeFigures reports whether two numbers stand a space apart.
func closeFigures(toks []token) bool {
	for j := 1; j < len(toks); j++ {
		if plainDigits(toks[j-1].text, 1, 3) && (plainDigits(toks[j].text, 3, 3) || lastGroup(toks[j].text)) && toks[j].gap < wideGap && !toks[j].bar {
			return true
		}
	}
	return false
}

// cellEnds are the ends of the cells of a line, nil where figures stand close together in
// one of them.
func cellEnds(toks []token) []float64 {
	var out []float64
	for _, c := range cells(toks) {
		for j := 1; j < len(c); j++ {
			if c[j-1].number && c[j].number {
				return nil
			}
		}
		out = append(out, c[len(c)-1].end)
	}
	return out
}

// joinAtEnds puts the figures at the end of a line together so that each number ends where
// a cell does. Each of the last cells must have its number.
func joinAtEnds(toks []token, ends []float64) ([]token, bool) {
	var out []token
	j, joined, cells := len(toks), false, 0
	for e := len(ends) - 1; e > 0 && j > 0; e-- {
		last := j - 1
		if !toks[last].number && !toks[last].blank || toks[last].end < ends[e]-columnSlack || toks[last].end > ends[e]+columnSlack {
			break
		}
		first := last
		for first > 0 && parted(toks, first) && toks[first-1].end > ends[e-1]+columnSlack {
			first--
		}
		out = append(out, together(toks[first:last+1]))
		joined = joined || first < last
		j = first
		cells++
	}
	if !joined || cells < 2 || j > 0 && toks[j-1].number && toks[j].gap < wideGap {
		return nil, false
	}
	slices.Reverse(out)
	for k := range out {
		out[k].edge = true
	}
	return append(toks[:j:j], out...), true
}

// parted reports whether token j goes on with the number that ends before it.
func parted(toks []token, j int) bool {
	return (plainDigits(toks[j].text, 3, 3) || lastGroup(toks[j].text)) && signedDigits(toks[j-1].text) && toks[j].gap < wideGap && !toks[j].bar && toks[j-1].delim == 0 && toks[j-1].stop == 0
}

// signedDigits reports whether a text is up to three figures with a sign before them or none.
func signedDigits(s string) bool {
	if len(s) > 1 && (s[0] == '-' || s[0] == '+') {
		s = s[1:]
	}
	return plainDigits(s, 1, 3)
}

// together is one token of the groups of a number.
func together(toks []token) token {
	t := toks[0]
	for _, o := range toks[1:] {
		t.seen = &sight{shown: t.print() + " " + o.text, box: t.seen.box.Union(o.seen.box), figures: min(t.seen.figures, o.seen.figures), row: t.seen.row, from: t.seen.from, to: o.seen.to}
		t.text += o.text
		t.end, t.conf, t.norm = o.end, min(t.conf, o.conf), t.text
		t.delim, t.stop, t.shut = o.delim, o.stop, o.shut
	}
	return t
}
