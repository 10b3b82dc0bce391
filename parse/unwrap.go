package parse

import "tankroll/parse/lexicon"

// mostWrapped is the most tokens of a value that has gone over to the next line.
const mostWrapped = 6

// unwrap puts the end of a value back that found no room on its line: the time of
// day of a date, the year of a day and month, the unit of a number. It reports
// whether any line was mended.
func (d *doc) unwrap() bool {
	out := d.lines[:0:0]
	for i := 0; i < len(d.lines); i++ {
		l := d.lines[i]
		for i+1 < len(d.lines) && d.wrapped(l, d.lines[i+1]) {
			i++
			n := len(l.toks)
			l.toks = append(l.toks[:n:n], d.lines[i].toks...)
			l.toks[n].gap = 1
		}
		out = append(out, l)
	}
	if len(out) == len(d.lines) {
		return false
	}
	d.lines = out
	for i := range d.lines {
		for k := range d.lines[i].toks {
			d.lines[i].toks[k].line = i
		}
	}
	return true
}

// wrapped reports whether a line is no more than the end of a value that the line
// above ends with.
func (d *doc) wrapped(above, below line) bool {
	n := len(above.toks)
	if n == 0 || len(below.toks) == 0 || len(below.toks) > mostWrapped || above.rule || below.rule || below.gap {
		return false
	}
	setIn := below.toks[0].col > above.toks[0].col+0.9
	last, first := above.toks[n-1], below.toks[0]
	if !setIn && last.end+1+(first.end-first.col) <= d.width {
		return false
	}
	if code, cost, used := d.code(lexicon.Unit, below.toks); used == len(below.toks) && cost == 0 && code != "percent" {
		return last.number && last.delim == 0
	}
	return d.momentOver(above.toks, below.toks) || setIn && d.wordsOver(above.toks, below)
}

// wordsOver reports whether the words of a line can only be the rest of a value in words
// that stands behind a label mark and fills its line: OUTCOME: WITHIN | LIMITS.
func (d *doc) wordsOver(above []token, l line) bool {
	below := l.toks
	last := above[len(above)-1]
	if last.number || last.delim != 0 || last.stop != 0 || len(cells(below)) > 1 || !d.wordsOnly(below) || d.courtesy(below) || last.end+1+(below[0].end-below[0].col) <= d.width {
		return false
	}
	for i := len(above) - 2; i >= 0; i-- {
		if above[i].delim != ':' {
			continue
		}
		if !d.wordsOnly(above[i+1:]) {
			return false
		}
		if d.title(l).kind == "" && d.topicTitle(l).topics < 2 {
			return true
		}
		return d.saysState(append(above[i+1:len(above):len(above)], below...))
	}
	return false
}

// momentOver reports whether a time begins among the last tokens of a line and ends
// with the last of the next, and is more than the line alone says.
func (d *doc) momentOver(above, below []token) bool {
	if first := below[0]; !d.mayBeginTime(first) && !isHalf(first) && !first.blank && !d.littleWord(first) && first.text != "@" && len(first.text) > 2 {
		return false
	}
	for s := max(0, len(above)-mostWrapped); s < len(above); s++ {
		tail := above[s:]
		if !d.mayBeginTime(tail[0]) {
			continue
		}
		alone, _ := d.readTime(tail, true)
		if alone.moment.HasDate && alone.moment.HasClock && alone.moment.Clock.Half != "" {
			return false
		}
		joined := append(tail[:len(tail):len(tail)], below...)
		joined[len(tail)].gap = 1
		r, ok := d.readTime(joined, true)
		if ok && r.used == len(joined) && r.moment.HasDate && (r.moment.HasClock || !alone.moment.HasDate) && alone.used < r.used {
			return true
		}
	}
	return false
}
