package parse

import (
	"fmt"
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// leastExplained is the share of the words of a section that must have a place
// in the reading before its fields can be sure: a layout that is not understood
// leaves more over.
const leastExplained = 0.7

// fullyExplained is the share from which what stands above several records
// counts for all of them without a doubt: a line that was not understood may
// have named another thing.
const fullyExplained = 0.97

// explained is the share of a section's words that are part of facts.
func (d *doc) explained(r reads, s section) float64 {
	total, used := 0, 0
	seen := d.newPlaces()
	mark := func(toks []token) {
		for i := range toks {
			if at := toks[i].at; !seen.has(at) {
				seen.add(at)
				used++
			}
		}
	}
	for i := s.from; i < s.to; i++ {
		if l := d.lines[i]; !l.head && !(i == s.from && s.title.kind != "") {
			for _, t := range l.toks {
				if _, isFiller := d.filler(t); !t.blank && !isFiller {
					total++
				}
			}
		}
	}
	for _, e := range r.entries {
		for _, f := range e.facts {
			mark(f.label)
			mark(f.read.toks)
			used += max(0, f.read.used-len(f.read.toks)) // units
		}
	}
	if total == 0 {
		return 1
	}
	return float64(used) / float64(total)
}

// clearPrint is the confidence from which a word is taken for what is printed:
// when such a word has no place, the reading is at fault and not the paper.
const clearPrint = 0.9

// leftNumber finds a number that was read well and that no fact holds: the
// layout was not understood where it stands. Notes that hold no fact at all may
// have some, and so may a line whose own label was hardly read: there the paper is
// at fault, and what stands on other lines is not touched.
func (d *doc) leftNumber(s section, drafts []*draft) (string, bool) {
	placed := d.newPlaces()
	noted := make([]bool, len(d.lines)) // lines with facts
	for _, dr := range drafts {
		markAll(placed, dr.facts)
		markAll(placed, dr.again)
	}
	markAll(placed, d.headFacts)
	for i := s.from; i < s.to; i++ {
		for _, t := range d.lines[i].toks {
			noted[i] = noted[i] || placed.has(t.at)
		}
	}
	for i := s.from; i < s.to; i++ {
		l := d.lines[i]
		if l.head || i == s.from && s.title.kind != "" || !noted[i] && (d.note(l.toks) || d.totals(l.toks)) {
			continue
		}
		for k, t := range l.toks {
			if t.number && !t.blank && !placed.has(t.at) && t.conf >= clearPrint && !t.ordinal && !d.inPhrase(l.toks, k) && !counted(l.toks, k) &&
				(noted[i] || !unreadLabel(l.toks[:k])) {
				return t.text, true
			}
		}
	}
	return "", false
}

// unreadLabel reports whether a word among those before a number was read badly.
func unreadLabel(before []token) bool {
	return slices.ContainsFunc(before, func(t token) bool { return !t.blank && !t.number && t.conf < clearPrint })
}

// counted reports whether token k only counts pages or shifts: PAGE 1 OF 2.
func counted(toks []token, k int) bool {
	if k == 0 {
		return false
	}
	switch toks[k-1].norm {
	case "page", "shift", "pg", "copy":
		return true
	case "of":
		return k >= 3 && toks[k-3].norm == "page"
	}
	return false
}

// inPhrase reports whether token k is part of a phrase of a label, as in
// "passes in 24 h" or "at 60 f".
func (d *doc) inPhrase(toks []token, k int) bool {
	for i := max(0, k-maxPhraseWords+1); i <= k; i++ {
		if _, cost, n := d.code(lexicon.Part, toks[i:]); cost == 0 && n > 1 && i+n > k {
			return true
		}
	}
	return false
}

// note reports whether a line speaks of units and words of labels only, as
// "volumes in gal, ullage to 90 % full".
func (d *doc) note(toks []token) bool {
	words := 0
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		if t.number {
			continue
		}
		if t.delim != 0 {
			return false
		}
		if _, ok := d.filler(t); ok || d.isUnit(t) || d.harmless(t) {
			words++
		}
	}
	return words*2 > len(toks) && words >= 2
}

