package parse

import "slices"

// dataUpTo takes the time up to which a console had data when it judged its tests for no end
// of a test:
//
//	CITLD 0.2 GPH    DATA THRU 10-20-2010
//
// DATA FROM and DATA TO say when the test began and ended.
func (d *doc) dataUpTo(r reads) {
	for i := range r.entries {
		if slices.ContainsFunc(r.entries[i].facts, d.dataFrom) {
			return
		}
	}
	for i := range r.entries {
		for k := range r.entries[i].facts {
			f := &r.entries[i].facts[k]
			if f.field != "ended_at" || len(f.label) == 0 || len(f.read.toks) == 0 {
				continue
			}
			l := d.lines[f.label[0].line].toks
			at := slices.IndexFunc(l, func(t token) bool { return t.at == f.label[0].at })
			if at > 0 && l[at-1].norm == "data" && l[at-1].delim == 0 {
				f.field, f.label = "", slices.Concat(l[at-1:at], f.label)
			}
		}
	}
}

// dataFrom reports whether a fact is the time from which a console had data: DATA FROM 10-01-2010.
func (d *doc) dataFrom(f fact) bool {
	return f.field == "started_at" && len(f.label) > 0 && d.behindData(f.label)
}

// behindData reports whether the word DATA stands right before a label or begins it.
func (d *doc) behindData(label []token) bool {
	if label[0].norm == "data" {
		return true
	}
	l := d.lines[label[0].line].toks
	at := slices.IndexFunc(l, func(t token) bool { return t.at == label[0].at })
	return at > 0 && l[at-1].norm == "data" && l[at-1].delim == 0
}
