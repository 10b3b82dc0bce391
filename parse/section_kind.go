package parse

import (
	"fmt"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// titleWorth is what it is worth that the title names a kind, on the scale of
// fact.go.
const titleWorth = 4.0

// related are the kinds that share a title: a plain "leak test" may be of a
// tank or a line, a list of line results may be a summary.
var related = func() map[string][]record.Kind {
	out := map[string][]record.Kind{}
	for kinds, titles := range map[[2]record.Kind]string{
		{record.LineTest, record.LineSummary}:    "leak test|leak tests|leak tests results|tightness test|precision test|leak check|leak detection test|0.2 test|0.1 test",
		{record.TankTest, record.LineSummary}:    "hourly test|3.0 test",
		{record.LineSummary, record.LineTest}:    "line test|line tests|line leak test|line leak tests|line test results|line leak results|piping test|pipe test|line test report|line leak test report|line check|line leak test results",
		{record.LineTest, record.LineTest}:       "line history|line test history|line leak history|piping history|line test log|line leak test history|piping test history",
		{record.TankLimits, record.Delivery}:     "tank report|tank status|tank status report|tank data|tank readings",
		{record.Inventory, record.TankTest}:      "tank data|setup|settings|tank parameters|tank configuration|limits",
		{record.Inventory, record.Delivery}:      "variance|balance report|daily balance|inventory control|stock control",
		{record.SensorStatus, record.Alarm}:      "event list|events|alarm status|warnings",
		{record.Inventory, record.TankLimits}:    "stock report|on hand",
		{record.Alarm, record.Alarm}:             "sump status|leak sensors",
		{record.Reconciliation, record.Delivery}: "shift inventory|stock|inventory",
	} {
		for _, t := range strings.Split(titles, "|") {
			out[t] = append(out[t], kinds[0], kinds[1])
		}
	}
	return out
}()

// akin are the kinds that a title in words of its own may mean as well.
var akin = map[record.Kind][]record.Kind{
	record.LineTest: {record.LineSummary}, record.LineSummary: {record.LineTest}, record.TankTest: {record.LineTest},
	record.Inventory: {record.Reconciliation}, record.Reconciliation: {record.Inventory}, // WET STOCK REPORT
}

// listTrust scales the worth of lists without a title: their free text may be
// anything, most of all what an alarm says.
var listTrust = map[record.Kind]float64{record.SensorStatus: 0.55, record.Alarm: 0.5}

// onlySensors scales what seems to be a list of alarms when it names no tank,
// line or system: it may be one of sensors.
const onlySensors = 0.7

// bestKind reads a section as each kind that it may be and keeps the best.
func (d *doc) bestKind(s section) ([]*draft, []int) {
	kinds := record.Kinds()
	bonus := map[record.Kind]float64{}
	if s.title.kind != "" {
		kinds = append([]record.Kind{s.title.kind}, related[s.title.phrase]...)
		if len(kinds) == 1 && (s.title.topics > 0 || s.title.kind != record.TankTest) {
			kinds = append(kinds, akin[s.title.kind]...)
		}
		bonus[s.title.kind] = titleWorth
		if s.title.open {
			kinds = []record.Kind{record.TankTest, record.LineTest, record.LineSummary}
			bonus[record.LineTest], bonus[record.LineSummary] = titleWorth, titleWorth
		}
		if also := s.title.also; also != "" {
			kinds = append(kinds, also)
			bonus[also] = titleWorth
		}
	}
	kinds = s.ofThings(kinds)
	var best, second reads
	for i, k := range kinds {
		r := d.readAs(k, s)
		if s.title.kind == "" && (!r.evident() || k == record.Alarm && !d.speaksOfAlarms(r)) {
			r.worth = -1
		}
		r.worth += bonus[k]
		if k == record.LineSummary && r.counts() {
			r.worth *= 1.5
		}
		if k == record.LineSummary && !r.counts() && d.listsFailures(s) {
			r.worth *= 0.5 // a summary tells of passes alone
		}
		if s.title.kind == "" && (k == record.Alarm || k == record.SensorStatus) {
			r.worth *= listTrust[k]
			if k == record.Alarm && !r.severalDevices() {
				r.worth *= onlySensors
			}
		}
		if i == 0 || r.worth > best.worth {
			best, r = r, best
		}
		if i > 0 && r.worth > second.worth {
			second = r
		}
	}
	if s.title.kind == "" && !best.evident() {
		var all []int
		for i := s.from; i < s.to; i++ {
			all = append(all, i)
		}
		return nil, all
	}
	if s.title.kind == "" {
		best.dropLeadingText()
	}
	best.timedRows()
	drafts := d.assemble(best)
	share := d.explained(best, s)
	if share < fullyExplained {
		for _, dr := range drafts {
			dr.muddy = true
		}
	}
	if s.title.kind == "" && s.things == "" && second.worth > closeCall*best.worth {
		for _, dr := range drafts {
			dr.doubt = fmt.Sprintf("no title says what this is; it reads nearly as well as %s as it does as %s", kindWords(second.kind), kindWords(best.kind))
		}
	}
	if s.title.kind == "" && listTrust[best.kind] > 0 && share < listExplained {
		for _, dr := range drafts {
			dr.doubt = "no title says what this is, and part of it was not understood"
		}
	}
	midNamed(drafts)
	wholeBefore(drafts)
	for _, dr := range drafts {
		if dr.split && (dr.led || dr.muddy) && dr.doubt == "" {
			dr.doubt = "a name or heading between two records may have been missed; values may belong to another"
		}
	}
	unevenAlarms(drafts)
	d.bareRecords(drafts)
	sameNames(drafts)
	d.badlyNamed(drafts)
	if share < leastExplained && s.title.whole && share > halfExplained {
		d.partlyRead(drafts)
	} else if share < leastExplained {
		for _, dr := range drafts {
			dr.doubt = "much of this part of the slip was not understood; values may belong to other fields"
		}
	}
	read := &part{s, best.left}
	for _, dr := range drafts {
		dr.part = read
	}
	return drafts, best.left
}

// timedRows makes rows of lines that each begin with their time and name their equipment behind it,
// where all lines of a part do: what stands before a name is of that line's record.
//
//	07/14/99 11:06  TANK 3 DIESEL   3487 GAL
//	07/15/99 09:15  TANK 1 REG      6012 GAL
func (r *reads) timedRows() {
	own := ownName(r.kind)
	if len(r.entries) < 2 || own == "device" || own == "sensor" {
		return
	}
	for _, e := range r.entries {
		const fewest = 3 // the time, the name and a value
		if e.row || e.head || e.more || len(e.facts) < fewest || e.facts[0].field != fieldMoment || len(e.facts[0].label) > 0 || !e.facts[0].read.hasDate() {
			return
		}
		names := 0
		for _, f := range e.facts {
			if f.field == own {
				names++
			}
		}
		if names != 1 {
			return
		}
	}
	for i := range r.entries {
		r.entries[i].row = true
	}
}

// listExplained is the share of the words of a list without a title that must have a
// place before it can be told from lists of another kind.
const listExplained = 0.9

// closeCall is the share of the best reading's worth from which another kind is a
// reading to be reckoned with, where no title decides.
const closeCall = 0.8

// kindWords is a kind in words.
func kindWords(k record.Kind) string { return strings.ReplaceAll(string(k), "_", " ") }

// severalDevices reports whether tanks, lines and the system are named about
// as often as there are times or states; the places of sensors name some too.
func (r *reads) severalDevices() bool {
	devices, states := 0, 0
	for _, e := range r.entries {
		for _, f := range e.facts {
			switch {
			case f.field == "device" && f.read.value != "sensor":
				devices++
			case f.field == "state":
				states++
			}
		}
	}
	return devices > 0 && devices*2 >= states
}

// evident reports whether enough was found to make a record without a title.
func (r reads) evident() bool {
	const fewest = 2 // labelled fields that are the kind's own
	n, ofTest := 0, r.kind != record.TankTest
	for _, e := range r.entries {
		for _, f := range e.facts {
			if _, ok := specs[r.kind][f.field]; ok && !tellsNothing[f.field] {
				n++
			}
			ofTest = ofTest || testFields[f.field]
		}
	}
	return n >= fewest && r.worth > 0 && ofTest
}

// counts reports whether a count of passes in a day was found, which only summaries have.
func (r reads) counts() bool {
	return slices.ContainsFunc(r.entries, func(e entry) bool { return hasField(e.facts, "passes_24h") })
}

// listsFailures reports whether a line of a section is a date, then a verdict that is no pass at its end.
func (d *doc) listsFailures(s section) bool {
	for _, l := range d.lines[s.from:s.to] {
		n := len(l.toks) - 1
		if n < 2 || l.head {
			continue
		}
		for from := n; from > 0 && from > n-3; from-- {
			code, cost, ok := d.whole(lexicon.Result, l.toks[from:])
			if ok && cost == 0 && code != "pass" {
				if m, dated := d.readTime(l.toks, false); dated && m.hasDate() && m.used <= from {
					return true
				}
			}
		}
	}
	return false
}

// testFields are the fields that only a test has: a tank's volume, level and temperature
// alone are none.
var testFields = map[string]bool{
	"result": true, "leak_rate": true, "threshold": true, "test_rate": true, "test_class": true, fieldType: true, "method": true, "duration": true, "started_at": true, "ended_at": true,
}

// tellsNothing are the fields that records of several kinds have or that any
// words may seem to be: they do not show of which kind a record is.
var tellsNothing = map[string]bool{
	"tank": true, "line": true, "sensor": true, "device_number": true, "product": true, "event": true, "location": true, "test_class": true, "test_rate": true, fieldMoment: true,
}

// dropLeadingText leaves the lines before the first fact of a list without a
// title to the header: they are free text.
func (r *reads) dropLeadingText() {
	for len(r.entries) > 0 {
		for _, f := range r.entries[0].facts {
			if f.field != "event" && f.field != "location" || len(f.read.toks) == 0 {
				return
			}
		}
		for _, f := range r.entries[0].facts {
			r.left = append([]int{f.read.toks[0].line}, r.left...)
		}
		r.entries = r.entries[1:]
	}
}