// oneQuantity reports whether a line ends with a number and its unit and holds no
// other number: whatever it is a quantity of, it names no thing.
func (d *doc) oneQuantity(toks []token) bool {
	n := len(toks)
	if n < 2 || !toks[n-2].number || !d.isUnit(toks[n-1]) {
		return false
	}
	return !slices.ContainsFunc(toks[:n-2], func(t token) bool { return t.number || t.ordinal })
}

// afterStrangeLines doubts what a record says below a line that could not be
// read at all: that line may have named another thing.
func (d *doc) afterStrangeLines(r reads, s section, drafts []*draft) {
	var strange []int // places of the last tokens of such lines
	for _, i := range r.left {
		l := d.lines[i]
		if l.head || len(l.toks) == 0 || i == s.from && s.title.kind != "" || d.oneQuantity(l.toks) {
			continue
		}
		for _, t := range l.toks {
			if !t.blank && !d.harmless(t) {
				strange = append(strange, t.at)
				break
			}
		}
	}
	for _, dr := range drafts {
		name := -1
		for _, f := range dr.facts {
			if n := len(f.read.toks); n > 0 && f.field == ownName(dr.kind) {
				name = f.read.toks[n-1].at
			}
		}
		for i := range dr.facts {
			f := &dr.facts[i]
			for _, at := range strange {
				if n := len(f.read.toks); n > 0 && name >= 0 && at > name && at < f.read.toks[0].at && f.guess == "" {
					f.guess = "a line above it could not be read and may name another thing"
				}
			}
		}
	}
}

// bareRecords doubts entries of lists that say too little to be told from any
// other line of words: an alarm without a time and a device, a sensor without a
// state.
func bareRecords(drafts []*draft) {
	for _, dr := range drafts {
		bare := false
		switch dr.kind {
		case record.Alarm:
			bare = !dr.has("at") && !dr.has(fieldMoment) && !dr.has("device")
		case record.SensorStatus:
			bare = !dr.has("state")
		case record.TankTest, record.LineTest:
			bare = !dr.has("result") && !dr.has("leak_rate") && !dr.has("ended_at") && !dr.has("started_at") && !dr.has("test_rate") && !dr.has("test_class") && !dr.has(fieldType) && !dr.has(fieldMoment)
		}
		if bare && dr.doubt == "" {
			dr.doubt = "it says too little to be told from other words of the slip"
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
		if !onceOnly[dr.kind] {
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
			if two.doubt == "" {
				two.doubt = fmt.Sprintf("two summaries here are of line %v for the same rate; the name of another line may have been missed", s.line)
			}
		}
	}
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
		return o.field != ownName(dr.kind) && o.field != "product" && !o.inherited && dr.has(o.field)
	}
	for at := range len(drafts) * len(drafts) {
		i, j := at/len(drafts), at%len(drafts)
		a, b := drafts[i], drafts[j]
		name := own(a)
		if i >= j || a.kind != b.kind || a.kind == record.Alarm || a.kind == record.LineSummary || name == nil || own(b) != name {
			continue
		}
		if slices.ContainsFunc(b.facts, func(o fact) bool { return says(a, o) }) {
			continue
		}
		for _, dr := range []*draft{a, b} {
			if dr.doubt == "" {
				dr.doubt = fmt.Sprintf("two records here of %s %v say nothing in common; they may be one", ownName(dr.kind), name)
			}
		}
	}
}

// unevenAlarms doubts the alarms of a list that do not all say the same things:
// a time or a name that one lacks may have gone to its neighbour.
func unevenAlarms(drafts []*draft) {
	said := func(dr *draft) (out [4]bool) {
		for i, f := range []string{"at", "event", "state", "device"} {
			out[i] = dr.has(f)
		}
		return out
	}
	uneven := false
	var first *draft
	for _, dr := range drafts {
		if dr.kind != record.Alarm {
			return
		}
		if len(dr.facts) == 1 && !dr.facts[0].read.hasDate() {
			continue // when the one above was cleared
		}
		if first == nil {
			first = dr
		}
		uneven = uneven || said(dr) != said(first)
	}
	if !uneven {
		return
	}
	for _, dr := range drafts {
		if dr.doubt == "" {
			dr.doubt = "the alarms of this list do not all say the same things; a time or a name may belong to another"
		}
	}
}
