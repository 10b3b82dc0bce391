package parse

import "strings"

// joinHead puts header lines together that go on in the next line: after a
// comma, or where a date lacks its time of day and the next line is one.
func (d *doc) joinHead() {
	titled := false
	for i := 0; i+1 < len(d.lines); i++ {
		l := &d.lines[i]
		if len(l.toks) == 0 {
			continue
		}
		titled = titled || d.title(*l).kind != ""
		if titled && !d.saysHead(l.toks) {
			continue
		}
		for n := i + 1; n < len(d.lines) && n <= i+2; n++ {
			next := &d.lines[n]
			if next.rule || len(next.toks) == 0 || d.title(*next).kind != "" || !d.headGoesOn(l.toks, next.toks) {
				break
			}
			l.toks = l.toks[:len(l.toks):len(l.toks)]
			for k, t := range next.toks {
				if t.line = l.toks[0].line; k == 0 {
					t.gap = 1
				}
				l.toks = append(l.toks, t)
			}
			next.toks = nil
		}
	}
}

// saysHead reports whether a line begins with the label of a header field.
func (d *doc) saysHead(toks []token) bool {
	facts, _ := d.scan("", toks)
	return len(facts) > 0 && isHeader(facts[0].field) && len(facts[0].label) > 0 && facts[0].label[0].at == toks[0].at && !d.dateOnly(facts[0].label)
}

// headGoesOn reports whether a header line goes on in the next.
func (d *doc) headGoesOn(toks, next []token) bool {
	if d.hasLabel(next) || d.saysHead(next) || cellEnd(next, 0) < len(next) {
		return false
	}
	if isHalf(next[0]) && len(next) == 1 {
		return true // the clock's am or pm
	}
	if r, ok := d.readTime(next, false); ok && r.used == len(next) {
		return r.moment.HasClock && !r.moment.HasDate && d.endsInDate(toks)
	}
	last := toks[len(toks)-1]
	if last.stop == ',' {
		return !d.endsInDate(toks)
	}
	_, address := splitAddress(append(toks[:len(toks):len(toks)], next...))
	_, already := splitAddress(toks)
	return address != nil && (already == nil || !postal.MatchString(textOf(already))) && last.end+1+(next[0].end-next[0].col) > d.width && !houseWay.MatchString(textOf(next))
}

// endsInDate reports whether a line ends with a date without a time of day.
func (d *doc) endsInDate(toks []token) bool {
	for i := range toks {
		if r, ok := d.readTime(toks[i:], false); ok && r.moment.HasDate && i+r.used == len(toks) {
			return !r.moment.HasClock
		}
	}
	return false
}

// isHalf reports whether a word is am or pm.
func isHalf(t token) bool {
	w := strings.ReplaceAll(t.norm, ".", "")
	return w == "am" || w == "pm"
}

// splitAddress cuts a name from the address behind its comma.
func splitAddress(toks []token) (name, address []token) {
	for i := range toks {
		if toks[i].stop == ',' && i+1 < len(toks) && houseWay.MatchString(textOf(toks[i+1:])) && addressScore(textOf(toks[i+1:])) > 2 {
			return toks[:i+1], toks[i+1:]
		}
	}
	return toks, nil
}
