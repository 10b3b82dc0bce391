package parse

import "tankroll/record"

// sidesAbove gives the times at the beginning of lines the start or end that the line above
// ends with, where no label of their own does:
//
//	0.76 L/H TEST BEGUN
//	24-AUG-2001 03:45
func (d *doc) sidesAbove(r reads) {
	if _, ok := specOf(r.kind, "started_at"); !ok || r.kind == record.Alarm {
		return
	}
	for i := range r.entries {
		for k := range r.entries[i].facts {
			f := &r.entries[i].facts[k]
			if f.field != fieldMoment || len(f.label) > 0 || len(f.read.toks) == 0 {
				continue
			}
			label, field := d.sideAbove(f.read.toks[0])
			if field != "" && !hasField(r.entries[i].facts, field) {
				f.field, f.label, f.printed = field, label, true
			}
		}
	}
}

// sideAbove is the word for a start or an end that the line above a token ends with, when the
// token begins its line, and the field that it names.
func (d *doc) sideAbove(t token) (label []token, field string) {
	if t.line < 1 || t.line >= len(d.lines) || d.lines[t.line].gap {
		return nil, ""
	}
	above, toks := d.lines[t.line-1], d.lines[t.line].toks
	if above.rule || above.head || len(above.toks) < 2 || len(toks) == 0 || toks[0].col != t.col {
		return nil, ""
	}
	last := above.toks[len(above.toks)-1:]
	if last[0].delim != 0 || last[0].stop != 0 || starts(above.toks, len(above.toks)-1) || d.littleWord(last[0]) {
		return nil, ""
	}
	switch bag, _, cost := d.bag(last); {
	case cost > 0:
	case bag == startBag():
		return last, "started_at"
	case bag == endBag():
		return last, "ended_at"
	}
	return nil, ""
}
