package parse

import (
	"strings"

	"tankroll/record"
)

// mendTorn puts the pieces of a block together that a field tore apart which came twice in
// it. Where a name heads several records these say much the same, each of its own time; what
// says other things than the piece above, and has no name of its own, goes on with it:
//
//	TANK 1                      TANK 1
//	STARTED  10/11 23:00        10/11 PASSED -0.01
//	VOLUME   5120               11/12 PASSED +0.02      two records
//	VOLUME   5119
//	RATE     -0.01
//	RESULT   PASSED             one record
//
// Which of the two values counts is not certain, and nothing of such a record is sure.
//
// One value alone that is another than the record has, right below it, makes no record and
// doubts that field: TEST ABORTED, POWER FAILURE.
func (d *doc) mendTorn(drafts []*draft) []*draft {
	var out []*draft
	for _, dr := range drafts {
		n := len(out)
		if n > 0 && d.isRest(out[n-1], dr) {
			out[n-1].absorb(d, dr)
			continue
		}
		if n > 0 && dr.split && !dr.hasOwn(ownName(dr.kind)) {
			out[n-1].split = true
		}
		out = append(out, dr)
	}
	return out
}

// isRest reports whether a draft is the rest of the one above it.
func (d *doc) isRest(above, dr *draft) bool {
	if !inBlocks(dr.kind) || !dr.split || dr.row || above.row || dr.kind != above.kind || !above.hasOwn(ownName(dr.kind)) {
		return false
	}
	const (
		little = 3 // times as much that is new as comes again
		whole  = 4 // fields of a record that one more, come twice, makes no other of
	)
	again, fresh := 0, 0
	for _, f := range dr.facts {
		switch {
		case f.inherited || f.field == "" || f.field == fieldNone:
		case f.field == ownName(dr.kind), f.field == "product", f.field == fieldMoment, f.read.hasDate() && above.hasOwn(f.field):
			return false // another name, or another time
		case above.hasOwn(f.field):
			again++
		default:
			fresh++
		}
	}
	if fresh == 0 && again == 1 {
		return above.own() >= whole && !d.standsApart(dr)
	}
	if fresh == 1 && above.own() < whole {
		return false
	}
	return again <= fresh && again*little <= fresh+above.own()
}

// inBlocks reports whether records of a kind say so much that they can be torn: an alarm, a
// sensor or a line of a summary is a line or two.
func inBlocks(k record.Kind) bool {
	return k != record.Alarm && k != record.SensorStatus && k != record.LineSummary
}

// standsApart reports whether an empty line or a rule stands above what a draft says itself.
func (d *doc) standsApart(dr *draft) bool {
	for _, f := range dr.facts {
		if !f.inherited {
			return d.beginsApart(entry{facts: []fact{f}})
		}
	}
	return false
}

// hasOwn reports whether a draft has a field that it did not take from above.
func (dr *draft) hasOwn(field string) bool {
	for _, f := range dr.facts {
		if f.field == field && !f.inherited {
			return true
		}
	}
	return false
}

// own counts the fields that a draft says itself beside its name and product.
func (dr *draft) own() int {
	n := 0
	for _, f := range dr.facts {
		if !f.inherited && f.field != "" && f.field != ownName(dr.kind) && f.field != "product" {
			n++
		}
	}
	return n
}

// absorb takes in what another draft says; nothing is sure then, unless that is one value that it
// has already.
func (dr *draft) absorb(d *doc, rest *draft) {
	for _, f := range rest.facts {
		if f.inherited {
			continue
		}
		dr.secondAmount(d, &f)
		if !dr.put(f) {
			dr.contest(f)
			dr.again = append(dr.again, f)
		}
	}
	dr.again = append(dr.again, rest.again...)
	if rest.own() == 1 {
		dr.split = false // it ends where the next one has its name
		return
	}
	if dr.doubt == "" {
		dr.doubt = "a field came twice in what is said of it; its values may belong to two records"
	}
}

// secondAmount takes an amount of the start that comes twice, and does not say that it is of the
// start, for that of the end where the record has none.
func (dr *draft) secondAmount(d *doc, f *fact) {
	side, ok := strings.CutPrefix(f.field, "start_")
	if _, fits := specs[dr.kind]["end_"+side]; !ok || !fits || !dr.hasOwn(f.field) || dr.has("end_"+side) || f.read.hasTime() {
		return
	}
	if bag, _, _ := d.bag(f.label); labelTables().has(bag, "start") {
		return
	}
	f.field, f.guess = "end_"+side, "a second amount like that of the start; it is taken for that of the end"
}
