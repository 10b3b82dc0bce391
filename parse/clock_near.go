package parse

// dateFrom reports whether a date begins at a token, in its line or over the end of it.
func (d *doc) dateFrom(t token) bool {
	const most = 4 // tokens of a date
	var run []token
	for _, l := range d.lines {
		for _, o := range l.toks {
			if o.at >= t.at && o.at < t.at+most {
				run = append(run, o)
			}
		}
	}
	r, ok := d.readTime(run, false)
	return ok && r.hasDate()
}

// clockAfter reports whether a time of day stands right behind a date or right before it,
// wherever its line ends: it belongs to it.
func (d *doc) clockAfter(toks []token) bool {
	if len(toks) == 0 {
		return false
	}
	const most = 4 // words between the two: a label, a little word
	isClock := func(at []token, parted bool) bool {
		r, ok := d.readTime(at, parted)
		return ok && r.hasClock() && !r.hasDate()
	}
	first, last := toks[0].at, toks[len(toks)-1].at
	for k, l := range d.lines {
		n := len(l.toks)
		if n == 0 || l.toks[n-1].at < first || l.toks[0].at > last {
			continue
		}
		for i, t := range l.toks {
			switch {
			case t.at > last && t.at <= last+most && !t.bar && (isClock(l.toks[i:], false) || isClock(l.toks[i:min(i+2, n)], false)) && d.onlyJoints(l.toks, last, t.at):
				return true
			case t.at < first && t.at >= first-2 && isClock(l.toks[i:i+1], t.at < first-1 || t.stop == ';') && d.onlyJoints(l.toks, t.at, first) && !d.inDate(l.toks, i):
				return true
			}
		}
		end := n - 1
		for end > 0 && l.toks[end].blank {
			end--
		}
		if l.toks[end].at == last && k+1 < len(d.lines) && len(d.lines[k+1].toks) > 0 && !d.lines[k+1].gap {
			next := d.lines[k+1].toks
			for len(next) > 1 && (next[0].blank || next[0].norm == "at" || next[0].norm == "time" && next[0].delim != 0) {
				next = next[1:]
			}
			if isClock(next, false) {
				return true
			}
		}
		if l.toks[0].at == first && k > 0 && len(d.lines[k-1].toks) > 0 && !l.gap && !d.roomFor(d.lines[k-1].toks, l.toks) {
			above := d.lines[k-1].toks
			for len(above) > 1 && (above[len(above)-1].blank || above[len(above)-1].norm == "at") {
				above = above[:len(above)-1]
			}
			if isClock(above[len(above)-1:], false) || len(above) > 1 && isClock(above[len(above)-2:], false) {
				return true
			}
		}
	}
	return false
}

// onlyJoints reports whether nothing but strokes and little words stands between two
// places of a line.
func (d *doc) onlyJoints(toks []token, after, before int) bool {
	for _, t := range toks {
		if t.at > after && t.at < before && !t.blank && !d.littleWord(t) {
			return false
		}
	}
	return true
}

// clockBelow reports whether the line below a date holds, in its column and under no other
// words, a time of day: the cell of a table goes on there.
func (d *doc) clockBelow(toks []token) bool {
	if len(toks) == 0 {
		return false
	}
	first, last := toks[0], toks[len(toks)-1]
	k := first.line + 1
	if k >= len(d.lines) || d.lines[k].gap {
		return false
	}
	for i, t := range d.lines[k].toks {
		if t.end <= first.col || t.col >= last.end {
			continue
		}
		r, ok := d.readTime(d.lines[k].toks[i:], true)
		return ok && r.hasClock() && !r.hasDate() && starts(d.lines[k].toks, i)
	}
	return false
}

// inDate reports whether a token belongs to a date that begins before it: the year of 1 SEP 2005
// TO 30 SEP 2005 is no time of day of the second.
func (d *doc) inDate(toks []token, i int) bool {
	const most = 3 // tokens of a date before its last
	for back := 1; back <= min(i, most); back++ {
		if r, ok := d.readTime(toks[i-back:], false); ok && r.hasDate() && r.used > back {
			return true
		}
	}
	return false
}
