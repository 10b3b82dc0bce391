package parse

import (
	"fmt"
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// nameless doubts the records of a kind of which one has no name although others do:
// where records begin was not understood, values may have gone to the next.
func nameless(drafts []*draft) {
	with, without, rows := map[record.Kind]bool{}, map[record.Kind]bool{}, map[record.Kind]bool{}
	for _, dr := range drafts {
		if own := ownName(dr.kind); own != "device" && dr.substance() {
			with[dr.kind], without[dr.kind] = with[dr.kind] || dr.has(own), without[dr.kind] || !dr.has(own)
			rows[dr.kind] = rows[dr.kind] || !dr.has(own) && dr.row
		}
	}
	across := sideways(drafts)
	for _, dr := range drafts {
		if with[dr.kind] && without[dr.kind] && dr.doubt == "" && !(!across[dr] && dr.has(ownName(dr.kind)) && (dr.row && !rows[dr.kind] || dr.oneLine()) && !dr.namedAbove()) {
			dr.doubt = "a record here has no number of its " + ownName(dr.kind) + "; where one ends and the next begins is not certain"
		}
	}
}

// sideways finds the rows that are columns of one table, whose values of one field stand on
// one line.
func sideways(drafts []*draft) map[*draft]bool {
	type cell struct {
		field string
		line  int
	}
	first := map[cell]*draft{}
	out := map[*draft]bool{}
	for _, dr := range drafts {
		for _, f := range dr.facts {
			if !dr.row || f.inherited || f.field == "" || len(f.read.toks) == 0 {
				continue
			}
			c := cell{f.field, f.read.toks[0].line}
			if o := first[c]; o != nil && o != dr && o.kind == dr.kind {
				out[o], out[dr] = true, true
			}
			first[c] = dr
		}
	}
	return out
}

// namedAbove reports whether a draft takes its name from above.
func (dr *draft) namedAbove() bool {
	return slices.ContainsFunc(dr.facts, func(f fact) bool { return f.inherited && f.field == ownName(dr.kind) })
}

// badlyNamed doubts the records of a section of which some have a good name and others a
// doubtful one: what stands in those may be of the record above or below. A bare number
// where others say TANK is a doubtful one: it may be that of its line, or dirt.
func (d *doc) badlyNamed(drafts []*draft) {
	why, well := "", false
	said := slices.ContainsFunc(drafts, func(dr *draft) bool {
		return slices.ContainsFunc(dr.facts, func(f fact) bool {
			return f.field == ownName(dr.kind) && f.field != "device" && !f.under && len(f.label) > 0 && len(f.read.toks) > 0 && f.label[0].line == f.read.toks[0].line
		})
	})
	for _, dr := range drafts {
		for _, f := range dr.facts {
			if f.field != ownName(dr.kind) || f.inherited {
				continue
			}
			if len(f.label) == 0 && d.countsBehind(f.read.toks) {
				why = fmt.Sprintf("%q was taken for the %s of a record here; it may be a count", textOf(f.read.toks), f.field)
			} else if len(f.label) == 0 && said && !f.under && !dr.row {
				why = fmt.Sprintf("%q was taken for the %s of a record here, without the word that others have; it may be no name", textOf(f.read.toks), f.field)
			} else if f.cost > sureLabelCost {
				why = fmt.Sprintf("the %s of a record here was read from %q, which is not quite the name of one", f.field, textOf(f.label))
			} else {
				well = true
			}
		}
	}
	if !well {
		return // that label names them all, or there is one record only
	}
	for _, dr := range drafts {
		if dr.doubt == "" {
			dr.doubt = why
		}
	}
}

// countsBehind reports whether the word for passes stands right behind tokens.
func (d *doc) countsBehind(toks []token) bool {
	if len(toks) == 0 {
		return false
	}
	at, l, ok := d.where(toks[len(toks)-1:], nil)
	if !ok || at+1 >= len(l.toks) {
		return false
	}
	code, _, n := d.code(lexicon.Part, l.toks[at+1:])
	return n > 0 && code == "passes"
}

// midNamed doubts records that do not begin with their name: what stands above it may be
// of another whose name was not understood.
func midNamed(drafts []*draft) {
	for _, dr := range drafts {
		name := -1
		for _, f := range dr.facts {
			if f.field == ownName(dr.kind) && !f.inherited && len(f.read.toks) > 0 {
				name = f.read.toks[0].line
			}
		}
		above, below := 0, 0
		for _, f := range dr.facts {
			switch {
			case f.inherited || f.field == "" || shareable[f.field] || f.field == "product" || f.under || len(f.read.toks) == 0:
			case f.read.toks[0].line < name:
				above++
			case f.read.toks[0].line > name:
				below++
			}
		}
		if above > 1 && below > 0 && !dr.row && dr.doubt == "" && ownName(dr.kind) != "device" {
			dr.doubt = "its name stands in the middle of it; what stands above may belong to another"
		}
	}
}

// onceOnly are the kinds of which a slip shows one record of each thing.
var onceOnly = map[record.Kind]bool{record.Inventory: true, record.TankLimits: true, record.SensorStatus: true, record.Reconciliation: true}

// sameNames doubts records of one section that are of one thing, where each
// thing has one: values may have been taken for a record of their own.
func sameNames(drafts []*draft) {
	seen := map[any]*draft{}
	for _, dr := range drafts {
		if !onceOnly[dr.kind] || dr.onlyNamed() || dr.namedAbove() && dr.wideRow() {
			continue
		}
		for _, f := range dr.facts {
			if f.field != ownName(dr.kind) {
				continue
			}
			if o := seen[f.read.value]; o != nil {
				for _, two := range []*draft{o, dr} {
					if two.doubt == "" {
						two.doubt = fmt.Sprintf("two records here are of %s %v; values of one may have been taken apart", ownName(dr.kind), f.read.value)
					}
				}
			}
			seen[f.read.value] = dr
		}
	}
}

// sameClasses doubts summaries of one line for the same rate of test: where one has its
// line from above, the name of another line may have been missed between them.
func sameClasses(drafts []*draft) {
	type summary struct{ line, class any }
	seen := map[summary]*draft{}
	for _, dr := range drafts {
		var s summary
		for _, f := range dr.facts {
			if f.field == "line" {
				s.line = f.read.value
			}
			if f.read.class != "" {
				s.class = f.read.class
			}
		}
		if !dr.summary() || s.line == nil {
			continue
		}
		o := seen[s]
		if seen[s] = dr; o == nil {
			continue
		}
		for _, two := range []*draft{o, dr} {
			if two.doubt == "" && (two != o || !o.row || o.namedAbove()) {
				two.doubt = fmt.Sprintf("two summaries here are of line %v for the same rate; the name of another line may have been missed", s.line)
			}
		}
	}
}

// classless doubts the summaries that do not say which test they are of, where others of
// their section do: theirs was not understood, and what they say may be of another.
func classless(drafts []*draft) {
	if !slices.ContainsFunc(drafts, func(dr *draft) bool { return hasClass(dr.facts) }) {
		for _, dr := range drafts {
			if dr.doubt == "" && dr.has("first_pass_of_month") && (dr.has("passes_24h") || dr.has("passes_since_midnight")) {
				dr.doubt = "no rate of a test was understood; the counts and the first pass of the month may be of different tests"
			}
		}
		return
	}
	for _, dr := range drafts {
		if dr.doubt == "" && !hasClass(dr.facts) {
			dr.doubt = "the others here say which test they are of; the rate of this one was not understood"
		}
	}
}

// onlySays reports whether a draft says no more of its thing than one field, which the
// other lacks: TANK 2 PASSED below a test.
func (dr *draft) onlySays(o *draft, field string) bool {
	return dr.has(field) && !o.has(field) && o.says() > 3 && !slices.ContainsFunc(dr.facts, func(f fact) bool {
		return !f.inherited && f.field != "" && f.field != field && f.field != ownName(dr.kind) && f.field != "product"
	})
}

// takenApart doubts records of one thing that say nothing in common: they
// may be one.
func takenApart(drafts []*draft) {
	own := func(dr *draft) any {
		for _, f := range dr.facts {
			if f.field == ownName(dr.kind) {
				return f.read.value
			}
		}
		return nil
	}
	says := func(dr *draft, o fact) bool {
		return o.field != "" && o.field != ownName(dr.kind) && o.field != "product" && !o.inherited && dr.has(o.field)
	}
	for at := range len(drafts) * len(drafts) {
		i, j := at/len(drafts), at%len(drafts)
		a, b := drafts[i], drafts[j]
		name := own(a)
		if i >= j || a.kind != b.kind || a.kind == record.Alarm || a.kind == record.LineSummary || name == nil || own(b) != name || a.onlySays(b, "result") || b.onlySays(a, "result") {
			continue
		}
		if slices.ContainsFunc(b.facts, func(o fact) bool { return says(a, o) }) {
			continue
		}
		for _, dr := range []*draft{a, b} {
			if dr.doubt == "" && !(dr.namedAbove() && dr.wideRow()) {
				dr.doubt = fmt.Sprintf("two records here of %s %v say nothing in common; they may be one", ownName(dr.kind), name)
			}
		}
	}
}

// wideRow reports whether a draft is a row of a table of several columns: what it takes
// from above stands in none of them.
func (dr *draft) wideRow() bool {
	const several = 3
	n := 0
	for _, f := range dr.facts {
		if f.under && !f.inherited {
			n++
		}
	}
	return dr.row && n >= several
}
