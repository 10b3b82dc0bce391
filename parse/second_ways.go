package parse

import (
	"slices"

	"tankroll/record"
)

// way is how the records of both readings are chosen from where they differ.
type way int

const (
	asExpected way = iota // those that are expected to have more values right, by what is near
	byGrammar             // the grammar's
	bySecond              // the second reading's
)

// plainlyTrusted is by how much the fields of another way must be trusted more, as a number of fields, to
// be taken. The value was chosen on printouts of consoles that the second reading had not met.
const plainlyTrusted = 0.5

// weighed makes the report of drafts in the way in which its fields are trusted most on the whole,
// each counting by how much likelier it is right than wrong. What the usual way says surely another must say,
// and of that nothing is sure which the usual way does not say as surely. The head is the usual way's.
func (d *doc) weighed(drafts []*draft, h head) record.Report {
	report, known := d.reportIn(asExpected, drafts, h)
	if d.torn {
		usual, most := report, worth(known)+plainlyTrusted
		for _, w := range []way{byGrammar, bySecond} {
			other, of := d.reportIn(w, drafts, h)
			if v := worth(of); v > most && keepsSure(other, usual) {
				other.Header = usual.Header
				doubtUnlike(&other, usual)
				report, known, most = other, of, v
			}
		}
	}
	if d.testOnlyField != nil {
		for _, e := range known {
			d.testOnlyField(e)
		}
	}
	return report
}

// reportIn makes the report in one way. Drafts and head stay as they are.
func (d *doc) reportIn(w way, drafts []*draft, h head) (record.Report, []evidence) {
	d.way = w
	own := make([]*draft, len(drafts))
	for i, dr := range drafts {
		own[i] = dr.copied()
	}
	h = h.copied()
	own = d.fillIn(own, &h)
	d.hasClocks, d.hasHalves = d.clocked(own)
	return d.report(h, own)
}

// keepsSure reports whether a report says all that another one says surely, of the same things.
func keepsSure(report, other record.Report) bool {
	for _, o := range other.Records {
		for name, f := range o.Fields {
			if f.Sure && !slices.ContainsFunc(report.Records, func(r record.Record) bool {
				g, ok := r.Fields[name]
				return ok && thingAlone(r) == thingAlone(o) && g.Value == f.Value && g.Box == f.Box
			}) {
				return false
			}
		}
	}
	return true
}

// worth is how many more fields are expected to be right than wrong.
func worth(known []evidence) float64 {
	sum := 0.0
	for _, e := range known {
		sum += 2*e.trust() - 1
	}
	return sum
}

// doubtUnlike doubts the fields of a report that another one of the same slip does not say, in the same
// record and as surely, and all of a thing of which the other has fewer records: one of them may be
// none of its own.
func doubtUnlike(report *record.Report, other record.Report) {
	more := ofThings(report.Records)
	for s, n := range ofThings(other.Records) {
		more[s] -= n
	}
	for i := range report.Records {
		r := &report.Records[i]
		for _, name := range r.FieldNames() {
			f := r.Fields[name]
			if !f.Sure || more[thingAlone(*r)] <= 0 && slices.ContainsFunc(other.Records, func(o record.Record) bool { return saysAsSurely(o, *r, name) }) {
				continue
			}
			f.Sure, f.Confidence = false, min(f.Confidence, mostUnsure)
			r.Fields[name] = f
			r.Doubts = append(r.Doubts, record.Doubt{Field: name, Why: "the slip can also be read so that it is another record's, or none's"})
		}
	}
}

// thingAlone is what a record is of, whichever test it is and whenever it was.
func thingAlone(r record.Record) subject {
	return subject{kind: r.Kind, name: r.Fields[ownName(r.Kind)].String()}
}

// ofThings are how many records are of each thing.
func ofThings(records []record.Record) map[subject]int {
	out := map[subject]int{}
	for _, r := range records {
		out[thingAlone(r)]++
	}
	return out
}

// leastShared is the share of the fields of each of two records that the other has as well where they are
// the same, read in two ways.
const leastShared = 0.75

// saysAsSurely reports whether a record says a field of another one with the same words, surely, most
// else too and nothing otherwise: it is the same record.
func saysAsSurely(o, r record.Record, name string) bool {
	if o.Kind != r.Kind || subjectOf(o) != subjectOf(r) || !o.Fields[name].Sure {
		return false
	}
	shared := 0
	for field, f := range r.Fields {
		g, ok := o.Fields[field]
		if ok && (g.Value != f.Value || g.Box != f.Box) {
			return false
		}
		if ok {
			shared++
		}
	}
	return float64(shared) >= leastShared*float64(max(len(r.Fields), len(o.Fields)))
}

// copied is a draft whose facts can be changed without changing its own.
func (dr *draft) copied() *draft {
	out := *dr
	out.facts, out.again = copiedFacts(dr.facts), copiedFacts(dr.again)
	return &out
}

func copiedFacts(facts []fact) []fact {
	out := slices.Clone(facts)
	for i := range out {
		out[i] = *out[i].copied()
	}
	return out
}

// copied is a fact of its own, nil for none.
func (f *fact) copied() *fact {
	if f == nil {
		return nil
	}
	out := *f
	out.read.also = f.read.also.copied()
	if f.read.until != nil {
		until := *f.read.until
		out.read.until = &until
	}
	return &out
}

// copied is a head whose facts can be changed without changing its own.
func (h head) copied() head {
	h.site, h.number, h.address = h.site.copied(), h.number.copied(), h.address.copied()
	h.printed, h.taken, h.others = h.printed.copied(), h.taken.copied(), copiedFacts(h.others)
	return h
}
