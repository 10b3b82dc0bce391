package parse

import "tankroll/record"

// severalSensors reads several sensors in a line, or in a run that goes over several:
//
//	run = sensor { [ "|" ] sensor }      sensor = [ "sensor" ] number state
//
// Each begins a cell or stands behind a bar. Of the lines from i on it takes as many as
// go on with the run.
func (d *doc) severalSensors(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.SensorStatus {
		return structure{}, false
	}
	if s, ok := d.sensorPairs(lines[i].toks); ok {
		return s, true
	}
	if s, ok := d.sensorCells(lines[i].toks); ok {
		return s, true
	}
	if !d.barsIn(lines[i].toks) {
		return structure{}, false
	}
	var best structure
	for n := 2; n <= maxParagraph && i+n <= len(lines); n++ {
		l := lines[i+n-1]
		if l.rule || l.head || l.gap || len(l.toks) == 0 {
			break
		}
		if s, ok := d.sensorCells(joinLines(lines[i : i+n])); ok {
			best = s
			best.lines = n
		}
	}
	return best, best.lines > 0
}

// barsIn reports whether a bar stands between tokens.
func (d *doc) barsIn(toks []token) bool {
	for _, t := range toks[1:] {
		if t.bar {
			return true
		}
	}
	return false
}

// sensorCells cuts tokens where a sensor's name begins a cell.
func (d *doc) sensorCells(toks []token) (structure, bool) {
	cuts := []int{0}
	for i := 1; i < len(toks); i++ {
		_, _, _, ok := toks[i].ident()
		_, n := d.sensorWord(toks[i:])
		if n > 0 && i+n < len(toks) && d.numberWord(toks[i+n]) {
			n++
		}
		named := n > 0 && i+n < len(toks) && toks[i+n].number
		if (starts(toks, i) || named && toks[i].prose && d.lineStart(toks[i])) && (ok && len(toks[i].text) <= 3 || named) {
			cuts = append(cuts, i)
		}
	}
	if len(cuts) < 2 {
		return structure{}, false
	}
	s := structure{lines: 1}
	for i, from := range cuts {
		to := len(toks)
		if i+1 < len(cuts) {
			to = cuts[i+1]
		}
		facts, worth := d.sensorLine(toks[from:to])
		if !hasField(facts, "sensor") || !hasField(facts, "state") || toks[0].prose && hasField(facts, "location") {
			return structure{}, false
		}
		s.entries = append(s.entries, entry{facts: facts})
		s.worth += worth
	}
	return s, true
}

// lineStart reports whether a token is the first of its line, wherever it was joined to.
func (d *doc) lineStart(t token) bool {
	for _, l := range d.lines {
		if len(l.toks) > 0 && l.toks[0].at == t.at {
			return true
		}
	}
	return false
}
