package parse

import (
	"slices"

	"tankroll/record"
)

// classesInBlocks puts the rate of a test before what its block says of it, and the name of
// the line before that, where empty lines or rules part a summary into blocks that name one
// test each, wherever in the block it stands:
//
//	PASSES 24 H      22
//	TEST            3.0
//	LINE              1
func (d *doc) classesInBlocks(r *reads) {
	if r.kind != record.LineSummary || slices.ContainsFunc(r.entries, func(e entry) bool { return e.row || e.more || e.head }) {
		return
	}
	var blocks [][]entry
	for i, e := range r.entries {
		if i == 0 || d.beginsApart(e) {
			blocks = append(blocks, nil)
		}
		n := len(blocks) - 1
		blocks[n] = append(blocks[n], e)
	}
	if len(blocks) < 2 {
		return
	}
	for _, b := range blocks {
		classes, names, passes := 0, 0, false
		for _, e := range b {
			for _, f := range e.facts {
				if f.read.class != "" {
					classes++
				}
				if f.field == "line" {
					names++
				}
				passes = passes || isPassField(f.field)
			}
		}
		if passes && (classes != 1 || names > 1) {
			return
		}
	}
	var out []entry
	for _, b := range blocks {
		for _, lead := range []func(fact) bool{func(f fact) bool { return f.field == "line" }, func(f fact) bool { return f.read.class != "" }} {
			for i := range b {
				if n := slices.IndexFunc(b[i].facts, lead); n >= 0 {
					out = append(out, entry{facts: b[i].facts[n : n+1 : n+1]})
					b[i].facts = slices.Delete(slices.Clone(b[i].facts), n, n+1)
				}
			}
		}
		for _, e := range b {
			if len(e.facts) > 0 {
				out = append(out, e)
			}
		}
	}
	r.entries = out
}

// beginsApart reports whether an empty line or a rule stands above an entry.
func (d *doc) beginsApart(e entry) bool {
	for _, f := range e.facts {
		toks := f.label
		if len(toks) == 0 {
			toks = f.read.toks
		}
		if len(toks) == 0 || toks[0].line >= len(d.lines) {
			continue
		}
		at := toks[0].line
		return d.lines[at].gap || at > 0 && d.lines[at-1].rule
	}
	return false
}

// classesAtEnds puts a rate that ends the last line of what is said of a test before the lines
// that it is of, where below each name the first line has no rate and the last one ends with
// one:
//
//	LINE 1 REGULAR
//	FIRST 03/02/25 01:12
//	LAST  03/13/25 02:05   0.2 GPH
//	LAST  01/18/25 03:20   0.1 GPH
func classesAtEnds(r *reads) {
	if r.kind != record.LineSummary {
		return
	}
	ends := func(e entry) bool {
		n := len(e.facts) - 1
		return n > 0 && e.facts[n].read.class != "" && e.facts[n-1].field != fieldMoment && len(e.facts[n-1].read.toks) > 0 && place(e.facts[n]) > place(e.facts[n-1])
	}
	blocks, bare := 0, 0
	for i, e := range r.entries {
		named := hasField(e.facts, "line")
		switch {
		case e.row || e.more || e.head, hasClass(e.facts) && !ends(e):
			return
		case named && i > 0 && !hasClass(r.entries[i-1].facts), named && hasClass(e.facts):
			return
		case named:
			if blocks++; i+1 >= len(r.entries) {
				return
			}
		case !hasClass(e.facts):
			bare++
		}
	}
	if n := len(r.entries); blocks == 0 || bare == 0 || !ends(r.entries[n-1]) {
		return
	}
	var out, run []entry
	for _, e := range r.entries {
		if hasField(e.facts, "line") {
			out = append(out, e)
			continue
		}
		if !hasClass(e.facts) {
			run = append(run, e)
			continue
		}
		n := len(e.facts) - 1
		out = append(out, entry{facts: []fact{e.facts[n]}})
		out = append(append(out, run...), entry{facts: e.facts[:n:n]})
		run = nil
	}
	r.entries = append(out, run...)
}
