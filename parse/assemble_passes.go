package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// withPasses adds a line test for every dated pass of the summaries. A draft
// that holds dated passes only is no summary.
func (a *assembler) withPasses() []*draft {
	var out []*draft
	all := hourlyCounts(samePasses(a.out))
	sameClasses(all)
	classless(all)
	for _, dr := range all {
		passes := dr.passes()
		if s := a.d.newest(dr); s != nil {
			out = append(out, s)
		} else if dr.summary() {
			out = append(out, dr)
		} else if s := a.d.ofMonths(dr); s != nil {
			out = append(out, s)
		}
		out = append(out, passes...)
	}
	if len(sideways(all)) == 0 {
		inPrintedOrder(out) // what a column says stays together
	}
	return out
}

// hourlyCounts gives the counts of a line that name no test to its summary of the hourly test,
// where that has none: no other test is made so often.
func hourlyCounts(drafts []*draft) []*draft {
	var out []*draft
	for _, dr := range drafts {
		to := -1
		if !hasClass(dr.facts) && dr.has("passes_24h") {
			to = slices.IndexFunc(drafts, func(o *draft) bool {
				return o != dr && sameLineAs(dr, o) && slices.ContainsFunc(o.facts, func(f fact) bool { return f.read.class == "3.0" })
			})
		}
		for i := range dr.facts {
			if f := &dr.facts[i]; to >= 0 && isPassField(f.field) && f.guess == "" {
				f.guess = "no test is named with it; it is taken for the hourly one"
			}
		}
		if to < 0 || !drafts[to].takes(dr) {
			out = append(out, dr)
		}
	}
	return out
}

// sameLineAs reports whether two drafts are of one line.
func sameLineAs(a, b *draft) bool {
	for _, f := range a.facts {
		for _, o := range b.facts {
			if f.field == "line" && o.field == "line" && f.read.value == o.read.value {
				return true
			}
		}
	}
	return false
}

// inPrintedOrder puts the passes in the order in which their dates are printed.
func inPrintedOrder(drafts []*draft) {
	var at []int
	var passes []*draft
	for i, dr := range drafts {
		if dr.kind == record.LineTest {
			at, passes = append(at, i), append(passes, dr)
		}
	}
	ended := func(dr *draft) int {
		for _, f := range dr.facts {
			if f.field == "ended_at" {
				return place(f)
			}
		}
		return 0
	}
	slices.SortStableFunc(passes, func(a, b *draft) int { return ended(a) - ended(b) })
	for i, dr := range passes {
		drafts[at[i]] = dr
	}
}

// summary reports whether a draft has a field that only summaries have.
func (dr *draft) summary() bool {
	for _, f := range []string{"passes_24h", "passes_since_midnight", "first_pass_of_month", "last_pass_at", fieldNone} {
		if dr.has(f) {
			return true
		}
	}
	return false
}

// passes makes the line tests of a summary.
func (dr *draft) passes() []*draft {
	var out []*draft
	for _, f := range dr.facts {
		if f.field == "first_pass_of_month" && dr.alsoLast(f) {
			continue // one test, printed twice
		}
		named := f.field == "first_pass_of_month" || f.field == "last_pass_at"
		if !f.read.hasTime() || !named && (!f.read.hasDate() || f.field != fieldMoment && f.field != "ended_at") {
			continue
		}
		t := &draft{kind: record.LineTest, from: dr.from, split: dr.split, doubt: dr.doubt}
		for _, name := range []string{"line", "product", "test_rate", "test_class", fieldType} {
			for _, o := range dr.facts {
				if o.field == name {
					if o.read.class != "" {
						o.read.value = o.read.class // the class alone: no rate is printed with a pass
					}
					t.put(o)
				}
			}
		}
		end := f
		end.field = "ended_at"
		if f.field == fieldMoment && len(f.label) == 0 && !dr.has("result") {
			t.doubt = "no label says that its date is that of a passed test"
		}
		t.put(end)
		result := fact{field: "result", read: reading{value: "pass", toks: passWord(f.label)}}
		for _, o := range dr.facts {
			if o.field == "result" {
				result = o
			}
		}
		t.put(result)
		out = append(out, t)
	}
	return out
}

// alsoLast reports whether the first pass of a month is the last one as well: to the minute,
// in the same words.
func (dr *draft) alsoLast(first fact) bool {
	for _, f := range dr.facts {
		if f.field == "last_pass_at" && f.read.hasDate() && f.read.hasClock() && first.read.hasClock() && textOf(f.read.toks) == textOf(first.read.toks) {
			return true
		}
	}
	return false
}

// ofPass reports whether a fact is the result of a test that is told only by the label of its time: LAST
// PASS.
func (f *fact) ofPass() bool { return f.field == "result" && f.read.used == 0 }

// passWord is the part of a label that says that the test passed, if any.
func passWord(label []token) []token {
	for i, t := range label {
		if strings.HasPrefix(t.norm, "pass") || t.norm == "last" || t.norm == "latest" || t.norm == "first" || t.norm == "1st" {
			return label[i:]
		}
	}
	return nil
}
