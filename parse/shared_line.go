package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// sharedLine reads the line between the title and a table of tests that says how all of them
// were made: a rate there is the one that was tested for, and a share of the tank what it had
// to hold.
//
//	CONTINUOUS TANK LEAK TEST  RATE 0.2 GPH  MIN 95%
func sharedLine(r reads) {
	first := slices.IndexFunc(r.entries, func(e entry) bool { return e.row })
	if r.kind != record.TankTest && r.kind != record.LineTest || first < 1 {
		return
	}
	e := &r.entries[first-1]
	if e.row || e.more || e.head || !hasField(e.facts, "method") && !hasClass(e.facts) {
		return
	}
	for _, f := range e.facts {
		switch {
		case f.field == "method" || f.read.class != "" || f.field == "" || f.field == "percent_full" && len(f.label) == 0:
		case f.field == "leak_rate" && len(f.label) == 1 && f.read.unitFrom == unitBeside && !hasClass(e.facts):
			if _, _, ok := classOf(f.read.num.Value, f.read.unit); !ok {
				return
			}
		default:
			return
		}
	}
	for i := range e.facts {
		switch f := &e.facts[i]; f.field {
		case "leak_rate":
			f.field = "test_rate"
			f.read.class, _, _ = classOf(f.read.num.Value, f.read.unit)
		case "percent_full":
			f.field = ""
		}
	}
}

// forAll takes what a line below the tests says of all of them, as the threshold, to each
// that does not say it itself.
//
//	LEAK THRESHOLD 0.100 GPH FOR ALL TANKS
func (d *doc) forAll(drafts []*draft) []*draft {
	n := len(drafts) - 1
	if n < 1 || drafts[n].kind != record.TankTest && drafts[n].kind != record.LineTest {
		return drafts
	}
	var said *fact
	for i := range drafts[n].facts {
		f := &drafts[n].facts[i]
		switch {
		case f.inherited || f.field == "":
		case f.field == "threshold" && said == nil && len(f.read.toks) > 0:
			said = f
		default:
			return drafts
		}
	}
	if said == nil {
		return drafts
	}
	at := said.read.toks[0].line
	if at >= len(d.lines) || !slices.ContainsFunc(d.lines[at].toks, func(t token) bool { return t.norm == "all" || t.norm == "each" || t.norm == "every" }) || !slices.ContainsFunc(d.lines[at].toks, func(t token) bool { return d.spelt(t, lexicon.Device) || t.norm == "tests" }) {
		return drafts
	}
	for _, dr := range drafts[:n] {
		if dr.kind == drafts[n].kind && !dr.has("threshold") {
			f := *said
			f.inherited = true
			dr.facts = append(dr.facts, f)
		}
	}
	return drafts[:n]
}
