package parse

import (
	"tankroll/record"
)

// namesBelowTitles puts the name of a tank or line that stands right above the title of its tests
// below that title, as most slips print it:
//
//	TANK 1  DIESEL
//	0.2 GPH TANK TESTS ENDED
//	07SEP03  5:30am       PASS
//
// What is below the title must begin with its time, or the same title stand below other names too,
// and name nothing. The same title again says nothing more.
func (d *doc) namesBelowTitles() {
	said := ""
	for i := 1; i+1 < len(d.lines); i++ {
		if d.lines[i].rule || d.lines[i].head || d.lines[i].gap || len(d.lines[i-1].toks) < 2 || d.lines[i-1].rule {
			continue
		}
		next := skipRules(d.lines, i+1)
		if next == len(d.lines) {
			return
		}
		row := d.lines[next]
		r, ok := d.readTime(row.toks, false)
		if begins := ok && r.hasDate() && r.hasClock(); !begins && !d.namedAgain(i) || d.thingIn(row) {
			continue
		}
		if !d.thingAlone(d.lines[i-1]) {
			continue
		}
		t := d.title(d.lines[i])
		if t.kind == "" {
			t = d.topicTitle(d.lines[i])
		}
		if t.kind == "" {
			t = d.looseTitle(d.lines[i])
		}
		if t.kind != record.TankTest && t.kind != record.LineTest || ownName(t.kind) != d.beginsThing(d.lines[i-1].toks) || d.thingIn(d.lines[i]) {
			continue
		}
		text := textOf(d.lines[i].toks)
		if text == said {
			d.lines[i] = line{rule: true}
			continue
		}
		said = text
		d.lines[i-1], d.lines[i] = d.lines[i], d.lines[i-1]
		d.lines[i-1].gap, d.lines[i].gap = d.lines[i].gap, false
		for _, n := range []int{i - 1, i} {
			for k := range d.lines[n].toks {
				d.lines[n].toks[k].line = n
			}
		}
	}
}

// namedAgain reports whether the words of a line stand once more right below a line that names a thing
// and no more.
func (d *doc) namedAgain(i int) bool {
	text := textOf(d.lines[i].toks)
	for j := 1; j < len(d.lines); j++ {
		if j != i && !d.lines[j].gap && textOf(d.lines[j].toks) == text && d.thingAlone(d.lines[j-1]) {
			return true
		}
	}
	return false
}

// thingAlone reports whether a line is the name of a tank or line and no more than its product
// besides.
func (d *doc) thingAlone(l line) bool {
	if l.rule || l.head || len(l.toks) < 2 || d.beginsThing(l.toks) == "" {
		return false
	}
	k := record.TankTest
	if d.beginsThing(l.toks) == "line" {
		k = record.LineTest
	}
	facts, _ := d.scan(k, l.toks)
	for _, f := range facts {
		if f.field != ownName(k) && f.field != "product" {
			return false
		}
	}
	return hasField(facts, ownName(k)) && d.complete(facts, l.toks)
}

// thingIn reports whether a tank or line is named with its number anywhere in a line.
func (d *doc) thingIn(l line) bool {
	for i := range l.toks {
		if d.beginsThing(l.toks[i:]) != "" {
			return true
		}
	}
	return false
}
